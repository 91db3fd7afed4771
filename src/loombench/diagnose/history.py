"""What was told of a vehicle's history as weights: it moves where to look first, and excludes nothing."""

import numpy as np
import numpy.typing as npt

from loombench.circuit.fault import Fault
from loombench.diagnose.bench import Bench
from loombench.diagnose.observation import Told
from loombench.diagnose.place import named_at, suspect_surroundings
from loombench.diagnose.suspect import kind_of
from loombench.facts.history import history_factor
from loombench.vehicle.model import Vehicle

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
    return where in named_at(vehicle, fault)
