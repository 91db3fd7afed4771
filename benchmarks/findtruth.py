"""Cases whose truth is a vehicle in ngspice (`spicevehicle`): drawn by seed, seen to be complained of, then fixed.

Nine in ten are faults of the catalogue with ohm values of their own, one in ten is a damage that it does not have: a
joint that conducts one way only, two wires that touch, something fitted to a wire, a load with shorted turns.
"""

import math
import random
from collections.abc import Iterator, Mapping
from dataclasses import replace

from benchmarks.findcases import Spec, drawn, load, spec_of
from benchmarks.spicevehicle import SpiceVehicle, loads_of
from loombench.app.practice import usual_conditions
from loombench.circuit.fault import Fault
from loombench.circuit.lower import lower
from loombench.circuit.netlist import Conductor, Netlist
from loombench.diagnose.suspect import group_of
from loombench.evidence.complaint import Complaint
from loombench.vehicle.condition import Condition
from loombench.vehicle.model import Vehicle
from tests.ngspice.driver import Spice, SpiceError

OUTSIDE_SHARE = 0.1
OFF_BELOW, ON_ABOVE = 0.15, 0.9
CARRIES_A, WORTH_V = 0.05, 1.0
TRIES = 40


def truth_vehicle(vehicle: Vehicle, spice: Spice, spec: Spec) -> SpiceVehicle:
    """The vehicle of a case."""
    hidden = None if spec.outside else spec.hidden
    return SpiceVehicle(vehicle, spice, hidden, spec.outside, cures_of(vehicle, spec), spec.seed)


def cures_of(vehicle: Vehicle, spec: Spec) -> frozenset[str]:
    """The suspects that name the damaged place."""
    if spec.outside:
        return frozenset(spec.outside[3 if spec.outside[0] == "rectifies" else 4 :])
    return frozenset((group_of(vehicle, spec.hidden),))


def drawn_truth(file: str, seed: int, most: int, spice: Spice) -> Iterator[Spec]:
    """Up to `most` cases of a vehicle of which ngspice says, too, that there is something to complain of."""
    vehicle = load(file)
    outside = max(round(most * OUTSIDE_SHARE), 1) if most > 1 else 0
    count = 0
    for spec in drawn(file, seed, None):
        if count >= most - outside:
            break
        seen = _complained(truth_vehicle(vehicle, spice, spec), spec.complaint.condition, spec.target)
        if seen is not None:
            count += 1
            yield replace(spec, name=f"{file} truth {count}", symptom=seen[1])
    draw = random.Random(f"outside {seed} {file}")
    count = 0
    netlist = lower(vehicle).value
    usual = [one for one in usual_conditions(vehicle) if one.operations]
    for _ in range(TRIES * outside if usual else 0):
        if count >= outside:
            return
        condition = draw.choice(usual)
        damage = _damage(vehicle, netlist, draw, _sound_volts(vehicle, spice, condition))
        if damage is None:
            continue
        blank = spec_of("", "outside", file, Fault("outside", ""), Complaint("", "dead", condition, ""), 0)
        spec = replace(blank, name=f"{file} outside {count + 1}", outside=damage, seed=draw.randrange(1 << 30))
        seen = _complained(truth_vehicle(vehicle, spice, spec), condition, "")
        if seen is not None:
            count += 1
            yield replace(spec, target=seen[0], symptom=seen[1])


def _complained(truth: SpiceVehicle, condition: Condition, load_name: str) -> tuple[str, str] | None:
    """The load, the one named or else the first, that does not do as it should, and how; None where all do."""
    try:
        sound = truth.effects(False, condition)
        truth.effects(True, condition)
    except SpiceError:
        return None
    for name, share in sound.items():
        if load_name not in ("", name):
            continue
        word = truth.word(name, condition, True)
        if share > ON_ABOVE and word != "works":
            return name, word
        if share < OFF_BELOW and word == "works":
            return name, "always-on"
    return None


def _sound_volts(vehicle: Vehicle, spice: Spice, condition: Condition) -> Mapping[str, float]:
    """Node volts of a sound vehicle, so that no damage is tried where nothing would come of it; empty: no answer."""
    try:
        return SpiceVehicle(vehicle, spice, None, (), frozenset(), 0).phases(False, condition)[0].near
    except SpiceError:
        return {}


def _damage(
    vehicle: Vehicle, netlist: Netlist, draw: random.Random, sound: Mapping[str, float]
) -> tuple[str, ...] | None:
    def apart_v(a: int, b: int) -> float:
        one, other = (0.0 if node == netlist.reference else sound.get(f"n{node}", 0.0) for node in (a, b))
        return abs(one - other)

    match draw.choice(("rectifies", "touches", "fitted", "turns")):
        case "rectifies":
            carrying = [
                (name, ids)
                for name, ids in netlist.element_of.items()
                if name.startswith("contact ") and ids and isinstance(joint := netlist.element_by_id[ids[0]], Conductor)
                if apart_v(joint.a, joint.b) > CARRIES_A * joint.resistance_ohm
            ]
            if not carrying:
                return None
            name, ids = draw.choice(carrying)
            way = draw.choice(("along", "against"))
            return ("rectifies", ids[0], way, group_of(vehicle, Fault("open", name)))
        case "touches":
            one, other = draw.sample(vehicle.wires, 2)
            if one.loom != other.loom:
                return None
            if apart_v(netlist.node_of[one.a], netlist.node_of[other.a]) < WORTH_V:
                return None
            return _joins(vehicle, netlist, (str(one.a), str(other.a)), _even(draw, 0.05, 5.0))
        case "fitted":
            point = draw.choice(vehicle.wires).a
            if apart_v(netlist.node_of[point], netlist.reference) < WORTH_V:
                return None
            return _joins(vehicle, netlist, (str(point),), _even(draw, 0.3, 6.0))
        case _:
            name, rated_v, _, ids = draw.choice(loads_of(vehicle, netlist))
            known = [netlist.element_by_id[one] for one in ids if one in netlist.element_by_id]
            if not known or apart_v(known[0].a, known[0].b) < WORTH_V:
                return None
            ohm = _even(draw, 0.05, 0.5) * rated_v / 12.0
            ends = (str(known[0].a), str(known[0].b))
            return ("joins", *ends, repr(ohm), group_of(vehicle, Fault("open", name)))


def _joins(vehicle: Vehicle, netlist: Netlist, points: tuple[str, ...], ohm: float) -> tuple[str, ...] | None:
    """From a point to another, or to battery minus."""
    known = {str(point): node for point, node in netlist.node_of.items()}
    if any(name not in known for name in points):
        return None
    nodes = [known[name] for name in points] + [netlist.reference] * (2 - len(points))
    if nodes[0] == nodes[1]:
        return None
    cures = (group_of(vehicle, Fault("short", name, "ground")) for name in points)
    return ("joins", str(nodes[0]), str(nodes[1]), repr(ohm), *dict.fromkeys(cures))


def _even(draw: random.Random, low: float, high: float) -> float:
    return float(f"{math.exp(draw.uniform(math.log(low), math.log(high))):.4g}")
