"""A practice vehicle: a hidden fault that answers each step with what one would see and read, and the loop that takes
the tool's own steps until the complaint is cured or nothing is left.

The answers come from the circuit with the hidden fault in it, settled in the step's condition. They pass through
nothing that the search knows: a resistance need not lie on the search's grid.
"""

import math
import random
from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property
from types import MappingProxyType

from loombench.app.cards import StepCard
from loombench.app.case import Case
from loombench.app.finding import answer, cannot, close, next_step
from loombench.base.wording import Catalogue, catalogue
from loombench.circuit.catalogue import single_faults
from loombench.circuit.fault import Fault
from loombench.circuit.lower import lower
from loombench.circuit.observe import LoadSight, observe
from loombench.circuit.predict import Cases, Lowering, predict
from loombench.diagnose.complained import OTHER_LOOKS
from loombench.diagnose.expected import tolerance
from loombench.diagnose.likelihood import SAID
from loombench.diagnose.looking import CheckPosition, LookFuse, Mend, See
from loombench.diagnose.looks import QUICK_BELOW
from loombench.diagnose.measuring import Measure
from loombench.diagnose.observation import (
    AS_BUILT,
    ASTRAY,
    BACKWARDS,
    CUTS_OUT,
    DEAD,
    DIM,
    FIRM,
    PULSING,
    QUICK,
    SCANNED,
    SLACK,
    STEADY,
    TOO_MUCH,
    WORKS,
)
from loombench.diagnose.region import works_when
from loombench.diagnose.standing import MILLIVOLTS
from loombench.diagnose.step import Step
from loombench.diagnose.suspect import group_of
from loombench.diagnose.touching import FeelGrip, ReadInput
from loombench.evidence.complaint import Complaint
from loombench.vehicle.condition import Condition
from loombench.vehicle.model import Vehicle
from loombench.vehicle.trace import loads

MOST_STEPS = 60
CASES_KEPT = 6
"""Circuits that a practice vehicle keeps: sound and with its fault, and with what is put on them for a step."""
DIGITS = 3
"""Decimals of a volt or an ohm that the practice meter shows."""
OFF_LOOKS = MappingProxyType({WORKS: "always-on", DIM: "glows", PULSING: "joins-in", ASTRAY: "wrong-place"})
"""What one complains about where a load should be off, by its look."""
PRACTICE_TIME = "2000-01-01T00:00:00+00:00"
"""Practice runs have no clock: every event bears this time."""


@dataclass(frozen=True)
class PracticeVehicle:
    """A vehicle with hidden faults; `error` is the relative spread of its readings, drawn from `seed`. `lowering` makes
    the circuit, where the hidden fault is one that the catalogue does not have."""

    vehicle: Vehicle
    hidden: Fault | tuple[Fault, ...]
    seed: int = 0
    error: float = 0.0
    lowering: Lowering = lower

    @cached_property
    def _cases(self) -> Cases:
        return Cases(self.vehicle, self.lowering, CASES_KEPT)

    @property
    def secret(self) -> str:
        """What is hidden, as one types it."""
        return "; ".join(str(fault) for fault in several(self.hidden))

    def left(self, repaired: tuple[str, ...]) -> tuple[Fault, ...]:
        """What is wrong after some repairs."""
        return tuple(fault for fault in several(self.hidden) if group_of(self.vehicle, fault) not in repaired)

    def look(self, load: str, condition: Condition, repaired: tuple[str, ...] = ()) -> str:
        """How a load looks, judged against how it is in the sound vehicle: one of `SEEN`."""
        sound, now = observe(self.vehicle, condition, [(), self.left(repaired)], cases=self._cases)
        if load in dict(sound.draw_a):
            more_a = dict(now.draw_a).get(load, 0.0) - dict(sound.draw_a)[load]
            return TOO_MUCH if more_a > tolerance("flat-draw").value else AS_BUILT
        return look_word(_sight(sound.loads, load), _sight(now.loads, load))

    def reply(self, step: Step, repaired: tuple[str, ...]) -> float | str:
        """The answer to a step."""
        match step:
            case Measure():
                prediction = predict(self.vehicle, [step.setup], [self.left(repaired)], cases=self._cases)
                value = float(prediction.values[0, 0])
                drawn = random.Random(f"{self.seed} {step.id}").gauss(0.0, self.error)
                if math.isnan(value) or math.isinf(value):
                    return value
                digits = DIGITS + (2 if step.setup.meter == MILLIVOLTS else 0)
                return round(value * (1.0 + drawn), digits) + 0.0
            case See():
                return self.look(step.load, step.condition, repaired)
            case Mend():
                return self.look(step.load, step.condition, (*repaired, step.group))
            case LookFuse():
                (now,) = observe(self.vehicle, step.condition, [self.left(repaired)], cases=self._cases)
                return "blown" if step.fuse in now.blown else "whole"
            case CheckPosition():
                faults = self.left(repaired)
                other = any(fault.mode == "position" and fault.target == step.control for fault in faults)
                return "other" if other else "as believed"
            case FeelGrip():
                slack = any(group_of(self.vehicle, fault) == step.group for fault in self.left(repaired))
                return SLACK if slack else FIRM
            case ReadInput():
                said = predict(self.vehicle, [step.setup], [self.left(repaired)], cases=self._cases)
                return dict(zip(SAID, SCANNED, strict=True))[float(said.values[0, 0])]
        raise TypeError(type(step).__name__)


def several(hidden: Fault | tuple[Fault, ...]) -> tuple[Fault, ...]:
    """One fault or more as several."""
    return (hidden,) if isinstance(hidden, Fault) else hidden


def _sight(loads: tuple[LoadSight, ...], name: str) -> LoadSight:
    nothing = LoadSight(name, "", 0.0, 0.0, 0.0, "dead", False)
    return next((one for one in loads if one.id == name), nothing)


def look_word(sound: LoadSight, now: LoadSight) -> str:
    """What somebody who looks closely says of a load, against how it is in the sound vehicle."""
    plain = word_of(abs(sound.share), abs(now.share))
    lit = abs(sound.share) > tolerance("dead-below").value
    if plain == DEAD:
        if lit and not sound.stops_s and now.stops_s > tolerance("comes-on").value:
            return CUTS_OUT
        return ASTRAY if now.astray and not sound.astray else DEAD
    if now.kind == "motor" and lit and sound.way * now.way < 0:
        return BACKWARDS
    if now.pulsing and not (lit and sound.pulsing):
        return PULSING
    if lit and sound.pulsing:
        quick = now.period_s < QUICK_BELOW * sound.period_s
        return STEADY if not now.pulsing else QUICK if quick else plain
    return plain


def word_of(sound: float, now: float) -> str:
    """Dead, dim or works, from the shares of its volts a load has in the sound vehicle and in this one."""
    dead, full = tolerance("dead-below").value, tolerance("full-above").value
    share = now / sound if sound > dead else now
    return DEAD if share < dead else DIM if share < full else WORKS


def usual_conditions(vehicle: Vehicle) -> tuple[Condition, ...]:
    """For each load the controls set so that it should work, in file order, then the vehicle at rest."""
    names = (load.via for load in loads(vehicle))
    return tuple(dict.fromkeys((*(works_when(vehicle, name) for name in names), Condition())))


def complaint_of(
    vehicle: Vehicle,
    hidden: Fault | tuple[Fault, ...],
    conditions: tuple[Condition, ...],
    lowering: Lowering = lower,
) -> Complaint | None:
    """What one would complain about: the first load, in the first of the conditions, that what is wrong changes."""
    for condition in conditions:
        sound, now = observe(vehicle, condition, [(), several(hidden)], lowering)
        for load in sound.loads:
            seen = look_word(load, _sight(now.loads, load.id))
            on = abs(load.share) > tolerance("full-above").low
            off = abs(load.share) < tolerance("dead-below").low
            symptom = OTHER_LOOKS[seen] if on and seen != WORKS else OFF_LOOKS.get(seen, "") if off else ""
            if symptom:
                return Complaint(load.id, symptom, condition, f"{load.id} {symptom} when {condition}")
    return None


def hide(vehicle: Vehicle, seed: int, conditions: tuple[Condition, ...]) -> tuple[Fault, Complaint] | None:
    """A fault drawn by seed that gives a complaint in one of the conditions, with that complaint; None if none does."""
    faults = list(single_faults(vehicle))
    random.Random(seed).shuffle(faults)
    for fault in faults:
        complaint = complaint_of(vehicle, fault, conditions)
        if complaint is not None:
            return fault, complaint
    return None


def auto(
    case: Case, practice: PracticeVehicle, watch: Callable[[StepCard, float | str], None] | None = None,
    most: int = MOST_STEPS, time: str = PRACTICE_TIME, words: Catalogue | None = None,
) -> Case:  # fmt: skip
    """Take the tool's own steps until none is left, then close; every event is in the case, as of `time`. `watch` sees
    each."""
    words = words or catalogue()
    for _ in range(most):
        card = next_step(case, words)
        if card is None:
            break
        step = case.offered(card.id)
        said = practice.reply(step, case.course.situation.repaired)
        if isinstance(said, float) and math.isnan(said):
            case = cannot(case, card.id, words.say("session.no-answer"), time)
            continue
        if watch is not None:
            watch(card, said)
        case = answer(case, card.id, said, time, words=words)
    return close(case, time)
