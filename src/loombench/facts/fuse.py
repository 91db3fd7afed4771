"""Fuses: resistance cold and hot, how long they hold an overload, colours, what a millivolt reading means.

A fuse is never up-rated or bridged; the vehicle maker's table decides the rating. Between 1.1 and 1.35 times its rating
a fuse may hold or open: both have to be followed. Resistances and times are of new fuses at 20 to 25 C and come from
memory (rows of `fuse_resistance.csv` and `fuse_time.csv`), those of breakers are estimates.
"""

import math
from dataclasses import dataclass
from functools import cache

from loombench.facts.interpolate import linear, log_log
from loombench.facts.table import Provenance, load_table
from loombench.facts.typical import typical

HOLDS_TO = 1.1
"""A fuse holds up to this many times its rating. ISO 8820-3 (100 h at 1.1 times), from memory."""
OPENS_FROM = 1.35
"""A fuse opens, at some time, from this many times its rating. ISO 8820-3, from memory."""
SERIES = ("blade", "maxi", "link", "breaker")
"""The series with operating times; `link` is a bolted link, 40 to 500 A."""


@dataclass(frozen=True)
class FuseResistance:
    """Typical figures of one rating; `drop_v_at_rating` is None where the sheet gives none."""

    series: str
    rating_a: float
    cold_ohm: float
    drop_v_at_rating: float | None
    melting_i2t_a2s: float
    provenance: Provenance


@cache
def fuse_resistances(series: str = "blade") -> tuple[FuseResistance, ...]:
    """The rows of a series (`blade` or `maxi`) from small to large; empty for another series. All from memory."""
    return tuple(
        FuseResistance(
            series,
            row.number("rating_a"),
            row.number("cold_mohm") / 1e3,
            None if (drop := row.number_or_none("drop_mv_at_rating")) is None else drop / 1e3,
            row.number("melting_i2t_a2s"),
            row.provenance,
        )
        for row in load_table("fuse_resistance")
        if row.text("series") == series
    )


def cold_resistance_ohm(rating_a: float, series: str = "blade") -> float:
    """Typical resistance of a fuse at small current, ohm; falls as the rating rises.

    In the table's range (blade 1 to 40 A, maxi 30 to 40 A) interpolated on log axes; outside, and for series without
    a table (`link`, `breaker`), resistance times rating is kept at the nearest end (blade's for a series without
    table), which is an estimate. Source: blade fuse data sheets, from memory; other makes differ.

    Raises:
        ValueError: the rating is not above zero.
    """
    _wants_rating(rating_a)
    rows = fuse_resistances(series) or fuse_resistances("blade")
    first, last = rows[0], rows[-1]
    if rating_a < first.rating_a:
        return first.cold_ohm * first.rating_a / rating_a
    if rating_a > last.rating_a:
        return last.cold_ohm * last.rating_a / rating_a
    return log_log([(row.rating_a, row.cold_ohm) for row in rows], rating_a)


def hot_resistance_ohm(rating_a: float, series: str = "blade") -> float:
    """Typical resistance of a fuse carrying its rated current, ohm: drop at rating over rating.

    Blade fuses from 1 to 40 A by the table's drop, interpolated on a log axis of rating; else cold resistance times
    `hot-over-cold` of `fuse_rule.csv`. From memory throughout. A breaker: 0.2 V at its rating, an estimate.

    Raises:
        ValueError: the rating is not above zero.
    """
    _wants_rating(rating_a)
    if series == "breaker":
        return typical("fuse_rule", "breaker-drop-at-rating").value / rating_a
    drops = [(math.log(r.rating_a), r.drop_v_at_rating) for r in fuse_resistances(series) if r.drop_v_at_rating]
    if len(drops) > 1 and drops[0][0] <= math.log(rating_a) <= drops[-1][0]:
        return linear(drops, math.log(rating_a)) / rating_a
    return cold_resistance_ohm(rating_a, series) * typical("fuse_rule", "hot-over-cold").value


def current_from_drop_a(drop_v: float, rating_a: float, series: str = "blade") -> float:
    """Current through a fuse from the volts across it: I = V / R cold.

    Good for small currents (sleep current search), where the element is cold; take R by series as well as rating.

    Raises:
        ValueError: the rating is not above zero.
    """
    return drop_v / cold_resistance_ohm(rating_a, series)


def least_rating_a(continuous_a: float) -> float:
    """Least fuse rating for a continuous current: 1.25 times it (load at most 80 %). Common practice, no source.

    It says what the load asks for; the cable still sets the most a fuse may be.
    """
    return continuous_a * typical("fuse_rule", "continuous-margin").value


def temperature_share(temperature_c: float) -> float:
    """Share of its rating that a maxi fuse carries at an ambient temperature, between table points a straight line.

    Source: data sheet of a 40 A maxi fuse, -40 to 125 C, from memory; held constant past the ends.
    """
    rows = load_table("fuse_temperature")
    points = [(row.number("temperature_c"), row.number("carries_a") / row.number("rating_a")) for row in rows]
    return linear(points, temperature_c)


def fuse_colour(rating_a: float, series: str = "blade") -> str | None:
    """Colour of a fuse body by rating, None where the series has none. Source: ISO 8820-3, from memory."""
    for row in load_table("fuse_colour"):
        if row.text("series") == series and row.number("rating_a") == rating_a:
            return row.text("colour")
    return None


def standard_ratings_a(series: str = "blade") -> tuple[float, ...]:
    """The ratings of a series that have a colour, small to large. Source: ISO 8820-3, from memory."""
    return tuple(row.number("rating_a") for row in load_table("fuse_colour") if row.text("series") == series)


@dataclass(frozen=True)
class TimeLimit:
    """Least and greatest operating time at a multiple of the rating; None where the source gives none."""

    multiple: float
    t_min_s: float | None
    t_max_s: float | None
    provenance: Provenance


@cache
def time_limits(series: str) -> tuple[TimeLimit, ...]:
    """The rows of a series by rising multiple: one of `SERIES`, or another list named in the file.

    Raises:
        ValueError: no such series.
    """
    rows = [row for row in load_table("fuse_time") if row.text("series") == series]
    if not rows:
        raise ValueError(f"no operating times for {series!r}; there are {', '.join(SERIES)}")
    limits = (
        TimeLimit(row.number("multiple"), row.number_or_none("t_min_s"), row.number_or_none("t_max_s"), row.provenance)
        for row in rows
    )
    return tuple(sorted(limits, key=lambda limit: limit.multiple))


@cache
def _points(series: str) -> tuple[tuple[tuple[float, float], ...], tuple[tuple[float, float], ...]]:
    least = tuple((limit.multiple, limit.t_min_s) for limit in time_limits(series) if limit.t_min_s is not None)
    most = tuple((limit.multiple, limit.t_max_s) for limit in time_limits(series) if limit.t_max_s is not None)
    return least, most


def opening_time_s(rating_a: float, current_a: float, series: str = "blade") -> tuple[float, float]:
    """Least and greatest time in seconds after which a fuse opens at a steady current (its size, not its sign).

    Up to 1.1 times the rating it holds: (inf, inf). Above that and below 1.35 times it may hold: (t_min, inf). From
    1.35 times it opens within (t_min, t_max). Between table points straight lines on log axes; past the last point
    the times fall with the square of the current (constant I2t). Both fall as the current rises.
    Source: ISO 8820-3 (`blade`), data sheets (`maxi`, `link`), all from memory; `breaker`: estimate.

    Raises:
        ValueError: the rating is not above zero, the current is not a number, or no such series.
    """
    _wants_rating(rating_a)
    if math.isnan(current_a):
        raise ValueError("the current is not a number")
    least, most = _points(series)
    multiple = abs(current_a) / rating_a
    if multiple <= HOLDS_TO:
        return math.inf, math.inf
    t_min_s = _time(least, multiple)
    if multiple < OPENS_FROM:
        return t_min_s, math.inf
    return t_min_s, _time(most, multiple)


def _time(points: tuple[tuple[float, float], ...], multiple: float) -> float:
    last_multiple, last_s = points[-1]
    if multiple > last_multiple:
        return last_s * (last_multiple / multiple) ** 2
    return log_log(points, max(multiple, points[0][0]))


def _wants_rating(rating_a: float) -> None:
    if not (rating_a > 0.0 and math.isfinite(rating_a)):
        raise ValueError(f"fuse rating {rating_a} A is not above zero")
