"""Which licences what we ship or install may have, and what each locked package and vendored file says of itself.

A dependency is installed beside the program, unaltered, so the lesser GPL is allowed for it; a vendored file becomes
part of the program, so it is not.
"""

import re
import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from importlib.metadata import PackageNotFoundError, metadata
from pathlib import Path
from types import MappingProxyType

from packaging.markers import Marker
from packaging.utils import canonicalize_name

VENDORED = frozenset({
    "0BSD", "Apache-2.0", "BSD-2-Clause", "BSD-3-Clause", "CC0-1.0", "ISC", "MIT", "OFL-1.1", "PSF-2.0", "Unlicense",
    "Zlib", "BSL-1.0",
})  # fmt: skip
# Weak copyleft, file by file: such a file may lie among ours as long as it is unaltered and the entry says where its
# source code is.
FILE_BY_FILE = frozenset({"EPL-2.0", "MPL-2.0"})
# Data that only the tests read, and no user gets: attribution is asked for besides, and given in the entry's text.
TEST_DATA = VENDORED | {"CC-BY-4.0"}
DEPENDENCY = VENDORED | {
    "LGPL-2.1-only", "LGPL-2.1-or-later", "LGPL-3.0-only", "LGPL-3.0-or-later", "MIT-CMU", "MPL-2.0",
}  # fmt: skip
EXCEPTIONS = frozenset({"LLVM-exception"})

# Old spellings in packages' metadata.
_SPELT: Mapping[str, str] = MappingProxyType({
    "mit license": "MIT",
    "mit": "MIT",
    "isc license (iscl)": "ISC",
    "bsd": "BSD-3-Clause",
    "bsd license": "BSD-3-Clause",
    "bsd 3-clause": "BSD-3-Clause",
    "apache license 2.0": "Apache-2.0",
    "apache software license": "Apache-2.0",
    "apache license, version 2.0": "Apache-2.0",
    "mozilla public license 2.0 (mpl 2.0)": "MPL-2.0",
    "python software foundation license": "PSF-2.0",
})  # fmt: skip
# Locked for other systems or optional here; read in the metadata of their wheels.
_ELSEWHERE: Mapping[str, str] = MappingProxyType({
    "colorama": "BSD-3-Clause",
    "httpx2-jsfetch": "BSD-3-Clause",
    "llvmlite": "BSD-2-Clause AND Apache-2.0 WITH LLVM-exception",
    "numba": "BSD-2-Clause",
    "typst": "Apache-2.0",
})  # fmt: skip
_PIN = re.compile(r"^(?P<name>[A-Za-z0-9._-]+)==(?P<version>[^\s;\\]+)\s*(?:;\s*(?P<marker>[^\\]+?))?\s*\\?$", re.M)
# What is usually somebody else's, wherever it lies.
_FOREIGN = (".ttf", ".otf", ".woff", ".woff2", ".min.js", ".min.css", ".wasm")
_FOREIGN_FOLDERS = frozenset({"vendor", "vendored", "third_party"})


@dataclass(frozen=True)
class Pin:
    """A locked package, and whether its marker holds on this machine."""

    name: str
    version: str
    here: bool


def pins(lock: str) -> tuple[Pin, ...]:
    """The locked packages of a lock file's text."""
    return tuple(
        Pin(
            canonicalize_name(found["name"]),
            found["version"],
            Marker(found["marker"] or "python_version>'3'").evaluate(),
        )
        for found in _PIN.finditer(lock)
    )


def licence_of(name: str) -> str:
    """The licence a package states, as an SPDX expression where it can be told; '' where it states none."""
    try:
        said = metadata(name)
    except PackageNotFoundError:
        return _ELSEWHERE.get(name, "")
    classified = [
        value.split(" :: ")[-1]
        for value in said.get_all("Classifier", [])
        if value.startswith("License :: OSI Approved")
    ]
    for stated in (*said.get_all("License-Expression", []), *classified, *said.get_all("License", [])):
        if stated and stated != "OSI Approved" and "\n" not in stated:
            return _SPELT.get(stated.lower(), stated)
    return ""


def refused(expression: str, allowed: frozenset[str]) -> tuple[str, ...]:
    """What of an SPDX expression is not allowed: all parts of an AND must be, one part of an OR is enough."""
    if not expression:
        return ("none stated",)
    return tuple(
        choice
        for part in re.split(r"\s+AND\s+", _flat(expression))
        if (choice := part.strip("() ")) and not any(_allowed(one, allowed) for one in re.split(r"\s+OR\s+", choice))
    )


def _flat(expression: str) -> str:
    """Brackets around an AND inside an OR are not read: such an expression is refused as it stands."""
    nested = re.search(r"\([^)]*\bAND\b", expression) and " OR " in expression
    return expression.replace(" AND ", " and ") if nested else expression


def _allowed(one: str, allowed: frozenset[str]) -> bool:
    licence, _, exception = one.strip("() ").partition(" WITH ")
    return licence in allowed and (not exception or exception in EXCEPTIONS)


def bad_packages(locks: Mapping[str, str]) -> tuple[str, ...]:
    """One line for each locked package whose licence is not allowed or unknown; `locks` are texts by file name."""
    return tuple(sorted({
        f"{lock}: {pin.name} has the licence {', '.join(bad)}"
        for lock, text in locks.items()
        for pin in pins(text)
        if (bad := refused(licence_of(pin.name), DEPENDENCY))
    }))  # fmt: skip


def bad_vendored(root: Path) -> tuple[str, ...]:
    """One line for each entry of THIRD_PARTY.toml that is wrong, and each foreign-looking file without an entry."""
    entries = tomllib.loads((root / "THIRD_PARTY.toml").read_text(encoding="utf-8")).get("vendored", [])
    return (*(line for entry in entries for line in _entry(root, entry)), *_unlisted(root, entries))


def _entry(root: Path, entry: Mapping[str, str]) -> Iterator[str]:
    name = entry.get("path", "?")
    missing = [key for key in ("path", "name", "version", "licence", "text", "source") if not entry.get(key)]
    if missing:
        yield f"{name}: THIRD_PARTY.toml has no {', '.join(missing)}"
    for key in ("path", "text"):
        if entry.get(key) and not (root / entry[key]).exists():
            yield f"{name}: {entry[key]} does not exist"
    allowed = TEST_DATA if name.startswith("tests/") else VENDORED
    source = entry.get("source", "")
    if "unaltered" in source and "its source is in" in source:
        allowed |= FILE_BY_FILE
    bad = refused(entry.get("licence", ""), allowed)
    if bad:
        yield f"{name}: has the licence {', '.join(bad)}"


def _unlisted(root: Path, entries: list[Mapping[str, str]]) -> Iterator[str]:
    listed = [entry.get("path", "?") for entry in entries]
    for top in ("src", "examples", "docs", "tests", "benchmarks"):
        for path in sorted((root / top).rglob("*")):
            below = path.relative_to(root).as_posix()
            foreign = below.endswith(_FOREIGN) or _FOREIGN_FOLDERS & set(path.relative_to(root).parts[:-1])
            if path.is_file() and foreign and not any(below == one or below.startswith(f"{one}/") for one in listed):
                yield f"{below}: looks like somebody else's and has no entry in THIRD_PARTY.toml"
