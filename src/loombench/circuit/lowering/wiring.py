"""Wires, and the joints at their ends: what stands between a wire's conductor and the pin of a part.

At a part's pin a wire ends in a contact of three points: crimped terminal (`E7.1`), mating face (`E7.1:face`) and the
part's own pin (`E7.1:pin`). At a splice, and where a wire is bolted to a stud or body without a ring of its own, each
wire end has its own joint, named by the wire (`contact SP7<SP7~R5.5`). A ring on a stud (`W1/a`) is one joint.
"""

from types import MappingProxyType

from loombench.circuit.lowering.builder import Builder
from loombench.circuit.netlist import Gate
from loombench.facts.conductor import awg_area_mm2, resistance_ohm_per_m
from loombench.vehicle.model import Mating, Part, Wire
from loombench.vehicle.points import FACE, PIN, WIRE, Point

LEAST_AREA_MM2 = 1e-3
TYPICAL_STRAP_M, TYPICAL_STRAP_MM2 = 0.3, 16.0
"""A strap of which nothing is known: estimate."""

SEATED = ("fuse", "fuselink", "breaker", "relay")
"""Kinds that sit in a holder and are pulled; all others are unplugged."""
FIXED = ("carrier",)
"""Kinds whose contacts nothing opens in one go."""
CONNECTION = MappingProxyType({"battery": "battery-clamp", "alternator": "ring", "fuselink": "ring"})
"""Kinds whose pins are bolted or clamped; all others have a mating contact."""
SPLIT_PINS = MappingProxyType({"alternator": ("D+",)})
"""Pins of those kinds that are plugged all the same."""
BOLTED_MM2 = 16.0
"""A wire from this size on ends in a bolted ring at any part's pin: starters and isolators have no plug contacts for
it (common practice, no source)."""


def lower_wire(b: Builder, wire: Wire) -> None:
    """A wire: its conductor, and a joint at each end that is a splice, a stud or a body."""
    a, other = _wire_end(b, wire.a, wire), _wire_end(b, wire.b, wire)
    b.conductor(wire.id, a, other, conductor_ohm(b, wire.area_mm2.nominal, wire.length_m.nominal))


def conductor_ohm(b: Builder, area_mm2: float, length_m: float) -> float:
    """Resistance of a length of vehicle cable at the temperature of the netlist."""
    return resistance_ohm_per_m(max(area_mm2, LEAST_AREA_MM2), b.temperature_c) * max(length_m, 0.0)


def _wire_end(b: Builder, point: Point, wire: Wire) -> int:
    part = b.vehicle.parts.get(point.part)
    if part is None or point.pin or part.kind not in ("splice", "stud", "body"):
        return b.node(point)
    node = b.fresh()
    kind = "splice" if part.kind == "splice" else "ring"
    b.joint(kind, f"contact {point}<{wire.id}", node, b.node(point))
    return node


def seat_or_plug(b: Builder, part: Part, pin: str) -> tuple[Gate, ...]:
    """What has to be in for a part's pin to be connected: `seat:F12`, `plug:E7`, or `plug:A2` and `plug:A2.X3`."""
    if part.kind in FIXED:
        return ()
    if part.holder or part.kind in SEATED:
        return (Gate(b.variable(f"seat:{part.id}", ("in", "out"), "in", is_input=True), ("in",)),)
    return tuple(plug_gate(b, name) for name in dict.fromkeys((part.id, plug_of(part, pin))))


def plug_gate(b: Builder, name: str) -> Gate:
    """The gate of a plug."""
    return Gate(b.variable(f"plug:{name}", ("plugged", "unplugged"), "plugged", is_input=True), ("plugged",))


def plug_of(part: Part, pin: str) -> str:
    """`PART.PLUG` for a pin of one of several plugs, else the part's id."""
    for name, pins in part.plugs.items():
        if name and (pin in pins or (pin.startswith(f"{name}/") and pin.removeprefix(f"{name}/") in pins)):
            return f"{part.id}.{name}"
    return part.id


def lower_contacts(b: Builder, part: Part) -> None:
    """The contacts of a device: one for each pin that has a wire or, in a carrier, a bar; others are just the pin."""
    wired: dict[str, list[Point]] = {}
    for point in b.wired.get(part.id, ()):
        wired.setdefault(point.pin, []).append(point)
    joined = {point.pin for point in b.linked.get(part.id, ()) if point.layer == WIRE}
    for pin in dict.fromkeys((*part.pins, *wired, *joined)):
        if pin in wired or pin in joined:
            _contact(b, part, pin, wired.get(pin, ()))
        else:
            node = b.pin(part, pin)
            for layer in (FACE, WIRE):
                b.alias(Point(part.id, pin, layer=layer), node)


def _contact(b: Builder, part: Part, pin: str, wired: list[Point] | tuple[()]) -> None:
    point = wired[0] if wired else Point(part.id, pin)
    node = b.node(point)
    for other in wired[1:]:
        b.alias(other, node)
    b.alias(Point(part.id, pin), node)
    face = point.at(FACE)
    if wired:
        b.joint("crimp", f"crimp {point}", node, b.node(face))
    else:
        b.alias(face, node)
    b.joint(
        _mating(b, part, pin, wired), f"contact {point}", b.node(face), b.pin(part, pin), seat_or_plug(b, part, pin)
    )


def _mating(b: Builder, part: Part, pin: str, wired: list[Point] | tuple[()]) -> str:
    if part.kind in CONNECTION and pin not in SPLIT_PINS.get(part.kind, ()):
        return CONNECTION[part.kind]
    if part.kind == "carrier" and pin == "in":
        return "ring"
    wires = (wire for point in wired for wire in b.vehicle.wires_at.get(point, ()))
    if any(wire.area_mm2.nominal >= BOLTED_MM2 for wire in wires):
        return "ring"
    return "mating-blade" if part.holder or part.kind in SEATED else "mating"


def lower_connector(b: Builder, part: Part) -> None:
    """A connector: in each cavity crimp, mating, crimp. Both halves' contacts are the one mating that parts them."""
    cavities: dict[str, dict[str, Point]] = {pin: {} for pin in part.pins}
    for point in b.wired.get(part.id, ()):
        cavities.setdefault(point.pin, {}).setdefault(point.half, point)
    gate = plug_gate(b, part.id)
    for pin, wired in cavities.items():
        halves = tuple(dict.fromkeys((*part.halves, *wired)))
        for half in halves:
            _half(b, wired.get(half) or Point(part.id, pin, half), half in wired)
        if not wired or len(halves) < 2:
            continue
        sides = [Point(part.id, pin, half) for half in halves]
        for side in sides[1:]:
            b.joint(
                "mating",
                f"mating {part.id}.{pin}" if len(sides) == 2 else f"mating {side}",
                b.node(sides[0].at(FACE)),
                b.node(side.at(FACE)),
                (gate,),
                (f"contact {sides[0]}", f"contact {side}"),
            )


def _half(b: Builder, point: Point, is_wired: bool) -> None:
    face = point.at(FACE)
    if is_wired:
        b.joint("crimp", f"crimp {point}", b.node(point), b.node(face))
    else:
        b.alias(face, b.node(point))


def lower_point(b: Builder, part: Part) -> None:
    """A splice or a body: one point."""
    b.node(Point(part.id))


def lower_stud(b: Builder, part: Part) -> None:
    """A stud: each ring has a joint to the stud, the stud one to its body."""
    stud = b.node(Point(part.id))
    rings = {point.pin: point for point in b.wired.get(part.id, ()) if point.pin}
    for pin in dict.fromkeys((*part.pins, *rings)):
        ring = rings.get(pin) or Point(part.id, pin, ring=True)
        b.joint("ring", f"contact {ring}", b.node(ring), stud)
    if part.body:
        b.joint("body", f"contact {part.id}", stud, b.node(Point(part.body)))


def lower_strap(b: Builder, part: Part) -> None:
    """A strap: a conductor with a ring at each end, bolted to what its links name."""
    params = part.elements[0].params if part.elements and part.elements[0].params else part.params
    length, area, gauge = params.get("length_m"), params.get("area_mm2"), params.get("gauge_awg")
    area_mm2 = TYPICAL_STRAP_MM2 if area is None else area.nominal
    if area is None and gauge is not None and -3 <= gauge.nominal <= 40:
        area_mm2 = awg_area_mm2(round(gauge.nominal))
    pins = (part.pins or ("a", "b"))[:2]
    nodes = [b.node(Point(part.id, pin)) for pin in pins]
    for pin, node in zip(pins, nodes, strict=True):
        for layer in (PIN, FACE):
            b.alias(Point(part.id, pin, layer=layer), node)
        b.alias(Point(part.id, pin, ring=True), node)
    ohm = conductor_ohm(b, area_mm2, TYPICAL_STRAP_M if length is None else length.nominal)
    b.conductor(part.id, nodes[0], nodes[-1], ohm)
    for one, two in part.links:
        own, other = (one, two) if one.part == part.id else (two, one)
        if own.part == part.id and own.pin in pins:
            b.joint("ring", f"contact {Point(part.id, own.pin)}", b.node(Point(part.id, own.pin)), b.node(other))


def lower_terminals(b: Builder, part: Part) -> None:
    """A socket, a trailer's plug, a cable's shield: wire ends in contacts with nothing behind them."""
    wired = {point.pin: point for point in b.wired.get(part.id, ())}
    for pin in dict.fromkeys((*part.pins, *wired)):
        point = wired.get(pin) or Point(part.id, pin)
        if pin in wired:
            b.joint("crimp", f"contact {point}", b.node(point), b.node(point.at(FACE)))
        else:
            b.alias(point.at(FACE), b.node(point))
        b.alias(point.at(PIN), b.node(point.at(FACE)))


def lower_mating(b: Builder, mating: Mating) -> None:
    """A trailer's plug in a socket: contacts of the same name meet while it is coupled.

    From then on both contacts' names mean that mating, as in a connector.
    """
    socket, plug = b.vehicle.parts.get(mating.socket), b.vehicle.parts.get(mating.plug)
    if socket is None or plug is None:
        return
    states = ("coupled", "uncoupled")
    gate = Gate(b.variable(f"couple:{socket.id}", states, "uncoupled", is_input=True), ("coupled",))
    for pin in socket.pins:
        if pin not in plug.pins:
            continue
        one, two = Point(socket.id, pin), Point(plug.id, pin)
        name = f"mating {one}"
        b.joint("mating", name, b.node(one.at(FACE)), b.node(two.at(FACE)), (gate,), (name,))
        for side in (one, two):
            b.owned[f"contact {side}"] = [name]


def lower_links(b: Builder, part: Part) -> None:
    """The bars and joins inside a carrier."""
    for one, two in part.links:
        b.joint("bar", f"{part.id}:{one.at(WIRE)}={two.at(WIRE)}", b.node(one), b.node(two))
