"""The filament law: odd, smooth, strictly increasing, cold resistance at rest, the power law when hot."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from loombench.facts.filament import (
    filament,
    filament_current_a,
    filament_slope_s,
    lamp_categories,
    lamp_category,
    power_law_current_a,
    tungsten_ratio,
)

volts = st.floats(-60.0, 60.0)
rated_volts = st.floats(1.0, 60.0)
rated_watts = st.floats(0.5, 200.0)


@given(volts, rated_volts, rated_watts)
def test_odd(voltage_v: float, rated_v: float, rated_w: float) -> None:
    forward = filament_current_a(voltage_v, rated_v, rated_w)
    assert filament_current_a(-voltage_v, rated_v, rated_w) == -forward


@given(volts, volts, rated_volts, rated_watts)
def test_strictly_increasing(first: float, second: float, rated_v: float, rated_w: float) -> None:
    low, high = sorted((first, second))
    if high > low + 1e-9:
        assert filament_current_a(low, rated_v, rated_w) < filament_current_a(high, rated_v, rated_w)


@given(volts, rated_volts, rated_watts)
def test_slope_is_the_derivative(voltage_v: float, rated_v: float, rated_w: float) -> None:
    step = 1e-6 * max(abs(voltage_v), filament(rated_v, rated_w).knee_v)
    rise = filament_current_a(voltage_v + step, rated_v, rated_w) - filament_current_a(
        voltage_v - step, rated_v, rated_w
    )
    slope = filament_slope_s(voltage_v, rated_v, rated_w)
    assert slope > 0
    assert rise / (2 * step) == pytest.approx(slope, rel=1e-5)


@given(rated_volts, rated_watts)
def test_rated_current_and_cold_resistance(rated_v: float, rated_w: float) -> None:
    lamp = filament(rated_v, rated_w)
    assert lamp.current_a(rated_v) == pytest.approx(rated_w / rated_v, rel=1e-9)
    assert lamp.slope_s(0.0) == pytest.approx(1 / lamp.cold_ohm, rel=1e-12)
    assert 10 <= lamp.hot_ohm / lamp.cold_ohm <= 15  # common practice


@given(st.floats(0.1, 2.0), rated_volts, rated_watts)
def test_hot_it_is_the_power_law(share: float, rated_v: float, rated_w: float) -> None:
    value = filament_current_a(share * rated_v, rated_v, rated_w)
    assert value == pytest.approx(power_law_current_a(share * rated_v, rated_v, rated_w / rated_v), rel=5e-4)


def test_a_good_bulb_reads_as_a_short_when_cold() -> None:
    # common practice: a 12 V 21 W bulb reads below 1 ohm cold, 6.9 ohm hot
    lamp = filament(12.0, 21.0)
    assert lamp.cold_ohm == pytest.approx(0.57, abs=0.01)
    assert lamp.hot_ohm == pytest.approx(6.86, abs=0.01)


def test_cold_ratio_is_not_above_tungsten() -> None:
    # Jones 1926, from memory: 14.99 at 2800 K; a filament is not hotter than about 3000 K
    lamp = filament(13.5, 25.0)
    assert tungsten_ratio(2000) < lamp.hot_ohm / lamp.cold_ohm < tungsten_ratio(2800)


@pytest.mark.parametrize(("rated_v", "rated_w"), [(0.0, 21.0), (12.0, 0.0), (-12.0, 21.0), (float("nan"), 21.0)])
def test_a_lamp_that_is_none_is_refused(rated_v: float, rated_w: float) -> None:
    with pytest.raises(ValueError, match="a lamp of"):
        filament(rated_v, rated_w)


def test_lamp_categories() -> None:
    # UN document ECE/TRANS/WP.29/GRE/2012/34: PY21/5W, 26.5 and 6.6 W at most at 13.5 V (printed)
    lamp = lamp_category(" py21/5w ")
    assert lamp is not None
    assert lamp.provenance.checked
    assert (lamp.test_v, lamp.objective_max_w, lamp.objective_minor_max_w) == (13.5, 26.5, 6.6)
    assert lamp_category("X99W") is None
    assert len(lamp_categories()) == 30


def test_rating_on_the_base_agrees_with_the_test_values() -> None:
    # a lamp taken as 12 V with the watts printed on it draws at its test voltage 0.85 to 1.35 of the greatest allowed
    for lamp in lamp_categories():
        share = filament_current_a(lamp.test_v, 12.0, lamp.rated_w) * lamp.test_v / lamp.objective_max_w
        assert 0.85 < share < 1.2, lamp.category
