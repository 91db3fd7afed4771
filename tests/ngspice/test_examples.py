"""A sample of states of every example vehicle, healthy and faulted; ngspice moves its own relays and fuses.

All states: `python benchmarks/accuracy.py`.
"""

import random

import pytest

from benchmarks.accuracy import FAULTED_V, files, load
from benchmarks.states import states
from loombench.circuit.catalogue import single_faults
from loombench.circuit.lower import lower
from tests.ngspice.compare import Comparison, compare
from tests.ngspice.driver import Spice

pytestmark = pytest.mark.ngspice
SEED, STATES, FAULTED = 7, 10, 2


@pytest.mark.parametrize("file", files())
def test_states_and_faults(file: str) -> None:
    vehicle = load(file)
    netlist = lower(vehicle).value
    draw = random.Random(SEED)
    everything = states(netlist, SEED, 20)
    healthy, faulted = Comparison(), Comparison(absolute_v=FAULTED_V)
    with Spice() as spice:
        for state in draw.sample(everything, min(STATES, len(everything))):
            healthy.add(compare(spice, netlist, state.condition))
        for fault in draw.sample(single_faults(vehicle), FAULTED):
            condition = draw.choice(everything).condition
            faulted.add(compare(spice, lower(vehicle, (fault,)).value, condition, FAULTED_V))
    assert healthy.misses == []
    assert faulted.misses == []
    assert healthy.nodes > 100
