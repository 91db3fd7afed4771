"""The whole decision tree of a complaint, worked out by the same choice that a session makes: what each answer of each
step would lead to, the likeliest ways first, so that a tree that was stopped has what matters most.

    begun = begin_procedure(opened.vehicle, "E7 dead when S4=on")      Outcome of a Supposed case
    tree = grow(begun.value)                                           Procedure

A number is not known before it is read: each way stands for a whole band of readings, and the belief after it is the
one that any reading in the band gives at least (`diagnose.observation.MeterBand`).
"""

import heapq
import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cached_property

from loombench.app.cards import StepCard
from loombench.app.case import Case, bench_for
from loombench.app.complaints import understand
from loombench.app.course import Course, advanced
from loombench.app.finding import next_step, opening
from loombench.app.procedureend import End, end_of
from loombench.app.search import off_limits
from loombench.app.stepwords import likeliest
from loombench.base.outcome import Outcome
from loombench.base.problems import error
from loombench.base.wording import Catalogue, catalogue, phrase
from loombench.diagnose.bench import Bench
from loombench.diagnose.choose import question
from loombench.diagnose.complained import observed
from loombench.diagnose.looking import Mend, See
from loombench.diagnose.measuring import Measure
from loombench.diagnose.observation import MeterBand, Told
from loombench.diagnose.step import Outcome as StepOutcome
from loombench.diagnose.step import Step
from loombench.evidence.complaint import Complaint
from loombench.evidence.events import Observed, ReadingTaken, RepairDone
from loombench.record.trial import TrialStore
from loombench.vehicle.model import Vehicle

LEAST = 0.02
"""Ways that fewer vehicles than this share would go are not followed."""
DEEPEST = 12
"""So many steps are followed one after another."""
RARE, DEEP, STOPPED = "rare", "deep", "stopped"
ENDED = ("proven", "cured", "one-class", "nothing-explains", "not-reproduced", "not-back")
MEETS = 1e-6
"""A way that no more than this share of the vehicles at a step would go does not exist."""


@dataclass(frozen=True, eq=False)
class Supposed(Case):
    """A case in which nothing has happened: where it stands is supposed, so that it has no events."""

    walked: Course = Course()  # noqa: RUF009  (frozen)

    @cached_property
    def course(self) -> Course:
        """Where it is supposed to stand."""
        return self.walked


@dataclass(frozen=True)
class Way:
    """One outcome of a step: `word` of those on the card, or a band of readings from `low` up to `high` (None: open).

    `chance` is the share of the vehicles at this step that go this way, `means` name what is then likeliest, `to` is
    the number of the node it leads to.
    """

    word: str
    low: float | None
    high: float | None
    chance: float
    means: tuple[str, ...]
    to: int


@dataclass(frozen=True)
class Fork:
    """A step with its ways out, in the order of the card."""

    step: Step
    card: StepCard
    ways: tuple[Way, ...]


@dataclass(frozen=True)
class Cut:
    """A way that was not followed: rare, deep, or stopped before it was reached."""

    why: str


Node = Fork | End | Cut
_Outcome = tuple[StepOutcome, float, tuple[str, ...]]
"""An outcome of a step, the share of the vehicles there that have it, and what is then likeliest."""


@dataclass(frozen=True)
class Procedure:
    """The tree of a complaint; node 0 is where it begins. `least` and `depth` say where it was cut."""

    vehicle: str
    complaint: str
    cautions: tuple[str, ...]
    nodes: tuple[Node, ...]
    least: float
    depth: int


def begin_procedure(
    vehicle: Vehicle, text: str, bench: Bench | None = None, words: Catalogue | None = None
) -> Outcome[Supposed | None]:
    """The case that a complaint makes, before anything was done; None where the complaint is not understood, or is
    about a circuit on which no step is planned."""
    said = understand(vehicle, text, words)
    complaints = tuple(one for one in said.value if isinstance(one, Complaint))
    if not complaints:
        return Outcome(None, said.problems or (error("complaint-needed", hidden=phrase("report.nothing")),))
    if kept_off := off_limits(vehicle, complaints):
        return Outcome(None, kept_off)
    bench = bench or bench_for(vehicle)
    told = tuple(Told(one.word, one.where) for one in said.value if not isinstance(one, Complaint))
    seen = tuple(observed(bench, one, ()) for one in complaints)
    walked = Course(complaints, (*seen, *told))
    return Outcome(Supposed("", "", bench, TrialStore(), (), vehicle, walked=walked), said.problems)


def grow(
    case: Supposed, least: float = LEAST, depth: int = DEEPEST, words: Catalogue | None = None,
    watch: Callable[[int, float], None] = lambda _, __: None, stopped: Callable[[], bool] = lambda: False,
) -> Procedure:  # fmt: skip
    """The tree from a case on. `watch` is told how many steps have been worked out and which share of the vehicles has
    come to an end in them; where `stopped` says so, what is left is cut off."""
    words = words or catalogue()
    nodes: list[Node] = [Cut(STOPPED)]
    waiting: list[tuple[float, int, int, Supposed]] = [(-1.0, 0, 0, case)]
    steps, ended = 0, 0.0
    while waiting and not stopped():
        reach, number, level, here = heapq.heappop(waiting)
        grown = _grown(here, words)
        if grown is None:
            nodes[number] = end_of(here, words)
            ended -= reach
        elif level >= depth:
            nodes[number] = Cut(DEEP)
            ended -= reach
        else:
            card, step, outcomes = grown
            ways = []
            for outcome, chance, means in outcomes:
                rare = -reach * chance < least
                low, high = (None if math.isinf(edge) else edge for edge in (outcome.low, outcome.high))
                ways.append(Way(outcome.word, low, high, chance, means, len(nodes)))
                if rare:
                    ended -= reach * chance
                else:
                    after = _supposed(here, step, outcome, card.nominal)
                    heapq.heappush(waiting, (reach * chance, len(nodes), level + 1, after))
                nodes.append(Cut(RARE if rare else STOPPED))
            nodes[number] = Fork(step, card, tuple(ways))
            steps += 1
        watch(steps, ended)
    return Procedure(
        case.bench.vehicle.name, case.course.complaints[0].text, opening(case, words), tuple(nodes), least, depth
    )


def _grown(case: Supposed, words: Catalogue) -> tuple[StepCard, Step, list[_Outcome]] | None:
    """The next step of a case with its outcomes, the share of each, and what each would mean; None at an end."""
    if case.verdict.state in ENDED and not _looked_again(case):
        return None
    card = next_step(case, words)
    if card is None:
        return None
    step = case.offered(card.id)
    share, _ = question(case.belief)
    found = step.outcomes(case.belief.bench, share, case.course.situation)
    chances = (case.belief.share @ found.table).tolist()
    whole = sum(chances)
    weighed = zip(found.outcomes, chances, range(len(chances)), strict=True)
    ways = [
        (outcome, chance / whole, likeliest(case.belief, case.belief.share * found.table[:, place], words))
        for outcome, chance, place in weighed
        if chance / whole > MEETS
    ]
    return card, step, ways


def _looked_again(case: Supposed) -> bool:
    """Whether something was put right on the way and the complaint has not been looked at since."""
    return bool(case.course.situation.repaired and case.retests and case.retests[0].id not in case.course.seen_since)


def _supposed(case: Supposed, step: Step, outcome: StepOutcome, nominal: float | None) -> Supposed:
    """The case after one outcome of a step."""
    bench, now = case.bench, case.course
    if isinstance(step, Measure):
        value = _inside(outcome, nominal)
        walked = advanced(bench, now, ReadingTaken(step.setup, value, step.unit))
        band = MeterBand(step.setup, value, now.situation.repaired, outcome.low, outcome.high)
        walked = replace(walked, observations=(*walked.observations[:-1], band))
    elif isinstance(step, Mend):
        mended = advanced(bench, now, RepairDone(step.group))
        walked = advanced(bench, mended, Observed(See(step.load, step.condition).id, outcome.word))
    else:
        walked = advanced(bench, now, Observed(step.id, outcome.word))
    return replace(case, walked=walked)


def _inside(outcome: StepOutcome, nominal: float | None) -> float:
    """A reading inside a band: the sound vehicle's where that is one, else the middle, else the end there is."""
    low, high = outcome.low, outcome.high
    if nominal is not None and low <= nominal <= high:
        return nominal
    ends = [edge for edge in (low, high) if not math.isinf(edge)]
    return sum(ends) / len(ends) if ends else 0.0
