"""Hypothesis strategies and arrays for the tests of the linear kernel."""

from dataclasses import replace

import numpy as np
from hypothesis import strategies as st

from loombench.circuit.elimination import Plan, plan
from loombench.circuit.kernel import Factors, factor, solve
from loombench.circuit.loops import FloatArray
from tests.circuit.oracles import Network, union_find

# 1e-6 to 1e11 ohm.
closed_s = st.floats(-11.0, 6.0).map(lambda power: float(10.0**power))
conductances_s = st.just(0.0) | closed_s


@st.composite
def networks(draw: st.DrawFn, held: bool = True, currents_a: st.SearchStrategy[float] | None = None) -> Network:
    """Draw up to 14 nodes, with parallel edges, open ones and edges from a node to itself.

    Every island has a leak if `held`. Currents are zero or positive unless given otherwise.
    """
    nodes = draw(st.integers(1, 14))
    node = st.integers(0, nodes - 1)
    edges = tuple(draw(st.lists(st.tuples(node, node), max_size=3 * nodes)))
    given = tuple(draw(st.lists(conductances_s, min_size=len(edges), max_size=len(edges))))
    leak = draw(st.lists(conductances_s, min_size=nodes, max_size=nodes))
    if held:
        for k in set(union_find(nodes, edges, [g > 0.0 for g in given])):
            leak[k] = draw(closed_s)
    currents = st.just(0.0) | st.floats(1e-6, 1e3) if currents_a is None else currents_a
    return Network(nodes, edges, given, tuple(leak), tuple(draw(st.lists(currents, min_size=nodes, max_size=nodes))))


def factored(network: Network, last: tuple[int, ...] = ()) -> tuple[Plan, Factors]:
    """Plan and factor a network."""
    topology = plan(network.nodes, network.edges, last)
    return topology, factor(topology, np.array(network.conductance_s), np.array(network.leak_s))


def volts(network: Network, last: tuple[int, ...] = ()) -> FloatArray:
    """Solve a network."""
    return solve(*factored(network, last), np.array(network.current_a))


def fed(network: Network, current_a: FloatArray) -> Network:
    """Return the network with other currents."""
    return replace(network, current_a=tuple(current_a.tolist()))
