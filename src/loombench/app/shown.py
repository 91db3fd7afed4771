"""What a case shows in a session: how many suspects are left and where, the list, why one stands where it stands."""

from loombench.app.cards import Suspect
from loombench.app.case import Case
from loombench.app.eventwords import event_text
from loombench.app.finding import suspects
from loombench.app.reasons import why
from loombench.base.wording import Catalogue, catalogue
from loombench.diagnose.hypothesis import SOUND, UNEXPLAINED
from loombench.diagnose.place import suspect_places
from loombench.diagnose.stepname import read_step
from loombench.evidence.events import ComplaintGiven, Observed, ReadingTaken
from loombench.evidence.replay import effective

SHOWN = 4
SAYS_NOTHING = 1.05
"""A factor nearer to one than this is not worth a figure."""


def kept_lines(before: Case, after: Case, words: Catalogue) -> tuple[str, ...]:
    """What was kept, one line an event."""
    return tuple(
        words.say("session.kept", number=one.number, text=event_text(after.bench, before.events, one.payload, words))
        for one in after.events[len(before.events) :]
    )


def standing(case: Case, place: str, words: Catalogue | None = None) -> str:
    """How many suspects are left, and how many of them at a place."""
    words = words or catalogue()
    groups = [name for name in case.verdict.groups if name not in (SOUND, UNEXPLAINED)]
    if len(groups) == 1:
        named = next(one.text for one in suspects(case, words) if one.group == groups[0])
        return words.say("session.standing-one", suspect=named)
    faults = {one.group: one.fault for one in reversed(case.belief.hypotheses.members) if one.fault is not None}
    here = sum(place in suspect_places(case.bench.vehicle, faults[name]) for name in groups if name in faults)
    key = "session.standing-here" if place and here else "session.standing"
    return words.say(key, count=len(groups), here=here, place=place)


def suspect_lines(case: Case, words: Catalogue) -> tuple[str, ...]:
    """The suspects with their shares and how many readings speak against each."""
    return tuple(
        words.say(
            "session.suspects", number=number, mark="" if one.survives else words.say("shell.out"),
            text=one.text, share=f"{one.share:.0%}", against=one.against,
        )
        for number, one in enumerate(suspects(case, words), 1)
    )  # fmt: skip


def find_suspect(case: Case, said: str, words: Catalogue) -> tuple[Suspect, ...]:
    """The suspects meant: by number in the list, by name, or by a piece of what they are called."""
    every = suspects(case, words)
    if said.isdecimal():
        return every[int(said) - 1 : int(said)] if int(said) else ()
    exact = tuple(one for one in every if said in (one.group, one.text))
    piece = said.casefold()
    return exact or tuple(one for one in every if piece in one.group.casefold() or piece in one.text.casefold())


def why_lines(case: Case, named: str, words: Catalogue) -> tuple[str, ...]:
    """What spoke for and against a suspect, in the order taken."""
    found = find_suspect(case, named, words) if named else ()
    if len(found) != 1:
        some = "; ".join(one.text for one in found[:SHOWN])
        return (words.say("session.many-suspects" if found else "session.no-suspect", said=repr(named), names=some),)
    (one,) = found
    told = why(case, one.group)
    head = words.say(
        "session.why-head", suspect=one.text, share=_share(told.share), against=told.against, prior=_share(told.prior)
    )
    lines = [f"  {head}"]
    names = observation_texts(case, words)
    for reason in told.reasons:
        factor = reason.factor if reason.factor >= 1.0 else 1.0 / reason.factor
        key = "why-neither" if factor < SAYS_NOTHING else "why-for" if reason.factor > 1.0 else "why-against"
        effect = words.say(f"session.{key}", factor=_factor(factor))
        effect += f", {words.say('session.why-strike')}" if reason.against else ""
        lines += [f"    {names[reason.place]}", f"        {effect}"]
    return tuple(lines)


def observation_texts(case: Case, words: Catalogue) -> tuple[str, ...]:
    """What was observed, in the order of the case's observations."""
    seen = [one.payload for one in effective(case.events)]
    return tuple(
        event_text(case.bench, case.events, one, words)
        for one in seen
        if isinstance(one, ComplaintGiven | ReadingTaken) or (isinstance(one, Observed) and read_step(one.what))
    )


def _share(value: float) -> str:
    return f"{value:.0%}" if value >= 0.005 else f"1 in {1.0 / max(value, 1e-12):.3g}"


def _factor(value: float) -> str:
    return f"{value:.2g}" if value < 10.0 else f"{value:.0f}" if value < 1e5 else f"{value:.0e}"
