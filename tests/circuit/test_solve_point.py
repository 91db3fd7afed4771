"""Solutions of hand-made networks with known answers."""

import math

import numpy as np
import pytest
from scipy.special import wrightomega

from loombench.circuit.bare.laws import JUNCTION_LEAK_S
from loombench.circuit.devices import omega
from loombench.circuit.laws import law_errors
from loombench.circuit.netlist import Conductor, Junction, Netlist, PowerDraw, Regulated
from loombench.circuit.network import prepare, with_supply
from loombench.circuit.newton import NoSolution, solve_network
from loombench.circuit.probe import Probe
from loombench.circuit.settle import settle
from loombench.facts.filament import filament
from tests.circuit.hand import Hand, kinds


def test_a_divider_reads_what_ohm_says() -> None:
    hand = Hand()
    hand.battery("G", "plus", 12.0, 1.0)
    hand.ohm("R1", "plus", "middle", 2.0)
    hand.ohm("R2", "middle", "ground", 3.0)
    settled = settle(hand.netlist(), {}, {})
    assert hand.volts(settled, "middle") == pytest.approx(6.0, abs=1e-12)
    assert settled.point.current_a("R1") == pytest.approx(2.0, abs=1e-12)
    assert settled.point.current_a("G") == pytest.approx(-2.0, abs=1e-12)
    assert law_errors(hand.netlist(), settled.point) == ()


def test_a_lamp_at_its_rating_draws_its_rated_current() -> None:
    hand = Hand()
    hand.battery("G", "plus", 12.0 + 55.0 / 12.0 * 0.01, 0.01)
    hand.lamp("E", "plus", "ground", 12.0, 55.0)
    settled = settle(hand.netlist(), {}, {})
    assert hand.volts(settled, "plus") == pytest.approx(12.0, abs=1e-9)
    assert settled.point.current_a("E") == pytest.approx(55.0 / 12.0, abs=1e-9)


def test_a_pin_behind_half_an_ohm_reads_full_volts_unloaded_only() -> None:
    """Common practice: an unloaded measurement does not see a bad contact."""
    hand = Hand()
    hand.battery("G", "plus", 12.6)
    hand.ohm("bad contact", "plus", "pin", 0.5)
    hand.control("plug:E", "plugged", "unplugged")
    hand.ohm("plug", "pin", "lamp", 0.005, plug__E="plugged")
    hand.lamp("E", "lamp", "ground", 12.0, 55.0)
    netlist = hand.netlist()
    loaded, unloaded = (settle(netlist, {"plug:E": state}, {}) for state in ("plugged", "unplugged"))
    assert hand.volts(unloaded, "pin") == pytest.approx(12.6, abs=1e-6)
    volts = hand.volts(loaded, "pin")
    assert volts is not None
    assert volts < 11.0
    assert hand.volts(unloaded, "lamp") == pytest.approx(0.0, abs=1e-9)


def test_a_lamp_with_open_ground_has_supply_on_both_sides() -> None:
    hand = Hand()
    hand.battery("G", "plus", 12.6)
    hand.lamp("E", "plus", "low", 12.0, 55.0)
    hand.control("S", "open", "closed")
    hand.ohm("ground wire", "low", "ground", 0.01, S="closed")
    settled = settle(hand.netlist(), {}, {})
    assert hand.volts(settled, "low") == pytest.approx(12.6, abs=1e-9)
    assert settled.point.current_a("E") == pytest.approx(0.0, abs=1e-9)


def test_what_has_no_path_floats_but_keeps_its_own_differences() -> None:
    hand = Hand()
    hand.battery("G", "plus", 12.6)
    hand.battery("G2", "other", 24.0, 0.01, "far")
    hand.ohm("R", "other", "far", 1e6)
    settled = settle(hand.netlist(), {}, {})
    point = settled.point
    assert hand.volts(settled, "other") is None
    assert point.across_v(hand.nodes["other"], hand.nodes["far"]) == pytest.approx(24.0, abs=1e-6)
    assert point.across_v(hand.nodes["other"], hand.nodes["plus"]) is None
    assert law_errors(hand.netlist(), point) == ()


@pytest.mark.parametrize("series_ohm", [0.0, 1e-3, 1.0, 100.0])
@pytest.mark.parametrize("load_ohm", [0.1, 10.0, 1e4, 1e9])
@pytest.mark.parametrize("emf_v", [-24.0, 0.3, 12.0])
def test_a_diode_stands_on_its_law(series_ohm: float, load_ohm: float, emf_v: float) -> None:
    hand = Hand()
    hand.battery("G", "plus", emf_v)
    hand.ohm("R", "plus", "anode", load_ohm)
    hand.elements.append(Junction("V", hand.node("anode"), 0, 1e-12, 0.05, series_ohm))
    netlist = hand.netlist()
    settled = settle(netlist, {}, {})
    assert settled.findings == ()
    assert law_errors(netlist, settled.point) == ()
    # Bisection on the one unknown, the junction's own current, in the same law with the leak beside it.
    low, high = 0.0, max(emf_v, 0.0) / (load_ohm + series_ohm)
    for _ in range(200):
        middle = (low + high) / 2
        across = series_ohm * middle + 0.05 * math.log1p(middle / 1e-12)
        total = middle + JUNCTION_LEAK_S * across
        low, high = (low, middle) if across + total * (load_ohm + 0.005) > emf_v else (middle, high)
    if emf_v > 0.0:
        assert settled.point.current_a("V") == pytest.approx(total, rel=1e-7, abs=1e-15)
    else:
        blocked = (-1e-12 + JUNCTION_LEAK_S * emf_v) / (1.0 + JUNCTION_LEAK_S * load_ohm)
        assert settled.point.current_a("V") == pytest.approx(blocked, rel=5e-3)


def converter(load_ohm: float, feed_ohm: float) -> Hand:
    hand = Hand(24.0)
    hand.battery("G", "plus", 25.2)
    hand.ohm("feed", "plus", "in", feed_ohm)
    hand.elements.append(Regulated("U.out", hand.node("out"), 0, 12.0, 0.05, 20.0))
    hand.elements.append(PowerDraw("U.in", hand.node("in"), 0, "U.out", 0.9, 18.0))
    hand.ohm("load", "out", "ground", load_ohm)
    return hand


def test_a_converter_takes_the_power_it_gives() -> None:
    hand = converter(2.0, 0.1)
    netlist = hand.netlist()
    settled = settle(netlist, {}, {})
    assert law_errors(netlist, settled.point) == ()
    # Beside what it gives it lets through what a blocking supply does.
    inner_s = 1.0 / 0.05 + JUNCTION_LEAK_S
    out = 12.0 * inner_s / (inner_s + 0.5)
    power = out * out / 2.0 / 0.9
    feed = 0.105
    volts = (25.2 + math.sqrt(25.2**2 - 4 * feed * power)) / 2
    assert hand.volts(settled, "in") == pytest.approx(volts, abs=1e-9)
    assert hand.volts(settled, "out") == pytest.approx(out, abs=1e-12)


def test_a_converter_behind_too_much_resistance_collapses() -> None:
    p = prepare(converter(2.0, 3.0).netlist())
    found = solve_network(p, p.closed(p.rest))
    assert isinstance(found, NoSolution)
    assert (found.reason, found.element) == ("supply-collapses", "U.in")
    settled = settle(converter(2.0, 3.0).netlist(), {}, {})
    assert kinds(settled) == ["SupplyCollapses", "Unsolved"] or "Unsolved" in kinds(settled)


@pytest.mark.parametrize("feed_ohm", [3.0, 1000.0, 1e6])
def test_a_converter_is_fed_past_too_much_resistance_by_a_diode(feed_ohm: float) -> None:
    """Before the diode has been seen to conduct there is only the resistance, which cannot feed it."""
    hand = converter(2.0, feed_ohm)
    hand.elements.append(Junction("D", hand.node("plus"), hand.node("in"), 1e-12, 0.026, 0.05))
    netlist = hand.netlist()
    settled = settle(netlist, {}, {})
    assert kinds(settled) == []
    assert law_errors(netlist, settled.point) == ()
    assert 23.0 < hand.volts(settled, "in") < 24.6
    assert hand.volts(settled, "out") == pytest.approx(12.0 * 2.0 / 2.05, abs=1e-9)


def test_a_diode_the_wrong_way_round_feeds_no_converter() -> None:
    hand = converter(2.0, 1000.0)
    hand.elements.append(Junction("D", hand.node("in"), hand.node("plus"), 1e-12, 0.026, 0.05))
    p = prepare(hand.netlist())
    found = solve_network(p, p.closed(p.rest))
    assert isinstance(found, NoSolution)
    assert (found.reason, found.element) == ("supply-collapses", "U.in")


@pytest.mark.parametrize(("load_ohm", "volts"), [(1e9, 14.4), (14.3, 14.3), (0.05, 0.5)])
def test_a_regulated_supply_holds_and_limits(load_ohm: float, volts: float) -> None:
    hand = Hand()
    hand.elements.append(Regulated("G", hand.node("plus"), 0, 14.4, 0.1, 10.0))
    hand.ohm("R", "plus", "ground", load_ohm)
    settled = settle(hand.netlist(), {}, {})
    assert hand.volts(settled, "plus") == pytest.approx(volts, abs=1e-6)
    assert law_errors(hand.netlist(), settled.point) == ()


def test_a_regulated_supply_takes_nothing_back() -> None:
    hand = Hand()
    hand.elements.append(Regulated("U", hand.node("plus"), 0, 12.0, 0.1, 10.0))
    hand.battery("G", "plus", 14.0, 0.01)
    hand.ohm("R", "plus", "ground", 10.0)
    settled = settle(hand.netlist(), {}, {})
    leak_a = JUNCTION_LEAK_S * (hand.volts(settled, "plus") - 12.0)
    assert settled.point.current_a("U") == pytest.approx(leak_a, abs=1e-15)
    assert law_errors(hand.netlist(), settled.point) == ()


def test_nothing_is_lost_between_microohm_and_gigaohm() -> None:
    hand = Hand()
    hand.battery("G", "plus", 12.6, 0.004)
    hand.ohm("bar", "plus", "a", 1e-6)
    hand.ohm("leak", "a", "b", 1e10)
    hand.ohm("leak 2", "b", "ground", 1e10)
    settled = settle(hand.netlist(), {}, {})
    assert hand.volts(settled, "b") == pytest.approx(6.3, rel=1e-12)


def test_a_supply_is_shared_by_the_batteries() -> None:
    hand = Hand(24.0)
    hand.battery("G1", "middle", 12.6)
    hand.battery("G2", "plus", 12.6, 0.005, "middle")
    hand.ohm("R", "plus", "ground", 1e4)
    netlist = hand.netlist()
    halves = tuple(
        element if isinstance(element, Conductor) else type(element)(**{**vars(element), "share": 0.5})
        for element in netlist.elements
    )
    p = with_supply(prepare(Netlist(**{**vars(netlist), "elements": halves})), 22.0)
    found = solve_network(p, p.closed(p.rest))
    assert not isinstance(found, NoSolution)
    assert found.inner_v[hand.nodes["plus"]] == pytest.approx(22.0, abs=1e-4)


@pytest.mark.parametrize("lead_ohm", [0.0, 0.2, 5.0])
def test_a_meter_on_its_port_equals_the_same_element_in_the_netlist(lead_ohm: float) -> None:
    hand = Hand()
    hand.battery("G", "plus", 12.6)
    hand.ohm("R1", "plus", "pin", 30.0)
    hand.lamp("E", "pin", "ground", 12.0, 5.0)
    p = prepare(hand.netlist())
    found = solve_network(p, p.closed(p.rest), None, Probe(1, 2, lead_ohm, lamp=filament(12.0, 4.0)))
    hand.ohm("lead", "plus", "tip", max(lead_ohm, 1e-9))
    hand.lamp("tester", "tip", "pin", 12.0, 4.0)
    q = prepare(hand.netlist())
    other = solve_network(q, q.closed(q.rest))
    assert not isinstance(found, NoSolution)
    assert not isinstance(other, NoSolution)
    assert np.allclose(found.inner_v, other.inner_v[:3], rtol=0.0, atol=1e-8)
    assert found.probe_a == pytest.approx(other.current_a[-1], abs=1e-8)


def test_omega_inverts_its_definition() -> None:
    """Also against scipy's own, an implementation of its own (Lawrence, Corless, Jeffrey 2012)."""
    z = np.concatenate((np.linspace(-650.0, -2.0, 5000), np.linspace(-3.0, 10.0, 20000), np.geomspace(5.0, 1e8, 5000)))
    assert omega(z) == pytest.approx(wrightomega(z), rel=1e-13)


@pytest.mark.parametrize("series_ohm", [0.0, 1.0, 400.0])
@pytest.mark.parametrize("load_ohm", [0.01, 1.0, 1e3, 1e6])
def test_newton_gets_there_in_few_steps(series_ohm: float, load_ohm: float) -> None:
    """The shortened steps are for what does not get there by itself; a lamp and a diode do."""
    hand = Hand()
    hand.battery("G", "plus", 12.6)
    hand.ohm("R", "plus", "anode", load_ohm)
    hand.elements.append(Junction("V", hand.node("anode"), 0, 1e-14, 0.05, series_ohm))
    hand.ohm("R2", "plus", "lamp", load_ohm)
    hand.lamp("E", "lamp", "ground", 12.0, 21.0)
    p = prepare(hand.netlist())
    found = solve_network(p, p.closed(p.rest))
    assert not isinstance(found, NoSolution)
    assert found.steps <= 15
