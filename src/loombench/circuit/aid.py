"""Aids put on a vehicle for a test, as changes of its netlist: lamps in place of parts, leads, relays changed over, a
wire taken off its pin.

An aid is there from rest, with whatever is wrong with the vehicle. Only gates, elements and variables are added, no
node, so that a vehicle with and without a fault stay alike. A lamp in place of a part sits on the same contacts, so it
tells a broken part from a contact that does not reach it. Two relays changed over take what is wrong inside of them
along; what is wrong with the contacts of a base stays there.
"""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType

from loombench.base.outcome import Outcome
from loombench.circuit.alter import LOST, MOVING, node_at, supply_node
from loombench.circuit.catalogue import CONTACT
from loombench.circuit.fault import Fault
from loombench.circuit.inject import NEVER
from loombench.circuit.lowering.builder import Numbers, limited_ohm, owner
from loombench.circuit.netlist import (
    Agent,
    Conductor,
    Element,
    Filament,
    FuseAgent,
    Gate,
    ModuleAgent,
    Netlist,
    RuleDrive,
    Variable,
)
from loombench.facts.aid import lead_ohm, limiter_w, substitute_w
from loombench.facts.filament import filament
from loombench.facts.fuse import cold_resistance_ohm
from loombench.vehicle.condition import Operation
from loombench.vehicle.model import Inner, Part, Vehicle
from loombench.vehicle.module import All
from loombench.vehicle.points import PIN, Point, read_point

Lowering = Callable[[Vehicle, tuple[Fault, ...]], Outcome[Netlist]]


@dataclass(frozen=True)
class Aided:
    """A lowering that has aids put on what another one makes.

    Called with a vehicle that lacks what an aid names, it leaves that aid out: names are looked up before.
    """

    lowering: Lowering
    aids: tuple[Operation, ...]

    def __call__(self, vehicle: Vehicle, faults: tuple[Fault, ...] = ()) -> Outcome[Netlist]:
        lowered = self.lowering(vehicle, tuple(changed_over(fault, self.aids) for fault in faults))
        return Outcome(put_on(vehicle, lowered.value, self.aids), lowered.problems)


def aided(lowering: Lowering, aids: tuple[Operation, ...]) -> Lowering:
    """The same lowering where there are no aids."""
    return Aided(lowering, aids) if aids else lowering


def changed_over(fault: Fault, aids: Iterable[Operation]) -> Fault:
    """A fault inside a relay that is changed over with another, as one of that other."""
    for aid in aids:
        if aid.verb == "swap":
            names = {aid.target: aid.value, aid.value: aid.target}
            fault = replace(fault, target=_inside(fault.target, names), to=_inside(fault.to, names))
    return fault


def _inside(name: str, names: Mapping[str, str]) -> str:
    part, mark, rest = name.partition(".")
    # `K3.86` is the contact in the base, `K3.86:pin` the blade on the relay, `K3.coil` a thing inside.
    outside = "~" in name or (rest[:1].isdigit() and not rest.endswith(f":{PIN}"))
    return name if part not in names or outside else f"{names[part]}{mark}{rest}"


def put_on(vehicle: Vehicle, netlist: Netlist, aids: Iterable[Operation]) -> Netlist:
    """The netlist with aids on it."""
    for aid in aids:
        match aid.verb:
            case "limiter":
                netlist = _in_place(vehicle, netlist, aid, limiter_w(vehicle.nominal_v))
            case "substitute":
                netlist = _in_place(vehicle, netlist, aid, substitute_w(rated_w(vehicle, aid.target)))
            case "ground":
                netlist = _ground(netlist, aid)
            case "feed":
                netlist = _feed(netlist, aid)
            case "actuate":
                netlist = _actuated(netlist, aid)
            case "release":
                netlist = _released(netlist, aid)
            case "wiggle" | "heat" | "wet":
                netlist = _moved(netlist, aid)
    return netlist


def inner_of(vehicle: Vehicle, name: str) -> tuple[Part, Inner] | None:
    """The part and the element that a load's or fuse's name means; None where there is none."""
    part = vehicle.parts.get(name) or vehicle.parts.get(name.rpartition(".")[0])
    if part is None:
        return None
    return next(((part, one) for one in part.elements if owner(part, one) == name), None)


def rated_w(vehicle: Vehicle, name: str) -> float:
    """Watts a load is made for; 0 where they are not known."""
    found = inner_of(vehicle, name)
    if found is None:
        return 0.0
    given = Numbers(*found, vehicle.nominal_v)
    watts, amperes, ohm = given.get("rated_w"), given.current_a(), given.get("resistance_ohm")
    if watts is not None:
        return watts
    if amperes is not None:
        return amperes * given.rated_v
    return given.rated_v**2 / ohm if ohm is not None else 0.0


def _in_place(vehicle: Vehicle, netlist: Netlist, aid: Operation, watts: float) -> Netlist:
    found = inner_of(vehicle, aid.target)
    nodes = [netlist.node_of.get(Point(found[0].id, pin, layer=PIN)) for pin in found[1].pins[:2]] if found else []
    if len(nodes) < 2 or nodes[0] is None or nodes[1] is None:
        return netlist
    out = frozenset(netlist.element_of.get(aid.target, ()))
    kept = tuple(replace(one, gates=(*one.gates, NEVER)) if one.id in out else one for one in netlist.elements)
    lamp = Filament(str(aid), nodes[0], nodes[1], filament(netlist.nominal_v, watts))
    return replace(netlist, elements=(*kept, lamp))


def _ground(netlist: Netlist, aid: Operation) -> Netlist:
    node = node_at(netlist, aid.target)
    return netlist if node is None else _with(netlist, Conductor(str(aid), node, netlist.reference, lead_ohm()))


def _feed(netlist: Netlist, aid: Operation) -> Netlist:
    node, plus = node_at(netlist, aid.target), supply_node(netlist, aid.target)
    if node is None or plus is None:
        return netlist
    rated_a = float(aid.value)
    whole = Variable(f"fuse:{aid}", ("whole", "blown"), "whole", is_input=False)
    ohm = limited_ohm(lead_ohm() + cold_resistance_ohm(rated_a, "blade"))
    lead = Conductor(str(aid), plus, node, ohm, (Gate(whole.name, ("whole",)),))
    return _with(netlist, lead, (whole,), (FuseAgent(whole.name, lead.id, rated_a),))


def _with(
    netlist: Netlist, element: Element, variables: tuple[Variable, ...] = (), agents: tuple[Agent, ...] = ()
) -> Netlist:
    return replace(
        netlist,
        elements=(*netlist.elements, element),
        variables=(*netlist.variables, *variables),
        agents=(*netlist.agents, *agents),
    )


def _actuated(netlist: Netlist, aid: Operation) -> Netlist:
    """A scan tool asks the module for the output: it has to be awake, and its own limits stay."""
    wanted = f"output:{aid.target}"

    def asked(agent: Agent) -> Agent:
        if isinstance(agent, ModuleAgent) and any(output.variable == wanted for output in agent.outputs):
            return replace(agent, rules=(*agent.rules, RuleDrive(All(()), (wanted,))))
        return agent

    return replace(netlist, agents=tuple(asked(agent) for agent in netlist.agents))


def _released(netlist: Netlist, aid: Operation) -> Netlist:
    """Nothing passes between the wire and the pin."""
    out = frozenset(netlist.element_of.get(f"{CONTACT}{aid.target}", ()))
    kept = (replace(one, gates=(*one.gates, NEVER)) if one.id in out else one for one in netlist.elements)
    return replace(netlist, elements=tuple(kept))


def _moved(netlist: Netlist, aid: Operation) -> Netlist:
    """What comes and goes at that spot is gone."""
    lost = {one.name: LOST for one in netlist.variables if one.name.startswith(MOVING) and moves(aid.target, one.name)}
    if not lost:
        return netlist
    variables = tuple(replace(one, rest=LOST) if one.name in lost else one for one in netlist.variables)
    return replace(netlist, variables=variables, frozen=MappingProxyType({**netlist.frozen, **lost}))


def moves(spot: str, name: str) -> bool:
    """Whether moving a part or wire by hand moves what a variable `moving:...` is named after."""
    target = name.removeprefix(MOVING)
    if target == spot:
        return True
    ends = target.partition("<")[0].split("~") if "<" in target else target.split("~")
    points = (read_point(end) for end in ends)
    return any(point is not None and point.part == spot for point in points)
