"""What a page enters in a job: an answer to the step that it shows, a reading in any order, a command; kept once.

An entry bears the name its page gave it, so that a page that heard no answer may send it again, and stands by itself:
with the step it answers comes all that makes it one, so that it can be kept before anything is worked out, also after
the server was started anew or somebody else has entered something.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from types import MappingProxyType

from loombench.app.cards import StepCard
from loombench.app.case import Case
from loombench.app.desk.asking import Asked
from loombench.app.desk.desk import Desk, Task
from loombench.app.desk.saying import Told, told
from loombench.app.finding import answered, cannot
from loombench.app.jobs import Gathering
from loombench.app.mending import METHODS
from loombench.app.session import Reply, reread, respond
from loombench.app.shown import kept_lines
from loombench.app.typed import Command, Reading, Sight, read_typed
from loombench.base.outcome import Outcome
from loombench.base.problems import Problem, error
from loombench.base.quantity import Quantity, read_quantity
from loombench.base.wording import Catalogue
from loombench.diagnose.hypothesis import halves
from loombench.diagnose.looking import OF_BATTERY, CheckPosition, LookFuse, Mend, See
from loombench.diagnose.measuring import Measure
from loombench.diagnose.observation import FIRM, SCANNED, SEEN, SLACK
from loombench.diagnose.plan import mends
from loombench.diagnose.step import Step
from loombench.diagnose.stepname import MEND, read_step
from loombench.diagnose.touching import FeelGrip, ReadInput
from loombench.evidence.codec import decode_setup
from loombench.record.store import NotKept
from loombench.text.names import find_point
from loombench.vehicle.condition import Setup
from loombench.vehicle.points import Point

LONGEST_NAME = 80
WORDS: Mapping[type, tuple[str, ...]] = MappingProxyType({
    See: (*SEEN, *OF_BATTERY), Mend: (*SEEN, *OF_BATTERY), LookFuse: ("blown", "whole"),
    CheckPosition: ("as believed", "other"), FeelGrip: (SLACK, FIRM), ReadInput: SCANNED,
})  # fmt: skip
"""What may be answered to a step without a number."""


@dataclass(frozen=True)
class Entered:
    """What became of an entry. `kept`: it is on the disk, now or since it was sent before; `said` is what to say about
    it, `number` that of the job's last event; with problems nothing was kept, and nothing is to be sent again."""

    kept: bool
    said: tuple[str, ...]
    number: int
    problems: tuple[Told, ...] = ()


@dataclass(frozen=True)
class Shown:
    """What the page showed when the entry was made; see `enter`."""

    step: str
    setup: Mapping[str, object] | None
    state: str
    number: int


def now() -> str:
    """The time as events bear it."""
    return datetime.now(UTC).astimezone().isoformat(timespec="seconds")


def enter(
    desk: Desk, asked: Asked, case: str, entry: str, line: str, step: str = "",
    setup: Mapping[str, object] | None = None, state: str = "", number: int = 0,
) -> Entered:  # fmt: skip
    """Keep one entry of a job. `entry` is the name the page gave it; `step` the id of the step it answers, with its
    `setup` where it is a reading; `state` the one a reading without `when` is taken in; `number` that of the last event
    the page knew, for what is about just that one."""
    found = desk.case(case, asked)
    if found.value is None:
        return Entered(False, (), 0, told(found.problems, asked.words))
    now_at = found.value
    if not (isinstance(now_at.store, Gathering) and 0 < len(entry) <= LONGEST_NAME):
        return Entered(False, (), _last(now_at), told((error("entry-unread", text=line[:80]),), asked.words))
    now_at.store.forget()
    if now_at.store.knows(case, entry):
        return Entered(True, (), _last(now_at))
    card = desk.cards.get(case)
    current = card[1] if card is not None and card[0] == _last(now_at) else None
    reply = reply_to(now_at, current, line, Shown(step, setup, state, number), asked.words)
    if isinstance(reply, Problem):
        return Entered(False, (), _last(now_at), told((reply,), asked.words))
    try:
        fresh = now_at.store.keep(entry)
    except NotKept as refused:
        desk.keep(reread(now_at))
        return Entered(False, (), _last(now_at), told((refused.problem,), asked.words))
    if not fresh:
        # Another program has kept the same entry meanwhile.
        desk.keep(reread(now_at))
        return Entered(True, (), _last(now_at))
    desk.keep(reply.case)
    kept = len(reply.case.events) > len(now_at.events)
    return Entered(kept, reply.said, _last(reply.case))


def _last(case: Case) -> int:
    return case.events[-1].number


def reply_to(case: Case, card: StepCard | None, line: str, shown: Shown, words: Catalogue) -> Reply | Problem:
    """The case after an entry, nothing of it kept yet, or what is wrong with it. `card` is the step on show now, where
    it was worked out already."""
    said, time = " ".join(line.split()), now()
    word, _, rest = said.partition(" ")
    if said == "undo" and shown.number != _last(case):
        return error("entry-overtaken", text=said)
    if word == "cannot" and shown.step and rest:
        after = cannot(case, shown.step, rest, time)
        return Reply(after, kept_lines(case, after, words))
    if shown.step and word not in METHODS:
        step = _step(case, shown)
        if step.value is None:
            return step.problems[0]
        value = _value(step.value, said)
        if value is None:
            return error("entry-unread", text=said[:80])
        after = answered(case, step.value, value, time, words=words)
        return Reply(after, kept_lines(case, after, words))
    full = _with_state(case, said, shown.state)
    return respond(case, card if word in METHODS else None, full, time, words)


def _with_state(case: Case, said: str, state: str) -> str:
    """A reading or a sight is taken in the state that the page showed beside it, where it names none."""
    if not state or " when " in said:
        return said
    full = f"{said} when {state}"
    read = read_typed(case, None, said).value
    return full if isinstance(read, Reading | Sight) and not isinstance(read, Command) else said


def _step(case: Case, shown: Shown) -> Outcome[Step | None]:
    """The step that was on show, as far as the vehicle has what it names."""
    if shown.setup is not None:
        setup = decode_setup(shown.setup)
        if setup.value is None:
            return Outcome(None, setup.problems)
        wrong = _unknown(case, setup.value)
        return Outcome(None, wrong) if wrong else Outcome(Measure(setup.value))
    if shown.step.startswith(MEND):
        group = shown.step.removeprefix(MEND)
        known = set(halves(group)) <= set(case.bench.hypotheses.groups)
        jobs = mends(case.bench, (group,), case.load, case.complaint.condition) if known else ()
        if jobs:
            return Outcome(jobs[0])
    step = read_step(shown.step)
    return Outcome(step) if step is not None else Outcome(None, (error("entry-unread", text=shown.step[:80]),))


def _unknown(case: Case, setup: Setup) -> tuple[Problem, ...]:
    points = (point for point in (setup.red, setup.black) if point is not None)
    names = (str(Point(point.part, point.pin, point.half, ring=point.ring)) for point in points)
    return tuple(problem for name in names for problem in find_point(case.bench.vehicle, name).problems)


def _value(step: Step, said: str) -> float | str | None:
    """The answer in the step's unit, or one of its words; None where it is neither."""
    if not isinstance(step, Measure):
        return said if said in WORDS[type(step)] else None
    if step.unit == "ohm" and said.upper() == "OL":
        return math.inf
    amount = read_quantity(said)
    fits = isinstance(amount, Quantity) and amount.unit in ("", step.unit)
    return amount.value if fits and isinstance(amount, Quantity) else None


TASKS: Mapping[str, Task] = MappingProxyType({"finding.enter": enter})
