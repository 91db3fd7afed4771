"""One case played to the end of the job: until what was complained of is seen to be right again, or nothing is left.

Minutes are what all steps cost, the work of repairs in vain among them; that of a repair of what was wrong is not,
since it is the same whoever finds it.
"""

from dataclasses import dataclass

import numpy as np

from benchmarks.disturbed import Asked, DisturbedVehicle, asked_of
from loombench.app.case import Case
from loombench.app.finding import answer, cannot, next_offer
from loombench.app.practice import PRACTICE_TIME
from loombench.diagnose.belief import Belief
from loombench.diagnose.hypothesis import UNEXPLAINED, halves
from loombench.diagnose.looking import Mend
from loombench.diagnose.measuring import Measure
from loombench.diagnose.verdict import CURED, NOT_BACK, NOTHING_EXPLAINS, ONE_CLASS, PROVEN

MOST_STEPS = 80
CLOSED = (PROVEN, ONE_CLASS, CURED, NOT_BACK)
Right = tuple[frozenset[str], ...]


@dataclass(frozen=True)
class Ended:
    """How it went. `state` is the first verdict that closed the search, `final` the last; `named` what all of these
    named; `brier` (0 to 2) of the belief at that first verdict; `cured`: nothing is wrong any more; `in_vain` counts
    repairs of what was not wrong; `asked` and `fitted` are the readings and repairs, which tell whether a disturbance
    would have met any of them."""

    state: str
    final: str
    named: tuple[str, ...]
    right: bool
    cured: bool
    wrong_part: bool
    brier: float
    minutes: float
    steps: int
    declined: int
    in_vain: int
    altered: bool
    trail: tuple[str, ...]
    asked: tuple[Asked, ...]
    fitted: tuple[str, ...]


def play_out(case: Case, vehicle: DisturbedVehicle, right: Right, unmodelled: bool = False) -> Ended:
    """Take the tool's own steps, repairs and looks after them too."""
    seconds = 0.0
    steps = declined = in_vain = 0
    trail: list[str] = []
    asked: list[Asked] = []
    named: dict[str, None] = {}
    state, brier, first_named = "", -1.0, ()
    while True:
        said = case.verdict
        if said.state in CLOSED:
            if not state:
                state, brier, first_named = said.state, brier_of(case.belief, right), said.groups
            named.update(dict.fromkeys(half for group in said.groups for half in halves(group)))
        found = next_offer(case)
        if found is None or steps >= MOST_STEPS:
            break
        step, situation = case.offered(found[0].step.id), case.course.situation
        steps += 1
        seen = vehicle.reply(step, situation.repaired)
        seconds += step.cost_s(case.bench, situation)
        if isinstance(step, Measure):
            asked.append(asked_of(step))
        if isinstance(step, Mend):
            vain = not any(step.group in some for some in right)
            in_vain += vain
            seconds -= 0.0 if vain else step.work_s
        trail.append(f"{step.id} -> {seen}")
        if seen is None or seen != seen:  # noqa: PLR0124  (nan)
            declined += 1
            case = cannot(case, step.id, "no answer", PRACTICE_TIME)
            continue
        case = answer(case, step.id, seen, PRACTICE_TIME)
    last = case.verdict
    state, brier = state or last.state, brier if brier >= 0.0 else brier_of(case.belief, right)
    hit = all(not some.isdisjoint(named) for some in right)
    held = {half for group in first_named for half in halves(group)}
    return Ended(
        state,
        last.state,
        tuple(named),
        hit or (unmodelled and last.state == NOTHING_EXPLAINS),
        not vehicle.left(case.course.situation.repaired),
        bool(held) and all(some.isdisjoint(held) for some in right),
        brier,
        seconds / 60.0,
        steps,
        declined,
        in_vain,
        vehicle.altered,
        tuple(trail),
        tuple(asked),
        case.course.situation.repaired,
    )


def brier_of(belief: Belief, right: Right) -> float:
    """Brier's score of the belief (Brier 1950, Monthly Weather Review 78, 1-3): the sum over all suspects of the square
    of belief less truth, 0 at best and 2 at worst. Of several that are right the one most believed counts; where the
    belief has none of them, what nothing explains is."""
    names, share = belief.hypotheses.groups, belief.group_share
    fits = [k for k, name in enumerate(names) if all(not some.isdisjoint(halves(name)) for some in right)]
    fits = fits or [k for k, name in enumerate(names) if any(not some.isdisjoint(halves(name)) for some in right)]
    fits.append(names.index(UNEXPLAINED))
    truth = np.zeros(len(names))
    truth[max(fits[:-1] or fits, key=lambda k: float(share[k]))] = 1.0
    return float(np.sum((share - truth) ** 2))
