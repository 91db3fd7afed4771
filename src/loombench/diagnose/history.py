"""What was told of a vehicle's history as weights: it moves where to look first, and excludes nothing."""

import numpy as np
import numpy.typing as npt

from loombench.circuit.fault import Fault
from loombench.diagnose.bench import Bench
from loombench.diagnose.observation import Told
from loombench.diagnose.place import place_of_part, suspect_places, suspect_surroundings
from loombench.diagnose.suspect import kind_of, other_point, part_of, point_of
from loombench.facts.history import history_factor
from loombench.vehicle.model import Vehicle
from loombench.vehicle.points import WIRE

FloatArray = npt.NDArray[np.float64]


def history_weights(bench: Bench, told: Told) -> FloatArray:
    """[hypotheses] by what the weight of each is multiplied; 1 for those that are no fault, and for what was put right
    before."""
    vehicle = bench.vehicle
    weights = np.ones(len(bench.hypotheses.members))
    for number, member in enumerate(bench.hypotheses.members):
        for fault in member.faults:
            near = at(vehicle, fault, told.where) if told.where else None
            surroundings = suspect_surroundings(vehicle, fault)
            weights[number] *= history_factor(told.word, kind_of(vehicle, fault), fault.mode, surroundings, near)
    return np.where(bench.hypotheses.repaired(told.repaired), 1.0, weights)


def at(vehicle: Vehicle, fault: Fault, where: str) -> bool:
    """Whether a fault is at a place, in a loom, or at or in a part."""
    if where in suspect_places(vehicle, fault):
        return True
    part = part_of(vehicle, fault)
    if part is not None and where in (part.id, part.holder, place_of_part(vehicle, part.id)):
        return True
    for name in (fault.target, fault.to):
        wire = vehicle.wire_by_id.get(name)
        if wire is not None and where in (wire.id, wire.loom, *wire.via, wire.a.part, wire.b.part):
            return True
    for point in (point_of(fault), other_point(fault)):
        joined = vehicle.wires_at.get(point.at(WIRE), ()) if point is not None else ()
        if point is not None and (where == point.part or any(where in (one.loom, *one.via) for one in joined)):
            return True
    return False
