"""Harness data in: files of any known format, the table of what they lack, and the folder of a vehicle.

Nothing is half imported: all files are read, put together and loaded before the first is written, and the folder is
renamed into its place when it is whole.
"""

import contextlib
import shutil
import tempfile
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from io import BytesIO
from pathlib import Path
from types import MappingProxyType
from typing import BinaryIO

from loombench.app.importcheck import doubts
from loombench.app.importtext import texts
from loombench.base.outcome import Outcome, errors
from loombench.base.problems import Problem, Span, error
from loombench.base.wording import Catalogue, catalogue
from loombench.exchange.answers import read_answers, write_answers, write_rows
from loombench.exchange.assembly.assemble import Assembled, assemble
from loombench.exchange.assembly.plan import DEVICE_PATTERN
from loombench.exchange.harness import Harness, Option
from loombench.exchange.joining import merged
from loombench.exchange.missing import MATING, Answer, Answers, Key, Lack
from loombench.exchange.netcount import Counts, count
from loombench.exchange.reading import read_harnesses
from loombench.exchange.report import Imported
from loombench.exchange.variants import chosen
from loombench.exchange.wirelist.layout import AUTOMATIC, Layout
from loombench.text.limits import LIMITS, Limits
from loombench.text.sources import Unread, decode

MISSING, RENAMED = "missing.csv", "renamed.csv"
_MOST_CODES_SHOWN = 40


@dataclass(frozen=True)
class Request:
    """What is imported and how.

    Attributes:
        files: paths of the data files; tables together are one wire list with its companion lists.
        codes: the options of the vehicle; None if nobody has said, an empty tuple if it has none.
        answers: path of a table of answers, empty for none; `joins` are pairs of connectors that are plugged together.
        accept: take the proposals of rows without an answer.
        device_pattern: a regular expression with the groups `device` and `plug` for connectors' names.
        colours: the system of the colour letters, where the files do not tell it.
        layout: what is known of lists of wires: units, what columns mean; `layouts` of single files goes before it.
        given: answers by the rows they are for, over those of the table.
        name: of the vehicle, empty for that in the files.
    """

    files: tuple[str, ...]
    codes: tuple[str, ...] | None = None
    answers: str = ""
    joins: tuple[tuple[str, str], ...] = ()
    accept: bool = False
    device_pattern: str = DEVICE_PATTERN
    colours: str = ""
    layout: Layout = AUTOMATIC
    layouts: Mapping[str, Layout] = field(default_factory=lambda: MappingProxyType({}))
    given: Mapping[Key, Answer] = field(default_factory=lambda: MappingProxyType({}))
    name: str = ""


@dataclass(frozen=True)
class ReadFile:
    """One file as read: its format, the rows or objects looked at, the repairs counted by code."""

    file: str
    format: str
    rows: tuple[tuple[str, int], ...]
    repairs: tuple[tuple[str, int], ...]


@dataclass(frozen=True)
class Import:
    """What came of an import, before anything is written.

    Attributes:
        counts: of the vehicle's harness, variants and matings applied; of all variants where none were chosen.
        options: those the files know.
        lacks, taken: rows of the table, and the answers taken.
        files: texts by their name below the folder; empty where it must not be written.
    """

    counts: Counts
    read: tuple[ReadFile, ...]
    options: tuple[Option, ...] = ()
    lacks: tuple[Lack, ...] = ()
    taken: Mapping[Key, Answer] = field(default_factory=lambda: MappingProxyType({}))
    files: Mapping[str, str] = field(default_factory=lambda: MappingProxyType({}))

    @property
    def open(self) -> int:
        """How many rows have no answer."""
        return sum(1 for lack in self.lacks if lack.key not in self.taken)


def make_import(request: Request, limits: Limits = LIMITS, words: Catalogue | None = None) -> Outcome[Import | None]:
    """Read the files and put a vehicle together, writing nothing. None where there is no harness to speak of."""
    read = read_request(request)
    return _made(request, read.value, limits, words or catalogue()) if read.value else Outcome(None, read.problems)


def read_request(request: Request) -> Outcome[Sequence[tuple[str, Imported]]]:
    """The files of a request by name, as read, with all their problems; nothing where one cannot be opened."""
    with contextlib.ExitStack() as stack:
        streams: list[tuple[BinaryIO, str]] = []
        for path in request.files:
            opened = open_data(Path(path))
            if isinstance(opened, Problem):
                return Outcome((), (opened,))
            streams.append((stack.enter_context(opened), path))
        read = read_harnesses(streams, request.colours, request.layout, request.layouts)
    return Outcome(read, tuple(problem for _, one in read for problem in one.problems))


def import_bytes(
    files: Mapping[str, bytes], request: Request, limits: Limits = LIMITS, words: Catalogue | None = None
) -> Outcome[Import | None]:
    """As `make_import`, of files that are in memory; `request.files` is not looked at."""
    streams = [(BytesIO(data), name) for name, data in files.items()]
    read = read_harnesses(streams, request.colours, request.layout, request.layouts)
    return _made(replace(request, files=tuple(files)), read, limits, words or catalogue())


def open_data(path: Path) -> BinaryIO | Problem:
    """A file open for reading bytes, or why it cannot be."""
    try:
        if not path.is_file():
            return error("file-missing", Span(str(path), 1), name=path)
        return path.open("rb")
    except (OSError, ValueError) as wrong:
        reason = getattr(wrong, "strerror", None) or type(wrong).__name__
        return error("file-unreadable", Span(str(path), 1), name=path, reason=reason)


def _made(
    request: Request, read: Sequence[tuple[str, Imported]], limits: Limits, words: Catalogue
) -> Outcome[Import | None]:
    problems = [problem for _, one in read for problem in one.problems]
    files = read_files(read)
    harnesses = [_named(one.harness, name) for name, one in read if one.harness is not None]
    if not harnesses or errors(problems):
        return Outcome(None, tuple(problems))
    harness = merged(harnesses)
    harness = replace(harness, name=request.name) if request.name else harness
    options = harness.options
    if request.codes is not None:
        filtered = chosen(harness, request.codes)
        problems.extend(filtered.problems)
        harness = filtered.harness or harness
    if harness.variants:
        codes = [option.code for option in options] or sorted(_conditions(harness))
        shown = ", ".join(codes[:_MOST_CODES_SHOWN]) + (" ..." if len(codes) > _MOST_CODES_SHOWN else "")
        hanging = sum(1 for wire in harness.wires if wire.options)
        problems.append(error("import-variants", count=hanging, codes=shown))
        return Outcome(Import(count(harness), files, options), tuple(problems))
    if not (harness.wires or harness.holders or harness.fitted):
        problems.append(error("import-nothing", files=", ".join(request.files)[:200]))
        return Outcome(Import(count(harness), files, options), tuple(problems))
    answers = _answers(request, problems)
    made = assemble(harness, answers, request.device_pattern)
    problems.extend(made.problems)
    problems.extend(doubts(made.value.sheet, limits))
    written = _written(made.value, request, words) if not errors(problems) else MappingProxyType({})
    value = Import(count(made.value.harness), files, options, made.value.lacks, made.value.taken, written)
    return Outcome(value, tuple(problems))


def read_files(read: Sequence[tuple[str, Imported]]) -> tuple[ReadFile, ...]:
    """What is told of each file."""
    return tuple(ReadFile(name, one.harness.format if one.harness else "", one.rows, one.repairs) for name, one in read)


def _named(harness: Harness, file: str) -> Harness:
    """A harness without a name is called like its file."""
    return harness if harness.name else replace(harness, name=Path(file).stem)


def _conditions(harness: Harness) -> set[str]:
    return {text for wire in harness.wires for text in wire.options}


def _answers(request: Request, problems: list[Problem]) -> Answers:
    """What the table of answers says, and over it the connectors that are joined by name."""
    given: dict[Key, Answer] = {}
    if request.answers:
        opened = open_data(Path(request.answers))
        if isinstance(opened, Problem):
            problems.append(opened)
        else:
            with opened:
                text = decode(opened.read(LIMITS.largest_file + 1))
            if isinstance(text, Unread):
                problems.append(error(text.code, Span(request.answers, 1), name=request.answers, **dict(text.facts)))
            else:
                found = read_answers(text, request.answers)
                problems.extend(found.problems)
                given.update(found.value)
    given.update(request.given)
    given.update({(MATING, one): Answer(other) for one, other in request.joins})
    return Answers(MappingProxyType(given), request.accept)


def _written(made: Assembled, request: Request, words: Catalogue) -> Mapping[str, str]:
    """All files of the folder."""
    names = [Path(file).name for file in request.files]
    files = dict(texts(made.sheet, names, request.codes, words))
    files[MISSING] = write_answers(made.lacks, made.taken, words)
    rows = [("what", "was", "now"), *((one.what, one.was, one.now) for one in made.sheet.renamed)]
    files[RENAMED] = write_rows(rows)
    return MappingProxyType(files)


def write_import(made: Import, folder: Path) -> tuple[Problem, ...]:
    """Write the folder, whole or not at all; one that has something in it already is refused."""
    try:
        if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
            return (error("import-folder-taken", folder=folder),)
        folder.parent.mkdir(parents=True, exist_ok=True)
        made_in = Path(tempfile.mkdtemp(prefix=f".{folder.name}.", dir=folder.parent))
    except OSError as wrong:
        return (error("write-failed", name=folder, reason=wrong.strerror or type(wrong).__name__),)
    try:
        for name, text in made.files.items():
            path = made_in / name
            path.parent.mkdir(exist_ok=True)
            path.write_text(text, encoding="utf-8", newline="\n")
        made_in.chmod(0o755)
        if folder.exists():
            folder.rmdir()
        made_in.rename(folder)
    except (OSError, ValueError) as wrong:
        shutil.rmtree(made_in, ignore_errors=True)
        reason = getattr(wrong, "strerror", None) or type(wrong).__name__
        return (error("write-failed", name=folder, reason=reason),)
    return ()
