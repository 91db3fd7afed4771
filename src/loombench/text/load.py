"""Loading a vehicle: from a file, a folder or a text to a resolved `Vehicle`, with all that was wrong on the way."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from types import MappingProxyType

from loombench.base.outcome import Outcome
from loombench.base.problems import Problem, Span, error
from loombench.text.dispatch import read_statement
from loombench.text.draft import Draft
from loombench.text.finish import EMPTY, finish, tidy
from loombench.text.limits import LIMITS, Limits
from loombench.text.options import chosen_by_changes, conditional
from loombench.text.prefix import prefixed
from loombench.text.rows import gather
from loombench.text.sources import ReadInclude, Unread, below, find_main, folder_reader, read_path
from loombench.text.syntax import Statement, read_statements
from loombench.text.tokens import STRING
from loombench.vehicle.model import Mating, Vehicle

VERSION = "1"


@dataclass(frozen=True)
class Loaded:
    """A vehicle with its problems, and the text of every file by the name its problems use."""

    outcome: Outcome[Vehicle]
    sources: Mapping[str, str]


@dataclass
class _Files:
    """The files of one load: how to read them, what was read, and which are open now."""

    read_include: ReadInclude | None
    folder: str
    limits: Limits
    options: tuple[str, ...]
    sources: dict[str, str] = field(default_factory=dict)
    open_now: list[str] = field(default_factory=list)
    statements: int = 0
    wires: int = 0

    def shown(self, name: str) -> str:
        """A file's name as problems show it."""
        return f"{self.folder}/{name}" if self.folder else name


def load_text(
    text: str,
    file: str = "vehicle.circuit",
    read_include: ReadInclude | None = None,
    options: Sequence[str] = (),
    limits: Limits = LIMITS,
) -> Outcome[Vehicle]:
    """The vehicle a text describes. Never raises for what is in the text.

    `read_include` gives the text of an included file or of a trailer by its name from the vehicle's folder; without it
    there are none. Lines after `if OPTION` count if the option is among `options`.
    """
    return _load(text, file, read_include, tuple(options), limits).outcome


def load_file(path: Path | str, options: Sequence[str] = (), limits: Limits = LIMITS) -> Outcome[Vehicle]:
    """The vehicle of a `.circuit` file, or of a folder with one. Never raises for the path or what is in the file."""
    return load_sources(path, options, limits).outcome


def load_sources(path: Path | str, options: Sequence[str] = (), limits: Limits = LIMITS) -> Loaded:
    """`load_file`, with the texts of all files that were read."""
    main = find_main(Path(path))
    text = main if isinstance(main, Unread) else read_path(main, limits)
    name = str(path) if isinstance(main, Unread) else str(main)
    if not isinstance(text, str):
        failure = text or Unread("file-missing")
        where = Span(name, int(dict(failure.facts).get("line", "1")))
        said = error(failure.code, where, name=name, **dict(failure.facts))
        return Loaded(Outcome(EMPTY, (said,)), MappingProxyType({}))
    folder = main.parent if isinstance(main, Path) else Path()
    return _load(text, name, folder_reader(folder, limits), tuple(options), limits)


def _load(text: str, file: str, read_include: ReadInclude | None, options: tuple[str, ...], limits: Limits) -> Loaded:
    folder, _, name = file.replace("\\", "/").rpartition("/")
    files = _Files(read_include, folder, limits, options)
    draft = Draft(limits=limits, chosen=options)
    files.sources[file] = text
    files.open_now.append(name)
    _read_text(draft, files, text, file, name)
    vehicle, problems = _finished(draft, files, file)
    return Loaded(Outcome(vehicle, tidy(problems, tuple(files.sources), limits)), MappingProxyType(dict(files.sources)))


def _finished(draft: Draft, files: _Files, file: str) -> tuple[Vehicle, list[Problem]]:
    for name in files.options:
        if name not in draft.offers:
            near = draft.near(name, draft.offers)
            draft.wrong("option-unknown", Span(file, 1), name=name[:40], nearest=near)
    others = tuple(found for trailer in draft.trailers if (found := _trailer(draft, files, trailer.file, trailer.span)))
    unread = any(item.code in ("version-unknown", "file-empty", "too-many-lines") for item in draft.problems)
    if draft.head is None and not unread:
        draft.doubtful("vehicle-line-missing", Span(file, 1))
    for trailer in draft.trailers:
        stem = _stem(trailer.file)
        draft.matings.append(Mating(trailer.socket, f"{stem}::{trailer.plug}", stem, trailer.span))
    vehicle = finish(draft, others, tuple(files.sources), _stem(file))
    return vehicle, draft.problems


def _read_text(draft: Draft, files: _Files, text: str, file: str, name: str) -> None:
    files.wires += text.count("(")
    if files.wires > files.limits.most_wires:
        draft.wrong("too-many-lines", Span(file, 1), limit=files.limits.most_wires)
        return
    outcome = read_statements(text.removeprefix("\ufeff"), file, files.limits)
    draft.problems.extend(outcome.problems)
    statements = outcome.value
    if not statements:
        if not outcome.problems:
            draft.wrong("file-empty", Span(file, 1), name=file)
        return
    first = statements[0].line
    if first.keyword != "loombench":
        draft.wrong("first-line-missing", first.span(first.tokens[0]), word=first.keyword[:40])
    else:
        said = first.tokens[1].text if len(first.tokens) > 1 else "none"
        if said != VERSION or len(first.tokens) > 2:
            draft.wrong("version-unknown", first.span(), version=said[:20], known=VERSION)
            return
        statements = statements[1:]
    files.statements += sum(1 + len(statement.block) for statement in statements)
    if files.statements > files.limits.most_statements:
        draft.wrong("too-many-lines", first.span(), limit=files.limits.most_statements)
        return
    draft.chosen = (*draft.chosen, *chosen_by_changes(statements))
    for statement in gather(draft, statements):
        if draft.hopeless:
            return
        kept = conditional(draft, statement)
        if kept is None:
            continue
        if kept.line.keyword == "include":
            _include(draft, files, kept, name)
        else:
            read_statement(draft, kept)


def _include(draft: Draft, files: _Files, statement: Statement, including: str) -> None:
    line = statement.line
    if len(line.tokens) != 2 or line.tokens[1].kind != STRING:
        draft.missing(line, "include", 'include "roof.circuit"')
        return
    text, name = _fetch(draft, files, line.tokens[1].text, including, line.span(line.tokens[1]))
    if text is None:
        return
    loom, system = draft.loom, draft.system
    draft.loom = ""
    files.open_now.append(name)
    _read_text(draft, files, text, files.shown(name), name)
    files.open_now.pop()
    draft.loom, draft.system = loom, system


def _fetch(draft: Draft, files: _Files, wanted: str, including: str, span: Span) -> tuple[str | None, str]:
    """The text of a further file and its name from the vehicle's folder; what keeps it from being read is said."""
    name = below(including.rpartition("/")[0], wanted)
    if name is None:
        draft.wrong("include-outside", span, name=wanted[:80])
        return None, ""
    if name in files.open_now:
        draft.wrong("include-cycle", span, name=name, way=" > ".join([*files.open_now, name])[:200])
        return None, ""
    if files.shown(name) in files.sources:
        draft.wrong("include-twice", span, name=name)
        return None, ""
    if len(files.open_now) > files.limits.include_depth or len(files.sources) >= files.limits.most_files:
        limit = f"{files.limits.include_depth} deep, {files.limits.most_files} files"
        draft.wrong("too-many-files", span, limit=limit)
        return None, ""
    text = files.read_include(name) if files.read_include else None
    if not isinstance(text, str):
        failure = text or Unread("file-missing")
        facts = {"name": name, **dict(failure.facts)}
        draft.wrong(failure.code, span, **facts)
        return None, ""
    files.sources[files.shown(name)] = text
    return text, name


def _trailer(draft: Draft, files: _Files, wanted: str, span: Span) -> Vehicle | None:
    """The second vehicle of a file, its names prefixed; its problems join ours."""
    text, name = _fetch(draft, files, wanted, "", span)
    if text is None:
        return None
    file = files.shown(name)
    own = Draft(limits=files.limits, chosen=files.options)
    files.open_now.append(name)
    _read_text(own, files, text, file, name)
    files.open_now.pop()
    for inner in own.trailers:
        own.wrong("trailer-nested", inner.span, span, name=name)
    vehicle = finish(own, (), (file,), _stem(file))
    draft.problems.extend(own.problems)
    if vehicle.nominal_v != draft.nominal_v:
        draft.wrong("trailer-voltage", span, own.head, one=f"{draft.nominal_v:g} V", two=f"{vehicle.nominal_v:g} V")
    return prefixed(vehicle, _stem(name))


def _stem(file: str) -> str:
    name = file.replace("\\", "/").rpartition("/")[2]
    return name.rpartition(".")[0] or name
