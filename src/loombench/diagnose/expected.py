"""What each hypothesis expects a meter to show, on the scale on which readings are compared, and with which error."""

from dataclasses import dataclass, replace
from types import MappingProxyType

import numpy as np
import numpy.typing as npt

from loombench.diagnose.bench import Bench
from loombench.diagnose.hypothesis import Ends, Hypotheses
from loombench.diagnose.observation import MeterRead
from loombench.diagnose.smear import below
from loombench.facts.typical import Typical, typical
from loombench.vehicle.condition import CLAMPS, Setup

FloatArray = npt.NDArray[np.float64]
IntArray = npt.NDArray[np.intp]

OPEN_OHM = 1e8
"""An ohmmeter shows its end of range from here on."""
RESISTIVE = ("ohmmeter", "buzzer")
SPAN = 1.5
"""A wrong reading is taken as even over this many times the nominal volts, up to 1.25 times."""
BENT = 1.5
"""So much farther than in proportion a reading may be drawn without a jump: filaments and motors are not straight."""
BEYOND = 4.0
"""A reading so many standard errors from what a sound vehicle shows is not as it should be."""


def tolerance(name: str) -> Typical:
    """A figure of `reading_tolerance.csv`."""
    return typical("reading_tolerance", name)


@dataclass(frozen=True, eq=False)
class Expected:
    """[hypotheses, setups] what each hypothesis expects on the scale readings are compared on, and the error there.

    Volts are compared as they are, ohms as decades. `anything` is True where a hypothesis has no answer.
    """

    low: FloatArray
    high: FloatArray
    error: FloatArray
    anything: npt.NDArray[np.bool_]
    span: FloatArray
    floor: FloatArray
    """[setups] where the scale begins; it ends `span` further on."""
    least: FloatArray
    per: FloatArray
    """[setups] the least error of a meter that is not for ohms, and its share of the reading."""


def on_scale(setup: Setup, value: float) -> float:
    """A reading on the scale it is compared on."""
    if setup.meter in RESISTIVE:
        return float(np.log10(min(max(value, 0.0), OPEN_OHM) + tolerance("ohms-floor").value))
    return value


def off_scale(setup: Setup, values: FloatArray) -> FloatArray:
    """[n] readings from where they are on the scale they are compared on."""
    return 10.0**values - tolerance("ohms-floor").value if setup.meter in RESISTIVE else values


def expected(bench: Bench, setups: tuple[Setup, ...], repaired: tuple[str, ...]) -> Expected:
    """What each hypothesis expects under each set-up, after the repair of some groups, at the supply of the bench."""
    hypotheses, nominal_v = bench.hypotheses, bench.nominal_v
    wanted_rows, placed = placed_in(hypotheses.rows_after(repaired))
    readings = bench.forecast.readings(setups, wanted_rows)
    ohms = np.array([setup.meter in RESISTIVE for setup in setups])
    least, per = np.array([error_of(setup) for setup in setups]).T
    jump_v = np.where(ohms, np.inf, BEYOND * least)
    least_read, most_read = readings.low[wanted_rows], readings.high[wanted_rows]
    # Most readings have no width.
    tables = (least_read,) if np.array_equal(least_read, most_read, equal_nan=True) else (least_read, most_read)
    reached = [end for table in tables for end in stretches(scaled(table, ohms), hypotheses, placed, jump_v)]
    low, high = np.minimum.reduce(reached), np.maximum.reduce(reached)
    anything = np.isnan(low) | np.isnan(high) | hypotheses.unexplained[:, None]
    low, high = np.where(anything, 0.0, low), np.where(anything, 0.0, high)
    floor, span = np.array([scale_of(setup, nominal_v) for setup in setups]).T
    error = np.full(low.shape, tolerance("ohms-decades").value)
    wanted = Expected(low, high, error, anything, span, floor, least, per)
    return supplied(wanted, ohms, np.ones((1, 1)) if bench.supply is None else bench.supply[:, None])


def supplied(wanted: Expected, ohms: npt.NDArray[np.bool_], supply: FloatArray) -> Expected:
    """Volts with another share of the supply, [hypotheses, 1], or [1, shares] for several of one set-up in a column
    each, and the error that then goes with them."""
    times = np.where(ohms, 1.0, supply)
    low, high = wanted.low * times, wanted.high * times
    error = np.hypot(wanted.least, wanted.per * np.maximum(np.abs(low), np.abs(high)))
    return replace(wanted, low=low, high=high, error=np.where(ohms, wanted.error, error))


ERRORS = MappingProxyType({**dict.fromkeys(CLAMPS, "amps"), "millivoltmeter": "millivolts"})


def error_of(setup: Setup) -> tuple[float, float]:
    """The least standard error of a meter that shows volts or ampere, and its share of the reading."""
    kind = ERRORS.get(setup.meter, "volts")
    return tolerance(f"{kind}-floor").value, tolerance(f"{kind}-share").value


def needed_rows(ends: Ends) -> IntArray:
    """The rows that hypotheses with these ends and the sound vehicle need, ascending."""
    needed = np.zeros(1 + max(int(end.max(initial=0)) for end in ends), dtype=np.bool_)
    needed[0] = True
    for end in ends:
        needed[end] = True
    return np.flatnonzero(needed)


def placed_in(ends: Ends) -> tuple[IntArray, Ends]:
    """The rows needed, and the ends by their places among these: of a large vehicle most rows are none of these."""
    needed = needed_rows(ends)
    return needed, Ends(*(np.searchsorted(needed, end) for end in ends))


def scaled(values: FloatArray, ohms: npt.NDArray[np.bool_]) -> FloatArray:
    """[rows, setups] values on the scale of each set-up."""
    result: FloatArray = np.where(
        ohms, np.log10(np.clip(values, 0.0, OPEN_OHM) + tolerance("ohms-floor").value), values
    )
    return result


def between_ends(low: FloatArray, high: FloatArray, at: FloatArray) -> FloatArray:
    """[hypotheses, ...] between the values at the two ends of each cell."""
    share = at.reshape((-1,) + (1,) * (low.ndim - 1))
    result: FloatArray = low + share * (high - low)
    return result


def stretches(
    table: FloatArray, hypotheses: Hypotheses, ends: Ends, least: FloatArray, within: bool = True
) -> tuple[FloatArray, FloatArray]:
    """[hypotheses, setups] each: the values where each hypothesis begins and ends, of [rows, setups] those at the ends
    of its cell; a jump of less than `least` [setups] is none. What is said of the sound vehicle holds, for one of two
    faults, of the vehicle with the other.

    While nothing switches, a resistance R draws a reading away from the sound vehicle's by D / (R + r) where it joins
    what should be apart, by D R / (R + r) where it is in the way (the circuit around it as one source with its
    resistance r). So along a cell, going away from the sound vehicle, it is drawn on, but no farther than in the
    proportion of the ohms. Where the ends are otherwise something has switched between them: a fuse is blown, a relay
    has fallen. Then the half nearer to the sound vehicle goes on from its end in that proportion. The other has the
    value of its end, or where that is nearer to the sound one again, comes to it in that proportion. `within` keeps
    what is drawn on to where values of the table are.
    """
    sound, low, high = table[ends.beside], table[ends.low], table[ends.high]
    across = hypotheses.across[:, None]
    near, far = np.where(across, high, low) - sound, np.where(across, low, high) - sound
    whole = np.isfinite(hypotheses.reach)[:, None]
    reach = np.where(whole, hypotheses.reach[:, None], 1.0)
    back = np.abs(near) > BENT * np.abs(far) + least
    jumps = whole & (back | (np.abs(far) > BENT * reach * np.abs(near) + least))
    drawn = sound + reach * near
    drawn = np.clip(drawn, np.fmin.reduce(table), np.fmax.reduce(table)) if within else drawn
    nearer = (hypotheses.start[:, None] >= 0.5) == across
    start, end = (between_ends(low, high, at) for at in (hypotheses.start, hypotheses.end))
    return (
        np.where(jumps, sound + np.where(nearer, near, np.where(back, far / reach, far)), start),
        np.where(jumps, np.where(nearer, drawn, sound + far), end),
    )


def decades() -> float:
    """The width of the scale of ohms."""
    return float(np.log10(OPEN_OHM) - np.log10(tolerance("ohms-floor").value))


def scale_of(setup: Setup, nominal_v: float) -> tuple[float, float]:
    """Where the scale of a set-up begins, and how far it goes."""
    if setup.meter in RESISTIVE:
        return float(np.log10(tolerance("ohms-floor").value)), decades()
    return -(SPAN - 1.25) * nominal_v, SPAN * nominal_v


def interval_table(wanted: Expected, column: int, edges: FloatArray, wrong: float) -> FloatArray:
    """[hypotheses, len(edges) + 1] probability that a reading falls between the edges, in the column of a set-up, where
    the share `wrong` of readings is."""
    low, high = wanted.low[:, column, None], wanted.high[:, column, None]
    inner = below(edges[None, :], low, high, wanted.error[:, column, None])
    start, span = wanted.floor[column], wanted.span[column]
    even = np.clip((edges - start) / span, 0.0, 1.0)[None, :]
    mixed = np.where(wanted.anything[:, column, None], even, (1.0 - wrong) * inner + wrong * even)
    ends = np.ones((len(mixed), 1))
    steps = np.diff(np.hstack([0.0 * ends, mixed, ends]), axis=1)
    result: FloatArray = np.maximum(steps, 0.0)
    return result


def nominal(bench: Bench, setup: Setup) -> float | None:
    """What the sound vehicle shows under a set-up; None where that is not known."""
    readings = bench.forecast.readings((setup,), np.zeros(1, dtype=np.intp))
    value = float((readings.low[0, 0] + readings.high[0, 0]) / 2.0)
    return None if np.isnan(value) else value


def deviation(bench: Bench, read: MeterRead) -> float:
    """How many standard errors a reading is from what the sound vehicle shows; 0 where that is not known."""
    readings = bench.forecast.readings((read.setup,), np.zeros(1, dtype=np.intp))
    low, high = float(readings.low[0, 0]), float(readings.high[0, 0])
    if np.isnan(low) or np.isnan(high):
        return 0.0
    value, low, high = on_scale(read.setup, read.value), on_scale(read.setup, low), on_scale(read.setup, high)
    error = tolerance("ohms-decades").value
    if read.setup.meter not in RESISTIVE:
        least, share = error_of(read.setup)
        error = float(np.hypot(least, share * max(abs(low), abs(high))))
    return max(low - value, value - high, 0.0) / error
