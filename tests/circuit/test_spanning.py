"""Only ways between parts of random networks, against taking each element out; and the loop against the reference."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from loombench.circuit.loops import OneByOne
from loombench.circuit.tables import spanning
from loombench.circuit.tables.spanning import Bridges, bridges
from tests.circuit.oracles import union_find
from tests.circuit.test_kernel import LOOPS


def found_by(loops: OneByOne | None, nodes: int, edges: np.ndarray, closed: np.ndarray) -> Bridges:
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(spanning, "compiled_from", lambda _: loops)
        return bridges(nodes, np.ascontiguousarray(edges[:, 0]), np.ascontiguousarray(edges[:, 1]), closed)


@given(st.integers(1, 12), st.data())
def test_an_only_way_is_what_parts_an_island_when_it_is_taken_out(nodes: int, data: st.DataObject) -> None:
    node = st.integers(0, nodes - 1)
    edges = data.draw(st.lists(st.tuples(node, node), max_size=20))
    closed = data.draw(st.lists(st.booleans(), min_size=len(edges), max_size=len(edges)))
    pairs, there = np.array(edges, dtype=np.intp).reshape(-1, 2), np.array(closed, dtype=np.bool_)
    one, other = found_by(None, nodes, pairs, there), found_by(LOOPS, nodes, pairs, there)
    for part in ("first", "last", "behind"):
        np.testing.assert_array_equal(getattr(one, part), getattr(other, part))
    whole = np.array(union_find(nodes, edges, closed))
    for element in range(len(edges)):
        without = [is_closed and k != element for k, is_closed in enumerate(closed)]
        island = np.array(union_find(nodes, edges, without))
        parts = not np.array_equal(island, whole)
        assert (one.behind[element] >= 0) == parts
        if parts:
            far = one.beyond(element, np.arange(nodes))
            assert (far == (island == island[one.behind[element]])).all()
