"""The lists of states hold what they say: every position of a function, every pair across them."""

import itertools
import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from benchmarks.accuracy import files, load
from benchmarks.states import MOST_IN_FULL, controls, enumerated, functions, histories, paired, pairwise
from loombench.circuit.lower import lower
from loombench.vehicle.condition import Condition
from tests.ngspice.compare import steps_of

VALUES = st.dictionaries(
    st.sampled_from("abcdefg"), st.lists(st.sampled_from("0123"), min_size=1, max_size=4, unique=True), min_size=1
)


@given(VALUES)
@settings(deadline=None, derandomize=True)
def test_every_pair_occurs(values: dict[str, list[str]]) -> None:
    rows = pairwise(values)
    for a, b in itertools.combinations(values, 2):
        assert {(row[a], row[b]) for row in rows} == set(itertools.product(values[a], values[b]))
    for name, states in values.items():
        assert {row[name] for row in rows} == set(states)
    assert pairwise(values) == rows


@pytest.mark.parametrize("file", files())
def test_every_position_of_a_function_occurs(file: str) -> None:
    """A function with too many positions to solve them all has each pair of them."""
    netlist = lower(load(file)).value
    by_name = {variable.name: variable for variable in controls(netlist)}
    rest = {name: variable.rest for name, variable in by_name.items()}

    def reached(condition: Condition) -> dict[str, str]:
        return {**rest, **{name: value for step in steps_of(netlist, condition) for name, value in step.items()}}

    full = [reached(condition) for condition in enumerated(netlist)]
    for group in functions(netlist):
        together = len(group) if math.prod(len(by_name[name].states) for name in group) <= MOST_IN_FULL else 2
        for names in itertools.combinations(group, together):
            found = {tuple(state[name] for name in names) for state in full}
            assert found >= set(itertools.product(*(by_name[name].states for name in names)))
    assert {name for group in functions(netlist) for name in group} | {"engine"} == set(by_name) | {"engine"}
    pairs = [reached(condition) for condition in paired(netlist)]
    for a, b in itertools.combinations(by_name, 2):
        wanted = set(itertools.product(by_name[a].states, by_name[b].states))
        assert {(state[a], state[b]) for state in pairs} == wanted


def test_histories_are_the_same_for_the_same_seed() -> None:
    netlist = lower(load(files()[0])).value
    assert histories(netlist, 3, 5) == histories(netlist, 3, 5) != histories(netlist, 4, 5)
