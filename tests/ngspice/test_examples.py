"""A sample of states of every example vehicle, healthy and faulted; ngspice moves its own relays and fuses.

ngspice walks a whole vehicle through its operations in seconds to minutes, so of a large one there are few states, with
few operations, and it may give up in some of them (its step gets too small where contacts flash). More states:
`python benchmarks/accuracy.py`.
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
LARGE_NODES, LARGE_STATES, LARGE_FAULTED, LARGE_OPERATIONS = 1500, 3, 1, 3
LARGE_UNANSWERED, PATIENCE_S = 2, 240.0


@pytest.mark.parametrize("file", files())
def test_states_and_faults(file: str) -> None:
    vehicle = load(file)
    netlist = lower(vehicle).value
    draw = random.Random(SEED)
    everything = states(netlist, SEED, 20)
    count, count_faulted = STATES, FAULTED
    if netlist.nodes > LARGE_NODES:
        count, count_faulted = LARGE_STATES, LARGE_FAULTED
        everything = tuple(one for one in everything if len(one.condition.operations) <= LARGE_OPERATIONS)
    healthy, faulted = Comparison(), Comparison(absolute_v=FAULTED_V)
    with Spice(PATIENCE_S) as spice:
        for state in draw.sample(everything, min(count, len(everything))):
            healthy.add(compare(spice, netlist, state.condition))
        for fault in draw.sample(single_faults(vehicle), count_faulted):
            condition = draw.choice(everything).condition
            faulted.add(compare(spice, lower(vehicle, (fault,)).value, condition, FAULTED_V))
    misses = healthy.misses + faulted.misses
    unanswered = [miss for miss in misses if (miss.kind, miss.where) == ("judge", "no answer")]
    assert [miss for miss in misses if miss not in unanswered] == []
    assert len(unanswered) <= (LARGE_UNANSWERED if netlist.nodes > LARGE_NODES else 0)
    assert healthy.nodes > 100
