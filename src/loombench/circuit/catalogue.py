"""All single faults of a vehicle: what can be wrong with each part, contact, control and wire, in file order.

A series resistance stands for anything over some decades: there is one a target, of `STANDARD_OHM`, and whoever weighs
them spreads it out. A fuse blows or has a resistance; what else could break in it looks the same. A diode may also
conduct both ways. Without a body there is no metal to chafe through to.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace

from loombench.circuit.fault import Fault
from loombench.circuit.inject import GROUND
from loombench.circuit.lower import sound
from loombench.circuit.lowering.builder import owner
from loombench.circuit.lowering.laws import INNER_LAWS
from loombench.vehicle.model import Control, Inner, Part, Vehicle
from loombench.vehicle.points import PIN, Point, read_point

CONTACT = "contact "
STANDARD_OHM = 1.0
BLOWING = ("fuse", "fuselink")
RELAY_STATES = ("pulled", "released")
METAL = ("stud", "body", "strap")


def single_faults(vehicle: Vehicle) -> tuple[Fault, ...]:
    """Every fault of one cause: parts first, each with its elements, contacts and controls, then wires, then chafes.

    The same vehicle always gives the same faults in the same order, none twice; each can be put into `lower`.
    """
    found: dict[Fault, None] = {}
    contacts = _contacts(vehicle, sound(vehicle).element_of)
    for part in vehicle.parts.values():
        for fault in _of_part(part):
            found.setdefault(fault)
        for name in contacts.get(part.id, ()):
            for fault in _broken(name):
                found.setdefault(fault)
    for wire in vehicle.wires:
        found.setdefault(Fault("open", wire.id))
        found.setdefault(Fault("resistance", wire.id, "", STANDARD_OHM))
    if any(part.kind == "body" for part in vehicle.parts.values()):
        for point in _chafed(vehicle):
            found.setdefault(Fault("short", str(point), GROUND))
    return tuple(found)


def _of_part(part: Part) -> Iterator[Fault]:
    if part.kind == "strap":
        yield from _broken(part.id)
    for inner in part.elements if part.kind != "strap" else ():
        yield from _of_element(part, inner)
    if any(inner.kind == "relay-coil" for inner in part.elements):
        for state in RELAY_STATES:
            yield Fault("stuck", part.id, state)
    for control in part.controls:
        yield from _of_control(control)
    if part.module is not None:
        yield Fault("stuck", part.id, "reset")
        for item in part.module.inputs:
            yield from (Fault("stuck", f"{part.id}.{item.pin}", state) for state in ("on", "off"))
        for output in part.module.outputs:
            yield from (Fault("stuck", f"{part.id}.{output.pin}", state) for state in ("on", "off"))
        for contact in part.module.contacts:
            yield from (Fault("stuck", f"{part.id}.{contact.name}", state) for state in ("rest", "tick"))


def _broken(target: str) -> Iterator[Fault]:
    yield Fault("open", target)
    yield Fault("resistance", target, "", STANDARD_OHM)


def _of_element(part: Part, inner: Inner) -> Iterator[Fault]:
    name = owner(part, inner)
    match inner.kind:
        case kind if kind in BLOWING:
            yield Fault("blown", name)
            yield Fault("resistance", name, "", STANDARD_OHM)
        case "breaker":
            yield Fault("stuck", name, "tripped")
            yield from _broken(name)
        case "flasher" | "timer":
            yield from (Fault("stuck", name, state) for state in ("open", "closed"))
        case "converter":
            yield Fault("stuck", name, "off")
            yield from _broken(name)
        case "diode":
            yield from _broken(name)
            anode, cathode = (str(Point(part.id, pin, layer=PIN)) for pin in inner.pins[:2])
            yield Fault("short", anode, cathode)
        case "generic" if len(inner.pins) < 2 or not inner.params:
            return
        case kind if kind in INNER_LAWS:
            yield from _broken(name)


def _of_control(control: Control) -> Iterator[Fault]:
    """Stuck in each position, its contacts burnt; and, but for a cam, simply in another position than believed."""
    for position in control.positions:
        yield Fault("stuck", control.id, position.name)
        if not control.follows and not position.springs_back and position.name != control.rest:
            yield Fault("position", control.id, position.name)
    if any(position.pairs for position in control.positions):
        yield from _broken(control.id)


def _contacts(vehicle: Vehicle, names: Iterable[str]) -> Mapping[str, tuple[str, ...]]:
    """The contacts that carry something, by part.

    A cavity of a connector is one contact, called by the first of its halves that has a wire: its two halves meet in
    the same spot. Where only one half has a wire nothing passes.
    """
    by_part: dict[str, list[str]] = {}
    cavities: dict[tuple[str, str], int] = {}
    for name in names:
        point = read_point(name.removeprefix(CONTACT).partition("<")[0])
        if not name.startswith(CONTACT) or point is None:
            continue
        if point.half:
            if point not in vehicle.wires_at:
                continue
            count = cavities[point.part, point.pin] = cavities.get((point.part, point.pin), 0) + 1
            if count != 1 or not _passes(vehicle, point):
                continue
        by_part.setdefault(point.part, []).append(name)
    return {part: tuple(found) for part, found in by_part.items()}


def _passes(vehicle: Vehicle, point: Point) -> bool:
    halves = vehicle.parts[point.part].halves if point.part in vehicle.parts else ()
    return any(half != point.half and replace(point, half=half) in vehicle.wires_at for half in halves)


def _chafed(vehicle: Vehicle) -> Iterator[Point]:
    """The points whose wires may chafe through; a ground lead on metal changes nothing."""
    for wire in vehicle.wires:
        for point in (wire.a, wire.b):
            part = vehicle.parts.get(point.part)
            if part is not None and part.kind not in METAL:
                yield point
