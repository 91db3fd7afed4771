"""How a load looks under each hypothesis, in the words a person has for it.

How much it does (dead, dim, works) is told from its share of volts, with soft borders. That it does so in an odd manner
(pulsing, flashing quick, not flashing, backwards, stopped in the wrong place) is told against the sound vehicle, and
only by a part of people: the others say of it what they would of its share alone. What a breaker stops by heat is dead,
works, or cuts out, by how long it works and whether the breaker was open from before.
"""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from loombench.circuit.observe import LED_KINDS
from loombench.diagnose.expected import between_ends, placed_in, stretches, tolerance
from loombench.diagnose.forecast import Sights
from loombench.diagnose.hypothesis import Ends, Hypotheses
from loombench.diagnose.observation import (
    ASTRAY,
    BACKWARDS,
    CUTS_OUT,
    DEAD,
    DIM,
    GLOWS,
    LIT,
    PLAIN,
    PULSING,
    QUICK,
    SEEN,
    STEADY,
    WORKS,
)
from loombench.facts.typical import Typical
from loombench.vehicle.model import Vehicle

FloatArray = npt.NDArray[np.float64]
IntArray = npt.NDArray[np.intp]

QUICK_BELOW = 0.75
"""A rhythm is quick below this share of the sound one's time (an estimate: a flasher doubles its rate)."""
LIT_MANNERS = (BACKWARDS, PULSING, QUICK, STEADY, CUTS_OUT)
"""Odd manners of a load that does something, of which a row has one at most."""


@dataclass(frozen=True, eq=False)
class _Load:
    """[rows] each: what `Sights` has of one load, the sound vehicle first."""

    share: FloatArray
    period_s: FloatArray
    astray: FloatArray
    stops_s: FloatArray


def _load(sights: Sights, load: str, rows: IntArray | slice = slice(None)) -> _Load:
    column = sights.loads.index(load)
    share = sights.share[rows, column].astype(np.float64)
    return _Load(share, sights.period_s[rows, column], sights.astray[rows, column], sights.stops_s[rows, column])


def look_table(sights: Sights, load: str, hypotheses: Hypotheses, rows: Ends, rested: bool) -> FloatArray:
    """[hypotheses, SEEN] probability of each word for a load; `rows` are those of the two ends of each hypothesis.
    `rested` says whether what trips by heat was left to cool before it was switched on."""
    needed, rows = placed_in(rows)
    seen = _load(sights, load, needed)
    level, manner, stops = _level(seen), _manner(seen), _stopping(seen, rested)
    table = np.zeros((len(rows.low), len(SEEN)))
    # What is less than nothing is dead, what is more than enough works, however far it is drawn.
    shares = stretches(level[:, None], hypotheses, rows, np.array([tolerance("volts-share").value]), within=False)
    for at, share in zip((hypotheses.start, hypotheses.end), shares, strict=True):
        plain = look_of(share[:, 0])
        odd = tolerance("odd-noticed").value * between_ends(manner[rows.low], manner[rows.high], at)
        table += _said(plain, odd, between_ends(stops[rows.low], stops[rows.high], at)) / 2.0
    return table


def glow_chance(sights: Sights, load: str, hypotheses: Hypotheses, rows: Ends, vehicle: Vehicle) -> FloatArray:
    """[hypotheses] probability that a load that should be off is seen to glow: more than dark, not lit in full."""
    needed, rows = placed_in(rows)
    level = _level(_load(sights, load, needed))
    part, _, name = load.rpartition(".") if load not in vehicle.parts else (load, "", "")
    elements = vehicle.parts[part].elements if part in vehicle.parts else ()
    kind = next((one.kind for one in elements if one.name == name or len(elements) == 1), "")
    border = tolerance("led-glows" if kind in LED_KINDS else "lamp-glows")
    total = np.zeros(len(rows.low))
    for at in (hypotheses.start, hypotheses.end):
        share = np.nan_to_num(between_ends(level[rows.low], level[rows.high], at), nan=0.0)
        seen = np.clip((share - border.low) / (border.high - border.low), 0.0, 1.0)
        total += seen * (1.0 - look_of(share)[:, PLAIN.index(WORKS)]) / 2.0
    return total


def chance_of(word: str, table: FloatArray) -> FloatArray:
    """[hypotheses] probability of a word by a table of looks; `lit` is any look of a load that does something."""
    if word == LIT:
        result: FloatArray = 1.0 - table[:, SEEN.index(DEAD)] - table[:, SEEN.index(ASTRAY)]
        return result
    # What glows weakly may be called dim too.
    return np.asarray(table[:, SEEN.index(DIM if word == GLOWS else word)])


def look_of(share: FloatArray) -> FloatArray:
    """[n, 3] how a load with this share of its volts is called: dead, dim or works, with soft borders."""
    dead, full = tolerance("dead-below"), tolerance("full-above")
    clean = np.nan_to_num(share, nan=0.0)
    lit = np.clip((clean - dead.low) / (dead.high - dead.low), 0.0, 1.0)
    bright = np.clip((clean - full.low) / (full.high - full.low), 0.0, 1.0)
    table = np.zeros((len(clean), len(PLAIN)))
    table[:, PLAIN.index(DEAD)] = 1.0 - lit
    table[:, PLAIN.index(DIM)] = lit - np.minimum(lit, bright)
    table[:, PLAIN.index(WORKS)] = np.minimum(lit, bright)
    return table


def _level(seen: _Load) -> FloatArray:
    """[rows] a load is judged against how it is when all is well, not against its rating."""
    share: FloatArray = np.abs(seen.share)
    sound = share[0]
    return share / sound if sound > tolerance("dead-below").value else share


def _manner(seen: _Load) -> FloatArray:
    """[rows, LIT_MANNERS and astray] 1 where a row has that manner and the sound vehicle has not; a slow rhythm has
    two, as some say of it that it pulses and some that it works a while and stops."""
    share, period_s = seen.share, seen.period_s
    sound_lit = abs(share[0]) > tolerance("dead-below").value
    pulses = period_s != 0.0
    flashes = bool(pulses[0]) and sound_lit
    back = (share * np.sign(share[0]) < 0.0) & sound_lit
    quick = flashes & pulses & (period_s < QUICK_BELOW * period_s[0])
    astray = (seen.astray > 0.0) & (seen.astray[0] == 0.0)
    pulsing = (pulses & ~flashes & ~back).astype(np.float64)
    border = tolerance("slow-rhythm")
    slow = np.clip((np.nan_to_num(period_s) - border.low) / (border.high - border.low), 0.0, 1.0) / 2.0
    found = [back, pulsing * (1.0 - slow), quick & ~back, ~pulses & flashes & ~back, pulsing * slow, astray]
    result: FloatArray = np.where(np.isnan(share)[:, None], 0.0, np.stack(found, axis=1).astype(np.float64))
    return result


def _stopping(seen: _Load, rested: bool) -> FloatArray:
    """[rows, 2] of a load that stands still at last: probability that it is said to work a while and then stop, and
    that it is said to work, as nobody watches it for so long. What is still open from before shows neither."""
    stops_s = np.nan_to_num(seen.stops_s)
    works = (stops_s > 0.0) & (abs(seen.share[0]) > tolerance("dead-below").value) & (stops_s[0] == 0.0)
    closed = 1.0 - tolerance("not-cooled" if rested else "still-open").value
    comes_on, leaves = later(stops_s, tolerance("comes-on")), later(stops_s, tolerance("watched"))
    missed = leaves * tolerance("leaves-early").value
    result: FloatArray = (works * closed)[:, None] * np.stack([comes_on * (1.0 - missed), missed], axis=1)
    return result


def later(seconds: FloatArray, border: Typical) -> FloatArray:
    """[n] 0 below a border, 1 above it, softly between by the logarithm."""
    log_s = np.log(np.maximum(seconds, 1e-6))
    result: FloatArray = np.clip((log_s - np.log(border.low)) / (np.log(border.high) - np.log(border.low)), 0.0, 1.0)
    return result


def _said(plain: FloatArray, odd: FloatArray, stops: FloatArray) -> FloatArray:
    """[n, SEEN] words from how much it does [n, PLAIN], in which manner [n, manners], and whether what stands still at
    last was seen to work [n, 2]."""
    table = np.zeros((len(plain), len(SEEN)))
    dead, lit = plain[:, PLAIN.index(DEAD)], 1.0 - plain[:, PLAIN.index(DEAD)]
    table[:, SEEN.index(ASTRAY)] = dead * odd[:, -1]
    still = dead * (1.0 - odd[:, -1])
    table[:, SEEN.index(DEAD)] = still * (1.0 - stops.sum(axis=1))
    for number, word in enumerate(LIT_MANNERS):
        table[:, SEEN.index(word)] = lit * odd[:, number]
    usual = 1.0 - odd[:, :-1].sum(axis=1)
    for word in (DIM, WORKS):
        table[:, SEEN.index(word)] = plain[:, PLAIN.index(word)] * usual
    table[:, SEEN.index(CUTS_OUT)] += still * stops[:, 0]
    table[:, SEEN.index(WORKS)] += still * stops[:, 1]
    return table


def plainly(sights: Sights, load: str) -> IntArray:
    """[rows] the place in `SEEN` of how a load looks, without the doubt of who looks; -1 where nothing is known."""
    seen = _load(sights, load)
    level, manner = _level(seen), _manner(seen)
    word = np.array([SEEN.index(one) for one in PLAIN])[look_of(level).argmax(axis=1)]
    dead = word == SEEN.index(DEAD)
    word = np.where(dead & (manner[:, -1] > 0.0), SEEN.index(ASTRAY), word)
    stopping = _stopping(seen, True)[:, 0] > 0.5 * (1.0 - tolerance("not-cooled").value)
    word = np.where(dead & stopping, SEEN.index(CUTS_OUT), word)
    odd = manner[:, :-1]
    manners = np.array([SEEN.index(one) for one in LIT_MANNERS])
    word = np.where(~dead & odd.any(axis=1), manners[odd.argmax(axis=1)], word)
    result: IntArray = np.where(np.isnan(seen.share), -1, word).astype(np.intp)
    return result
