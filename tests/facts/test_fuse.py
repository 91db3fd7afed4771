"""Fuses and breakers: operating times, resistances, colours."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from loombench.facts.breaker import breaker_types, cooling_time, reclose_time
from loombench.facts.fuse import (
    HOLDS_TO,
    OPENS_FROM,
    SERIES,
    cold_resistance_ohm,
    current_from_drop_a,
    fuse_colour,
    fuse_resistances,
    hot_resistance_ohm,
    opening_time_s,
    standard_ratings_a,
    temperature_share,
    time_limits,
)
from loombench.facts.melting import link_opening_time_s, onderdonk_current_a, onderdonk_time_s, preece_current_a

series = st.sampled_from(SERIES)
ratings = st.floats(0.5, 500.0)
multiples = st.floats(0.0, 50.0)


@given(series, ratings, multiples, multiples)
def test_times_fall_as_the_current_rises(name: str, rating_a: float, first: float, second: float) -> None:
    less, more = sorted((first, second))
    slow, fast = opening_time_s(rating_a, less * rating_a, name), opening_time_s(rating_a, more * rating_a, name)
    assert fast[0] <= slow[0]
    assert fast[1] <= slow[1]


@given(series, ratings, multiples)
def test_least_time_is_not_above_the_greatest(name: str, rating_a: float, multiple: float) -> None:
    t_min_s, t_max_s = opening_time_s(rating_a, multiple * rating_a, name)
    assert 0.0 < t_min_s <= t_max_s
    assert opening_time_s(rating_a, -multiple * rating_a, name) == (t_min_s, t_max_s)


@given(series, ratings)
def test_holds_may_open_and_opens(name: str, rating_a: float) -> None:
    assert opening_time_s(rating_a, 0.999 * HOLDS_TO * rating_a, name) == (math.inf, math.inf)
    t_min_s, t_max_s = opening_time_s(rating_a, 1.2 * rating_a, name)
    assert t_min_s < math.inf
    assert t_max_s == math.inf
    assert opening_time_s(rating_a, 1.001 * OPENS_FROM * rating_a, name)[1] < math.inf


def test_table_points_come_back() -> None:
    for name in SERIES:
        for limit in time_limits(name):
            if limit.multiple > OPENS_FROM:
                t_min_s, t_max_s = opening_time_s(8.0, limit.multiple * 8.0, name)
                if limit.t_min_s is not None:
                    assert t_min_s == pytest.approx(limit.t_min_s, rel=1e-9)
                if limit.t_max_s is not None:
                    assert t_max_s == pytest.approx(limit.t_max_s, rel=1e-9)


def test_greatest_times_agree_with_the_printed_overload_points() -> None:
    # TE Connectivity, Power Relay B data sheet: overload points after ISO 8820-3, 35 A
    printed = time_limits("blade, relay data sheet")
    assert [limit.multiple for limit in printed] == [1.35, 2.0, 3.5, 6.0]
    for limit in printed:
        assert opening_time_s(35.0, limit.multiple * 35.0)[1] == pytest.approx(limit.t_max_s, rel=1e-9)


def test_past_the_table_the_current_squared_time_is_kept() -> None:
    assert opening_time_s(10.0, 120.0)[1] == pytest.approx(opening_time_s(10.0, 60.0)[1] / 4)


@pytest.mark.parametrize("rating_a", [0.0, -5.0, math.nan, math.inf])
def test_a_rating_that_is_none_is_refused(rating_a: float) -> None:
    with pytest.raises(ValueError, match="rating"):
        opening_time_s(rating_a, 10.0)
    with pytest.raises(ValueError, match="rating"):
        cold_resistance_ohm(rating_a)


def test_an_unknown_series_and_a_current_that_is_none_are_refused() -> None:
    with pytest.raises(ValueError, match="no operating times for 'slow'"):
        opening_time_s(10.0, 20.0, "slow")
    with pytest.raises(ValueError, match="not a number"):
        opening_time_s(10.0, math.nan)


@given(ratings, ratings, series)
def test_cold_resistance_falls_with_the_rating(first: float, second: float, name: str) -> None:
    small, large = sorted((first, second))
    if large > small * (1 + 1e-9):
        assert cold_resistance_ohm(large, name) < cold_resistance_ohm(small, name)


@given(ratings, st.sampled_from(("blade", "maxi", "link")))
def test_a_hot_fuse_has_more_resistance_than_a_cold_one(rating_a: float, name: str) -> None:
    hot_ohm = hot_resistance_ohm(rating_a, name)
    assert cold_resistance_ohm(rating_a, name) < hot_ohm
    assert 0.05 < hot_ohm * rating_a < 0.25


def test_listed_fuses_give_the_table_value() -> None:
    for row in fuse_resistances():
        assert cold_resistance_ohm(row.rating_a) == pytest.approx(row.cold_ohm)
        assert row.drop_v_at_rating is not None
        assert hot_resistance_ohm(row.rating_a) * row.rating_a == pytest.approx(row.drop_v_at_rating)
    assert current_from_drop_a(0.77e-3, 10.0) == pytest.approx(0.1)


def test_colours() -> None:
    # SAE J1284 / ISO 8820-3, from memory
    assert fuse_colour(10.0) == "red"
    assert fuse_colour(30.0) == "green"
    assert fuse_colour(60.0, "maxi") == "blue"
    assert fuse_colour(11.0) is None
    assert standard_ratings_a()[:6] == (1, 2, 3, 4, 5, 7.5)


def test_a_hot_place_takes_rating_away() -> None:
    assert temperature_share(20.0) == 1.0
    assert 0.55 <= temperature_share(200.0) < temperature_share(100.0) < 1.0


def test_breakers_of_the_three_types() -> None:
    kinds = {
        breaker.type: (breaker.recloses_under_load, breaker.recloses_when_unpowered) for breaker in breaker_types()
    }
    assert kinds == {1: (True, True), 2: (False, True), 3: (False, False)}
    assert 0 < reclose_time().value < cooling_time().value
    assert cooling_time().low < cooling_time().value < cooling_time().high


@given(st.floats(0.3, 10.0), st.floats(1.0, 5000.0))
def test_a_fusible_link_holds_below_and_melts_above(area_mm2: float, current_a: float) -> None:
    t_min_s, t_max_s = link_opening_time_s(area_mm2, current_a)
    holds = current_a <= preece_current_a(math.sqrt(4 * area_mm2 / math.pi))
    assert math.isinf(t_min_s) == holds
    assert t_max_s == math.inf
    assert onderdonk_current_a(area_mm2, onderdonk_time_s(area_mm2, current_a)) == pytest.approx(current_a, rel=1e-9)
