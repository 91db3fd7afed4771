"""The course of a case: its events walked through in order, as observations and as the situation they lead to."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from loombench.diagnose.bench import Bench
from loombench.diagnose.codes import codes_seen
from loombench.diagnose.complained import observed
from loombench.diagnose.hypothesis import halves
from loombench.diagnose.measuring import Measure
from loombench.diagnose.observation import Observation, Told
from loombench.diagnose.situation import Situation
from loombench.diagnose.stepname import read_step
from loombench.evidence.complaint import Complaint
from loombench.evidence.envelope import Envelope
from loombench.evidence.events import (
    CaseClosed,
    CodesRead,
    ComplaintGiven,
    Disturbed,
    HistoryTold,
    Observed,
    ReadingTaken,
    RepairDone,
    StepDeclined,
)
from loombench.evidence.replay import effective
from loombench.vehicle.condition import Condition


@dataclass(frozen=True)
class Course:
    """Where a case stands: complaints, what was observed in order, the situation, whether it is closed, and the names
    of steps seen since the last repair."""

    complaints: tuple[Complaint, ...] = ()
    observations: tuple[Observation, ...] = ()
    situation: Situation = Situation()  # noqa: RUF009  (frozen)
    closed: bool = False
    seen_since: tuple[str, ...] = ()


def course(bench: Bench, events: Sequence[Envelope]) -> Course:
    """Walk through the events, those taken back left out."""
    now = Course()
    for envelope in effective(events):
        now = advanced(bench, now, envelope.payload)
    return now


def advanced(bench: Bench, now: Course, payload: object) -> Course:
    """Where one more event leads."""
    match payload:
        case ComplaintGiven(complaint=complaint):
            told = observed(bench, complaint, now.situation.repaired)
            return replace(now, complaints=(*now.complaints, complaint), observations=(*now.observations, told))
        case HistoryTold(history=history):
            happened = Told(history.word, history.where, now.situation.repaired)
            return replace(now, observations=(*now.observations, happened))
        case CodesRead():
            usual = now.complaints[0].condition if now.complaints else Condition()
            seen_codes = codes_seen(bench.vehicle, payload, usual, now.situation.repaired)
            return replace(now, observations=(*now.observations, *seen_codes))
        case ReadingTaken(setup=setup, value=value):
            step = Measure(setup)
            seen = step.observe(now.situation, value)
            situation = step.after(bench, now.situation)
            since = (*now.seen_since, step.id)
            return replace(now, observations=(*now.observations, seen), situation=situation, seen_since=since)
        case Observed(what=what, seen=word):
            looked = read_step(what)
            if looked is None:
                return now
            seen = looked.observe(now.situation, word)
            situation = looked.after(bench, now.situation)
            return replace(
                now,
                observations=(*now.observations, seen),
                situation=situation,
                seen_since=(*now.seen_since, looked.id),
            )
        case RepairDone(fault=group):
            kept = _unseen(now.situation)
            both = halves(group)
            done = kept | {f"mend {one}" for one in both}
            situation = replace(now.situation, repaired=(*now.situation.repaired, *both), done=done)
            return replace(now, situation=situation, seen_since=())
        case Disturbed():
            return replace(now, situation=replace(now.situation, done=_unseen(now.situation)), seen_since=())
        case StepDeclined(step=name):
            return replace(now, situation=replace(now.situation, done=now.situation.done | {name}))
        case CaseClosed():
            return replace(now, closed=True)
    return now


def _unseen(situation: Situation) -> frozenset[str]:
    """The steps done without those that saw what a load does: after a repair or a knock that has to be seen again."""
    return frozenset(name for name in situation.done if not name.startswith("see "))
