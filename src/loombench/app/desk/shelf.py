"""The vehicles of a folder: each `vehicle.circuit`, and each other circuit file that no other one includes."""

from dataclasses import dataclass
from pathlib import Path

from loombench.base.outcome import Outcome
from loombench.base.problems import error

MAIN = "vehicle.circuit"
PATTERN = "*.circuit"
MOST = 2000
"""More files than this are not looked through."""


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
        found = sorted(folder.rglob(PATTERN))[:MOST]
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


def _plain(path: Path) -> str:
    text = ".".join(path.parts).casefold()
    kept = "".join(letter if letter.isascii() and (letter.isalnum() or letter in ".-_") else "-" for letter in text)
    return kept.strip(".-")


def _called(file: Path) -> str:
    """What stands in quotes on the line that begins with `vehicle`, of the first lines."""
    try:
        with file.open(encoding="utf-8", errors="replace") as lines:
            for _, line in zip(range(200), lines, strict=False):
                if line.startswith("vehicle "):
                    return line.split('"')[1].strip()[:120] if line.count('"') > 1 else ""
    except OSError:
        return ""
    return ""
