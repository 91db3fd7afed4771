"""Steps without a meter: seeing what a load does, looking at a control, drawing a fuse, a new fuse, a repair."""

from dataclasses import dataclass, replace
from types import MappingProxyType

import numpy as np

from loombench.diagnose.bench import Bench
from loombench.diagnose.excerpt import mattering
from loombench.diagnose.likelihood import load_table, position_table
from loombench.diagnose.observation import (
    AS_BUILT,
    DIM,
    PLAIN,
    SEEN,
    TOO_MUCH,
    WORKS,
    FuseSeen,
    LoadSeen,
    Observation,
    PositionSeen,
)
from loombench.diagnose.place import place_of_part
from loombench.diagnose.situation import Situation, cost_of, hands_at, helper_s, reaching_s, setting_s
from loombench.diagnose.step import FloatArray, Outcome, Outcomes
from loombench.diagnose.told import fuse_table
from loombench.vehicle.condition import Condition

OF_BATTERY = MappingProxyType({TOO_MUCH: DIM, AS_BUILT: WORKS})
"""What is said of a battery, and the look it counts as."""


def look_outcomes(bench: Bench, share: FloatArray, seen: LoadSeen) -> Outcomes:
    """Dead, dim, works, and what else may be seen of a load by those that matter; of a battery two words of its own."""
    some = mattering(bench, share)
    table = load_table(some.bench, seen)
    part = bench.vehicle.parts.get(seen.load)
    if part is not None and part.kind == "battery":
        words = tuple(OF_BATTERY)
        kept = [SEEN.index(look) for look in OF_BATTERY.values()]
    else:
        kept = [k for k, word in enumerate(SEEN) if word in PLAIN or bool(np.any(table[:, k] > 0.0))]
        words = tuple(SEEN[k] for k in kept)
    return some.outcomes(tuple(Outcome(word) for word in words), table[:, kept])


@dataclass(frozen=True)
class See:
    """Set a condition and see what a load does. It is not touched: only what is put on for the test, or moved, is. Of
    kind `wait` where it was switched off for a time before."""

    load: str
    condition: Condition
    verifies: bool = False
    number: bool = False

    @property
    def kind(self) -> str:
        return "wait" if self.condition.pause else "verify" if self.verifies else "see"

    @property
    def id(self) -> str:
        return f"see {self.load} when {self.condition}"

    def cost_s(self, bench: Bench, situation: Situation) -> float:
        moved = setting_s(bench.vehicle, situation.condition, self.condition)
        reach = reaching_s(bench.vehicle, situation, *self._hands(bench, situation))
        there = place_of_part(bench.vehicle, self.load.partition(".")[0])
        held = helper_s(bench.vehicle, self.condition, there)
        return cost_of("look-load") + reach + held + (moved + cost_of("operate") if moved else 0.0)

    def _hands(self, bench: Bench, situation: Situation) -> tuple[str, ...]:
        return hands_at(bench.vehicle, situation.condition, self.condition)

    def outcomes(self, bench: Bench, share: FloatArray, situation: Situation) -> Outcomes:
        return look_outcomes(bench, share, self._seen(situation, SEEN[0]))

    def after(self, bench: Bench, situation: Situation) -> Situation:
        there = situation.at(*self._hands(bench, situation))
        return replace(there, condition=self.condition, done=there.done | {self.id})

    def observe(self, situation: Situation, value: float | str) -> Observation:
        return self._seen(situation, str(value))

    def _seen(self, situation: Situation, word: str) -> LoadSeen:
        return LoadSeen(self.load, OF_BATTERY.get(word, word), self.condition, True, situation.repaired)


@dataclass(frozen=True)
class CheckPosition:
    """Look whether a control is where the condition believes it to be."""

    control: str
    kind: str = "position"
    number: bool = False

    @property
    def id(self) -> str:
        return f"check position of {self.control}"

    def cost_s(self, bench: Bench, situation: Situation) -> float:
        control = bench.vehicle.controls[self.control]
        # A knob is in sight, a limit switch or a cam is where its place says.
        place = place_of_part(bench.vehicle, control.part)
        reach = 0.0 if control.by == "driver" else reaching_s(bench.vehicle, situation, place)
        return cost_of("look-control") + reach

    def outcomes(self, bench: Bench, share: FloatArray, situation: Situation) -> Outcomes:
        some = mattering(bench, share)
        right = position_table(some.bench, PositionSeen(self.control, True, situation.repaired))
        right = np.where(some.bench.hypotheses.unexplained, 0.5, right)
        table = np.stack([right, 1.0 - right], axis=1)
        return some.outcomes((Outcome("as believed"), Outcome("other")), table, np.array([1.0, 0.0]))

    def after(self, bench: Bench, situation: Situation) -> Situation:
        control = bench.vehicle.controls[self.control]
        there = situation if control.by == "driver" else situation.at(place_of_part(bench.vehicle, control.part))
        return replace(there, done=there.done | {self.id})

    def observe(self, situation: Situation, value: float | str) -> Observation:
        return PositionSeen(self.control, value == "as believed", situation.repaired)


@dataclass(frozen=True)
class LookFuse:
    """Draw a fuse, look at it, put it back."""

    fuse: str
    condition: Condition
    kind: str = "fuse"
    number: bool = False

    @property
    def id(self) -> str:
        return f"look at {self.fuse} after {self.condition}"

    def cost_s(self, bench: Bench, situation: Situation) -> float:
        return cost_of("look-fuse") + reaching_s(bench.vehicle, situation, place_of_part(bench.vehicle, self.fuse))

    def outcomes(self, bench: Bench, share: FloatArray, situation: Situation) -> Outcomes:
        some = mattering(bench, share)
        blown = fuse_table(some.bench, self._seen(situation, True))
        blown = np.where(some.bench.hypotheses.unexplained, 0.5, blown)
        return some.outcomes((Outcome("blown"), Outcome("whole")), np.stack([blown, 1.0 - blown], axis=1))

    def after(self, bench: Bench, situation: Situation) -> Situation:
        there = situation.at(place_of_part(bench.vehicle, self.fuse))
        return replace(there, done=there.done | {self.id})

    def observe(self, situation: Situation, value: float | str) -> Observation:
        return self._seen(situation, value == "blown")

    def _seen(self, situation: Situation, blown: bool) -> FuseSeen:
        return FuseSeen(self.fuse, blown, self.condition, situation.repaired)


@dataclass(frozen=True)
class Mend:
    """Put one thing right and see whether the load works: it cures the vehicle, or clears that suspect."""

    group: str
    places: tuple[str, ...]
    load: str
    condition: Condition
    work_s: float
    kind: str = "mend"
    number: bool = False

    @property
    def id(self) -> str:
        return f"mend {self.group}"

    def cost_s(self, bench: Bench, situation: Situation) -> float:
        reach = reaching_s(bench.vehicle, situation, *self.places, *self._hands(bench, situation))
        return self.work_s + reach + setting_s(bench.vehicle, situation.condition, self.condition) + cost_of("operate")

    def outcomes(self, bench: Bench, share: FloatArray, situation: Situation) -> Outcomes:
        return look_outcomes(bench, share, self._seen(situation, SEEN[0]))

    def _hands(self, bench: Bench, situation: Situation) -> tuple[str, ...]:
        return hands_at(bench.vehicle, situation.condition, self.condition)

    def after(self, bench: Bench, situation: Situation) -> Situation:
        there = situation.at(*self.places, *self._hands(bench, situation))
        repaired = (*situation.repaired, self.group)
        return replace(there, condition=self.condition, repaired=repaired, done=there.done | {self.id})

    def observe(self, situation: Situation, value: float | str) -> Observation:
        return self._seen(situation, str(value))

    def _seen(self, situation: Situation, word: str) -> LoadSeen:
        look = OF_BATTERY.get(word, word)
        return LoadSeen(self.load, look, self.condition, True, (*situation.repaired, self.group))
