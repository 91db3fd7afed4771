"""What there is to know of one pin where a vehicle stands in some state: purpose, wires, readings, place, face."""

from dataclasses import dataclass

from loombench.app.circuits import Circuits
from loombench.app.drawnstate import volts_text, wire_name
from loombench.base.quantity import print_quantity
from loombench.base.wording import Catalogue
from loombench.circuit.operate import Situation
from loombench.circuit.readings import PinReading, readings
from loombench.diagnose.place import place_of_point
from loombench.diagnose.safety import touchable
from loombench.draw.cavities import cavities_of
from loombench.draw.face import FaceAsked, face_svg
from loombench.draw.pinout import pin_rows
from loombench.vehicle.model import Vehicle, Wire
from loombench.vehicle.points import Point

SWING_V = 0.05
"""A rhythm between ends nearer to each other than this is shown as one voltage."""
LEAST_A = 1e-3
SECONDS_A_MINUTE = 60.0


@dataclass(frozen=True)
class WireEnd:
    """A wire at a pin: its colour as in the file, size, printed number, loom, the point at its other end."""

    colour: str
    size: str
    number: str
    loom: str
    to: str


@dataclass(frozen=True)
class PinSheet:
    """`kept_off` says that nobody may measure here: then `volts` and `current` are empty. `swing` are the ends of a
    rhythm. `serves` is what the pin is for, `face` an SVG or empty, `sheet` what addresses the plug's pin-out."""

    name: str
    part: str
    serves: tuple[str, ...]
    net_class: str
    kept_off: bool
    volts: str
    swing: str
    current: str
    wires: tuple[WireEnd, ...]
    place: str
    note: str
    reach_min: float | None
    face: str
    sheet: str


def pin_sheet(circuits: Circuits, situation: Situation, point: Point, words: Catalogue) -> PinSheet:
    """All of a pin that the vehicle has."""
    vehicle = circuits.vehicle
    part = vehicle.parts[point.part]
    kept_off = not touchable(vehicle, circuits.nets, point)
    read = next(iter(readings(situation.ready.p.netlist, situation.settled, (point,))), None)
    place = place_of_point(vehicle, point)
    known = vehicle.places.get(place)
    plug, cavity = _cavity(point)
    has_face = cavity in cavities_of(part, plug)
    row = next((one for one in pin_rows(vehicle, part, plug, point.half) if one.cavity == cavity), None)
    face = face_svg(vehicle, FaceAsked(part.id, plug, point.half, cavity), words.language) if has_face else ""
    return PinSheet(
        wire_name(point),
        f"{part.id} {part.label}".strip(),
        row.functions if row is not None else (),
        circuits.nets.strictest(point),
        kept_off,
        volts_text(read.volts) if read is not None and not kept_off else "",
        _swing(read) if read is not None and not kept_off else "",
        _current(read) if read is not None and not kept_off else "",
        tuple(_end(wire, point) for wire in vehicle.wires_at.get(point, ())),
        place,
        known.note if known is not None else "",
        known.reach_s / SECONDS_A_MINUTE if known is not None else None,
        face,
        plug_address(part.id, plug, point.half) if has_face else "",
    )


def plug_address(part: str, plug: str = "", half: str = "") -> str:
    """What names a plug or a half where one asks for its face: `X12@boom`, `A2.X1`, `E7`."""
    return f"{part}.{plug}" if plug else f"{part}@{half}" if half else part


def _cavity(point: Point) -> tuple[str, str]:
    plug, mark, cavity = point.pin.rpartition("/")
    return (plug, cavity) if mark else ("", point.pin)


def _swing(read: PinReading) -> str:
    if read.low is None or read.high is None or read.high - read.low < SWING_V:
        return ""
    return f"{volts_text(read.low)} – {volts_text(read.high)}"


def _current(read: PinReading) -> str:
    return print_quantity(read.into_a, "A", 3) if read.into_a is not None and abs(read.into_a) >= LEAST_A else ""


def _end(wire: Wire, point: Point) -> WireEnd:
    far = wire.b if wire.a == point else wire.a
    return WireEnd(str(wire.colour), size_text(wire), wire.number, wire.loom, wire_name(far))


def size_text(wire: Wire) -> str:
    """`1.5 mm²`, as in the file; `?` where it is assumed."""
    if "size" in wire.assumed:
        return "?"
    return " ".join((wire.size_text or f"{wire.area_mm2.nominal:g} mm2").replace("mm2", " mm²").split())


def points_of(vehicle: Vehicle, parts: tuple[str, ...]) -> tuple[str, ...]:
    """The names of the points of some parts that a wire ends at, in file order."""
    wanted = frozenset(parts)
    found = (end for wire in vehicle.wires for end in (wire.a, wire.b) if end.part in wanted)
    return tuple(sorted(dict.fromkeys(wire_name(end) for end in found), key=_natural))


def _natural(name: str) -> tuple[tuple[int, str], ...]:
    pieces: list[str] = []
    for letter in name:
        if pieces and pieces[-1][-1].isdigit() == letter.isdigit():
            pieces[-1] += letter
        else:
            pieces.append(letter)
    return tuple((int(piece), "") if piece.isdecimal() else (0, piece) for piece in pieces)
