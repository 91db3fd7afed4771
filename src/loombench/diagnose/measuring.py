"""Steps with a meter: volts between two points of the plugged, loaded circuit, and ohms of a dead one."""

from dataclasses import dataclass, replace
from itertools import pairwise
from types import MappingProxyType

import numpy as np

from loombench.diagnose.bench import Bench
from loombench.diagnose.excerpt import mattering
from loombench.diagnose.expected import RESISTIVE, Expected, expected, interval_table, off_scale
from loombench.diagnose.observation import MeterRead, Observation
from loombench.diagnose.place import place_of_point
from loombench.diagnose.presence import now_and_then
from loombench.diagnose.situation import Situation, cost_of, hands_at, helper_s, reaching_s, setting_s
from loombench.diagnose.step import BoolArray, FloatArray, Outcome, Outcomes
from loombench.vehicle.condition import CLAMPS, RUNNING, Setup

MOST_CUTS = 5
WORDS = MappingProxyType({"clamp": "amps at", RUNNING: "running amps at", "millivoltmeter": "millivolts"})
"""What a step with these meters is called by."""
APART = 2.5
"""Two predictions are told apart where they are this many standard errors, of both together, from each other."""


def unit_of(setup: Setup) -> str:
    """The unit of what a meter shows: V, A or ohm."""
    return "ohm" if setup.meter in RESISTIVE else "A" if setup.meter in CLAMPS else "V"


@dataclass(frozen=True)
class Measure:
    """One reading. `drop` marks a reading over a section, both leads at one place."""

    setup: Setup
    drop: bool = False

    @property
    def kind(self) -> str:
        return "ohms" if self.setup.meter in RESISTIVE else "measure"

    @property
    def number(self) -> bool:
        return True

    @property
    def unit(self) -> str:
        """The unit of the answer: V, A or ohm."""
        return unit_of(self.setup)

    @property
    def id(self) -> str:
        leads = f"{self.setup.red} to {self.setup.black}" if self.setup.black is not None else str(self.setup.red)
        what = WORDS.get(self.setup.meter, "ohms" if self.kind == "ohms" else "volts")
        return f"{what} {leads} when {self.setup.condition}"

    def cost_s(self, bench: Bench, situation: Situation) -> float:
        total = cost_of("measure-ohms" if self.kind == "ohms" else "measure-drop" if self.drop else "measure")
        total += 0.0 if situation.meter_out else cost_of("meter-out")
        total += setting_s(bench.vehicle, situation.condition, self.setup.condition)
        places = self._places(bench, situation)
        total += reaching_s(bench.vehicle, situation, *places)
        total += helper_s(bench.vehicle, self.setup.condition, *places)
        black = str(self.setup.black)
        if not self.drop and self.setup.black is not None and situation.clipped != black:
            total += cost_of("long-lead")
        return total

    def _places(self, bench: Bench, situation: Situation) -> tuple[str, ...]:
        points = [point for point in (self.setup.red, self.setup.black) if point is not None]
        leads = (place_of_point(bench.vehicle, point) for point in points)
        hands = hands_at(bench.vehicle, situation.condition, self.setup.condition)
        return tuple(dict.fromkeys((*leads, *hands)))

    def outcomes(self, bench: Bench, share: FloatArray, situation: Situation) -> Outcomes:
        some = mattering(bench, share)
        wanted = expected(some.bench, (self.setup,), situation.repaired)
        edges = cuts(wanted, some.used)
        bounds = [-np.inf, *off_scale(self.setup, edges).tolist(), np.inf]
        named = tuple(Outcome("", low, high) for low, high in pairwise(bounds))
        table = now_and_then(some.bench, interval_table(wanted, 0, edges, bench.outlier_share))
        return some.outcomes(named, table)

    def after(self, bench: Bench, situation: Situation) -> Situation:
        there = situation.at(*self._places(bench, situation))
        clipped = situation.clipped if self.drop or self.setup.black is None else str(self.setup.black)
        return replace(
            there, condition=self.setup.condition, meter_out=True, clipped=clipped, done=there.done | {self.id}
        )

    def observe(self, situation: Situation, value: float | str) -> Observation:
        return MeterRead(self.setup, float(value), situation.repaired)


def cuts(wanted: Expected, used: BoolArray) -> FloatArray:
    """Where to cut the scale of a single set-up: in the widest gaps between what the hypotheses `used` [hypotheses]
    expect, ascending."""
    used = used & ~wanted.anything[:, 0]
    middle = (wanted.low[used, 0] + wanted.high[used, 0]) / 2.0
    if not len(middle):
        return np.empty(0)
    order = np.argsort(middle, kind="stable")
    sorted_middle, error = middle[order], wanted.error[used, 0][order]
    gap = np.diff(sorted_middle) / (error[1:] + error[:-1])
    wide = np.flatnonzero(gap > APART / 2.0)
    widest = wide[np.argsort(-gap[wide], kind="stable")][:MOST_CUTS]
    result: FloatArray = np.sort((sorted_middle[widest] + sorted_middle[widest + 1]) / 2.0)
    return result
