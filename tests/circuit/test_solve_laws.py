"""Random networks against the laws and against a brute-force dense Newton that shares no code with the solver."""

import numpy as np
import numpy.typing as npt
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import root

from loombench.circuit.bare.laws import JUNCTION_LEAK_S
from loombench.circuit.laws import law_errors
from loombench.circuit.netlist import Battery, Conductor, Element, Filament, Junction, Netlist, Regulated
from loombench.circuit.network import prepare
from loombench.circuit.newton import NoSolution, solve_network
from loombench.circuit.settle import settle
from loombench.facts.filament import filament

Array = npt.NDArray[np.float64]


@st.composite
def netlists(draw: st.DrawFn, decades: tuple[float, float] = (-5.0, 8.0)) -> Netlist:
    """Up to 12 nodes with batteries, lamps, diodes and supplies among conductors, with parts that hang in the air."""
    nodes = draw(st.integers(2, 12))
    node = st.integers(0, nodes - 1)
    ohm = st.floats(*decades).map(lambda power: float(10.0**power))
    elements: list[Element] = [Battery("G", draw(node), 0, draw(st.floats(-30.0, 30.0)), draw(st.floats(1e-3, 1.0)))]
    for k in range(draw(st.integers(1, 3 * nodes))):
        a, b = draw(node), draw(node)
        match draw(st.sampled_from(("ohm", "ohm", "ohm", "lamp", "diode", "battery", "supply"))):
            case "ohm":
                elements.append(Conductor(f"R{k}", a, b, draw(ohm)))
            case "lamp":
                elements.append(
                    Filament(f"E{k}", a, b, filament(draw(st.sampled_from((12.0, 24.0))), draw(st.floats(0.5, 100.0))))
                )
            case "diode":
                elements.append(Junction(f"V{k}", a, b, 1e-12, draw(st.floats(0.025, 0.2)), draw(st.floats(1e-3, 1e3))))
            case "battery":
                elements.append(Battery(f"G{k}", a, b, draw(st.floats(-30.0, 30.0)), draw(st.floats(1e-3, 1.0))))
            case "supply":
                elements.append(
                    Regulated(
                        f"U{k}",
                        a,
                        b,
                        draw(st.floats(1.0, 30.0)),
                        draw(st.floats(1e-3, 1.0)),
                        draw(st.floats(0.1, 100.0)),
                    )
                )
    return Netlist(nodes, tuple(() for _ in range(nodes)), tuple(elements), (), (), 0, {}, 12.0)


@settings(max_examples=300)
@given(netlists())
def test_every_solution_keeps_the_laws(netlist: Netlist) -> None:
    settled = settle(netlist, {}, {})
    assert settled.findings == ()
    assert law_errors(netlist, settled.point) == ()


def dense_current(element: Element, volts: float) -> float:
    """The laws written out once more."""
    match element:
        case Conductor():
            return volts / element.resistance_ohm
        case Battery():
            return (volts - element.emf_v) / element.resistance_ohm
        case Filament(law=law):
            return float(law.cold_s * volts * (1.0 + (volts / law.knee_v) ** 2) ** ((law.exponent - 1.0) / 2.0))
        case Junction():
            low, high = -element.saturation_a, max(volts, 0.0) / element.series_ohm
            for _ in range(100):
                middle = (low + high) / 2
                needed = element.slope_v * np.log1p(middle / element.saturation_a) + element.series_ohm * middle
                low, high = (low, middle) if needed > volts else (middle, high)
            return low + JUNCTION_LEAK_S * volts
        case Regulated():
            given = min(element.limit_a, max(0.0, (element.set_v - volts) / element.resistance_ohm))
            return JUNCTION_LEAK_S * (volts - element.set_v) - given
    raise AssertionError(element)


def brute_force(netlist: Netlist, island: Array, start: Array) -> Array | None:
    """Node volts by scipy's hybrid method on the current sums, one node of each island held at 0; None if not found."""
    held = {int(label): int(label) for label in np.unique(island)}
    held[int(island[0])] = 0

    def sums(volts: Array) -> Array:
        total = np.zeros(netlist.nodes)
        for element in netlist.elements:
            flows = dense_current(element, float(volts[element.a] - volts[element.b]))
            total[element.a] += flows
            total[element.b] -= flows
        for node in held.values():
            total[node] = volts[node]
        return total

    found = root(sums, start, tol=1e-12)
    return np.asarray(found.x, dtype=np.float64) if np.abs(sums(found.x)).max() < 1e-9 else None


@settings(max_examples=100)
@given(netlists(decades=(-1.0, 3.0)), st.integers(0, 2**32 - 1))
def test_brute_force_finds_the_same(netlist: Netlist, seed: int) -> None:
    """From a start a little off, since the dense method does not get there from everywhere."""
    p = prepare(netlist)
    found = solve_network(p, p.closed(p.rest))
    assert not isinstance(found, NoSolution)
    off = np.random.default_rng(seed).normal(0.0, 0.05, netlist.nodes)
    volts = brute_force(netlist, found.island.astype(np.float64), found.inner_v + off)
    if volts is None:
        return
    for element, current in zip(netlist.elements, found.current_a, strict=True):
        assert dense_current(element, float(volts[element.a] - volts[element.b])) == pytest.approx(current, abs=1e-6)
    if not any(isinstance(element, Junction | Regulated) for element in netlist.elements):
        # Behind a blocking diode or a supply at its limit, the dense sums do not tell volts apart.
        assert volts == pytest.approx(found.inner_v, abs=1e-6)


@settings(max_examples=60)
@given(netlists(), st.floats(-40.0, 40.0))
def test_the_guess_changes_nothing(netlist: Netlist, guess_v: float) -> None:
    p = prepare(netlist)
    cold, warm = (solve_network(p, p.closed(p.rest), guess) for guess in (None, np.full(len(p.a), guess_v)))
    assert not isinstance(cold, NoSolution)
    assert not isinstance(warm, NoSolution)
    # What hangs on nothing but a diode or a supply that blocks has volts by its leak alone: roundings of the amperes
    # that a battery there sends round in itself move them, so such a piece is compared by itself.
    firm, bent = p.closed(p.rest), p.devices.index
    firm[bent] &= np.abs(cold.current_a[bent]) > 100.0 * JUNCTION_LEAK_S
    piece = p.islands(firm)
    expected = cold.inner_v - cold.inner_v[piece]
    # So are they where a piece hangs on the greatest resistance there is.
    linear = p.slope_s[p.closed(p.rest) & (p.slope_s > 0.0)]
    set_v = p.devices.set_v / p.devices.source_ohm
    amperes = np.abs(p.source_a).sum() + np.abs(set_v).sum() + np.abs(cold.current_a).sum()
    near_v = 1e-7 + 1e-15 * amperes / linear.min(initial=1.0)
    assert warm.inner_v - warm.inner_v[piece] == pytest.approx(expected, abs=near_v, rel=1e-7)


@pytest.mark.parametrize("leak_ohm", [1e4, 1e7, 1e10])
def test_a_diode_that_is_cut_off_is_left_in_a_few_steps(leak_ohm: float) -> None:
    led = Junction("E1", 1, 0, 7.7e-26, 0.312, 6.9)
    fed = (Battery("G", 2, 0, 25.0, 0.01), Conductor("W", 2, 1, 0.02), Conductor("R", 1, 0, leak_ohm), led)
    p = prepare(Netlist(3, ((), (), ()), fed, (), (), 0, {}, 12.0))
    lit = solve_network(p, np.ones(4, dtype=np.bool_))
    assert not isinstance(lit, NoSolution)
    assert lit.current_a[3] > 0.5
    dark = solve_network(p, np.array([True, False, True, True]), lit.across_v)
    assert not isinstance(dark, NoSolution)
    assert abs(dark.inner_v[1]) < 1e-3
    assert dark.steps <= 8


def test_parts_that_all_block_still_have_an_answer() -> None:
    """An island held together by diodes and supplies alone, all against each other."""
    elements = (
        Battery("G", 1, 0, -30.0, 0.5),
        Junction("V1", 2, 3, 1e-12, 0.07, 800.0),
        Junction("V2", 4, 3, 1e-12, 0.12, 200.0),
        Battery("G2", 4, 2, 24.0, 0.1),
        Regulated("U1", 3, 5, 22.0, 0.3, 27.0),
        Regulated("U2", 2, 5, 18.0, 0.8, 6.0),
    )
    netlist = Netlist(6, tuple(() for _ in range(6)), elements, (), (), 0, {}, 12.0)
    settled = settle(netlist, {}, {})
    assert settled.findings == ()
    assert law_errors(netlist, settled.point) == ()


def test_the_laws_see_a_wrong_answer() -> None:
    """The check itself is checked: a current or a voltage a little off is an error."""
    elements = (Battery("G", 1, 0, 12.0, 0.1), Conductor("R", 1, 0, 3.0), Filament("E", 1, 0, filament(12.0, 5.0)))
    netlist = Netlist(2, ((), ()), elements, (), (), 0, {}, 12.0)
    point = settle(netlist, {}, {}).point
    assert law_errors(netlist, point) == ()
    for name in ("G", "R", "E"):
        currents = point.currents_a.copy()
        currents[point.index[name]] += 1e-6
        wrong = type(point)(**{**vars(point), "currents_a": currents})
        assert any(text.startswith(f"{name}:") for text in law_errors(netlist, wrong))
        assert any(text.startswith("node") for text in law_errors(netlist, wrong))
    volts = point.inner_v.copy()
    volts[1] += 1e-6
    assert law_errors(netlist, type(point)(**{**vars(point), "inner_v": volts}))
