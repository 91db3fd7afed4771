"""Damages that the catalogue of faults does not have, put into the netlist: the drawing is then not what is there.

rectifies ELEMENT            an oxidised joint that lets current through one way only
joins NODE NODE OHM          an undrawn splice, two wires that touch, something fitted, a winding with shorted turns
crossed ELEMENT ELEMENT      two wires that are not side by side, changed over at one end
"""

import math
import random
from collections.abc import Sequence
from dataclasses import dataclass, replace

from loombench.base.outcome import Outcome
from loombench.circuit.fault import GROUND, SUPPLY, Fault
from loombench.circuit.lower import lower
from loombench.circuit.netlist import Conductor, Element, Junction, Netlist
from loombench.circuit.operate import run
from loombench.diagnose.suspect import group_of
from loombench.vehicle.condition import Condition
from loombench.vehicle.model import Vehicle, Wire
from loombench.vehicle.trace import loads

OUTSIDE = "outside"
"""The mode of a fault that stands for a damage."""
CARRIES_A, WORTH_V = 0.05, 1.0
BACK_OHM = 300.0
TOUCHES_OHM, FITTED_OHM, TURNS_OHM = (0.01, 5.0), (2.0, 30.0), (0.05, 0.5)
KINDS = ("rectifies", "touches", "fitted", "turns", "crossed")


@dataclass(frozen=True)
class Damage:
    """What was done (see above), the thing that a person would point at, and the suspects that name the place."""

    kind: str
    words: tuple[str, ...]
    target: str
    cures: tuple[str, ...]


@dataclass(frozen=True)
class DamagedLowering:
    """The circuit of a vehicle, with the damage where one of its faults is of the mode `outside`."""

    words: tuple[str, ...]

    def __call__(self, vehicle: Vehicle, faults: tuple[Fault, ...] = ()) -> Outcome[Netlist]:
        plain = tuple(fault for fault in faults if fault.mode != OUTSIDE)
        made = lower(vehicle, plain)
        return made if len(plain) == len(faults) else Outcome(damaged(made.value, self.words), made.problems)


def damaged(netlist: Netlist, words: Sequence[str]) -> Netlist:
    """The netlist with a damage in it."""
    by_id = netlist.element_by_id
    match words[0]:
        case "rectifies":
            joint = by_id[words[1]]
            assert isinstance(joint, Conductor)
            one, other = (joint.a, joint.b) if words[2] == "along" else (joint.b, joint.a)
            gone: dict[str, Element] = {joint.id: replace(joint, resistance_ohm=BACK_OHM)}
            more: tuple[Element, ...] = (
                Junction("damage", one, other, 1e-7, 0.0388, joint.resistance_ohm, joint.gates),
            )
        case "joins":
            gone = {}
            more = (Conductor("damage", int(words[1]), int(words[2]), float(words[3])),)
        case _:
            first, second = by_id[words[1]], by_id[words[2]]
            gone = {first.id: replace(first, b=second.b), second.id: replace(second, b=first.b)}
            more = ()
    return replace(netlist, elements=(*(gone.get(one.id, one) for one in netlist.elements), *more))


def drawn_damage(vehicle: Vehicle, condition: Condition, draw: random.Random) -> Damage | None:
    """A damage where it is not without effect in the sound vehicle; None where the draw meets none."""
    netlist = lower(vehicle).value
    point = run(netlist, condition).point

    def apart_v(one: int, other: int) -> float:
        across = point.across_v(one, other)
        return 0.0 if across is None else abs(across)

    kind = draw.choice(KINDS)
    match kind:
        case "rectifies":
            joints = [
                (name, ids[0])
                for name, ids in netlist.element_of.items()
                if name.startswith("contact ")
                and len(ids) == 1
                and isinstance(netlist.element_by_id[ids[0]], Conductor)
                and abs(point.current_a(ids[0])) > CARRIES_A
            ]
            if not joints:
                return None
            name, element = draw.choice(joints)
            way = draw.choice(("along", "against"))
            return Damage(kind, ("rectifies", element, way), name, _named(vehicle, (Fault("open", name),)))
        case "touches":
            one, other = draw.sample(vehicle.wires, 2)
            nodes = netlist.node_of[one.a], netlist.node_of[other.a]
            if nodes[0] == nodes[1] or apart_v(*nodes) < WORTH_V:
                return None
            return _joining(vehicle, kind, (one, other), nodes, _even(draw, TOUCHES_OHM))
        case "fitted":
            wire = draw.choice(vehicle.wires)
            nodes = netlist.node_of[wire.a], netlist.reference
            if nodes[0] == nodes[1] or apart_v(*nodes) < WORTH_V:
                return None
            return _joining(vehicle, kind, (wire,), nodes, _even(draw, FITTED_OHM))
        case "turns":
            some = [one.via for one in loads(vehicle) if len(netlist.element_of.get(one.via, ())) == 1]
            if not some:
                return None
            name = draw.choice(some)
            element = netlist.element_by_id[netlist.element_of[name][0]]
            if element.a == element.b or apart_v(element.a, element.b) < WORTH_V:
                return None
            ohm = _even(draw, TURNS_OHM) * vehicle.nominal_v / 12.0
            words = ("joins", str(element.a), str(element.b), repr(ohm))
            return Damage(kind, words, name, _named(vehicle, (Fault("open", name),)))
        case _:
            one, other = draw.sample(vehicle.wires, 2)
            first, second = (netlist.element_of.get(wire.id, ()) for wire in (one, other))
            if len(first) != 1 or len(second) != 1 or one.b.part == other.b.part:
                return None
            if one.loom != other.loom or apart_v(netlist.node_of[one.b], netlist.node_of[other.b]) < WORTH_V:
                return None
            faults = [Fault("open", name) for wire in (one, other) for name in (wire.id, f"contact {wire.b}")]
            return Damage(kind, ("crossed", first[0], second[0]), one.id, _named(vehicle, faults))


def _joining(
    vehicle: Vehicle, kind: str, wires: Sequence[Wire], nodes: tuple[int, int], ohm: float
) -> Damage:  # fmt: skip
    ends = [str(point) for wire in wires for point in (wire.a, wire.b)]
    faults = [Fault("short", end, to) for end in ends for to in (GROUND, SUPPLY)]
    faults += [Fault("short", one.id, other.id) for one in wires for other in wires if one is not other]
    words = ("joins", str(nodes[0]), str(nodes[1]), repr(ohm))
    return Damage(kind, words, wires[0].id, _named(vehicle, faults))


def _named(vehicle: Vehicle, faults: Sequence[Fault]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(group_of(vehicle, fault) for fault in faults))


def _even(draw: random.Random, span: tuple[float, float]) -> float:
    low, high = (math.log(ohm) for ohm in span)
    return float(f"{math.exp(draw.uniform(low, high)):.4g}")
