"""What is drawn of a vehicle besides circuits, for a page: pin-outs with faces, the plan of places, feeds, returns."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from types import MappingProxyType

from loombench.app.desk.asking import Asked
from loombench.app.desk.circuit import read_operations
from loombench.app.desk.desk import Desk, Task
from loombench.app.desk.saying import Told, told
from loombench.app.drawing import DrawnPage
from loombench.app.facesheet import face_asked, face_sheet, key_states
from loombench.app.pinsheet import plug_address
from loombench.app.sheets import feed_pages, places_pages, return_pages
from loombench.base.outcome import Outcome
from loombench.base.wording import Catalogue
from loombench.diagnose.place import place_of_part
from loombench.draw.cavities import cavities_of
from loombench.paper.document import Caution, Document, Paragraph, Svg, Table
from loombench.vehicle.condition import Condition
from loombench.vehicle.model import Vehicle

SIDES = ("wires", "mating")
PLUGGED = ("connector", "socket", "plug", "module", "unit", "switch", "relay", "carrier")
"""Kinds that come first in the list: their plugs are those one looks for."""


@dataclass(frozen=True)
class PlugLine:
    """A plug in the list: what addresses it, its part with what is written on it, the place, how many cavities."""

    name: str
    text: str
    place: str
    ways: int


@dataclass(frozen=True)
class SheetList:
    """What there is of a vehicle; no name where there is no such vehicle."""

    vehicle: str
    name: str
    plugs: tuple[PlugLine, ...] = ()
    problems: tuple[Told, ...] = ()


@dataclass(frozen=True)
class PlugSheet:
    """A plug: the caution before everything, its face, the table with the row asked for, what the readings hold for.
    No `face` where there is no such plug."""

    vehicle: str
    name: str
    plug: str
    side: str
    about: str = ""
    caution: tuple[str, ...] = ()
    face: str = ""
    header: tuple[str, ...] = ()
    rows: tuple[tuple[str, ...], ...] = ()
    strong: frozenset[int] = frozenset()
    note: str = ""
    problems: tuple[Told, ...] = ()


@dataclass(frozen=True)
class Sheets:
    """Pages of one of `KINDS`, in the state that `steps` spell."""

    vehicle: str
    name: str
    kind: str
    pages: tuple[DrawnPage, ...] = ()
    steps: tuple[str, ...] = ()
    problems: tuple[Told, ...] = ()


Pages = Outcome[tuple[DrawnPage, ...]]
KINDS: Mapping[str, Callable[[Vehicle, Condition | None, Catalogue], Pages]] = MappingProxyType({
    "places": lambda vehicle, _, words: Outcome(places_pages(vehicle, words=words)),
    "feeds": feed_pages,
    "returns": return_pages,
})  # fmt: skip


def sheet_list(desk: Desk, asked: Asked, vehicle: str) -> SheetList:
    """The plugs of a vehicle."""
    found = desk.vehicle(vehicle)
    if found.value is None:
        return SheetList(vehicle, "", problems=told(found.problems, asked.words))
    machine = found.value.opened.vehicle
    lines = []
    for part in machine.parts.values():
        for plug in part.plugs:
            ways = len(cavities_of(part, plug))
            for half in (part.halves if part.kind == "connector" else ("",)) if ways > 1 else ():
                text = f"{part.id} {part.label}".strip()
                lines.append(PlugLine(plug_address(part.id, plug, half), text, place_of_part(machine, part.id), ways))
    order = {name: machine.parts[name].kind not in PLUGGED for name in machine.parts}
    lines.sort(key=lambda one: order[one.name.partition("@")[0].partition(".")[0]])
    return SheetList(vehicle, found.value.shelved.name, tuple(lines))


def plug(desk: Desk, asked: Asked, vehicle: str, name: str, side: str = SIDES[0]) -> PlugSheet:
    """A plug or a cavity of one, seen from one of `SIDES`."""
    found = desk.vehicle(vehicle)
    if found.value is None:
        return PlugSheet(vehicle, "", name, side, problems=told(found.problems, asked.words))
    machine = found.value.opened.vehicle
    meant = face_asked(machine, name, side if side in SIDES else SIDES[0])
    if meant.value is None:
        return PlugSheet(vehicle, found.value.shelved.name, name, side, problems=told(meant.problems, asked.words))
    document = face_sheet(machine, meant.value, key_states(machine), asked.words)
    problems = told(meant.problems, asked.words)
    return _sheet(PlugSheet(vehicle, found.value.shelved.name, name, side, problems=problems), document)


def _sheet(bare: PlugSheet, document: Document) -> PlugSheet:
    """The sheet with what its document holds."""
    caution = tuple(text for block in document.blocks if isinstance(block, Caution) for text in block.texts)
    face = next((block.text for block in document.blocks if isinstance(block, Svg)), "")
    table = next(block for block in document.blocks if isinstance(block, Table))
    note = next((block.text for block in document.blocks if isinstance(block, Paragraph)), "")
    return PlugSheet(
        bare.vehicle, bare.name, document.title, bare.side, document.subtitle, caution, face, table.header, table.rows,
        table.strong, note, bare.problems,
    )  # fmt: skip


def sheets(desk: Desk, asked: Asked, vehicle: str, kind: str, operations: tuple[str, ...] = ()) -> Sheets:
    """The pages of one of `KINDS`."""
    found = desk.vehicle(vehicle)
    if found.value is None:
        return Sheets(vehicle, "", kind, problems=told(found.problems, asked.words))
    machine = found.value.opened.vehicle
    done = read_operations(machine, operations)
    drawn = KINDS[kind](machine, done.value if operations else None, asked.words)
    steps = tuple(str(one) for one in done.value.operations)
    problems = told((*done.problems, *drawn.problems), asked.words)
    return Sheets(vehicle, found.value.shelved.name, kind, drawn.value, steps, problems)


TASKS: Mapping[str, Task] = MappingProxyType({"sheets.list": sheet_list, "sheets.plug": plug, "sheets.pages": sheets})
