"""The symbolic plan: what an elimination order must satisfy, whatever order was chosen."""

import random
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from loombench.circuit.elimination import Plan, plan
from loombench.circuit.grown import MOST_NEW, grown


@st.composite
def topologies(draw: st.DrawFn) -> tuple[int, list[tuple[int, int]], list[int]]:
    nodes = draw(st.integers(1, 20))
    node = st.integers(0, nodes - 1)
    return nodes, draw(st.lists(st.tuples(node, node), max_size=50)), draw(st.lists(node, max_size=5))


def fill(nodes: int, edges: list[tuple[int, int]], order: list[int]) -> set[tuple[int, int]]:
    """Return the edges of the filled graph, by eliminating one node after the other."""
    near = {k: {b for a, b in (*edges, *(e[::-1] for e in edges)) if a == k != b} for k in range(nodes)}
    found = set()
    for k in order:
        found |= {(min(k, i), max(k, i)) for i in near[k]}
        for i in near[k]:
            near[i] = (near[i] | near[k]) - {i, k}
    return found


def arrays(made: Plan) -> list[bytes]:
    return [value.tobytes() for value in vars(made).values() if isinstance(value, np.ndarray)]


@given(topologies())
def test_slots_are_exactly_the_filled_graph_and_the_leaks(
    topology: tuple[int, list[tuple[int, int]], list[int]],
) -> None:
    nodes, edges, last = topology
    made = plan(nodes, edges, last)
    expected = fill(nodes, edges, made.order.tolist()) | {(k, nodes) for k in range(nodes)}
    assert sorted(map(tuple, made.slots.tolist())) == sorted(expected)


@given(topologies())
def test_every_edge_and_leak_finds_its_slot(topology: tuple[int, list[tuple[int, int]], list[int]]) -> None:
    nodes, edges, last = topology
    made = plan(nodes, edges, last)
    slots = made.slots.tolist()
    for (a, b), slot in zip(edges, made.edge_slot.tolist(), strict=True):
        assert slot == len(slots) if a == b else slots[slot] == sorted((a, b))
    assert [slots[slot] for slot in made.leak_slot.tolist()] == [[k, nodes] for k in range(nodes)]


@given(topologies())
def test_last_nodes_come_last(topology: tuple[int, list[tuple[int, int]], list[int]]) -> None:
    nodes, edges, last = topology
    made = plan(nodes, edges, last)
    assert sorted(made.order.tolist()) == list(range(nodes))
    assert made.order[made.position].tolist() == list(range(nodes))
    assert set(made.order[nodes - len(set(last)) :].tolist()) == set(last)


@given(topologies(), st.data())
def test_what_is_eliminated_before_the_core_never_needs_it_to_be_gone(
    topology: tuple[int, list[tuple[int, int]], list[int]], data: st.DataObject
) -> None:
    nodes, edges, last = topology
    core = data.draw(st.lists(st.integers(0, nodes - 1), min_size=1, max_size=4))
    made, plain = plan(nodes, edges, last, core), plan(nodes, edges, last)
    within = set(made.order[made.core_first :].tolist())
    assert {*core, *last} <= within
    assert set(made.order[nodes - len(set(last)) :].tolist()) == set(last)
    filled = fill(nodes, edges, made.order.tolist())
    assert filled == fill(nodes, edges, plain.order.tolist()), "putting the core last costs no fill"
    assert {tuple(slot) for slot in made.slots.tolist() if slot[1] < nodes} == filled
    assert made.core_first in {0, nodes, *(level.first for level in made.levels)}
    assert plain.core_first == nodes


@given(topologies())
def test_nodes_of_one_level_do_not_touch_and_levels_cover_everything_once(
    topology: tuple[int, list[tuple[int, int]], list[int]],
) -> None:
    nodes, edges, last = topology
    made = plan(nodes, edges, last)
    assert [made.levels[0].first, made.levels[-1].end] == [0, nodes]
    assert all(a.end == b.first and a.slot_end == b.slot_first for a, b in pairwise(made.levels))
    for level in made.levels:
        assert (made.row[level.slot_first : level.slot_end] >= level.end).all()
    assert sum(len(level.pull_share) for level in made.levels) == len(made.pull_share)
    assert sum(len(level.entry_column) for level in made.levels) == len(made.slots) - nodes


@given(topologies(), st.data())
def test_a_plan_that_has_grown_is_one_for_what_it_has_grown_to(
    topology: tuple[int, list[tuple[int, int]], list[int]], data: st.DataObject
) -> None:
    before, edges, _ = topology
    nodes = before + data.draw(st.integers(0, 3))
    node = st.integers(0, nodes - 1)
    wanted = [*edges, *data.draw(st.lists(st.tuples(node, node), max_size=5))]
    last, core = data.draw(st.integers(0, before - 1)), data.draw(st.lists(node, min_size=1, max_size=4))
    made = grown(plan(before, edges, [last], core[:1]) if core[0] < before else plan(before, edges, [last]), nodes,
                 np.array(wanted, dtype=np.intp).reshape(-1, 2), last, core)  # fmt: skip
    assert made is not None
    order = made.order.tolist()
    assert sorted(order) == list(range(nodes))
    assert order[-1] == last
    expected = fill(nodes, wanted, order) | {(k, nodes) for k in range(nodes)}
    assert sorted(map(tuple, made.slots.tolist())) == sorted(expected)
    assert {*core, last} <= set(order[made.core_first :])
    for level in made.levels:
        assert (made.row[level.slot_first : level.slot_end] >= level.end).all()
    for (a, b), slot in zip(wanted, made.edge_slot.tolist(), strict=True):
        assert slot == len(expected) if a == b else made.slots[slot].tolist() == sorted((a, b))


@given(topologies())
def test_no_plan_grows_by_much_or_to_another_last_node(topology: tuple[int, list[tuple[int, int]], list[int]]) -> None:
    nodes, edges, _ = topology
    known, ends = plan(nodes, edges, [0]), np.array(edges, dtype=np.intp).reshape(-1, 2)
    assert grown(known, nodes + MOST_NEW + 1, ends, 0, []) is None
    assert grown(known, nodes - 1, ends, 0, []) is None
    assert nodes == 1 or grown(known, nodes, ends, 1, []) is None


def test_the_last_node_stays_last_where_another_island_grows() -> None:
    made = grown(plan(4, [], [0], [0]), 4, np.array([[1, 2], [2, 3], [1, 3]]), 0, [1])
    assert made is not None
    assert made.order.tolist() == [1, 2, 3, 0]


def test_parallel_edges_share_a_slot() -> None:
    made = plan(3, [(0, 1), (1, 2), (1, 0)])
    assert made.edge_slot[0] == made.edge_slot[2] != made.edge_slot[1]


def test_the_same_arguments_give_the_same_plan() -> None:
    draw = random.Random(7)
    edges = [(draw.randrange(200), draw.randrange(200)) for _ in range(260)]
    first, again = plan(200, edges, [3, 5]), plan(200, list(edges), (3, 5))
    assert arrays(first) == arrays(again)
    assert len(first.levels) == len(again.levels)


@pytest.mark.parametrize("shuffled", [False, True])
def test_a_series_chain_needs_logarithmic_depth_and_no_fill_beyond_its_length(shuffled: bool) -> None:
    nodes = 4096
    names = list(range(nodes))
    if shuffled:
        random.Random(1).shuffle(names)
    made = plan(nodes, list(pairwise(names)))
    assert len(made.levels) <= 2 * 12
    assert len(made.slots) - nodes <= 2 * nodes


def test_no_nodes_and_no_edges() -> None:
    assert plan(0, []).levels == ()
    assert plan(2, []).slots.tolist() == [[0, 2], [1, 2]]


@pytest.mark.parametrize(("edges", "last"), [([(0, 3)], []), ([(-1, 0)], []), ([], [3]), ([], [-1])])
def test_node_numbers_outside_are_refused(edges: list[tuple[int, int]], last: list[int]) -> None:
    with pytest.raises(ValueError, match=r"0\.\.2"):
        plan(3, edges, last)
