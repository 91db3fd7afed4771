"""A vehicle put together from harness data, as the files of a folder: head and parts in one, each loom in its own."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from types import MappingProxyType

from loombench.base.wording import Catalogue, catalogue
from loombench.exchange.assembly.conductors import plain_text
from loombench.exchange.assembly.sheet import PartText, Sheet
from loombench.text.colour import system_code
from loombench.text.numbers import plain_number
from loombench.text.sources import SUFFIX
from loombench.text.write import write_wire
from loombench.text.write_parts import quoted

MAIN = f"vehicle{SUFFIX}"
LOOMS = "looms"
_METAL = ("body", "stud", "battery", "alternator")
_JOINTS = ("connector", "splice", "cable")
_BOXED = ("fuse", "carrier")
_KINDS: tuple[tuple[str, Callable[[str], bool]], ...] = (
    ("metal", lambda kind: kind in _METAL),
    ("boxes", lambda kind: kind in _BOXED),
    ("joints", lambda kind: kind in _JOINTS),
    ("devices", lambda kind: kind not in (*_METAL, *_BOXED, *_JOINTS)),
)
_LONGEST_FILE_NAME = 60


def texts(
    sheet: Sheet, made_from: Sequence[str], codes: Sequence[str] | None, words: Catalogue | None = None
) -> Mapping[str, str]:
    """The text of each file by its name below the folder; the first is the vehicle's own."""
    words = words or catalogue()
    names = loom_files(sheet)
    main = [*head(sheet, made_from, codes, words), *part_lines(sheet, words)]
    wires: dict[str, list[str]] = {}
    for wire in sheet.wires:
        wires.setdefault(wire.loom, []).append(write_wire(wire, sheet.colours))
    loose = wires.get("", [])
    if loose:
        main += ["", f"# {words.say('import.text.loose')}", "loom ?", *loose]
    if names:
        main += ["", f"# {words.say('import.text.looms')}", *(f'include "{name}"' for name in names.values())]
    files = {MAIN: "\n".join(main) + "\n"}
    for loom, name in names.items():
        lines = ["loombench 1", f"colours {system_code(sheet.colours)}", "", f"loom {loom}", *wires.get(loom, [])]
        files[name] = "\n".join(lines) + "\n"
    return MappingProxyType(files)


def part_lines(sheet: Sheet, words: Catalogue) -> Iterator[str]:
    """The lines of all parts, with a heading before each group."""
    for key, fits in _KINDS:
        parts = [part for part in sheet.parts if fits(part.kind)]
        if parts:
            yield ""
            yield f"# {words.say(f'import.text.{key}')}"
        for part in parts:
            yield from part_text(part)


def loom_files(sheet: Sheet) -> Mapping[str, str]:
    """The file of each loom: its name, in letters that every system takes for a file."""
    found: dict[str, str] = {}
    taken: set[str] = set()
    for loom in (name for name in sheet.looms if name):
        stem = "".join(mark if mark.isascii() and (mark.isalnum() or mark in "-_") else "-" for mark in loom)
        stem = stem[:_LONGEST_FILE_NAME].strip("-") or "loom"
        name, number = stem, 2
        while name.casefold() in taken:
            name, number = f"{stem}-{number}", number + 1
        taken.add(name.casefold())
        found[loom] = f"{LOOMS}/{name}{SUFFIX}"
    return found


def head(sheet: Sheet, made_from: Sequence[str], codes: Sequence[str] | None, words: Catalogue) -> Iterator[str]:
    """The lines before the parts: name, volts, colours, what the file was made from, places."""
    yield "loombench 1"
    yield f"vehicle {quoted(plain_text(sheet.name) or 'vehicle')} {plain_number(sheet.voltage_v)}V"
    yield f"colours {system_code(sheet.colours)}"
    yield ""
    files = plain_text(", ".join(made_from), 200)
    none = words.say("import.text.no-options")
    chosen = "" if codes is None else words.say("import.text.options", codes=plain_text(", ".join(codes), 200) or none)
    yield f"# {words.say('import.text.made-from', files=files, options=chosen)}"
    yield f"# {words.say('import.text.generic')}"
    yield f"# {words.say('import.text.tables')}"
    if sheet.places:
        yield ""
        yield f"# {words.say('import.text.places')}"
    for place in sheet.places:
        yield f"place {place.id}" + (f" {quoted(place.note)}" if place.note else "")


def part_text(part: PartText) -> Iterator[str]:
    """A part's line and those indented below it."""
    label = plain_text(part.label)
    words = [part.kind, part.id, part.words, f"at {part.place}" if part.place else "", quoted(label) if label else ""]
    yield " ".join(word for word in words if word)
    yield from (f"  {row}" for row in part.rows)
