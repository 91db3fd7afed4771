"""The look at the complaint that a search begins with, told at once.

What each answer to a step would mean takes a state of all that may be wrong: on a whole vehicle half a minute. Which
step comes first takes none of that: the complaint is looked at before anything else. Whoever looks meanwhile has lost
nothing.
"""

from loombench.app.cards import StepCard
from loombench.app.case import Case
from loombench.app.stepwords import bare_card
from loombench.base.wording import Catalogue, catalogue
from loombench.diagnose.looking import See
from loombench.diagnose.safety import allowed
from loombench.evidence.events import (
    CaseClosed,
    Disturbed,
    NotAsDrawn,
    Observed,
    ReadingTaken,
    RepairDone,
    StepDeclined,
    Undone,
)

DONE = (CaseClosed, Disturbed, NotAsDrawn, Observed, ReadingTaken, RepairDone, StepDeclined, Undone)
"""Events after which the first step may be another one."""


def first_look(case: Case, words: Catalogue | None = None) -> StepCard | None:
    """The card of the first look at the complaint, without its meanings; None where something was done already that
    may have changed what comes first, or the look is not allowed."""
    if any(isinstance(one.payload, DONE) for one in case.events):
        return None
    step = See(case.load, case.complaint.condition, True)
    if not allowed(case.bench, step):
        return None
    situation = case.course.situation
    return bare_card(case.bench, situation, step, step.cost_s(case.bench, situation), "verify", words or catalogue())
