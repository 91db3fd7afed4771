"""What each of many faults does in a state: which loads change and how, what opens, what batteries give more, and what
a voltmeter reads across the loads that change."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from loombench.diagnose.expected import tolerance
from loombench.diagnose.forecast import FloatArray, Forecast, IntArray
from loombench.diagnose.looks import plainly
from loombench.diagnose.observation import SEEN
from loombench.vehicle.condition import Condition, Setup
from loombench.vehicle.points import Point

DIGITS = 3
"""Decimals of a volt that are kept."""
MORE = 0.02
"""A battery that gives less than this share more gives what it should."""


@dataclass(frozen=True)
class Look:
    """A load that is not as in the sound vehicle: how it looks, one of `SEEN`, how it should, and volts across it from
    `low_v` to `high_v` with those of the sound vehicle (None where nothing may or can be read)."""

    load: str
    word: str
    sound: str
    low_v: float | None = None
    high_v: float | None = None
    sound_v: float | None = None


@dataclass(frozen=True)
class Shown:
    """What one fault shows in one state. `opens` are fuses and breakers that are open, with the seconds that takes
    (infinite: not by too much current); `draws` the ampere a battery gives beyond what it should; `known` is False
    where the state has no solution with that fault."""

    looks: tuple[Look, ...] = ()
    opens: tuple[tuple[str, float], ...] = ()
    draws: tuple[tuple[str, float], ...] = ()
    known: bool = True

    @property
    def shows(self) -> bool:
        """Whether anything is other than in the sound vehicle."""
        return bool(self.looks or self.opens or self.draws or not self.known)


def shown(
    forecast: Forecast, rows: int, condition: Condition, ends: Mapping[str, tuple[Point, Point]]
) -> tuple[Shown, ...]:
    """What each row of a forecast shows, row 0 (the sound vehicle) left out. `ends` are the points, red then black, at
    which a load is measured; loads that are not in it are not."""
    sights = forecast.sights(condition)
    blind = np.asarray(np.isnan(sights.share).all(axis=1) & bool(sights.loads), dtype=np.bool_).reshape(-1)
    looks: list[list[Look]] = [[] for _ in range(rows)]
    for load in sights.loads:
        words = plainly(sights, load)
        changed = np.flatnonzero((words != words[0]) & (words >= 0) & ~blind)
        if not len(changed) or words[0] < 0:
            continue
        volts = _across(forecast, condition, ends.get(load), changed)
        for place, row in enumerate(changed.tolist()):
            low, high, sound = volts[place] if volts else (None, None, None)
            looks[row].append(Look(load, SEEN[words[row]], SEEN[words[0]], low, high, sound))
    opens = _opens(sights.fuses, sights.blown, sights.opens_s)
    least_a = tolerance("flat-draw").value
    more_a = sights.draw_a - sights.draw_a[0]
    found = []
    for row in range(1, rows):
        given = np.flatnonzero(more_a[row] > np.maximum(least_a, MORE * np.abs(sights.draw_a[0]))).tolist()
        draws = tuple((sights.batteries[k], round(float(more_a[row, k]), 3)) for k in given)
        found.append(Shown(tuple(looks[row]), tuple(opens[row]), draws, not bool(blind[row])))
    return tuple(found)


def _across(
    forecast: Forecast, condition: Condition, ends: tuple[Point, Point] | None, rows: IntArray
) -> Sequence[tuple[float | None, float | None, float | None]]:  # fmt: skip
    if ends is None:
        return ()
    setup = Setup(condition, *ends)
    found = forecast.readings((setup,), np.concatenate([[0], rows]))
    sound = float((found.low[0, 0] + found.high[0, 0]) / 2.0)
    if np.isnan(sound):
        return ()
    return [
        (None, None, round(sound, DIGITS))
        if np.isnan(found.low[row, 0] + found.high[row, 0])
        else (round(float(found.low[row, 0]), DIGITS), round(float(found.high[row, 0]), DIGITS), round(sound, DIGITS))
        for row in rows
    ]


def _opens(
    fuses: tuple[str, ...], blown: FloatArray, opens_s: FloatArray
) -> list[list[tuple[str, float]]]:  # fmt: skip
    found: list[list[tuple[str, float]]] = [[] for _ in range(len(blown))]
    out = (blown > 0.0) | (opens_s > 0.0)
    for row, column in zip(*np.nonzero(out & ~out[:1]), strict=True):
        found[row].append((fuses[column], float(opens_s[row, column]) or math.inf))
    return found
