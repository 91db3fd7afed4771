"""The vehicles of a folder: each `vehicle.circuit`, and each other circuit file that no other one includes.

Nothing outside the folder is on the shelf, whatever a link in it leads to, and nothing that is no plain file; folders
whose name begins with a dot are left out.
"""

import os
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import islice
from pathlib import Path

from loombench.base.outcome import Outcome
from loombench.base.problems import error

MAIN = "vehicle.circuit"
SUFFIX = ".circuit"
MOST = 2000
"""More files than this are not looked through."""
MOST_FOLDERS = 5000
HEAD_BYTES = 64 * 1024
"""The name of a vehicle stands in so much of its file."""


@dataclass(frozen=True)
class Shelved:
    """A vehicle that can be opened: `id` is what addresses it, `name` what its first line calls it."""

    id: str
    name: str
    file: Path


def shelf(folder: Path) -> Outcome[tuple[Shelved, ...]]:
    """The vehicles below a folder, by name. A folder that holds a main file is one vehicle, whatever else lies in it.

    An address is made of letters, digits, dots and hyphens; two that would be alike get a number.
    """
    try:
        next(folder.iterdir(), None)
        found = sorted(islice(_files(folder), MOST))
    except OSError as wrong:
        reason = wrong.strerror or type(wrong).__name__
        return Outcome((), (error("desk-folder", folder=folder, reason=reason),))
    whole = {one.parent for one in found if one.name == MAIN}
    chosen = [one for one in found if one.name == MAIN or not any(up in whole for up in one.parents)]
    taken: dict[str, Shelved] = {}
    for file in chosen:
        base = _plain(
            file.relative_to(folder).parent if file.name == MAIN else file.relative_to(folder).with_suffix("")
        )
        base = base or _plain(Path(folder.name)) or "vehicle"
        name, count = base, 1
        while name in taken:
            count += 1
            name = f"{base}-{count}"
        taken[name] = Shelved(name, _called(file) or base, file)
    return Outcome(tuple(sorted(taken.values(), key=lambda one: (one.name.casefold(), one.id))))


def _files(folder: Path) -> Iterator[Path]:
    """The circuit files below a folder; links to folders are not followed, so that none leads in a ring."""
    inside = folder.resolve()
    for here, folders, files in islice(os.walk(folder), MOST_FOLDERS):
        folders[:] = sorted(one for one in folders if not one.startswith("."))
        for name in sorted(files):
            file = Path(here, name)
            if name.endswith(SUFFIX) and file.is_file() and file.resolve().is_relative_to(inside):
                yield file


def _plain(path: Path) -> str:
    text = ".".join(path.parts).casefold()
    kept = "".join(letter if letter.isascii() and (letter.isalnum() or letter in ".-_") else "-" for letter in text)
    return kept.strip(".-")


def _called(file: Path) -> str:
    """What stands in quotes on the line that begins with `vehicle`, near the beginning."""
    try:
        with file.open("rb") as read:
            head = read.read(HEAD_BYTES).decode("utf-8", "replace")
    except OSError:
        return ""
    line = next((one for one in head.splitlines() if one.startswith("vehicle ")), "")
    return line.split('"')[1].strip()[:120] if line.count('"') > 1 else ""
