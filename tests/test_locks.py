"""The lock files: they cover what pyproject.toml asks for, every version has hashes, no address is in them."""

import re
import tomllib
from pathlib import Path

import pytest
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

from tests.licences import pins

ROOT = Path(__file__).resolve().parents[1]
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
WANTED = {
    "requirements.txt": PROJECT["project"]["dependencies"],
    "requirements-drawing.txt": PROJECT["project"]["optional-dependencies"]["drawing"],
    "requirements-pdf.txt": PROJECT["project"]["optional-dependencies"]["pdf"],
    "requirements-fast.txt": PROJECT["project"]["optional-dependencies"]["fast"],
    "requirements-dev.txt": PROJECT["dependency-groups"]["dev"],
}


def lock(name: str) -> str:
    """The text of a lock file."""
    return (ROOT / name).read_text(encoding="utf-8")


def test_every_lock_file_is_known() -> None:
    assert sorted(path.name for path in ROOT.glob("requirements*.txt")) == sorted(WANTED)


@pytest.mark.parametrize("name", WANTED)
def test_what_is_asked_for_is_locked_in_a_version_that_fits(name: str) -> None:
    locked = pins(lock(name))
    for text in WANTED[name]:
        wanted = Requirement(text)
        versions = [pin.version for pin in locked if pin.name == canonicalize_name(wanted.name)]
        assert versions, f"{wanted.name} is not locked: run tools/lock.py"
        assert all(wanted.specifier.contains(version) for version in versions), f"{text}: {versions}"


@pytest.mark.parametrize("name", WANTED)
def test_every_version_has_hashes_and_nothing_else(name: str) -> None:
    entries = [line for line in lock(name).replace("\\\n", "").splitlines() if line]
    assert len(entries) == len(pins(lock(name)))
    for entry in entries:
        words = entry.split()
        hashes = [word for word in words if word.startswith("--")]
        assert hashes, entry
        assert all(re.fullmatch(r"--hash=sha256:[0-9a-f]{64}", word) for word in hashes), entry
        assert "://" not in entry


def test_a_package_has_one_version_in_all_lock_files() -> None:
    found: dict[str, set[str]] = {}
    for name in WANTED:
        for pin in pins(lock(name)):
            if pin.here:
                found.setdefault(pin.name, set()).add(pin.version)
    assert {name: versions for name, versions in found.items() if len(versions) > 1} == {}
