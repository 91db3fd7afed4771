"""The bare loops, run as plain Python and compiled, against the reference that shares no line with them."""

import os
import subprocess
import sys
from importlib.util import find_spec
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from loombench.circuit import newton as newton_module
from loombench.circuit.bare.laws import limited_of
from loombench.circuit.bare.newton import ahead_loop, some_backward_loop, some_factor_loop, some_forward_loop
from loombench.circuit.bare.small import small_one
from loombench.circuit.compiled import COMPILING
from loombench.circuit.devices import devices, limited, tangent
from loombench.circuit.kernel import by_slot, factor, solve
from loombench.circuit.loops import OneByOne
from loombench.circuit.lower import lower
from loombench.circuit.netlist import Element, Filament, Junction, Netlist, Regulated
from loombench.circuit.network import Draw, Prepared, prepare
from loombench.circuit.newton import LEAK_S, NoSolution, Solution, solve_network
from loombench.circuit.ports import Ports
from loombench.circuit.probe import Probe
from loombench.circuit.ready import ready_for
from loombench.circuit.straight import plain_steps
from loombench.circuit.tables import small as small_module
from loombench.circuit.tables.small import DRAWS, LINEAR, Found, Small, law_tangents
from loombench.facts.filament import filament
from loombench.text.load import load_file
from tests.circuit.networks import factored, networks
from tests.circuit.oracles import Network
from tests.circuit.test_kernel import LOOPS
from tests.circuit.test_solve_laws import netlists
from tests.circuit.test_solve_point import converter
from tests.circuit.vehicles import EXAMPLES

NEAR = 1e-9
METERS = (
    Probe(1, 0, 10e6),
    Probe(1, 0, 100.0, emf_v=0.5),
    Probe(0, 1, 1000.0, emf_v=2.5, threshold_v=0.6),
)


def solve_by(loops: OneByOne | None, p: Prepared, probe: Probe | None) -> Solution | NoSolution:
    """By `solve_network` with these loops, or none."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(newton_module, "compiled_from", lambda _: loops)
        return solve_network(p, p.closed(p.rest), None, probe)


def by_loops(
    loops: OneByOne, p: Prepared, probe: Probe | None, steps: int = 39
) -> tuple[Solution, float] | Draw | None:
    """The solution by loops, as `solve_network` makes one, and the meter's current, or the input that collapses; None
    where they do not get there, or where the meter ties two islands, which is not theirs to say."""
    closed = p.closed(p.rest)
    island = p.islands(closed)
    if probe is not None and island[probe.red] != island[probe.black]:
        return None
    ports = Ports([one for one in p.draws if closed[one.place] and island[one.a] == island[one.b]], probe)
    found = plain_steps(loops, p, closed, island, None, ports, LEAK_S, NEAR, steps)
    if found is None or isinstance(found, Draw):
        return found
    inner, across, current, taken = found
    return Solution(inner, island, across, current, ports.probe_a, taken), ports.probe_a


def assert_alike(found: Solution, expected: Solution | NoSolution) -> None:
    assert isinstance(expected, Solution)
    scale = 1.0 + np.abs(expected.inner_v)
    assert np.all(np.abs(found.inner_v - expected.inner_v) < 1e-8 * scale)
    carried = 1.0 + np.abs(expected.current_a)
    assert np.all(np.abs(found.current_a - expected.current_a) < 1e-6 * carried)
    assert found.probe_a == pytest.approx(expected.probe_a, rel=1e-6, abs=1e-9)


@settings(max_examples=150)
@given(netlists(decades=(-3.0, 6.0)), st.sampled_from((None, *METERS)))
def test_newton_in_plain_steps_is_the_reference(netlist: Netlist, probe: Probe | None) -> None:
    p = prepare(netlist)
    found = by_loops(LOOPS, p, probe)
    if isinstance(found, Draw):
        assert isinstance(solve_by(None, p, probe), NoSolution)
    elif found is not None:
        assert_alike(found[0], solve_network(p, p.closed(p.rest), None, probe))


@pytest.mark.parametrize("feed_ohm", [0.1, 0.5, 1.0])
@pytest.mark.parametrize("probe", [None, *METERS])
def test_a_converter_beside_a_meter_is_the_reference(feed_ohm: float, probe: Probe | None) -> None:
    p = prepare(converter(2.0, feed_ohm).netlist())
    found = by_loops(LOOPS, p, probe)
    assert isinstance(found, tuple), "plain steps get there"
    assert_alike(found[0], solve_network(p, p.closed(p.rest), None, probe))


@pytest.mark.parametrize("probe", [None, *METERS])
def test_what_collapses_is_said_as_the_reference_says_it(probe: Probe | None) -> None:
    p = prepare(converter(2.0, 3.0).netlist())
    assert by_loops(LOOPS, p, probe) is p.draws[0]
    told, reference = (solve_by(loops, p, probe) for loops in (LOOPS, None))
    assert isinstance(told, NoSolution)
    assert told.reason == "supply-collapses"
    assert told == reference


def test_a_lamp_as_a_meter_is_left_to_the_reference() -> None:
    p = prepare(converter(2.0, 0.1).netlist())
    assert by_loops(LOOPS, p, Probe(1, 0, 0.1, lamp=filament(12.0, 4.0))) is None


def test_what_takes_more_steps_than_it_may_is_said_not_to_be_there() -> None:
    p = ready_for(lower(load_file(EXAMPLES / "cases/5-tarpaulin.circuit").value).value).p
    assert by_loops(LOOPS, p, None, steps=39) is not None
    assert by_loops(LOOPS, p, None, steps=0) is None


LAWS: tuple[Element, ...] = (
    Filament("E1", 0, 1, filament(12.0, 5.0)),
    Filament("E2", 0, 1, filament(24.0, 70.0)),
    Junction("V1", 0, 1, 1e-12, 0.026, 0.05),
    Junction("V2", 0, 1, 1e-9, 0.05, 0.0),
    Regulated("U1", 0, 1, 12.0, 0.05, 20.0),
    Regulated("U2", 0, 1, 5.0, 1.0, 0.1),
)


@given(st.lists(st.floats(-40.0, 40.0), min_size=len(LAWS), max_size=len(LAWS)), st.floats(-40.0, 40.0))
def test_each_law_and_where_it_is_tried_next_is_the_reference(at: list[float], answer: float) -> None:
    d, x = devices(LAWS), np.array(at)
    expected_a, expected_s = tangent(d, x)
    current, rise = np.empty((1, len(LAWS))), np.empty((1, len(LAWS)))
    LOOPS.tangents_loop(d.bare, np.arange(len(LAWS)), x[np.newaxis, :], current, rise)
    assert current[0] == pytest.approx(expected_a, rel=1e-11, abs=1e-14)
    assert rise[0] == pytest.approx(expected_s, rel=1e-11, abs=1e-14)
    after = limited(d, x, expected_a, expected_s, np.full(len(LAWS), answer))
    for k, law in enumerate(d.bare):
        own = limited_of(law, x[k], expected_a[k], expected_s[k], answer)
        assert own == pytest.approx(after[k], rel=1e-11, abs=1e-12)


@st.composite
def systems(draw: st.DrawFn) -> tuple[Small, np.ndarray]:
    """Some systems of up to four ports on random resistive networks: linear ports, bent ones, and a converter's input
    beside the supply that it feeds."""
    rows, count = draw(st.integers(1, 3)), draw(st.integers(2, 4))
    numbers = np.random.default_rng(draw(st.integers(0, 2**32 - 1)))
    root = numbers.normal(size=(rows, count, count))
    response = root @ np.swapaxes(root, 1, 2) + 0.05 * np.eye(count)
    law = numbers.choice([LINEAR, *range(len(LAWS))], size=(rows, count))
    conductance = np.where(law == LINEAR, 10.0 ** numbers.uniform(-4.0, 1.0, law.shape), 0.0)
    fed, from_v = None, None
    if draw(st.booleans()):
        law[:, 0], law[:, 1] = DRAWS, len(LAWS) - 2
        conductance[:, :2] = 0.0
        response[:, 0, :] *= 0.02
        response[:, :, 0] *= 0.02
        fed, from_v = np.zeros((rows, count, count)), np.zeros((rows, count))
        fed[:, 0, 1], from_v[:, 0] = 1.0 / 0.9, 5.0
    open_v = numbers.uniform(5.0, 25.0, law.shape)
    series = np.where(law == LINEAR, 0.0, numbers.choice([0.0, 0.1], law.shape))
    zero = np.zeros(law.shape)
    return Small(response, open_v, zero, zero, law, conductance, zero, series, fed, from_v), open_v


def one_by_one(small: Small, guess: np.ndarray) -> Found:
    """Each system by the loop."""
    laws = devices(LAWS).bare
    limits = np.array((small_module.NEAR_V, small_module.ROUNDING, small_module.GREATEST_NOISE_V))
    numbers = small.open_v, small.slope_s, small.source_a, small.conductance_s, small.constant_a, small.series_ohm
    found = np.zeros((len(guess), 3, guess.shape[1]))
    found[:, 0] = guess
    ends = []
    for r, given_ in enumerate(np.stack(numbers, axis=1)):
        feeding = small.fed is not None and small.from_v is not None
        fed, from_v = (small.fed[r], small.from_v[r]) if feeding else (small.response[r], given_[0])
        law = small.law[r]
        ends.append(
            small_one(laws, small.response[r], given_, law, feeding, fed, from_v, limits, small_module.STEPS, found[r])
        )
    noise_v, settled = np.array([end[0] for end in ends]), np.array([end[1] for end in ends])
    return Found(found[:, 0], found[:, 1], found[:, 2], noise_v, settled)


@settings(max_examples=200)
@given(systems())
def test_small_systems_are_those_of_the_reference(drawn: tuple[Small, np.ndarray]) -> None:
    small, guess = drawn
    expected = small_module.newton(small, devices(LAWS), guess)
    with np.errstate(all="ignore"):
        found = one_by_one(small, guess)
    assert found.settled.tolist() == expected.settled.tolist()
    there = expected.settled
    assert found.u[there] == pytest.approx(expected.u[there], rel=1e-8, abs=1e-8)
    assert (found.noise_v[there] < 1e-7).all()
    assert (expected.noise_v[there] < 1e-7).all()
    assert found.extra_a[there] == pytest.approx(expected.extra_a[there], rel=1e-6, abs=1e-9)
    assert found.current_a[there] == pytest.approx(expected.current_a[there], rel=1e-6, abs=1e-9)


def test_a_system_without_an_inverse_is_not_settled_and_spoils_none() -> None:
    ones = np.ones((2, 2))
    response = np.stack((-np.ones((2, 2)), np.eye(2)))
    law = np.full((2, 2), LINEAR)
    small = Small(response, ones, 0 * ones, 0 * ones, law, 0.5 * ones, 0 * ones, 0 * ones)
    found = one_by_one(small, ones)
    assert found.settled.tolist() == [False, True]
    assert found.u[1] == pytest.approx([1.0 / 1.5] * 2)


def test_laws_side_by_side_are_the_reference() -> None:
    d, places = devices(LAWS), np.array([0, 2, 5])
    volts = np.array([[1.0, 0.4, 3.0], [12.0, -5.0, 5.0]])
    expected = law_tangents(d, places, volts)
    current, rise = np.empty(volts.shape), np.empty(volts.shape)
    LOOPS.tangents_loop(d.bare, places, volts, current, rise)
    np.testing.assert_allclose((current, rise), expected, rtol=1e-11)


COMPILED = """
import sys
from loombench.circuit.kernel import load_compiled
from loombench.circuit.kernel import by_slot, factor, solve
from loombench.circuit.lower import lower
from loombench.circuit.operate import run
from loombench.text.load import load_file
from loombench.text.names import read_condition
if sys.argv[1] == "absent":
    sys.modules["numba"] = None
assert load_compiled() == (sys.argv[1] == "there")
vehicle = load_file(sys.argv[2]).value
found = run(lower(vehicle).value, read_condition(vehicle, sys.argv[3]).value)
print(",".join(repr(float(v)) for v in found.point.inner_v))
"""


def volts_of(how: str, file: str, condition: str) -> list[float]:
    asked = [sys.executable, "-c", COMPILED, how, str(EXAMPLES / file), condition]
    printed = subprocess.run(asked, check=True, capture_output=True, text=True).stdout
    return [float(text) for text in printed.split(",")]


@pytest.mark.parametrize(
    ("file", "condition"), [("library-van/vehicle.circuit", "S1=run"), ("cases/5-tarpaulin.circuit", "S1=on")]
)
def test_compiled_a_vehicle_has_the_volts_of_the_reference(file: str, condition: str) -> None:
    """Without numba there is nothing to compare; then the reference must answer by itself."""
    there = "there" if find_spec("numba") else "absent"
    expected = volts_of("absent", file, condition)
    assert max(expected) > 10.0
    assert volts_of(there, file, condition) == pytest.approx(expected, abs=1e-8)


def test_compiling_is_said_and_done_once(tmp_path: Path) -> None:
    asked = [sys.executable, "-c", "from loombench.circuit.kernel import load_compiled; load_compiled()"]
    where = os.environ | {"NUMBA_CACHE_DIR": str(tmp_path)}
    said = [subprocess.run(asked, check=True, capture_output=True, text=True, env=where).stderr for _ in range(2)]
    assert said == [f"{COMPILING}\n" if find_spec("numba") else "", ""]


@given(networks(), st.data())
def test_what_leads_on_from_a_change_factored_again_has_the_bits_of_all(network: Network, data: st.DataObject) -> None:
    made, before = factored(network)
    places = st.integers(0, max(len(network.edges) - 1, 0))
    changed = data.draw(st.lists(places, max_size=3)) if network.edges else []
    conductance = np.array(network.conductance_s)
    conductance[changed] *= 1.5
    expected = factor(made, conductance, np.array(network.leak_s))
    ahead = np.zeros(network.nodes + 1, dtype=np.bool_)
    for one in changed:
        ahead[made.position[list(network.edges[one])]] = True
    ahead_loop(made.column_start, made.row, network.nodes, ahead)
    given_s = by_slot(made, conductance, np.array(network.leak_s))
    slots, share, total = before.conductance_s.copy(), before.share.copy(), before.total_s.copy()
    # What is not ahead must not be looked at.
    given_s[~ahead[made.column]] = np.nan
    some_factor_loop(
        made.column_start, made.pull_start, made.pull_share, made.pull_mesh, given_s, slots, share, total, ahead
    )
    for found, wanted in ((slots, expected.conductance_s), (share, expected.share), (total, expected.total_s)):
        assert found.tobytes() == wanted.tobytes()


@given(networks(), st.data())
def test_an_answer_at_some_nodes_has_the_bits_of_the_whole_one(network: Network, data: st.DataObject) -> None:
    made, factors = factored(network)
    node = st.integers(0, network.nodes - 1)
    fed, wanted = data.draw(node), data.draw(st.lists(node, min_size=1, max_size=3))
    current = np.zeros(network.nodes)
    current[fed] = 2.5
    through, asked = (np.zeros(network.nodes + 1, dtype=np.bool_) for _ in range(2))
    through[made.position[fed]], asked[made.position[wanted]] = True, True
    ahead_loop(made.column_start, made.row, network.nodes, through)
    ahead_loop(made.column_start, made.row, network.nodes, asked)
    passed, volts = current[made.order], np.full(network.nodes + 1, np.nan)
    some_forward_loop(made.entry_start, made.entry_slot, made.column, factors.share, passed, through)
    some_backward_loop(made.column_start, made.row, factors.share, factors.total_s, passed, asked, volts)
    expected = solve(made, factors, current)
    assert volts[made.position[wanted]].tobytes() == expected[wanted].tobytes()
