"""Where a way through a procedure ends: what may be said, and what is put right in which order."""

from dataclasses import dataclass

from loombench.app.case import Case
from loombench.app.finding import ONE_LEFT
from loombench.app.stepwords import load_text, short
from loombench.app.suspectwords import job_text, suspect_text
from loombench.base.wording import Catalogue
from loombench.diagnose.hypothesis import halves
from loombench.diagnose.looking import See
from loombench.diagnose.safety import cautions
from loombench.diagnose.verdict import CURED, NOT_BACK, ONE_CLASS, PROVEN, ranking

NAMING = (PROVEN, CURED, ONE_CLASS)
"""The verdicts that end with something to put right."""
NAMED = 6
"""So many repairs are printed for one end."""


@dataclass(frozen=True)
class Job:
    """One thing to put right: the suspect, its share among those left, the job, and the cautions before it."""

    suspect: str
    share: float
    text: str
    cautions: tuple[str, ...]


@dataclass(frozen=True)
class End:
    """`state` as in `diagnose.verdict`, `text` what may be said, `jobs` what to put right in this order with a look
    after each, `more` how many further ones there are, `retest` what is seen again.

    `proof_s` are the seconds that are still expected until the cause is proven, `mend_s` until it is put right too;
    both are nothing where no cause is named.
    """

    state: str
    text: str
    jobs: tuple[Job, ...]
    more: int
    retest: tuple[str, ...]
    proof_s: float
    mend_s: float

    @property
    def names(self) -> bool:
        """Whether it ends with something to put right."""
        return self.state in NAMING


def end_of(case: Case, words: Catalogue) -> End:
    """The end that a case has come to."""
    found = case.verdict
    named = tuple(suspect_text(case.bench, group, words) for group in found.groups)
    key = ONE_LEFT if found.state == ONE_CLASS and len(named) == 1 else found.state
    text = words.say(f"verdict.{key}", suspect=named[0] if named else "", suspects="; ".join(named))
    shares = dict(ranking(case.belief))
    jobs, spent_s, mend_s, whole = [], 0.0, 0.0, 0.0
    situation = case.course.situation
    for step in case.repairs if found.state in (PROVEN, ONE_CLASS) else ():
        group = step.id.removeprefix("mend ")
        share = sum(part for name, part in shares.items() if group in halves(name))
        spent_s += step.cost_s(case.bench, situation)
        situation = step.after(case.bench, situation)
        mend_s, whole = mend_s + share * spent_s, whole + share
        keys = (words.say(f"caution.{key}") for key in cautions(case.bench, step))
        jobs.append(Job(suspect_text(case.bench, group, words), share, job_text(case.bench, group, words), tuple(keys)))
    mend_s = mend_s / whole if whole else 0.0
    retest = [load_text(case.bench, one.load) if isinstance(one, See) else short(one, words) for one in case.retests]
    again = tuple(dict.fromkeys(retest)) if found.state in (*NAMING, NOT_BACK) else ()
    printed = tuple(Job(one.suspect, one.share / whole if whole else 0.0, one.text, one.cautions) for one in jobs)
    proof_s = 0.0 if found.state == PROVEN else mend_s
    return End(found.state, text, printed[:NAMED], len(printed[NAMED:]), again, proof_s, mend_s)
