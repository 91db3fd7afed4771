"""Figures of harnesses made by hand, counted by hand beside them."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from loombench.exchange.harness import CONNECTOR, OPEN_END, RING, SPLICE, Contact, Harness, Holder, Mating
from loombench.exchange.netcount import Counts, Nodes, count
from tests.exchange.assembly.harnesses import lamp_branch, wire


def test_the_lamp_branch() -> None:
    """Three nets by wires alone: post to box, box to splice to lamp, lamp to stud."""
    assert count(lamp_branch()) == Counts(4, 4, 1, 2, 1, 1, 1, 3, 3)


def test_an_empty_harness() -> None:
    assert count(Harness()) == Counts(0, 0, 0, 0, 0, 0, 0, 0, 0)


def test_a_bridge_terminal_joins_its_cavities_and_an_unused_contact_is_no_net() -> None:
    holders = (Holder("X1", CONNECTOR, cavities=("1", "2", "3")),)
    wires = (wire("1", "X1.1", "X2.1"), wire("2", "X1.2", "X3.1"))
    apart = Harness(holders=holders, wires=wires, contacts=(Contact("c", "X1", ("3",)),))
    assert (count(apart).nets, count(apart).largest_net) == (2, 2)
    bridged = replace(apart, contacts=(Contact("b", "X1", ("1", "2")),))
    assert (count(bridged).nets, count(bridged).largest_net) == (1, 4)


@pytest.mark.parametrize("kind", [SPLICE, RING])
def test_a_splice_or_ring_of_several_cavities_is_one_pin(kind: str) -> None:
    holders = (Holder("S1", kind, cavities=("1", "2")),)
    both = Harness(holders=holders, wires=(wire("1", "S1.1", "X2.1"), wire("2", "S1.2", "X3.1")))
    assert (count(both).nets, count(both).largest_net) == (1, 3)


def test_matings_join_and_open_ends_do_not() -> None:
    wires = (wire("1", "A.1", "X1.1"), wire("2", "X2.1", "B.1"), wire("3", "C.1", ""))
    harness = Harness(holders=(Holder("O", OPEN_END),), wires=wires)
    assert (count(harness).nets, count(harness).connectors) == (3, 1)
    assert count(harness).largest_net == 2
    mated = replace(harness, matings=(Mating("X1", "X2", (("1", "1"),)),))
    assert (count(mated).nets, count(mated).largest_net) == (2, 4)


@given(st.lists(st.tuples(st.integers(0, 30), st.integers(0, 30)), max_size=60))
def test_groups_are_those_of_a_search(pairs: list[tuple[int, int]]) -> None:
    nodes = Nodes()
    for one, other in pairs:
        nodes.join(one, other)
    near = {node: {node} for node in range(31)}
    for _ in range(31):
        for one, other in pairs:
            near[one] |= near[other]
            near[other] |= near[one]
    grown = [frozenset.union(*(frozenset(near[at]) for at in near[node])) for node in near]
    for node in range(31):
        for other in range(31):
            assert (nodes.find(node) == nodes.find(other)) == (other in grown[node])
