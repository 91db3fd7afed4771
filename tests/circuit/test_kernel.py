"""The linear kernel against exact rationals, dense LU, union-find and the laws of resistor networks."""

import random
import subprocess
import sys
from dataclasses import replace
from importlib.util import find_spec

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from loombench.circuit import loops
from loombench.circuit.bare import laws, newton, respond, sums, walk, whole
from loombench.circuit.elimination import Plan, plan
from loombench.circuit.kernel import Factors, factor, islands, solve
from loombench.circuit.loops import FloatArray
from tests.circuit.networks import closed_s, factored, fed, networks, volts
from tests.circuit.oracles import (
    Network,
    contributions,
    dense_solve,
    error_of,
    exact_solve,
    stiff_network,
    union_find,
)

# Measured below 1e-15; the bound is the one the product promises.
STIFF = 1e-12
# Rounding of a few dozen operations on positive numbers.
ROUNDING = 1e-13


@pytest.mark.parametrize("seed", range(60))
def test_stiff_networks_against_exact_rationals(seed: int) -> None:
    """1e-6 to 1e11 ohm, relative to the sum of contributions."""
    network = stiff_network(random.Random(seed))
    assert error_of(volts(network), *contributions(network)) < STIFF


@given(networks(currents_a=st.just(0.0) | st.floats(-1e3, 1e3).filter(lambda i: abs(i) > 1e-6)))
def test_small_networks_against_exact_rationals(network: Network) -> None:
    assert error_of(volts(network), *contributions(network)) < STIFF


def test_the_exact_judge_can_fail() -> None:
    network = stiff_network(random.Random(0))
    exact, scale = contributions(network)
    assert error_of(volts(network) * (1.0 + 1e-11), exact, scale) > STIFF


def test_voltage_divider_by_hand() -> None:
    """12 V behind 1 ohm (Norton 12 A, 1 S), then 2 ohm and 3 ohm to reference: 2 A flow, 10 V and 6 V."""
    network = Network(2, ((0, 1),), (1 / 2,), (1.0, 1 / 3), (12.0, 0.0))
    np.testing.assert_allclose(volts(network), [10.0, 6.0], rtol=1e-15)


def test_balanced_bridge_by_hand() -> None:
    """Wheatstone bridge 1:2 = 10:20, fed with 11 A: no current in the detector, whatever its resistance."""
    edges = ((0, 1), (0, 2), (1, 2), (1, 3), (2, 3))
    network = Network(4, edges, (1.0, 0.1, 1e6, 0.5, 0.05), (0.0, 0.0, 0.0, 1e6), (11.0, 0.0, 0.0, 0.0))
    found = volts(network)
    # The two arms: 3 ohm beside 30 ohm is 30/11 ohm, so 30 V over 11e-6 V at the bottom; a third of it is dropped.
    np.testing.assert_allclose(found, [30.000011, 20.000011, 20.000011, 0.000011], rtol=1e-14)


def test_benign_networks_against_dense_lu() -> None:
    draw = np.random.default_rng(3)
    for nodes in (1, 2, 30, 200):
        edges = [(int(a), int(b)) for a, b in draw.integers(0, nodes, (2 * nodes, 2))]
        conductance, leak = draw.uniform(0.5, 2.0, len(edges)), draw.uniform(0.1, 1.0, nodes)
        current = draw.normal(size=nodes)
        made = plan(nodes, edges)
        found = solve(made, factor(made, conductance, leak), current)
        expected = dense_solve(nodes, edges, conductance.tolist(), leak.tolist(), current.tolist())
        np.testing.assert_allclose(found, expected, rtol=1e-11, atol=1e-12)


@given(networks(), st.data())
def test_reciprocity(network: Network, data: st.DataObject) -> None:
    """One ampere into a gives at b what one ampere into b gives at a."""
    a, b = (data.draw(st.integers(0, network.nodes - 1)) for _ in range(2))
    unit = np.eye(network.nodes)
    made, factors = factored(network)
    table = solve(made, factors, unit[:, [a, b]])
    assert table[b, 0] == pytest.approx(table[a, 1], rel=ROUNDING, abs=0.0)


@given(networks())
def test_no_node_is_below_reference_or_above_every_fed_node(network: Network) -> None:
    found = volts(network)
    assert (found >= 0.0).all()
    fed_nodes = [k for k, i in enumerate(network.current_a) if i > 0.0]
    highest = max((found[k] for k in fed_nodes), default=0.0)
    assert found.max() <= highest * (1.0 + ROUNDING)


@given(networks(), st.data())
def test_more_current_or_less_leak_lowers_no_voltage(network: Network, data: st.DataObject) -> None:
    k = data.draw(st.integers(0, network.nodes - 1))
    more = np.array(network.current_a)
    more[k] += data.draw(st.floats(1e-6, 1e3))
    leak = list(network.leak_s)
    leak[k] *= data.draw(st.floats(0.1, 1.0))
    before = volts(network) * (1.0 - ROUNDING)
    assert (volts(fed(network, more)) >= before).all()
    assert (volts(replace(network, leak_s=tuple(leak))) >= before).all()


@given(networks(), st.data())
def test_a_further_path_raises_no_self_resistance(network: Network, data: st.DataObject) -> None:
    """Rayleigh's monotonicity law."""
    a, b = (data.draw(st.integers(0, network.nodes - 1)) for _ in range(2))
    bridged = replace(
        network, edges=(*network.edges, (a, b)), conductance_s=(*network.conductance_s, data.draw(closed_s))
    )
    unit = np.eye(network.nodes)
    before, after = (np.diag(solve(*factored(n), unit)) for n in (network, bridged))
    assert (after <= before * (1.0 + ROUNDING)).all()


@given(networks(), st.data())
def test_numbering_does_not_matter(network: Network, data: st.DataObject) -> None:
    names = np.array(data.draw(st.permutations(range(network.nodes))))
    old = np.argsort(names)
    renamed = Network(
        network.nodes,
        tuple((int(names[a]), int(names[b])) for a, b in network.edges),
        network.conductance_s,
        tuple(network.leak_s[k] for k in old),
        tuple(network.current_a[k] for k in old),
    )
    np.testing.assert_allclose(volts(renamed)[names], volts(network), rtol=ROUNDING)


@given(networks(), st.data())
def test_eliminating_some_nodes_last_does_not_matter(network: Network, data: st.DataObject) -> None:
    last = tuple(data.draw(st.lists(st.integers(0, network.nodes - 1), max_size=4)))
    np.testing.assert_allclose(volts(network, last), volts(network), rtol=ROUNDING)


@given(networks())
def test_currents_add_up_at_every_node(network: Network) -> None:
    """What is fed in leaves through edges and leak, relative to the sum of the magnitudes that meet there."""
    found = volts(network)
    balance, magnitude = -np.array(network.current_a), np.array(network.current_a)
    leaving = found * np.array(network.leak_s)
    balance, magnitude = balance + leaving, magnitude + leaving
    for (a, b), g in zip(network.edges, network.conductance_s, strict=True):
        for near, far in ((a, b), (b, a)):
            balance[near] += g * (found[near] - found[far])
            magnitude[near] += g * (found[near] + found[far])
    assert (np.abs(balance) <= ROUNDING * magnitude).all()


@given(networks())
def test_the_current_out_of_reference_is_the_current_fed_in(network: Network) -> None:
    """Unlike the balance at one node this is a sum of positive terms, so it holds to rounding."""
    found = volts(network)
    assert float(found @ np.array(network.leak_s)) == pytest.approx(sum(network.current_a), rel=ROUNDING)


@given(networks())
def test_shares_of_a_column_add_up_to_one(network: Network) -> None:
    made, factors = factored(network)
    sums = np.add.reduceat(factors.share, made.column_start[:-1])
    np.testing.assert_allclose(sums, 1.0, rtol=1e-14)
    assert (factors.share >= 0.0).all()


@given(networks(), st.integers(0, 4))
def test_several_right_hand_sides_give_the_same_bits_as_one_by_one(network: Network, columns: int) -> None:
    made, factors = factored(network)
    table = np.random.default_rng(columns).normal(size=(network.nodes, columns))
    together = solve(made, factors, table)
    assert together.shape == table.shape
    for j in range(columns):
        assert together[:, j].tobytes() == solve(made, factors, table[:, j]).tobytes()


@given(networks(held=False))
def test_loose_islands_are_named_and_held_at_zero(network: Network) -> None:
    made, factors = factored(network)
    label = union_find(network.nodes, network.edges, [g > 0.0 for g in network.conductance_s])
    without = set(label) - {label[k] for k, leak in enumerate(network.leak_s) if leak > 0.0}
    loose = factors.loose(made).tolist()
    assert sorted(label[k] for k in loose) == sorted(without)
    found = solve(made, factors, np.zeros(network.nodes))
    assert not found.any()
    driven = solve(made, factors, np.array(network.current_a))
    assert np.isfinite(driven).all()
    assert not driven[loose].any()


def test_a_loose_island_shows_its_voltage_differences() -> None:
    """1 A in at one end and out at the other of 2 ohm, connected to nothing else; node 2 is alone."""
    found = volts(Network(3, ((0, 1),), (0.5,), (0.0, 0.0, 0.0), (1.0, -1.0, 0.0)))
    assert found[0] - found[1] == 2.0
    assert found[2] == 0.0


def test_neither_call_changes_its_arguments() -> None:
    network = stiff_network(random.Random(5))
    made = plan(network.nodes, network.edges)
    given = [np.array(values) for values in (network.conductance_s, network.leak_s, network.current_a)]
    kept = [values.copy() for values in given]
    factors = factor(made, given[0], given[1])
    first = solve(made, factors, given[2])
    assert first.tobytes() == solve(made, factors, given[2]).tobytes()
    assert all(np.array_equal(a, b) for a, b in zip(given, kept, strict=True))


def test_the_same_network_gives_the_same_bits() -> None:
    network = stiff_network(random.Random(6))
    assert volts(network).tobytes() == volts(network).tobytes()


@pytest.mark.parametrize("value", [-1e-12, np.nan, np.inf])
@pytest.mark.parametrize("where", ["conductance", "leak"])
def test_impossible_values_are_refused(value: float, where: str) -> None:
    given = {"conductance": np.ones(2), "leak": np.ones(3)}
    given[where][1] = value
    with pytest.raises(ValueError, match="finite and not negative"):
        factor(plan(3, [(0, 1), (1, 2)]), given["conductance"], given["leak"])


def test_wrong_shapes_are_refused() -> None:
    made = plan(3, [(0, 1), (1, 2)])
    for conductance, leak in ((1, 3), (2, 2), (3, 3)):
        with pytest.raises(ValueError, match="expected 2 conductances and 3 leaks"):
            factor(made, np.ones(conductance), np.ones(leak))
    factors = factor(made, np.ones(2), np.ones(3))
    for shape in ((2,), (3, 1, 1), ()):
        with pytest.raises(ValueError, match="expected currents for 3 nodes"):
            solve(made, factors, np.ones(shape))


def test_no_nodes_at_all() -> None:
    made = plan(0, [])
    assert solve(made, factor(made, np.empty(0), np.empty(0)), np.empty(0)).shape == (0,)


LOOPS = loops.OneByOne(
    sums.factor_loop,
    sums.forward_loop,
    sums.forward_many_loop,
    sums.backward_loop,
    sums.backward_many_loop,
    sums.columns_loop,
    sums.islands_loop,
    walk.bridges_loop,
    laws.tangents_loop,
    respond.respond_loop,
    newton.newton_loop,
    whole.whole_loop,
)


@given(st.integers(1, 30), st.data())
def test_islands_against_union_find(nodes: int, data: st.DataObject) -> None:
    node = st.integers(0, nodes - 1)
    edges = data.draw(st.lists(st.tuples(node, node), max_size=60))
    closed = data.draw(st.lists(st.booleans(), min_size=len(edges), max_size=len(edges)))
    pairs = np.array(edges, dtype=np.intp).reshape(-1, 2)
    assert islands(nodes, pairs, np.array(closed, dtype=np.bool_)).tolist() == union_find(nodes, edges, closed)


@given(st.integers(1, 30), st.data())
def test_the_loop_for_islands_against_union_find(nodes: int, data: st.DataObject) -> None:
    node = st.integers(0, nodes - 1)
    edges = data.draw(st.lists(st.tuples(node, node), max_size=60))
    closed = data.draw(st.lists(st.booleans(), min_size=len(edges), max_size=len(edges)))
    label = np.arange(nodes)
    pairs = np.array(edges, dtype=np.intp).reshape(-1, 2)
    LOOPS.islands_loop(pairs, np.array(closed, dtype=np.bool_), label)
    assert label.tolist() == union_find(nodes, edges, closed)


@pytest.mark.parametrize("seed", range(3))
def test_islands_of_long_shuffled_chains(seed: int) -> None:
    nodes = 3000
    names = np.random.default_rng(seed).permutation(nodes)
    edges = np.stack((names[:-1], names[1:]), axis=1)
    closed = np.arange(nodes - 1) % 1000 != 999
    expected = union_find(nodes, [(int(a), int(b)) for a, b in edges], closed.tolist())
    assert islands(nodes, edges, closed).tolist() == expected


@given(networks(held=False))
def test_the_loops_meant_for_compiling_give_the_bits_of_the_reference(network: Network) -> None:
    """Run as plain Python, so that it is checked where numba is absent too."""
    made, factors = factored(network)
    conductance = np.bincount(
        made.given_slot, np.array([*network.conductance_s, *network.leak_s]), len(made.row) + 1
    ).astype(float)[:-1]
    share, total = np.empty(len(made.row)), np.empty(network.nodes)
    LOOPS.factor(made, network.nodes, conductance, share, total)
    expected = (factors.conductance_s, factors.share, factors.total_s)
    for loop, level in zip((conductance, share, total), expected, strict=True):
        assert loop.tobytes() == level.tobytes()
    table = np.stack((network.current_a, network.leak_s), axis=1)
    for current in (table, table[:, 0]):
        by_level, one_by_one = (there_and_back(how, made, factors, current) for how in (loops.BY_LEVEL, LOOPS))
        assert one_by_one.tobytes() == by_level.tobytes()


@given(networks(), st.data())
def test_columns_at_some_nodes_have_the_bits_of_whole_ones(network: Network, data: st.DataObject) -> None:
    made, factors = factored(network)
    node = st.integers(0, network.nodes - 1)
    ends = np.array(data.draw(st.lists(st.tuples(node, node), min_size=1, max_size=4)), dtype=np.intp)
    wanted = np.array(data.draw(st.lists(node, max_size=4)), dtype=np.intp)
    drawn = np.zeros((network.nodes, len(ends)))
    for k, (a, b) in enumerate(ends.tolist()):
        drawn[a, k] += 1.0
        drawn[b, k] -= 1.0
    # What is passed over must not be looked at either.
    current, volts = (np.full((network.nodes + more, len(ends)), np.nan) for more in (0, 1))
    found = np.empty((len(ends), len(wanted)))
    LOOPS.columns_loop(
        made.column_start, made.column, made.row, made.entry_start, made.entry_slot, factors.share, factors.total_s,
        made.position[ends], made.position[wanted], current, volts, found,
    )  # fmt: skip
    assert found.tobytes() == np.ascontiguousarray(solve(made, factors, drawn)[wanted].T).tobytes()


def there_and_back(how: loops.Loops, made: Plan, factors: Factors, current_a: FloatArray) -> FloatArray:
    current = np.ascontiguousarray(current_a[made.order])
    volts = np.zeros((made.nodes + 1, *current.shape[1:]))
    how.forward(made, made.nodes, factors.share, current)
    how.backward(made, made.nodes, factors.share, factors.total_s, current, volts)
    return volts


COMPILED = """
import random, sys
import numpy as np
from loombench.circuit import kernel
from loombench.circuit.elimination import plan
draw = random.Random(2)
nodes = 1200
edges = [(draw.randrange(max(0, k - 5), k), k) for k in range(1, nodes)]
edges += [tuple(draw.sample(range(nodes), 2)) for _ in range(nodes // 8)]
numbers = np.random.default_rng(2)
conductance, leak = (10.0 ** numbers.uniform(-11.0, 6.0, n) for n in (len(edges), nodes))
current = numbers.normal(size=(nodes, 3))
made = plan(nodes, edges)
if sys.argv[1] == "absent":
    sys.modules["numba"] = None
factors = kernel.factor(made, conductance, leak)
assert kernel.load_compiled() == (sys.argv[1] == "there")
one, many = (kernel.solve(made, factors, i) for i in (current[:, 0], current))
nothing = plan(0, [])
assert kernel.solve(nothing, kernel.factor(nothing, np.empty(0), np.empty(0)), np.empty(0)).shape == (0,)
closed = numbers.random(len(edges)) < 0.7
label = kernel.islands(nodes, np.array(edges, dtype=np.intp), closed)
made_of = (label, factors.conductance_s, factors.total_s, one, many)
print(b"".join(array.tobytes() for array in made_of).hex())
"""


def run(how: str) -> str:
    return subprocess.run([sys.executable, "-c", COMPILED, how], check=True, capture_output=True, text=True).stdout


def test_compiled_and_reference_give_the_same_bits() -> None:
    """Without numba there is nothing to compare; then the kernel must say so and answer by itself."""
    there = "there" if find_spec("numba") else "absent"
    assert len(run("absent")) > 1200
    assert run(there) == run("absent")


def test_importing_the_kernel_does_not_import_numba() -> None:
    code = "import sys, loombench.circuit.kernel; print('numba' in sys.modules)"
    found = subprocess.run([sys.executable, "-c", code], check=True, capture_output=True, text=True).stdout
    assert found.strip() == "False"


def test_the_exact_judge_knows_the_laws_itself() -> None:
    """Series and parallel by hand, in rationals: 1 A through 1/3 ohm to reference, 1/2 ohm further on."""
    assert [str(v) for v in exact_solve(2, [(0, 1)], [2.0], [3.0, 0.0], [1.0, 0.0])] == ["1/3", "1/3"]
    assert [str(v) for v in exact_solve(2, [(0, 1)], [2.0], [3.0, 0.0], [0.0, 1.0])] == ["1/3", "5/6"]
