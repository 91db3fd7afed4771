"""A plug on paper: its face from the side one looks at, and the table of its cavities with what each should read.

asked = face_asked(vehicle, "X12@boom.3")               which part, plug, half and cavity those words mean
sheet = face_sheet(vehicle, asked.value, states)        the document to print
"""

from collections.abc import Sequence
from pathlib import Path
from types import MappingProxyType

from loombench.base.nearest import nearest
from loombench.base.outcome import Outcome
from loombench.base.problems import error
from loombench.base.quantity import print_quantity
from loombench.base.wording import Catalogue, catalogue
from loombench.circuit.lower import sound
from loombench.circuit.operate import run
from loombench.circuit.readings import PinReading, readings
from loombench.draw.cavities import cavities_of
from loombench.draw.face import FaceAsked, face_svg
from loombench.draw.facewords import caution, size_text
from loombench.draw.pinout import KEPT_OFF, PinRow, pin_rows
from loombench.paper.document import Block, Caution, Document, Heading, Paragraph, Svg, Table
from loombench.paper.files import put
from loombench.paper.html import to_html
from loombench.paper.pdf import pdf_bytes
from loombench.text.names import find_part
from loombench.vehicle.condition import Condition, Operation
from loombench.vehicle.model import Control, Part, Vehicle
from loombench.vehicle.points import Point

FACE_WIDTH_MM = 150.0
KEY = "key"
FORMS = (".svg", ".html", ".pdf")


def face_asked(vehicle: Vehicle, text: str, seen_from: str = "wires") -> Outcome[FaceAsked | None]:
    """What `X12`, `X12.3`, `X12@boom`, `X12.3@boom`, `A2.X1` or `A2.X1/14` names; a connector's first half unless one
    is said. None with the problem where there is no such part, half or cavity."""
    name, _, half = text.strip().partition("@")
    half, _, behind = half.partition(".")
    part_name, _, rest = name.partition(".")
    found = find_part(vehicle, part_name)
    part = found.value
    if part is None:
        return Outcome(None, found.problems)
    rest = rest or behind
    plug, _, cavity = rest.partition("/") if rest.partition("/")[0] in part.plugs else ("", "", rest)
    if half and half not in part.halves:
        known = ", ".join(part.halves)
        facts = {"part": part.id, "name": half[:40], "nearest": nearest(half, part.halves), "allowed": known or "none"}
        return Outcome(None, (error("face-half", part.span, **facts),))
    if not cavities_of(part, plug):
        return Outcome(None, (error("face-none", part.span, part=part.id, kind=part.kind),))
    if cavity and cavity not in cavities_of(part, plug):
        near = nearest(cavity, cavities_of(part, plug))
        allowed = ", ".join(cavities_of(part, plug)[:40])
        facts = {"part": part.id, "pin": cavity[:40], "nearest": near, "allowed": allowed}
        return Outcome(None, (error("pin-unknown", part.span, **facts),))
    own_half = half or (part.halves[0] if part.halves else "")
    return Outcome(FaceAsked(part.id, plug or _only_plug(part), own_half, cavity, seen_from))


def _only_plug(part: Part) -> str:
    """The plug of a part that has a single named one."""
    named = [plug for plug in part.plugs if plug]
    return named[0] if len(named) == 1 else ""


def key_states(vehicle: Vehicle) -> tuple[Condition, ...]:
    """At rest, and with the key in each position it stays in."""
    key = next((control for control in vehicle.controls.values() if KEY in (control.alias, control.id)), None)
    return (Condition(), *(_turned(key) if key is not None else ()))


def _turned(key: Control) -> tuple[Condition, ...]:
    names = [one.name for one in key.positions if not one.springs_back and one.name != key.rest]
    return tuple(Condition((Operation("set", key.alias or key.id, name),)) for name in names)


def face_sheet(
    vehicle: Vehicle, asked: FaceAsked, states: Sequence[Condition] = (), words: Catalogue | None = None
) -> Document:
    """The face from the side asked for, and its table with a column for each state."""
    words = words or catalogue()
    part = vehicle.parts[asked.part]
    rows = _expected(words, vehicle, part, asked, tuple(states))
    name = f"{asked.part}.{asked.plug}" if asked.plug else asked.part
    care = caution(words, name, rows)
    blocks: list[Block] = [Caution(words.say("card.caution"), (care,))] if care else []
    alt = words.say(f"face.side-{asked.seen_from}")
    blocks.append(Svg(face_svg(vehicle, asked, words.language), FACE_WIDTH_MM, alt))
    blocks.append(Heading(words.say("pin-out.title", name=name)))
    blocks.append(_table(words, rows, asked.cavity, tuple(states)))
    if states:
        blocks.append(Paragraph(words.say("pin-out.note"), "quiet"))
    shown = f"{name}@{asked.half}" if asked.half else name
    return Document(shown, " · ".join(text for text in (vehicle.name, part.label, part.place) if text), tuple(blocks))


def _expected(
    words: Catalogue, vehicle: Vehicle, part: Part, asked: FaceAsked, states: tuple[Condition, ...]
) -> tuple[PinRow, ...]:
    """The rows, with what each cavity reads to battery minus in each state: everything plugged, drawn sound."""
    netlist = sound(vehicle)
    columns: list[dict[Point, str]] = []
    for state in states:
        found = readings(netlist, run(netlist, state))
        columns.append({one.point: _volts(words, one) for one in found if one.point.part == part.id})
    points = {point: None for column in columns for point in column}
    expected = {point: tuple(column.get(point, "") for column in columns) for point in points}
    return pin_rows(vehicle, part, asked.plug, asked.half, MappingProxyType(expected))


def _volts(words: Catalogue, reading: PinReading) -> str:
    if reading.volts is None:
        return words.say("pin-out.floating")
    if reading.low is not None and reading.high is not None and reading.high - reading.low > 0.05:
        return words.say(
            "shell.within", low=print_quantity(reading.low, "V", 3), high=print_quantity(reading.high, "V", 3)
        )
    return print_quantity(reading.volts, "V", 3)


def _table(words: Catalogue, rows: tuple[PinRow, ...], cavity: str, states: tuple[Condition, ...]) -> Table:
    heads = ("cavity", "colour", "size", "to", "function", "class")
    header = (*(words.say(f"pin-out.{head}") for head in heads), *(str(state) for state in states))
    kept_off = words.say("pin-out.kept-off") if any(row.net_class in KEPT_OFF for row in rows) else ""
    cells = []
    for row in rows:
        colours = ", ".join(dict.fromkeys(str(wire.colour) for wire in row.wires))
        known = (row.cavity, colours or "–", size_text(row) if row.wires else "", row.to, ", ".join(row.functions))
        read = row.expected if row.expected and row.wires else ((kept_off if row.wires else "",) * len(states))
        cells.append((*known, row.net_class, *read))
    wanted = frozenset(at for at, row in enumerate(rows) if row.cavity == cavity)
    return Table(header, tuple(cells), strong=wanted)


def write_face(sheet: Document, path: Path) -> Outcome[Path | None]:
    """Write the sheet in the form the file's ending says: the face alone as SVG, or with its table as HTML or PDF."""
    form = path.suffix.lower()
    if form not in FORMS:
        return Outcome(None, (error("drawing-form", name=path.name[:80], allowed=", ".join(FORMS)),))
    if form == ".pdf":
        made = pdf_bytes(sheet)
        if made.value is None:
            return Outcome(None, made.problems)
        wrong = put(path, made.value)
        return Outcome(None, (wrong,)) if wrong else Outcome(path, made.problems)
    drawn = next(block.text for block in sheet.blocks if isinstance(block, Svg))
    wrong = put(path, (drawn if form == ".svg" else to_html(sheet)).encode("utf-8"))
    return Outcome(None, (wrong,)) if wrong else Outcome(path)
