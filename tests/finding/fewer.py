"""A bench whose catalogue is cut down, so that a whole case is computed in seconds."""

from collections.abc import Callable

import pytest

from loombench.app import case
from loombench.app.case import bench_for
from loombench.circuit.catalogue import single_faults
from loombench.circuit.fault import Fault
from loombench.diagnose.bench import Bench
from loombench.vehicle.model import Vehicle


def bench_of(vehicle: Vehicle, keep: Callable[[Fault], bool]) -> Bench:
    """What cases stand on, with the faults of the catalogue that are kept."""
    some = tuple(fault for fault in single_faults(vehicle) if keep(fault))
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(case, "single_faults", lambda _vehicle: some)
        made = bench_for(vehicle)
    assert len(made.hypotheses.faults) <= 1 + 8 * len(some)
    return made
