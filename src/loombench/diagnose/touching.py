"""Steps at one contact or one module: feeling how a contact grips, reading an input by scan tool."""

from dataclasses import dataclass, replace

import numpy as np

from loombench.diagnose.bench import Bench
from loombench.diagnose.excerpt import mattering
from loombench.diagnose.likelihood import grip_table, input_table
from loombench.diagnose.observation import FIRM, SCANNED, SLACK, GripFelt, InputSeen, Observation
from loombench.diagnose.place import place_of_point
from loombench.diagnose.situation import Situation, cost_of, hands_at, reaching_s, setting_s
from loombench.diagnose.step import FloatArray, Outcome, Outcomes
from loombench.vehicle.condition import SCAN_TOOL, Condition, Setup
from loombench.vehicle.points import PIN, Point


@dataclass(frozen=True)
class FeelGrip:
    """Plug off, draw a matching terminal through the contact of one cavity, plug on. `group` is the suspect's name."""

    group: str
    point: Point
    kind: str = "grip"
    number: bool = False

    @property
    def id(self) -> str:
        return f"grip of {self.group}"

    def cost_s(self, bench: Bench, situation: Situation) -> float:
        return cost_of("grip") + reaching_s(bench.vehicle, situation, place_of_point(bench.vehicle, self.point))

    def outcomes(self, bench: Bench, share: FloatArray, situation: Situation) -> Outcomes:
        some = mattering(bench, share)
        firm = grip_table(some.bench, self._felt(situation, True))
        firm = np.where(some.bench.hypotheses.unexplained, 0.5, firm)
        table = np.stack([1.0 - firm, firm], axis=1)
        return some.outcomes((Outcome(SLACK), Outcome(FIRM)), table, np.array([0.0, 1.0]))

    def after(self, bench: Bench, situation: Situation) -> Situation:
        there = situation.at(place_of_point(bench.vehicle, self.point))
        return replace(there, done=there.done | {self.id})

    def observe(self, situation: Situation, value: float | str) -> Observation:
        return self._felt(situation, value == FIRM)

    def _felt(self, situation: Situation, firm: bool) -> GripFelt:
        return GripFelt(self.group, firm, situation.repaired)


@dataclass(frozen=True)
class ReadInput:
    """Ask a module, by scan tool, what it makes of an input in a condition; nothing is touched."""

    part: str
    pin: str
    condition: Condition
    kind: str = "input"
    number: bool = False

    @property
    def id(self) -> str:
        return f"input {self.part}.{self.pin} when {self.condition}"

    @property
    def setup(self) -> Setup:
        """The reading this is."""
        return Setup(self.condition, Point(self.part, self.pin, layer=PIN), None, SCAN_TOOL)

    def cost_s(self, bench: Bench, situation: Situation) -> float:
        moved = setting_s(bench.vehicle, situation.condition, self.condition)
        return cost_of("read-input") + moved + reaching_s(bench.vehicle, situation, *self._hands(bench, situation))

    def _hands(self, bench: Bench, situation: Situation) -> tuple[str, ...]:
        return hands_at(bench.vehicle, situation.condition, self.condition)

    def outcomes(self, bench: Bench, share: FloatArray, situation: Situation) -> Outcomes:
        some = mattering(bench, share)
        table = input_table(some.bench, self._seen(situation, SCANNED[0]))
        table = np.where(some.bench.hypotheses.unexplained[:, None], 1.0 / len(SCANNED), table)
        return some.outcomes(tuple(Outcome(word) for word in SCANNED), table)

    def after(self, bench: Bench, situation: Situation) -> Situation:
        there = situation.at(*self._hands(bench, situation))
        return replace(there, condition=self.condition, done=there.done | {self.id})

    def observe(self, situation: Situation, value: float | str) -> Observation:
        return self._seen(situation, str(value))

    def _seen(self, situation: Situation, word: str) -> InputSeen:
        return InputSeen(self.setup, word, situation.repaired)
