"""A vehicle as text: canonical, one statement a line, so that reading it again gives the same electrical facts."""

import re
from collections.abc import Iterable, Iterator, Mapping
from types import MappingProxyType

from loombench.text.colour import spell, system_code
from loombench.text.numbers import plain_number, write_number
from loombench.text.prefix import MARK, without_prefix
from loombench.text.sources import SUFFIX
from loombench.text.write_face import face_lines
from loombench.text.write_parts import part_lines, quoted
from loombench.vehicle.model import ALONG, Part, Place, Vehicle, Wire
from loombench.vehicle.naming import end_name
from loombench.vehicle.points import Point

NO_LOOM = "?"
_IMPLICIT = re.compile(r"SP\d+")


def write(vehicle: Vehicle) -> str:
    """The vehicle's own file; a trailer that is plugged in is named by its file (`write_files` writes both)."""
    head = f"vehicle {quoted(vehicle.name or 'vehicle')} {plain_number(vehicle.nominal_v)}V {vehicle.form}"
    lines = ["loombench 1", head.rstrip()]
    lines.append(f"colours {system_code(vehicle.colours)}")
    lines.extend(write_place(place) for place in vehicle.places.values() if MARK not in place.id)
    own = tuple(part for part in vehicle.parts.values() if MARK not in part.id)
    wires = tuple(wire for wire in vehicle.wires if MARK not in wire.a.part)
    used = {point.part for wire in wires for point in (wire.a, wire.b)}
    for part in own:
        if not speaks_for_itself(part, part.id in used):
            lines.extend(part_lines(part))
    for mating in vehicle.matings:
        plug = mating.plug.removeprefix(f"{mating.vehicle}{MARK}")
        lines.append(f"plug {quoted(mating.vehicle + SUFFIX)}.{plug} into {mating.socket}")
    loom = ""
    for wire in wires:
        if wire.loom != loom:
            lines.append(f"loom {wire.loom or NO_LOOM}")
            loom = wire.loom
        lines.append(write_wire(wire, vehicle.colours))
    lines.extend(_classes(own))
    for face in vehicle.faces.values():
        if MARK not in face.owner:
            lines.extend(face_lines(face))
    return "\n".join(lines) + "\n"


def write_files(vehicle: Vehicle, name: str = f"vehicle{SUFFIX}") -> Mapping[str, str]:
    """The text of each file: the vehicle's own and one for each trailer."""
    files = {name: write(vehicle)}
    for mating in vehicle.matings:
        files[f"{mating.vehicle}{SUFFIX}"] = write(without_prefix(vehicle, mating.vehicle))
    return MappingProxyType(files)


def speaks_for_itself(part: Part, used: bool) -> bool:
    """A splice that needs no line of its own, since a wire names it."""
    plain = not (part.place or part.label or part.class_marks)
    return part.kind == "splice" and used and plain and _IMPLICIT.fullmatch(part.id) is not None


def write_place(place: Place) -> str:
    """`place boom-pivot reach 4min opens trim flexing "boom lowered"`."""
    minutes = place.reach_s / 60.0
    whole = minutes >= 1 and minutes * 60.0 == place.reach_s
    words = [f"place {place.id} reach {plain_number(minutes if whole else place.reach_s)}{'min' if whole else 's'}"]
    words.extend(f"opens {name}" for name in place.opens)
    words.extend(_lies(place))
    words.extend(place.surroundings)
    if place.note:
        words.append(quoted(place.note))
    return " ".join(words)


def _lies(place: Place) -> Iterator[str]:
    if place.along is not None or place.across or place.level:
        yield "lies"
    if place.along is not None:
        named = next((word for word, share in ALONG.items() if share == place.along), "")
        yield named or f"{plain_number(100.0 * place.along)}%"
    yield from (word for word in (place.across, place.level) if word)


def write_point(point: Point, loom: str = "") -> str:
    """A wire's end; the half of a connector only where the loom does not say it."""
    return f"{end_name(point)}@{point.half}" if point.half and point.half != loom else end_name(point)


def write_bracket(wire: Wire, system: str) -> str:
    """What stands in the wire's brackets."""
    words = [f"#{wire.number}"] if wire.number else []
    if wire.colour.words or wire.colour.text:
        words.append(spell(system, wire.colour))
    words.append("?mm2" if "size" in wire.assumed else wire.size_text or write_number(wire.area_mm2, "mm2"))
    words.append("?m" if "length" in wire.assumed else write_number(wire.length_m, "m"))
    words.extend(f"via {place}" for place in wire.via)
    if wire.cable:
        words.append(f"in {wire.cable}")
    if wire.label:
        words.append(quoted(wire.label))
    return f"({' '.join(words)})"


def write_wire(wire: Wire, system: str) -> str:
    """A wire on a line of its own."""
    return f"{write_point(wire.a, wire.loom)} {write_bracket(wire, system)} {write_point(wire.b, wire.loom)}"


def _classes(parts: Iterable[Part]) -> Iterator[str]:
    for part in parts:
        for pin, name in part.class_marks:
            half = part.halves[0] if part.halves else ""
            point = Point(part.id, pin, half, ring=part.kind == "stud" and bool(pin))
            yield f"class {name} {write_point(point)}"
