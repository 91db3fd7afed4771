"""What belongs to a job besides its events: the vehicle's text it was worked with, and photos, each by its SHA-256."""

import hashlib
import unicodedata
from dataclasses import dataclass
from pathlib import PurePosixPath

from loombench.base.problems import Problem, error

VEHICLE, PHOTO, FILE = "vehicle", "photo", "file"
KINDS = (VEHICLE, PHOTO, FILE)
LARGEST = 32_000_000
"""Bytes of one content."""
LONGEST_NAME = 180
_DEVICES = frozenset({"con", "prn", "aux", "nul", *(f"{name}{n}" for name in ("com", "lpt") for n in range(1, 10))})
_FORBIDDEN = frozenset('\\:*?"<>|')


@dataclass(frozen=True)
class Attached:
    """What something attached is called, without its content. `bundle` tells sets of one kind apart, as two versions of
    a vehicle's files; `name` is a path below no folder in particular, parted by `/`; `media` its media type (RFC 6838);
    `sha256` in hexadecimal."""

    kind: str
    bundle: str
    name: str
    media: str
    sha256: str


def attach_as(kind: str, name: str, media: str, data: bytes, bundle: str = "") -> Attached:
    """What to call a content."""
    return Attached(kind, bundle, name, media, hashlib.sha256(data).hexdigest())


def unfit(one: Attached) -> Problem | None:
    """Why it cannot be called so: a name must be harmless as a path on every system, and short."""
    parts = PurePosixPath(one.name).parts
    ill = (
        not parts
        or one.name != "/".join(parts)
        or len(one.name.encode("utf-8", "replace")) > LONGEST_NAME
        or any(_ill(part) for part in parts)
    )
    plain = all(
        len(text) <= 100 and text.isascii() and text.isprintable() for text in (one.bundle, one.media, one.sha256)
    )
    if ill or not plain or one.kind not in KINDS:
        return error("attachment-name", name=ascii(one.name[:80])[1:-1], kind=ascii(one.kind[:20])[1:-1])
    return None


def too_large(name: str, size: int) -> Problem | None:
    """Why a content of that many bytes is not kept."""
    return error("attachment-large", name=name, size=size, limit=LARGEST) if size > LARGEST else None


def _ill(part: str) -> bool:
    hidden = any(unicodedata.category(mark)[0] == "C" for mark in part)
    return (
        part in (".", "..", "/")
        or hidden
        or bool(_FORBIDDEN & set(part))
        or part != part.strip()
        or part.endswith(".")
        or part.split(".", maxsplit=1)[0].casefold() in _DEVICES
    )
