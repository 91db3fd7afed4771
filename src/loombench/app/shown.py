"""What a case shows in a session: how many suspects are left and where, the list, why one stands where it stands."""

from loombench.app.cards import Suspect
from loombench.app.case import Case
from loombench.app.eventwords import event_text, observation_texts
from loombench.app.finding import suspects, verdict
from loombench.app.reasons import why
from loombench.app.suspectwords import cause_text, suspect_text
from loombench.base.wording import Catalogue, catalogue
from loombench.diagnose.hypothesis import SOUND, UNEXPLAINED, halves
from loombench.diagnose.place import suspect_places
from loombench.diagnose.verdict import NOT_REPRODUCED, PROVEN

SHOWN = 4
WORTH_A_LINE = 0.005
"""Suspects with less of the belief are counted, not listed."""
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
    if not groups:
        return words.say("session.standing-none")
    if len(groups) == 1:
        named = next(one.text for one in suspects(case, words) if one.group == groups[0])
        return words.say("session.standing-one", suspect=named)
    here = sum(place in places_of(case, name) for name in groups)
    key = "session.standing-here" if place and here else "session.standing"
    return words.say(key, count=len(groups), here=here, place=place)


def suspect_lines(case: Case, words: Catalogue, every: bool = False) -> tuple[str, ...]:
    """The suspects by what they bear of the belief, with the places where they are; those next to nothing are counted
    only, unless every one is wanted."""
    numbered = list(enumerate(suspects(case, words), 1))
    likely = [(number, one) for number, one in numbered if every or (one.survives and one.share >= WORTH_A_LINE)]
    # Where the entries speak against every suspect, the least unlikely are what is to be doubted.
    likely = likely or numbered[:SHOWN]
    lines = [_suspect_line(case, number, one, words) for number, one in likely]
    hidden = [one for _, one in numbered if one not in [shown for _, shown in likely]]
    few, out = (sum(one.survives is alive for one in hidden) for alive in (True, False))
    lines += [words.say("session.suspects-more", count=few)] if few else []
    lines += [words.say("session.suspects-out", out=out)] if out else []
    return tuple(lines)


def _suspect_line(case: Case, number: int, one: Suspect, words: Catalogue) -> str:
    places = ", ".join(places_of(case, one.group))
    share = f"{one.share:.0%}" if one.share >= WORTH_A_LINE else words.say("session.small-share")
    against = words.say("session.suspect-against", against=one.against) if one.against else ""
    out = "" if one.survives else words.say("session.suspect-out")
    more = ", ".join(piece for piece in (share, places, against, out) if piece)
    return words.say("session.suspects", number=number, text=one.text, more=more)


def places_of(case: Case, group: str) -> tuple[str, ...]:
    """The places a suspect is at; none for what is no fault."""
    members = case.belief.hypotheses.members
    faults = next((one.faults for one in members if one.group == group), ())
    return tuple(dict.fromkeys(place for one in faults for place in suspect_places(case.bench.vehicle, one)))


def verdict_lines(case: Case, words: Catalogue) -> tuple[str, ...]:
    """What may be said now; where something is proven the caution, the job and why it may have come about; what is seen
    again after it."""
    end = verdict(case, words)
    lines = [end.text]
    if not end.proven:
        named = end.groups[:SHOWN] if end.state != NOT_REPRODUCED else ()
        lines += [f"    {suspect_text(case.bench, group, words)}" for group in named]
        more = len(end.groups) - len(named)
        return (*lines, words.say("session.and-more", count=more)) if named and more else tuple(lines)
    (group,) = end.groups
    if not set(halves(group)) <= set(case.course.situation.repaired):
        lines += [f"! {one}" for one in end.cautions]
        lines.append(words.say("shell.repair", job=end.job))
    lines.append(words.say("session.cause", text=cause_text(case.bench, group, words)))
    left = [name for name in end.retest if name]
    if end.state == PROVEN and left:
        lines.append(words.say("session.then-see", what="; ".join(left)))
    return tuple(lines)


def find_suspect(case: Case, said: str, words: Catalogue) -> tuple[Suspect, ...]:
    """The suspects meant: by number in the list, by name, or by a piece of what they are called."""
    every = suspects(case, words)
    if said.isdecimal():
        return every[int(said) - 1 : int(said)] if int(said) else ()
    exact = tuple(one for one in every if said in (one.group, one.text))
    piece = said.casefold()
    return exact or tuple(one for one in every if piece in one.group.casefold() or piece in one.text.casefold())


def why_lines(case: Case, named: str, words: Catalogue) -> tuple[str, ...]:
    """What spoke for and against a suspect, the first one where none is named, in the order taken."""
    found = find_suspect(case, named, words) if named else suspects(case, words)[:1]
    if len(found) != 1:
        some = "; ".join(one.text for one in found[:SHOWN])
        return (words.say("session.many-suspects" if found else "session.no-suspect", said=repr(named), names=some),)
    (one,) = found
    told = why(case, one.group)
    head = words.say(
        "session.why-head",
        suspect=one.text,
        share=_share(told.share, words),
        against=told.against,
        prior=_share(told.prior, words),
    )
    lines = [f"  {head}"]
    names = observation_texts(case.bench, case.events, words)
    for reason in told.reasons:
        factor = reason.factor if reason.factor >= 1.0 else 1.0 / reason.factor
        key = "why-neither" if factor < SAYS_NOTHING else "why-for" if reason.factor > 1.0 else "why-against"
        effect = words.say(f"session.{key}", factor=_factor(factor))
        effect += f", {words.say('session.why-strike')}" if reason.against else ""
        lines += [f"    {names[reason.place]}", f"        {effect}"]
    return tuple(lines)


def _share(value: float, words: Catalogue) -> str:
    return f"{value:.0%}" if value >= 0.005 else words.say("session.why-share", many=f"{1.0 / max(value, 1e-12):.3g}")


def _factor(value: float) -> str:
    return f"{value:.2g}" if value < 10.0 else f"{value:.0f}" if value < 1e5 else f"{value:.0e}"
