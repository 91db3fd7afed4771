"""A vehicle that does not answer as by the book: readings that are wrong, a fault that comes and goes, a bad new part.

A wrong reading is what another pin shows, an open lead, the reading of another state, or a slip of the decimal point.
Where it is persistent it is wrong again when asked again the same way: a lead on a wrong pin stays on the wrong pin
whatever the meter, and a bad lead of a meter stays bad between these two points; and a part fitted may be bad itself.
"""

import math
import random
from collections.abc import Iterator
from dataclasses import dataclass, replace

from benchmarks.damages import OUTSIDE, DamagedLowering
from benchmarks.situations import Situation, Trial
from loombench.app.practice import PracticeVehicle
from loombench.circuit.fault import Fault
from loombench.circuit.lower import lower
from loombench.diagnose.history import at
from loombench.diagnose.looking import Mend, See
from loombench.diagnose.measuring import Measure
from loombench.diagnose.step import Step
from loombench.diagnose.suspect import group_of
from loombench.vehicle.condition import PROVOKING, Condition
from loombench.vehicle.model import Vehicle

METER_ERROR = 0.004
PROVOKED = 0.75
"""The share of looks at which a fault is there while its own spot is moved; estimate, and not the tool's own."""
NOTICED_V, NOTICED_SHARE = 0.3, 0.1
"""A reading is wrong where it is off by more than that."""
Answer = float | str
Asked = tuple[str, str, str]
"""A reading by the words that its being wrong is drawn from: the step, the red lead's point, and meter with points."""


@dataclass(frozen=True)
class Hidden(PracticeVehicle):
    """A practice vehicle of which a damage goes with the repair of any suspect that names its place."""

    cures: tuple[str, ...] = ()

    def left(self, repaired: tuple[str, ...]) -> tuple[Fault, ...]:
        """What is wrong after some repairs."""
        hidden = self.hidden if isinstance(self.hidden, tuple) else (self.hidden,)
        gone = not set(repaired).isdisjoint(self.cures)
        kept = [one for one in hidden if one.mode != OUTSIDE or not gone]
        return tuple(one for one in kept if one.mode == OUTSIDE or group_of(self.vehicle, one) not in repaired)


def hidden_in(vehicle: Vehicle, trial: Trial) -> Hidden:
    """The vehicle of a case as it is, nothing disturbed."""
    lowering = DamagedLowering(trial.words) if trial.words else lower
    return Hidden(vehicle, trial.hidden, trial.seed, METER_ERROR, lowering, trial.cures)


def truth_of(vehicle: Vehicle, trial: Trial) -> tuple[frozenset[str], ...]:
    """For each thing that is wrong the suspects any of which is right."""
    if trial.cures:
        return (frozenset(trial.cures),)
    return tuple(frozenset((group_of(vehicle, one),)) for one in trial.hidden)


def asked_of(step: Measure) -> Asked:
    """What was asked for."""
    setup = step.setup
    return step.id, str(setup.red), f"{setup.meter} {setup.red} {setup.black}"


class DisturbedVehicle:
    """Answers steps; `altered` is whether anything was answered otherwise than by the book."""

    def __init__(self, vehicle: Vehicle, trial: Trial, situation: Situation) -> None:
        self.vehicle, self.trial, self.situation = vehicle, trial, situation
        self.altered = False
        self._real = hidden_in(vehicle, trial)
        self._sound = PracticeVehicle(vehicle, (), trial.seed, METER_ERROR)
        self._looks = 0

    def reply(self, step: Step, repaired: tuple[str, ...]) -> Answer | None:
        """What a person would answer."""
        fitted = tuple(group for group in repaired if not self.bad_spare(group))
        if isinstance(step, Mend) and self.bad_spare(step.group):
            step = See(step.load, step.condition)
            self.altered = True
        self._looks += 1
        if self.situation.presence < 1.0 and not self._there(step):
            return self._sound.reply(step, fitted)
        said = self._real.reply(step, fitted)
        if not isinstance(step, Measure) or not isinstance(said, float) or not self.wrong(asked_of(step)):
            return said
        shown = next((one for one in self._otherwise(step, fitted, said) if _differs(one, said)), said)
        self.altered |= shown is not said
        return shown

    def left(self, repaired: tuple[str, ...]) -> tuple[Fault, ...]:
        """What is still wrong."""
        return self._real.left(tuple(group for group in repaired if not self.bad_spare(group)))

    def bad_spare(self, group: str) -> bool:
        """Whether the part that is fitted there is bad; what is patched or cleaned is no new part."""
        one = self.situation
        return one.persistent and group in self.vehicle.parts and self._draw("spare", group).random() < one.wrong

    def wrong(self, asked: Asked) -> bool:
        """Whether this reading is wrong."""
        if not self.situation.wrong:
            return False
        if not self.situation.persistent:
            return self._draw("reading", asked[0]).random() < self.situation.wrong
        return bool(self._kinds(asked))

    def _kinds(self, asked: Asked) -> tuple[str, ...]:
        """What is wrong with a reading where that stays so; of the two each has half the share."""
        half = self.situation.wrong / 2.0
        pin = self._draw("pin", asked[1]).random() < half
        lead = self._draw("lead", asked[2]).random() < half
        return (("pin",) if pin else ()) + (("lead",) if lead else ())

    def _draw(self, *what: str) -> random.Random:
        return random.Random(" ".join((str(self.trial.seed), *what)))

    def _there(self, step: Step) -> bool:
        condition = step.setup.condition if isinstance(step, Measure) else getattr(step, "condition", Condition())
        spots = [one.target for one in condition.operations if one.verb in PROVOKING]
        moved = any(at(self.vehicle, fault, spot) for fault in self.trial.hidden for spot in spots)
        share = max(PROVOKED, self.situation.presence) if moved else self.situation.presence
        return self._draw("there", str(self._looks)).random() < share

    def _otherwise(self, step: Measure, repaired: tuple[str, ...], said: float) -> Iterator[float]:
        """What is shown instead, what was drawn first."""
        draw = self._draw("instead", str(step.setup.red))
        kinds = list(self._kinds(asked_of(step))) if self.situation.persistent else ["pin", "lead", "state", "slip"]
        if not self.situation.persistent:
            draw.shuffle(kinds)
        for kind in kinds:
            match kind:
                case "pin":
                    yield from self._at_other_pins(step, repaired, draw)
                case "lead":
                    yield math.inf if step.kind == "ohms" else 0.0
                case "state":
                    rest = replace(step, setup=replace(step.setup, condition=Condition()))
                    yield self._number(rest, repaired)
                case "slip":
                    yield round(said / 10.0, 3)

    def _at_other_pins(self, step: Measure, repaired: tuple[str, ...], draw: random.Random) -> Iterator[float]:
        red = step.setup.red
        points = {point.at(red.layer) for wire in self.vehicle.wires for point in (wire.a, wire.b)}
        beside = sorted((one for one in points if one.part == red.part and one != red), key=str)
        for one in draw.sample(beside, len(beside)):
            yield self._number(replace(step, setup=replace(step.setup, red=one)), repaired)

    def _number(self, step: Measure, repaired: tuple[str, ...]) -> float:
        said = self._real.reply(step, repaired)
        return said if isinstance(said, float) else math.nan


def _differs(one: float, other: float) -> bool:
    if math.isnan(one):
        return False
    if math.isinf(one) or math.isinf(other):
        return one != other
    return abs(one - other) > max(NOTICED_V, NOTICED_SHARE * abs(other))
