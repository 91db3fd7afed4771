"""What stays tied stiffly without some elements, by questions one at a time and by one walk, against components."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.sparse import coo_matrix
from scipy.sparse.csgraph import connected_components

from loombench.circuit.netlist import Battery, Conductor, Element, Filament, Junction
from loombench.circuit.network import Prepared, prepare
from loombench.circuit.tables import stiff
from loombench.circuit.tables.stiff import STIFF_OHM, Firm
from tests.circuit.test_solve_laws import netlists


def components(p: Prepared, without: list[int]) -> list[int]:
    """[nodes] a number for each piece that stiff elements make."""

    def ties(place: int, element: Element) -> bool:
        stiffly = isinstance(element, Battery | Filament) or (
            isinstance(element, Conductor) and element.resistance_ohm <= STIFF_OHM
        )
        return place not in without and stiffly and not isinstance(element, Junction)

    some = [(one.a, one.b) for place, one in enumerate(p.netlist.elements) if ties(place, one)]
    a, b = np.array(some, dtype=np.intp).reshape(-1, 2).T
    graph = coo_matrix((np.ones(len(a)), (a, b)), shape=(p.netlist.nodes, p.netlist.nodes))
    found: list[int] = connected_components(graph, directed=False)[1].tolist()
    return found


@pytest.mark.parametrize("walk_from", [-1, 10**9])
@given(data=st.data())
def test_what_stays_tied_is_what_is_one_piece(data: st.DataObject, walk_from: int) -> None:
    p = prepare(data.draw(netlists((-2.0, 3.0))))
    firm = Firm(p, np.ones(len(p.a), dtype=np.bool_))
    node, place = st.integers(0, p.netlist.nodes - 1), st.integers(0, len(p.a) - 1)
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(stiff, "_WALK_FROM", walk_from)
        for _ in range(5):
            one, other = data.draw(node), data.draw(node)
            loose = data.draw(st.lists(place, max_size=3))
            piece = components(p, loose)
            assert firm.ties(one, other, loose) == (piece[one] == piece[other])
