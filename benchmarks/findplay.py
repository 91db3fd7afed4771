"""One case played to its end with one way of choosing: what was said, whether it was right, how long it took.

Minutes are what the steps cost from where one stands, up to the proof: readings that speak against all other suspects,
or a repair after which the complaint is gone. The work of a repair that was proposed is not counted (`minutes`), but
that of a repair which did not help is added in `minutes_repairs`. A new fuse tried during the search is a test.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace

from benchmarks.rivals import POLICIES
from loombench.app.case import Case
from loombench.app.finding import answer, cannot, next_step
from loombench.app.practice import PRACTICE_TIME
from loombench.diagnose.looking import Mend
from loombench.diagnose.step import Step
from loombench.diagnose.verdict import CURED, NOT_REPRODUCED, NOTHING_EXPLAINS, ONE_CLASS, PROVEN
from tests.finding.unsafe import dangerous_pins, touches

MOST_STEPS = 60
Reply = Callable[[Step, tuple[str, ...]], float | str | None]


@dataclass(frozen=True)
class Played:
    """How it went. `named` are the suspects when the search ended, `state` the verdict then, `final` the last one;
    `declined` counts steps that had no answer."""

    policy: str
    state: str
    final: str
    named: tuple[str, ...]
    right: bool
    unique: bool
    wrong_part: bool
    minutes: float
    minutes_repairs: float
    steps: int
    declined: int
    unsafe: tuple[str, ...]
    trail: tuple[str, ...]


def play(case: Case, reply: Reply, truth: frozenset[str], policy: str, nothing_is_right: bool = False) -> Played:
    """Take the steps that a policy chooses. `truth` are the suspects any of which is right."""
    case = replace(case, chooser=POLICIES[policy])
    vehicle = case.bench.vehicle
    dangerous = dangerous_pins(vehicle)
    seconds = wasted = 0.0
    steps = declined = 0
    unsafe: list[str] = []
    trail: list[str] = []
    ended, named = "", ()
    while steps < MOST_STEPS:
        said = case.verdict
        if not ended and said.state in (PROVEN, ONE_CLASS, CURED):
            ended, named = said.state, said.groups
        if said.state in (PROVEN, CURED, NOT_REPRODUCED):
            break
        card = next_step(case)
        if card is None:
            break
        step, situation = case.offered(card.id), case.course.situation
        steps += 1
        touched = touches(vehicle, dangerous, step)
        unsafe += [f"{step.id}: {touched}"] if touched else []
        seen = reply(step, situation.repaired)
        seconds += step.cost_s(case.bench, situation)
        work_s = step.work_s if isinstance(step, Mend) and said.state == ONE_CLASS else 0.0
        seconds -= work_s
        trail.append(f"{step.id} -> {seen}")
        if seen is None or seen != seen:  # noqa: PLR0124  (nan)
            declined += 1
            case = cannot(case, card.id, "no answer", PRACTICE_TIME)
            continue
        case = answer(case, card.id, seen, PRACTICE_TIME)
        wasted += work_s if case.verdict.state != CURED else 0.0
    last = case.verdict
    ended = ended or last.state
    hit = bool(truth.intersection(named))
    honest = nothing_is_right and ended == NOTHING_EXPLAINS
    return Played(
        policy,
        ended,
        last.state,
        named,
        hit or honest,
        hit and len(named) == 1,
        bool(named) and not hit,
        seconds / 60.0,
        (seconds + wasted) / 60.0,
        steps,
        declined,
        tuple(unsafe),
        tuple(trail),
    )
