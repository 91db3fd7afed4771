"""A network brought down to its core answers as the whole network does, against exact rationals too."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from loombench.circuit import core as core_module
from loombench.circuit.core import Core, core_of, reduced
from loombench.circuit.elimination import Plan, plan
from loombench.circuit.kernel import factor, solve
from loombench.circuit.loops import BY_LEVEL, FloatArray, Loops
from tests.circuit.networks import networks
from tests.circuit.oracles import Network, contributions, error_of
from tests.circuit.test_kernel import LOOPS, ROUNDING, STIFF

Split = tuple[Network, list[int]]


@st.composite
def splits(draw: st.DrawFn) -> Split:
    """A network, and which of its edges are the elements."""
    network = draw(networks())
    places = st.integers(0, max(len(network.edges) - 1, 0))
    return network, sorted(set(draw(st.lists(places, max_size=5)))) if network.edges else []


def prepared(split: Split) -> tuple[Plan, Core]:
    network, elements = split
    ends = np.array([network.edges[k] for k in elements], dtype=np.intp).reshape(-1, 2)
    made = plan(network.nodes, network.edges, (0,), [0, *ends.ravel().tolist()])
    core = core_of(made, ends)
    assert core is not None
    return made, core


def by_core(split: Split, made: Plan, core: Core, current_a: FloatArray) -> FloatArray:
    network, elements = split
    given_s = np.array(network.conductance_s)
    fixed_s = given_s.copy()
    fixed_s[elements] = 0.0
    rest = reduced(made, core, fixed_s, np.array(network.leak_s))
    left_a, brought_a = rest.passed_on(current_a)
    conductance_s = rest.conductance_s
    conductance_s[len(core.between) :] = given_s[elements]
    core_v = solve(core.plan, factor(core.plan, conductance_s, rest.leak_s), brought_a)
    return rest.volts(left_a, core_v)


@given(splits())
def test_the_core_with_its_elements_against_exact_rationals(split: Split) -> None:
    network, _ = split
    made, core = prepared(split)
    found = by_core(split, made, core, np.array(network.current_a))
    assert error_of(found, *contributions(network)) < STIFF


@given(splits())
def test_what_ports_are_shown_alone_and_by_the_core_adds_up_to_the_whole(split: Split) -> None:
    """Volts at a node are those of the rest alone and what the core's volts bring there, which is by reciprocity what
    a current there brings to the core."""
    network, elements = split
    made, core = prepared(split)
    given_s, unit = np.array(network.conductance_s), np.eye(network.nodes)
    whole = solve(made, factor(made, given_s, np.array(network.leak_s)), unit)
    given_s[elements] = 0.0
    rest = reduced(made, core, given_s, np.array(network.leak_s))
    left_a, brought_a = rest.passed_on(unit)
    conductance_s = rest.conductance_s
    conductance_s[len(core.between) :] = np.array(network.conductance_s)[elements]
    core_v = solve(core.plan, factor(core.plan, conductance_s, rest.leak_s), brought_a)
    found = left_a.T @ rest.alone_v(left_a) + brought_a.T @ core_v
    assert np.all(np.abs(found - whole) <= ROUNDING * np.abs(whole) + 1e-300)


@given(splits(), st.data())
def test_a_known_core_takes_other_elements_between_its_nodes(split: Split, data: st.DataObject) -> None:
    network, _ = split
    made, core = prepared(split)
    inside = made.order[made.core_first :].tolist()
    pairs = [edge for edge in network.edges if set(edge) <= set(inside)]
    if not pairs:
        return
    chosen = data.draw(st.lists(st.sampled_from(pairs), max_size=4))
    ends = np.array(chosen, dtype=np.intp).reshape(-1, 2)
    again, anew = core_of(made, ends, core), core_of(made, ends)
    assert again is not None
    assert anew is not None
    np.testing.assert_array_equal(again.plan.order, core.plan.order)
    assert again.plan.edges == anew.plan.edges == len(core.between) + len(chosen)
    np.testing.assert_array_equal(again.a, made.position[ends[:, 0]] - core.first)


def test_an_element_outside_of_the_core_is_none_for_it() -> None:
    made = plan(4, [(0, 1), (1, 2), (2, 3)], (0,), [0])
    assert core_of(made, np.array([[0, 0]])) is not None
    outside = made.order[0]
    assert core_of(made, np.array([[0, outside]])) is None


@given(splits())
def test_compiled_loops_and_reference_bring_the_same_bits_to_the_core(split: Split) -> None:
    network, _ = split
    made, core = prepared(split)
    table = np.stack((network.current_a, network.leak_s), axis=1)
    found = []
    for loops in (BY_LEVEL, LOOPS):
        with pytest.MonkeyPatch.context() as patch:
            patch.setattr(core_module, "loops_for", _always(loops))
            rest = reduced(made, core, np.array(network.conductance_s), np.array(network.leak_s))
            left, brought = rest.passed_on(table)
            one, _ = rest.passed_on(table[:, 0])
            volts = rest.volts(one, np.arange(made.nodes - core.first, dtype=float))
        whole = (rest.conductance_s, rest.leak_s, rest.share[: core.first_slot], rest.total_s, left, brought, volts)
        found.append(b"".join(array.tobytes() for array in whole))
    assert found[0] == found[1]


def _always(loops: Loops) -> object:
    return lambda _: loops
