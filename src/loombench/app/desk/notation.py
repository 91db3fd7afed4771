"""The notation view: a vehicle's files to edit, what is wrong with a draft as one types, its drawing, and saving."""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from loombench.app.desk.asking import Asked
from loombench.app.desk.desk import Desk, OnDesk, Task
from loombench.app.desk.saying import Told, told
from loombench.app.drawing import function_title
from loombench.app.notation import (
    WORDS,
    Place,
    TextFile,
    files_of,
    functions_at,
    names_in,
    places_in,
    save_file,
)


@dataclass(frozen=True)
class Notation:
    """A vehicle's files; no files where there is no such vehicle. `words` are what a line can begin with."""

    vehicle: str
    name: str
    files: tuple[TextFile, ...]
    words: tuple[str, ...]
    problems: tuple[Told, ...]


@dataclass(frozen=True)
class Flaw:
    """A problem of a draft with its places in the texts."""

    told: Told
    places: tuple[Place, ...]


@dataclass(frozen=True)
class Checked:
    """What is wrong with a draft; names to complete; functions as (key, title): those of the line the cursor is on, the
    nearest first, and how many they are, then all others."""

    flaws: tuple[Flaw, ...]
    names: tuple[str, ...]
    functions: tuple[tuple[str, str], ...]
    here: int
    problems: tuple[Told, ...] = ()


@dataclass(frozen=True)
class DraftDrawn:
    """The pages of a function of a draft."""

    title: str
    pages: tuple[str, ...]
    problems: tuple[Told, ...]


@dataclass(frozen=True)
class Kept:
    """What came of saving: the fingerprint on disk; `theirs` where the file is another than was shown."""

    seen: str
    theirs: str | None
    problems: tuple[Told, ...]


def notation_files(desk: Desk, asked: Asked, vehicle: str) -> Notation:
    """The files of a vehicle as they are on disk."""
    found = desk.vehicle(vehicle)
    if found.value is None:
        return Notation(vehicle, "", (), (), told(found.problems, asked.words))
    files = tuple(
        TextFile(one.name, one.text.replace("\r\n", "\n"), one.seen)
        for one in files_of(found.value.opened, found.value.shelved.file)
    )
    return Notation(vehicle, found.value.shelved.name, files, WORDS, ())


def notation_checked(
    desk: Desk, asked: Asked, vehicle: str, drafts: Mapping[str, str], file: str, line: int
) -> Checked:
    """What is wrong with the drafts, and what the line of the cursor belongs to."""
    found = desk.vehicle(vehicle)
    if found.value is None:
        return Checked((), (), (), 0, told(found.problems, asked.words))
    texts = _texts(found.value, drafts)
    loaded, drawings = desk.drafts.read(found.value.shelved.file, texts)
    asked.go_on()
    flaws = []
    for problem, said in zip(dict.fromkeys(loaded.problems), told(loaded.problems, asked.words), strict=True):
        by_file = [places_in(texts.get(span.file, "").replace("\r\n", "\n"), (span,))[0] for span in problem.spans]
        flaws.append(Flaw(said, tuple(by_file)))
    asked.go_on()
    near = functions_at(loaded.value, drawings.functions, file, line)
    keys = {one.key for one in near}
    others = [one for one in drawings.functions if one.key not in keys]
    listed = tuple((one.key, function_title(one, asked.words)) for one in (*near, *others))
    return Checked(tuple(flaws), names_in(loaded.value), listed, len(near))


def notation_drawn(desk: Desk, asked: Asked, vehicle: str, drafts: Mapping[str, str], function: str) -> DraftDrawn:
    """One function of the drafts, at rest."""
    found = desk.vehicle(vehicle)
    if found.value is None:
        return DraftDrawn("", (), told(found.problems, asked.words))
    drawings = desk.drafts.read(found.value.shelved.file, _texts(found.value, drafts))[1]
    asked.go_on()
    chosen = next((one for one in drawings.functions if one.key == function), None)
    if chosen is None:
        return DraftDrawn("", (), ())
    pages = drawings.pages(chosen, desk.layouts, words=asked.words)
    svgs = tuple(page.svg for page in pages.value)
    return DraftDrawn(function_title(chosen, asked.words), svgs, told(pages.problems, asked.words))


def notation_saved(desk: Desk, asked: Asked, vehicle: str, file: str, text: str, seen: str) -> Kept:
    """Put one draft on disk."""
    found = desk.vehicle(vehicle)
    if found.value is None:
        return Kept("", None, told(found.problems, asked.words))
    saved = save_file(desk.place.folder, found.value.opened, found.value.shelved.file, file, text, seen)
    problems = told(saved.problems, asked.words)
    return Kept(saved.value.seen, saved.value.theirs, problems) if saved.value else Kept("", None, problems)


def _texts(here: OnDesk, drafts: Mapping[str, str]) -> Mapping[str, str]:
    """The texts of all files, drafts before what is on disk."""
    on_disk = {one.name: one.text for one in files_of(here.opened, here.shelved.file) if one.seen}
    return on_disk | dict(drafts)


TASKS: Mapping[str, Task] = MappingProxyType(
    {
        "notation.files": notation_files,
        "notation.checked": notation_checked,
        "notation.drawn": notation_drawn,
        "notation.saved": notation_saved,
    }
)
