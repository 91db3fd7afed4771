"""Reading `docs/kinds/<kind>.md` and holding each page, and the kind itself, to what the program does.

A page has the headings of `HEADINGS` in that order. Its one block `circuit` is a whole file with a part of the kind in
it: the page's part. A block `faults` holds the faults of the catalogue that are the part's own, one a line; of a part
that has none but its contacts', those. A block `readings PART CONDITION` holds the rows of the table of pins.

In the text a figure is cited by its row: `contact:switch` 0.01 ohm (estimate); a table that is no list of figures by
its name: `relay.csv` (printed).
"""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from loombench.app.readingtable import pin_line, pin_table
from loombench.base.quantity import NotAQuantity
from loombench.circuit.catalogue import CONTACT, single_faults
from loombench.circuit.fault import Fault
from loombench.circuit.lower import LoweringOf
from loombench.circuit.lowering.laws import HOUSINGS, INNER_LAWS
from loombench.circuit.netlist import Element, Netlist
from loombench.circuit.spice import write_spice
from loombench.diagnose.suspect import part_of
from loombench.draw.symbol import SYMBOLS, symbol_of
from loombench.facts.table import load_table
from loombench.facts.typical import typical
from loombench.text.fill import assumed
from loombench.text.load import load_text
from loombench.text.names import read_condition
from loombench.text.numbers import read_number
from loombench.vehicle.kinds import KindSpec
from loombench.vehicle.model import Part, Vehicle
from loombench.vehicle.points import Point
from tests.guard.pages import Block, blocks

HEADINGS = ("Written", "Pins", "Symbol", "Numbers", "Law", "Faults", "Reading")
BARE_HOUSINGS = frozenset({"carrier", "connector", "splice", "body", "stud", "cable", "socket", "plug"})
"""Kinds without an inner element, control or module: all they are is their contacts and metal."""
_SECTION = re.compile(r"^## (.+)$", re.M)
_FIGURE = re.compile(
    r"`(?P<table>\w+):(?P<name>[\w.-]+)`(?: (?P<value>[\d.e+-]+) (?P<unit>[^(`]+?) \((?P<mark>[^)]*)\))?"
)
_TABLE = re.compile(r"`(?P<table>\w+)\.csv`(?: \((?P<mark>[^)]*)\))?")
_ROW = re.compile(r"^\| `(?P<example>[^`]+)` \| (?P<what>[^|]+) \| (?P<missing>[^|]+) \|$", re.M)


@dataclass(frozen=True)
class KindPage:
    """A page: its title, its sections by heading in order, its fenced blocks."""

    title: str
    sections: Mapping[str, str]
    fenced: tuple[Block, ...]

    def of(self, info: str) -> tuple[Block, ...]:
        """The blocks whose first word after the fence is `info`."""
        return tuple(block for block in self.fenced if block.info[:1] == (info,))


def read_kind_page(text: str) -> KindPage:
    """The page of a text; whatever it lacks is for `page_complaints` to say."""
    title, *rest = _SECTION.split(text)
    return KindPage(title.partition("\n")[0], dict(zip(rest[::2], rest[1::2], strict=True)), blocks(text))


@dataclass(frozen=True)
class Shown:
    """The circuit of a page, lowered, with the page's part."""

    vehicle: Vehicle
    part: Part
    lowering: LoweringOf

    @property
    def netlist(self) -> Netlist:
        """The sound netlist."""
        return self.lowering.netlist

    def elements(self) -> tuple[tuple[int, Element], ...]:
        """The elements that answer to the part, its contacts, inner elements and controls, with their numbers."""
        own = re.compile(rf"(?:contact )?{re.escape(self.part.id)}(?![\w+-]).*")
        ids = {name for owner, names in self.netlist.element_of.items() if own.fullmatch(owner) for name in names}
        return tuple((k, one) for k, one in enumerate(self.netlist.elements) if one.id in ids)

    def faults(self) -> tuple[Fault, ...]:
        """The catalogue's faults of the part itself; where it has none, those of its contacts."""
        every = [fault for fault in single_faults(self.vehicle) if part_of(self.vehicle, fault) is self.part]
        own = [fault for fault in every if fault.mode != "short" and not fault.target.startswith(CONTACT)]
        return tuple(own or (fault for fault in every if fault.mode != "short"))


def shown(kind: str, text: str) -> Shown | str:
    """The circuit of a text with its first part of the kind; what is wrong, where it cannot be had."""
    loaded = load_text(text, f"{kind}.circuit")
    if not loaded.usable:
        return f"{kind}: the circuit does not load: {', '.join(problem.code for problem in loaded.problems)}"
    part = next((part for part in loaded.value.parts.values() if part.kind == kind), None)
    return (
        f"{kind}: its circuit has no part of it"
        if part is None
        else Shown(loaded.value, part, LoweringOf(loaded.value))
    )


def kind_complaints(spec: KindSpec, text: str) -> tuple[str, ...]:
    """What a kind lacks in a circuit that has one: notation, law, faults, a form for the circuit simulator."""
    of = shown(spec.kind, text)
    if isinstance(of, str):
        return (of,)
    return (*_law(of), *_faults(of), *_spice(of), *_symbol(of))


def _law(of: Shown) -> Iterator[str]:
    part = of.part
    if part.kind not in HOUSINGS:
        yield f"{part.kind}: no housing in HOUSINGS"
    for inner in part.elements:
        if inner.kind not in INNER_LAWS:
            yield f"{part.kind}: no law of its element {inner.kind}"
    if not of.elements():
        yield f"{part.kind}: nothing of it is lowered"
    bare = not (part.elements or part.controls or part.module)
    if bare != (part.kind in BARE_HOUSINGS):
        yield f"{part.kind}: {'only a housing, and not listed as one' if bare else 'listed as only a housing'}"


def _faults(of: Shown) -> Iterator[str]:
    if not of.faults():
        yield f"{of.part.kind}: the catalogue has no fault of it"
    for fault in of.faults():
        outcome = of.lowering(of.vehicle, (fault,))
        if outcome.problems or outcome.value == of.netlist:
            yield f"{of.part.kind}: {fault} cannot be put in"


def _spice(of: Shown) -> Iterator[str]:
    """Each element has a line of its own number in a state in which it conducts."""
    for k, element in of.elements():
        closed = {gate.variable: gate.closed_in[0] for gate in element.gates if gate.closed_in}
        sheet = write_spice(of.netlist, closed)
        if element.a != element.b and not re.search(rf"^(?:R|VE|D|B){k} ", sheet, re.M):
            yield f"{of.part.kind}: {element.id} has no line for the circuit simulator"


def _symbol(of: Shown) -> Iterator[str]:
    """It is drawn, and each of its pins can be met by a wire."""
    part = of.part
    if part.kind not in SYMBOLS:
        yield f"{part.kind}: no symbol"
        return
    drawn = {pin.name for pin in symbol_of(part).pins}
    halves = part.halves or ("",)
    for pin in part.pins or ("",):
        for half in halves:
            name = str(Point(part.id, pin, half, ring=part.kind == "stud"))
            if name not in drawn:
                yield f"{part.kind}: its symbol has no pin {name}"


def page_complaints(spec: KindSpec, text: str) -> tuple[str, ...]:
    """What is wrong with the page of a kind, the kind's own completeness included."""
    page = read_kind_page(text)
    circuits = page.of("circuit")
    if page.title != f"# {spec.kind}" or tuple(page.sections) != HEADINGS:
        return (f"{spec.kind}: title and headings are to be # {spec.kind}, {', '.join(HEADINGS)}",)
    if len(circuits) != 1:
        return (f"{spec.kind}: {len(circuits)} circuits instead of one",)
    of = shown(spec.kind, circuits[0].text)
    if isinstance(of, str):
        return (of,)
    said = (
        *_pins(of.part, page),
        *_picture(spec, page),
        *_numbers(spec, page),
        *cited(page.sections["Law"]),
        *_shown_faults(of, page),
    )
    return tuple(f"{spec.kind}: {one}" for one in (*said, *_readings(of, page))) + kind_complaints(
        spec, circuits[0].text
    )


def _pins(part: Part, page: KindPage) -> Iterator[str]:
    for pin in part.pins:
        if f"`{pin}`" not in page.sections["Pins"]:
            yield f"its pin `{pin}` is not named"


def _picture(spec: KindSpec, page: KindPage) -> Iterator[str]:
    text = page.sections["Symbol"]
    if f"![{spec.kind}](symbols/{spec.kind}.svg)" not in text:
        yield "its symbol is not shown"
    if not re.sub(r"!\[.*\]\(.*\)", "", text).strip():
        yield "its symbol is not told in words"


def _numbers(spec: KindSpec, page: KindPage) -> Iterator[str]:
    found: set[str] = set()
    for row in _ROW.finditer(page.sections["Numbers"]):
        number = read_number(row["example"])
        if isinstance(number, NotAQuantity) or number.unit not in spec.numbers:
            yield f"{row['example']} is no number of it"
            continue
        found.add(number.unit)
        usual = assumed_text(spec.kind, spec.numbers[number.unit])
        if usual and usual not in row["missing"]:
            yield f"{row['example']}: where it is missing {usual!r} is taken, and the page says {row['missing']!r}"
    for unit in spec.numbers:
        if unit not in found:
            yield f"the number in {unit} is not told"
    if not spec.numbers and not page.sections["Numbers"].strip():
        yield "that it has no numbers is not told"


def assumed_text(kind: str, name: str) -> str:
    """`10 A (5 to 30), estimate`: what is taken for a number of a kind; nothing where no range is assumed."""
    band = assumed(f"{kind}.{name}")
    if band is None:
        return ""
    row = typical("assumed", f"{kind}.{name}")
    unit = "" if row.unit in ("1", "/min") else f" {row.unit}"
    return f"{row.value:g}{unit} ({row.low:g} to {row.high:g}), {row.provenance.kind.value}"


def cited(text: str) -> Iterator[str]:
    """What is wrong with the figures a text cites; one without any is wrong too."""
    joined = " ".join(text.split())
    figures, tables = tuple(_FIGURE.finditer(joined)), tuple(_TABLE.finditer(joined))
    if not (figures or tables):
        yield "no figure or table is cited"
    for found in figures:
        try:
            row = typical(found["table"], found["name"])
        except KeyError:
            yield f"{found[0]}: no such row"
            continue
        wanted = f"{row.value:g} {row.unit} ({row.provenance.kind.value})"
        if found["value"] is None or f"{float(found['value']):g} {found['unit']} ({found['mark']})" != wanted:
            yield f"{found[0]}: the table has {wanted}"
    for found in tables:
        marks = {row.provenance.kind.value for row in load_table(found["table"])}
        if found["mark"] is None or found["mark"] not in marks:
            yield f"{found[0]}: marked {found['mark']}, and its rows are {', '.join(sorted(marks))}"


def _shown_faults(of: Shown, page: KindPage) -> Iterator[str]:
    wanted = [str(fault) for fault in of.faults()]
    lines = [line for block in page.of("faults") for line in block.text.splitlines()]
    if lines != wanted:
        yield "its faults are\n" + "\n".join(wanted)


def _readings(of: Shown, page: KindPage) -> Iterator[str]:
    if not page.of("readings"):
        yield "no reading is shown"
    for block in page.of("readings"):
        wanted = reading_rows(of.vehicle, block.info)
        if isinstance(wanted, str) or block.text.splitlines() != wanted:
            yield "the readings are\n" + (wanted if isinstance(wanted, str) else "\n".join(wanted))


def reading_rows(vehicle: Vehicle, info: tuple[str, ...]) -> list[str] | str:
    """The rows of the table of pins that `readings PART CONDITION` asks for; what is wrong with the asking."""
    condition = read_condition(vehicle, " ".join(info[2:]))
    if condition.problems or not info[1:]:
        return f"{' '.join(info)} is not understood"
    table = pin_table(vehicle, condition.value, ())
    rows = [pin_line(row) for row in table.value.rows if row.part == info[1]]
    return rows or f"{info[1]} has no rows"
