"""A vehicle's text as somebody edits it: its files, what is wrong with a draft, what the cursor is on, and saving.

A draft is a text by its file's name, as it stands in the editor; files without a draft are as they are on disk. Names
are from the vehicle's folder on. Saving goes through the stale-file guard, and only into files the vehicle has or asks
for with `include`.
"""

from bisect import bisect_right
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import accumulate
from pathlib import Path

from loombench.app.vehicles import Opened
from loombench.base.outcome import Outcome
from loombench.base.problems import Problem, Span, error
from loombench.draw.circuit.functions import Function
from loombench.text.dispatch import STATEMENTS
from loombench.text.load import load_text
from loombench.text.save import fingerprint, save_text
from loombench.text.sources import SUFFIX, Unread, below, folder_reader, read_path
from loombench.vehicle.kinds import KINDS
from loombench.vehicle.model import Vehicle

WORDS = tuple(sorted({*STATEMENTS, *KINDS}))
"""What a line can begin with."""
MISSING = "file-missing"


@dataclass(frozen=True)
class TextFile:
    """A file of a vehicle: its text, and the fingerprint of what is on disk; both empty for one that is asked for and
    not there yet."""

    name: str
    text: str
    seen: str


@dataclass(frozen=True)
class Place:
    """Where a problem is: characters of a file from 0, the end exclusive."""

    file: str
    start: int
    end: int


def files_of(opened: Opened, main: Path) -> tuple[TextFile, ...]:
    """The files of a vehicle that was read from `main`, this one first; then those it asks for that are not there."""
    names = [_from(main.parent, name) for name in opened.vehicle.files]
    asked = [one.fact("name") for one in opened.problems if one.code == MISSING and one.spans]
    wanted = [name for name in asked if below("", name) is not None and name.endswith(SUFFIX)]
    return tuple(_read(main.parent, name) for name in dict.fromkeys((main.name, *names, *wanted)))


def _read(folder: Path, name: str) -> TextFile:
    text = folder_reader(folder)(name)
    return TextFile(name, text, fingerprint(text)) if isinstance(text, str) else TextFile(name, "", "")


def _from(folder: Path, name: str) -> str:
    """A file's name from the folder on."""
    path = Path(name)
    return path.relative_to(folder).as_posix() if path.is_relative_to(folder) else path.as_posix()


def draft_of(main: Path, drafts: Mapping[str, str]) -> Outcome[Vehicle]:
    """The vehicle that the drafts make, with what is wrong with them; places are in files by their names."""
    on_disk = folder_reader(main.parent)

    def read(name: str) -> "str | Unread | None":
        return drafts[name] if name in drafts else on_disk(name)

    text = read(main.name)
    if not isinstance(text, str):
        failure = text or Unread(MISSING)
        return Outcome(load_text("").value, (error(failure.code, Span(main.name, 1), name=main.name),))
    return load_text(text, main.name, read)


def places_in(text: str, spans: Sequence[Span]) -> tuple[Place, ...]:
    """Spans of one text as places; lines are those of the reader."""
    starts = (0, *accumulate(len(line) for line in text.splitlines(keepends=True)))
    found = []
    for span in spans:
        line = min(max(span.line, 1), max(len(starts) - 1, 1))
        start, limit = starts[line - 1], starts[line] if line < len(starts) else len(text)
        ends = min(start + max(span.end_column - 1, span.column), limit)
        begins = min(start + max(span.column, 1) - 1, limit)
        found.append(Place(span.file, begins, max(begins, ends)))
    return tuple(found)


def names_in(vehicle: Vehicle) -> tuple[str, ...]:
    """What a line can name: parts, their pins, places, looms, bodies."""
    pins = (f"{part.id}.{pin}" for part in vehicle.parts.values() if part.kind != "stud" for pin in part.pins if pin)
    return tuple(dict.fromkeys((*vehicle.parts, *pins, *vehicle.places, *vehicle.looms)))


def functions_at(vehicle: Vehicle, functions: Sequence[Function], file: str, line: int) -> tuple[Function, ...]:
    """The functions that what stands on a line takes part in, the smallest first: a lamp is nearer than its battery."""
    wires, parts = _named_at(vehicle, file, line)
    found = [one for one in functions if wires & one.wires or parts & set(one.parts)]
    return tuple(sorted(found, key=lambda one: (len(one.parts), one.key)))


def _named_at(vehicle: Vehicle, file: str, line: int) -> tuple[frozenset[str], frozenset[str]]:
    """The wires and the parts of the line; of a line without any (a part's further rows) those of the nearest above."""
    wires = [(name, span.line) for name, span in _wires(vehicle) if span.file == file]
    parts = [(name, span.line) for name, span in _parts(vehicle) if span.file == file]
    marks = sorted({at for _, at in (*wires, *parts)})
    place = bisect_right(marks, line)
    nearest = marks[place - 1] if place else 0
    named = (frozenset(name for name, at in some if at == nearest) for some in (wires, parts))
    return next(named), next(named)


def _wires(vehicle: Vehicle) -> Iterator[tuple[str, Span]]:
    return ((one.id, one.span) for one in vehicle.wires if one.span is not None)


def _parts(vehicle: Vehicle) -> Iterator[tuple[str, Span]]:
    for part in vehicle.parts.values():
        if part.span is not None:
            yield part.id, part.span
        yield from ((part.id, inner.span) for inner in part.elements if inner.span is not None)


@dataclass(frozen=True)
class Saved:
    """What came of saving: `seen` is the fingerprint of what is on disk now, `theirs` its text where that is another
    than was shown; then nothing was written."""

    seen: str
    theirs: str | None = None


def save_file(root: Path, opened: Opened, main: Path, name: str, text: str, seen: str) -> Outcome[Saved | None]:
    """Put a draft on disk where its file is as it was shown. None where it is no file of the vehicle, or none below the
    bench's folder `root`."""
    known = {one.name for one in files_of(opened, main)}
    path = main.parent / name
    if name not in known or not _inside(root, path):
        return Outcome(None, (error("notation-no-file", name=name[:80], known=", ".join(sorted(known))[:300]),))
    before = read_path(path)
    old = before if isinstance(before, str) else ""
    wanted = text.replace("\n", "\r\n") if _ends_in_pairs(old) else text
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
    except OSError as wrong:
        return Outcome(None, (error("write-failed", name=name, reason=wrong.strerror or type(wrong).__name__),))
    problems = save_text(path, wanted, seen)
    if any(one.code == "file-changed" for one in problems):
        return Outcome(
            Saved(fingerprint(old) if isinstance(before, str) else "", _plain_ends(old)), _named(problems, name)
        )
    return Outcome(None, _named(problems, name)) if problems else Outcome(Saved(fingerprint(wanted)))


def _named(problems: Sequence[Problem], name: str) -> tuple[Problem, ...]:
    """The same with the file's name as the vehicle has it, not where it lies on this machine."""
    return tuple(error(one.code, **{**dict(one.facts), "name": name}) for one in problems)


def _inside(root: Path, path: Path) -> bool:
    try:
        return path.resolve().is_relative_to(root.resolve())
    except (OSError, RuntimeError, ValueError):
        return False


def _ends_in_pairs(text: str) -> bool:
    return "\r\n" in text and text.count("\r\n") * 2 > text.count("\n")


def _plain_ends(text: str) -> str:
    return text.replace("\r\n", "\n")
