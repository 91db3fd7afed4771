"""All single faults of a vehicle: what can be wrong with each part, contact, control and wire, in file order.

A series resistance stands for anything over some decades: there is one a target, of `STANDARD_OHM`, and whoever weighs
them spreads it out, and so with a leak. A fuse blows or has a resistance; what else could break in it looks the same. A
diode may also conduct both ways, a load be shorted inside. Without a body there is no metal to chafe through to.

What would grow with the square of the vehicle is bounded: only what lies side by side is bridged, wetted or changed
over, a stretch of wire meets battery plus in one point, and of other parts there is the next smaller and larger one.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from types import MappingProxyType

from loombench.circuit.fault import GROUND, SUPPLY, UNDRAWN, Fault
from loombench.circuit.lower import sound
from loombench.circuit.lowering.builder import owner
from loombench.circuit.lowering.laws import INNER_LAWS
from loombench.circuit.neighbours import at_a_post, contact_pairs, stretches, wire_pairs
from loombench.facts.breaker import weak_share
from loombench.facts.filament import lamp_categories
from loombench.facts.fuse import standard_ratings_a
from loombench.vehicle.model import Control, Inner, Part, Vehicle
from loombench.vehicle.points import PIN, Point, read_point
from loombench.vehicle.trace import ACTING

CONTACT = "contact "
STANDARD_OHM = 1.0
LEAK_OHM = 10e3
DRAGGING = "200%"
"""Twice the sound current stands for anything from a stiff bearing to a motor near its stall."""
SMALLER_LAMP, LARGER_LAMP = 0.6, 1.5
"""Lamps that are taken for one another differ by more than their looks: shares of the watts drawn. An estimate."""
BLOWING = ("fuse", "fuselink")
RELAY_STATES = ("pulled", "released")
OTHER_RELAY = MappingProxyType({"make": "break", "break": "make"})
METAL = ("stud", "body", "strap")
SHORTED = ("diode", *ACTING)
"""Elements that a short is looked for inside of: a diode that conducts both ways, lead-in wires that touch, turns."""


def single_faults(vehicle: Vehicle) -> tuple[Fault, ...]:
    """Every fault of one cause: parts first, each with its elements, contacts and controls, then wires, then what is
    joined that should not be: chafes, bridges, leaks, contacts changed over.

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
    for fault in _joined(vehicle):
        found.setdefault(fault)
    return tuple(found)


def moving_faults(vehicle: Vehicle) -> tuple[Fault, ...]:
    """Every contact and wire that may come and go, in the order of `single_faults`, open while it is lost.

    They are no single faults: what they do differs from one reading to the next.
    """
    wanted = (one.target for one in single_faults(vehicle) if one.mode == "open")
    return tuple(Fault("moving", name) for name in wanted if name.startswith(CONTACT) or name in vehicle.wire_by_id)


def _joined(vehicle: Vehicle) -> Iterator[Fault]:
    """Wires at battery plus, bridges and leaks between neighbours, neighbours changed over."""
    stretch = stretches(vehicle)
    posts = at_a_post(vehicle, stretch)
    has_battery = any(part.kind == "battery" for part in vehicle.parts.values())
    first = {number: point for point, number in reversed(tuple(stretch.items()))}
    for number, point in sorted(first.items()) if has_battery else ():
        # A stretch at a post is that post: its short to the other one takes the whole vehicle down, fuse or not.
        if number not in posts:
            yield Fault("short", str(point), SUPPLY)
    for part in vehicle.parts.values():
        beside = tuple(contact_pairs(vehicle, part, stretch))
        cavities: dict[tuple[str, str], tuple[Point, Point]] = {}
        for one, other in beside:
            cavities.setdefault((one.pin, other.pin), (one, other))
        for one, other in cavities.values():
            yield Fault("short", str(one), str(other))
            yield Fault("leak", str(one), str(other), LEAK_OHM)
        for one, other in beside:
            yield Fault("swapped", str(one), str(other))
    for wire, neighbour in wire_pairs(vehicle, stretch):
        yield Fault("short", wire.id, neighbour.id)


def _of_part(part: Part) -> Iterator[Fault]:
    if part.kind == "strap":
        yield from _broken(part.id)
    for inner in part.elements if part.kind != "strap" else ():
        yield from _of_element(part, inner)
    if any(inner.kind == "relay-coil" for inner in part.elements):
        for state in RELAY_STATES:
            yield Fault("stuck", part.id, state)
        yield Fault("held", part.id)
        sides = {inner.name.rstrip("0123456789") for inner in part.elements if inner.kind == "relay-contact"}
        if len(sides) == 1 and sides <= OTHER_RELAY.keys():
            yield Fault("wrong", part.id, OTHER_RELAY[sides.pop()])
    for control in part.controls:
        yield from _of_control(control)
    if part.module is not None:
        yield Fault("stuck", part.id, "reset")
        if part.module.asleep_after_s > 0.0:
            yield Fault("stuck", part.id, "asleep")
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
            yield from (Fault("wrong", name, f"{rated_a:g}A") for rated_a in _other_fuses(part, inner))
        case "lamp":
            yield from _broken(name)
            yield from (Fault("wrong", name, f"{rated_w:g}W") for rated_w in _other_lamps(part, inner))
        case "motor":
            yield from _broken(name)
            yield Fault("dragging", name, DRAGGING)
        case "breaker":
            yield Fault("stuck", name, "tripped")
            yield Fault("weak", name, f"{weak_share().value * 100.0:g}%")
            yield from _broken(name)
        case "flasher" | "timer":
            yield from (Fault("stuck", name, state) for state in ("open", "closed"))
        case "converter":
            yield Fault("stuck", name, "off")
            yield from _broken(name)
        case "diode":
            yield from _broken(name)
        case "generic" if len(inner.pins) < 2 or not inner.params:
            return
        case kind if kind in INNER_LAWS:
            yield from _broken(name)
    if inner.kind in SHORTED and len(inner.pins) == 2:
        one, other = (str(Point(part.id, pin, layer=PIN)) for pin in inner.pins)
        yield Fault("short", one, other)


def _of_control(control: Control) -> Iterator[Fault]:
    """Stuck in each position, its contacts burnt; and, but for a cam, simply in another position than believed."""
    for position in control.positions:
        yield Fault("stuck", control.id, position.name)
        if not control.follows and not position.springs_back and position.name != control.rest:
            yield Fault("position", control.id, position.name)
    if any(position.pairs for position in control.positions):
        if control.by == "driver" and not control.follows:
            yield Fault("position", control.id, UNDRAWN)
        yield from _broken(control.id)


def _other_fuses(part: Part, inner: Inner) -> Iterator[float]:
    """The next smaller and the next larger rating of its series; none where its own is not known."""
    rated = inner.params.get("rated_a") or part.params.get("rated_a")
    if inner.kind != "fuse" or rated is None:
        return
    ratings = standard_ratings_a("maxi" if "maxi" in (*inner.words, *part.words) else "blade")
    yield from max_below(ratings, rated.nominal)
    yield from min_above(ratings, rated.nominal)


def _other_lamps(part: Part, inner: Inner) -> Iterator[float]:
    """The next smaller and the next larger lamp that it may be taken for; none where its own watts are not known."""
    rated = inner.params.get("rated_w") or part.params.get("rated_w")
    if rated is None:
        return
    watts = tuple(lamp.rated_w for lamp in lamp_categories())
    yield from max_below(watts, rated.nominal * SMALLER_LAMP)
    yield from min_above(watts, rated.nominal * LARGER_LAMP)


def max_below(values: Iterable[float], limit: float) -> tuple[float, ...]:
    """The largest value below a limit, if there is one."""
    return tuple(sorted(value for value in values if value < limit)[-1:])


def min_above(values: Iterable[float], limit: float) -> tuple[float, ...]:
    """The smallest value above a limit, if there is one."""
    return tuple(sorted(value for value in values if value > limit)[:1])


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
