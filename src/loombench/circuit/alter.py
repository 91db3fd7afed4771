"""What a fault makes of single laws and agents: another part fitted, a motor that drags, a breaker that is weak, a
relay that hangs, a contact that comes and goes, two wires changed over. Plain functions from elements and agents to
what stands in their place."""

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from types import MappingProxyType

from loombench.base.quantity import Quantity, read_quantity
from loombench.circuit.lowering.builder import LEAST_OHM, limited_ohm
from loombench.circuit.netlist import (
    Agent,
    BreakerAgent,
    Conductor,
    Element,
    Filament,
    FuseAgent,
    Gate,
    Netlist,
    RelayAgent,
    Variable,
)
from loombench.facts.filament import filament
from loombench.facts.fuse import cold_resistance_ohm
from loombench.vehicle.points import Point, read_point

MADE, LOST = "made", "lost"
MOVING = "moving:"
CLOSED_WHEN = MappingProxyType({"make": "pulled", "break": "released"})


def moving_variable(target: str) -> Variable:
    """What says whether a contact that comes and goes is `made` or `lost`: a condition may set it, from one reading to
    the next."""
    return Variable(f"{MOVING}{target.removeprefix('contact ')}", (MADE, LOST), MADE, is_input=True)


def amount(text: str, unit: str) -> float | None:
    """The number of a text like `5A`, `5W` or `200%`, above zero; None where it is no such number."""
    read = read_quantity(text)
    if not isinstance(read, Quantity) or read.unit != unit or read.value is None:
        return None
    return read.value if 0.0 < read.value < math.inf else None


def other_fuse(
    element: Element, sound: Element, agents: Sequence[Agent], fitted: str
) -> tuple[Element, Mapping[int, Agent]] | None:
    """A fuse of another rating: its cold resistance, what was added to the one drawn, and what it blows at."""
    rated_a = amount(fitted, "A")
    if rated_a is None or not isinstance(element, Conductor) or not isinstance(sound, Conductor):
        return None
    for place, agent in enumerate(agents):
        if isinstance(agent, FuseAgent) and agent.element == element.id:
            added_ohm = max(element.resistance_ohm - sound.resistance_ohm, 0.0)
            ohm = limited_ohm(cold_resistance_ohm(rated_a, agent.series) + added_ohm)
            return replace(element, resistance_ohm=ohm), {place: replace(agent, rated_a=rated_a)}
    return None


def other_lamp(element: Element, fitted: str) -> Element | None:
    """A lamp of other watts at the same rated volts."""
    rated_w = amount(fitted, "W")
    if rated_w is None or not isinstance(element, Filament):
        return None
    return replace(element, law=filament(element.law.rated_v, rated_w))


def other_relay(elements: Iterable[Element], variable: str, fitted: str) -> tuple[Element, ...]:
    """The contacts of a relay that close the other way than `fitted` does, made to close as it does."""
    wanted = CLOSED_WHEN.get(fitted)
    if wanted is None:
        return ()
    found = []
    for element in elements:
        gates = tuple(Gate(variable, (wanted,)) if gate.variable == variable else gate for gate in element.gates)
        if gates != element.gates:
            found.append(replace(element, gates=gates))
    return tuple(found)


def hanging(agents: Sequence[Agent], variable: str) -> Mapping[int, Agent]:
    """A relay that does not let go of what it has pulled, however few volts are left."""
    found = ((k, one) for k, one in enumerate(agents) if isinstance(one, RelayAgent) and one.variable == variable)
    return {place: replace(agent, drop_out_v=0.0) for place, agent in found}


def weakened(agents: Sequence[Agent], variable: str, share: str) -> Mapping[int, Agent]:
    """A breaker that trips as one of `share` of its rating would, which is less than the whole; it keeps its ohms."""
    times = amount(share, "%")
    if times is None or times >= 1.0:
        return {}
    found = ((k, one) for k, one in enumerate(agents) if isinstance(one, BreakerAgent) and one.variable == variable)
    return {place: replace(agent, rated_a=agent.rated_a * times) for place, agent in found}


def dragging(element: Element, share: str) -> Element | None:
    """A motor that takes `share` of the current it took."""
    times = amount(share, "%")
    if times is None or not isinstance(element, Conductor):
        return None
    return replace(element, resistance_ohm=limited_ohm(element.resistance_ohm / times))


def wires_at(netlist: Netlist, known: Mapping[str, Element], node: int) -> tuple[Element, ...]:
    """The conductors of the wires that end at a node."""
    moved = (netlist.place_of[name] for name in known if _is_wire(name) and name in netlist.place_of)
    some = (netlist.elements[place] for place in sorted({*netlist.places_at.get(node, ()), *moved}))
    own = (known.get(one.id, one) for one in some if _is_wire(one.id))
    return tuple(one for one in own if node in (one.a, one.b))


def _is_wire(name: str) -> bool:
    return "~" in name and not name.startswith("contact ")


def changed_over(element: Element, one: int, other: int) -> Element:
    """A wire with its ends at two nodes changed over."""
    turned = {one: other, other: one}
    return replace(element, a=turned.get(element.a, element.a), b=turned.get(element.b, element.b))


def beside(element: Conductor, variable: str, ohm: float) -> tuple[Conductor, Conductor]:
    """A conductor that is there while the contact is made, and its stand-in with `ohm` in series while it is lost."""
    sound = replace(element, gates=(*element.gates, Gate(variable, (MADE,))))
    worse = max(element.resistance_ohm + ohm, LEAST_OHM)
    lost = Conductor(f"{element.id} lost", element.a, element.b, worse, (*element.gates, Gate(variable, (LOST,))))
    return sound, lost


def ground_node(netlist: Netlist, target: str) -> int | None:
    """Where a chafed point or wire meets metal; None where there is no body.

    That is the first body of the point's own vehicle (of the trailer for a trailer's point), those that are wired to
    the reference first.
    """
    return _nearest(netlist, netlist.bodies, target)


def supply_node(netlist: Netlist, target: str) -> int | None:
    """Where a point meets a wire at battery plus: the first battery of its own vehicle, else the first of all."""
    return _nearest(netlist, netlist.plus, target)


def node_at(netlist: Netlist, text: str) -> int | None:
    """The node of a point; of a wire, its first end; None where there is no such point or wire."""
    point = read_point(text)
    node = netlist.node_of.get(point) if point else None
    if node is None and point is not None:
        node = netlist.node_of.get(replace(point, ring=not point.ring))
    if node is None and "~" in text:
        wire = netlist.element_by_id.get(text)
        node = wire.a if wire is not None else None
    return node


def _nearest(netlist: Netlist, nodes: Sequence[int], target: str) -> int | None:
    own = _prefix(read_point(target) or Point(target))
    same = (node for node in nodes if any(_prefix(point) == own for point in netlist.names[node]))
    return next(same, next(iter(nodes), None))


def _prefix(point: Point) -> str:
    vehicle, mark, _ = point.part.rpartition("::")
    return vehicle if mark else ""
