"""What was put right, how, and what has to be read again to prove it: as typed, as kept, as a card says it."""

from dataclasses import dataclass

from loombench.app.cards import StepCard
from loombench.app.case import Case
from loombench.app.shown import find_suspect
from loombench.app.spoken import method_text, setup_text, without_gaps
from loombench.app.suspectwords import cause_text, facts_of, suspect_text
from loombench.base.wording import Catalogue
from loombench.diagnose.bench import Bench
from loombench.diagnose.hypothesis import SOUND, UNEXPLAINED, halves
from loombench.diagnose.looking import Mend
from loombench.diagnose.repair import repair

METHODS = ("renewed", "cleaned", "re-seated", "tightened", "patched", "replaced", "restored", "repaired")
"""The words a repair begins with; `repaired` says nothing of how."""
PAIRED = ("cleaned", "re-seated", "tightened", "patched")
"""What stays in place is proven by the same reading before and after; what was renewed also by being another one."""
PLAIN = "repaired"


@dataclass(frozen=True)
class Mended:
    """A repair as typed: the suspect's `group`, and `method`, how it was done. Where none is meant for certain the
    group is empty, and `among` names those that may be."""

    group: str
    method: str
    among: tuple[str, ...] = ()


def read_mended(case: Case, card: StepCard | None, word: str, rest: str, words: Catalogue) -> Mended:
    """`cleaned 2, bare metal`, `renewed wire E7.2 to W3/a`; the suspect of a repair on show, or the only one left, need
    not be named."""
    who, _, more = (piece.strip() for piece in rest.replace(":", ",", 1).partition(","))
    found = find_suspect(case, who, words) if who else ()
    if len(found) == 1:
        return Mended(found[0].group, _method(word, more))
    if set(halves(who)) <= set(case.bench.hypotheses.groups):
        return Mended(who, _method(word, more))
    meant = _meant(case, card)
    if meant and not found:
        return Mended(meant, _method(word, rest))
    return Mended("", "", tuple(one.text for one in found))


def _meant(case: Case, card: StepCard | None) -> str:
    """The suspect of the repair on show, else the only one left."""
    step = case.offered(card.id) if card is not None else None
    if isinstance(step, Mend):
        return step.group
    left = case.verdict.groups
    return left[0] if len(left) == 1 and left[0] not in (SOUND, UNEXPLAINED) else ""


def _method(word: str, more: str) -> str:
    return ", ".join(one for one in ("" if word == PLAIN else word, more.strip()) if one)


def proving(case: Case, method: str, words: Catalogue) -> str:
    """What proves a repair that left the thing in place: the reading from before it, or that there is none. Empty for
    what was renewed."""
    if not method.startswith(PAIRED):
        return ""
    worst = case.worst_reading
    if worst is None:
        return words.say("session.pair-missing")
    return words.say("session.pair", setup=setup_text(case.bench.vehicle, worst.setup, words))


def mend_lines(case: Case, card: StepCard, words: Catalogue) -> tuple[str, ...]:
    """What belongs to a repair on show: why it may have come about, so that it does not come back, and how it is
    entered."""
    step = case.offered(card.id)
    if not isinstance(step, Mend):
        return ()
    cause = words.say("session.cause", text=cause_text(case.bench, step.group, words))
    return cause, words.say("session.mend-how")


def done_text(bench: Bench, group: str, method: str, words: Catalogue) -> str:
    """What was done to a suspect, with the data of the wire, terminal or part."""
    if len(halves(group)) > 1:
        return " ".join(done_text(bench, half, method, words) for half in halves(group))
    how = method_text(method, words) or words.say("done.plain")
    if group in (SOUND, UNEXPLAINED) or group not in bench.hypotheses.groups:
        return words.say("done.other", suspect=group, how=how)
    job = repair(bench, group)
    key = f"done.{job.key}" if words.has(f"done.{job.key}") else "done.other"
    facts = facts_of(job, words) | {"suspect": suspect_text(bench, group, words), "how": how}
    return without_gaps(words.say(key, **facts))
