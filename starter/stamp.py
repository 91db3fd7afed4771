"""What an environment was set up with, so that the next start need not ask pip."""

import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from types import MappingProxyType

NOTHING: Mapping[str, str] = MappingProxyType({})


@dataclass(frozen=True)
class Stamp:
    """The Python version, the hash of each lock file installed, and of each optional one that could not be."""

    python: str = ""
    installed: Mapping[str, str] = field(default_factory=lambda: NOTHING)
    absent: Mapping[str, str] = field(default_factory=lambda: NOTHING)


def fingerprint(path: Path) -> str:
    """SHA-256 of a file's bytes, line ends as on Linux so that a checkout on Windows has the same."""
    return hashlib.sha256(path.read_bytes().replace(b"\r\n", b"\n")).hexdigest()


def read(path: Path) -> Stamp:
    """The stamp of a file; an empty one where there is none or it cannot be read, which means: set up again."""
    try:
        said = json.loads(path.read_text(encoding="utf-8"))
        return Stamp(str(said["python"]), _hashes(said["installed"]), _hashes(said["absent"]))
    except (OSError, ValueError, KeyError, TypeError, AttributeError):
        return Stamp()


def _hashes(said: Mapping[object, object]) -> Mapping[str, str]:
    return MappingProxyType({str(name): str(value) for name, value in said.items()})


def write(path: Path, stamp: Stamp) -> None:
    """Write the stamp; at once, so that a set-up broken off leaves the old one or none."""
    said = {"python": stamp.python, "installed": dict(stamp.installed), "absent": dict(stamp.absent)}
    fresh = path.with_suffix(".new")
    fresh.write_text(json.dumps(said, indent=1) + "\n", encoding="utf-8")
    fresh.replace(path)
