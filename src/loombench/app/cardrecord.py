"""What a job card takes from the record alone: who and when, codes, parts, times, what was left for the time being."""

from collections.abc import Sequence
from datetime import datetime
from itertools import pairwise

from loombench.app.eventwords import consent_text
from loombench.app.jobcard import CardPart, CardPhoto, CardSignature, CardTime
from loombench.app.practice import PRACTICE_TIME
from loombench.base.wording import Catalogue
from loombench.evidence.envelope import Envelope
from loombench.evidence.events import (
    CaseClosed,
    CaseOpened,
    CodesRead,
    ComplaintGiven,
    ConsentGiven,
    Disturbed,
    LeadsCounted,
    NotAsDrawn,
    Note,
    PartUsed,
    PhotoTaken,
    ReasonGiven,
    RepairDone,
    Signed,
    TemporaryMeasure,
    WorkClock,
)

PAUSE_S = 1800
"""Nobody works on one entry for longer than this without another; a longer gap is a break, or the night."""
MINUTE_S = 60.0


def details(events: Sequence[Envelope], words: Catalogue) -> tuple[tuple[str, str], ...]:
    """Who worked on it, when it was opened, when it was closed; what a practice case did by itself has no time."""
    authors = ", ".join(dict.fromkeys(one.author for one in events if one.author))
    timed = [one for one in events if one.time != PRACTICE_TIME]
    opened = [one.time for one in timed if isinstance(one.payload, CaseOpened)]
    closed = [one.time for one in timed if isinstance(one.payload, CaseClosed)]
    pairs = [(name, _minute(some[-1]) if some else "") for name, some in (("opened", opened), ("closed", closed))]
    found = [("by", authors), *pairs] if authors else pairs
    return tuple((words.say(f"cardextra.{name}"), text) for name, text in found if text)


def _minute(time: str) -> str:
    return time[:16].replace("T", " ")


def told(events: Sequence[Envelope]) -> str:
    """The complaints word for word, the first on its own line and each later one below it."""
    opened = [one.payload.complaint for one in events if isinstance(one.payload, CaseOpened)]
    later = [one.payload.complaint.text for one in events if isinstance(one.payload, ComplaintGiven)]
    # What was told in one breath is in the first text already.
    more = (text for text in later[1:] if not any(text in first for first in opened))
    return "\n".join(dict.fromkeys(text for text in (*opened, *more) if text))


def codes(events: Sequence[Envelope]) -> tuple[str, ...] | None:
    """The codes read before work; None where nobody looked."""
    read = [one.payload.codes for one in events if isinstance(one.payload, CodesRead)]
    return tuple(dict.fromkeys(code for one in read for code in one)) if read else None


def parts(events: Sequence[Envelope]) -> tuple[CardPart, ...]:
    """The parts used."""
    used = [one.payload for one in events if isinstance(one.payload, PartUsed)]
    return tuple(CardPart(one.name, one.number, one.quantity, one.state) for one in used)


def reasons(events: Sequence[Envelope]) -> str:
    """Why the fault came, as far as anybody said."""
    return "; ".join(one.payload.text for one in events if isinstance(one.payload, ReasonGiven))


def leads_removed(events: Sequence[Envelope]) -> bool | None:
    """The last word on test leads; None where nobody counted them."""
    said = [one.payload.out for one in events if isinstance(one.payload, LeadsCounted)]
    return said[-1] if said else None


def temporary(events: Sequence[Envelope]) -> tuple[str, ...]:
    """What was done for the time being only."""
    return tuple(one.payload.text for one in events if isinstance(one.payload, TemporaryMeasure))


def notes(events: Sequence[Envelope], words: Catalogue) -> tuple[str, ...]:
    """What else happened on the way and what the next person should know."""
    found = []
    for one in events:
        match one.payload:
            case Disturbed(note=text):
                found.append(words.say("cardextra.disturbed" if text else "cardextra.disturbed-plain", text=text))
            case NotAsDrawn(text=text):
                found.append(words.say("cardextra.deviation", text=text))
            case Note(text=text):
                found.append(words.say("cardextra.note", text=text))
    return tuple(found)


def times(events: Sequence[Envelope], words: Catalogue) -> tuple[CardTime, ...]:
    """Minutes of finding, repairing and testing after the repair, by the times of the entries. A gap counts for the
    entry that ends it; one longer than `PAUSE_S` for nothing."""
    minutes = dict.fromkeys(("finding", "repairing", "testing"), 0.0)
    stage = "finding"
    for before, after in pairwise(events):
        gap_s = (datetime.fromisoformat(after.time) - datetime.fromisoformat(before.time)).total_seconds()
        mends = isinstance(after.payload, RepairDone)
        if 0.0 < gap_s <= PAUSE_S:
            minutes["repairing" if mends else stage] += gap_s / MINUTE_S
        stage = "testing" if mends else stage
    return tuple(CardTime(words.say(f"cardextra.{name}"), one) for name, one in minutes.items() if one >= 0.5)


def worked_s(events: Sequence[Envelope], now: str = "") -> float | None:
    """Seconds by the work clock, up to the time `now` where it still runs; None where it was never started. What a
    clock that was put back would make negative counts as nothing."""
    since, total, used = "", 0.0, False
    for one in events:
        if isinstance(one.payload, WorkClock):
            used = used or one.payload.running
            total += _seconds(since, one.time) if since else 0.0
            since = one.time if one.payload.running else ""
    total += _seconds(since, now) if since and now else 0.0
    return total if used else None


def runs_since(events: Sequence[Envelope]) -> str:
    """The time since when the work clock runs; empty where it does not."""
    clock = [one for one in events if isinstance(one.payload, WorkClock)]
    return clock[-1].time if clock and isinstance(last := clock[-1].payload, WorkClock) and last.running else ""


def _seconds(since: str, until: str) -> float:
    return max(0.0, (datetime.fromisoformat(until) - datetime.fromisoformat(since)).total_seconds())


def consent(events: Sequence[Envelope]) -> ConsentGiven | None:
    """What the customer agreed to last."""
    given = [one.payload for one in events if isinstance(one.payload, ConsentGiven)]
    return given[-1] if given else None


def agreed(events: Sequence[Envelope], words: Catalogue) -> str:
    """The same in one line; empty where nobody was asked."""
    given = consent(events)
    return consent_text(given, words) if given is not None else ""


def photos(events: Sequence[Envelope]) -> tuple[CardPhoto, ...]:
    """The photos, in the order taken."""
    return tuple(
        CardPhoto(_minute(one.time), one.payload.text, one.payload.sha256)
        for one in events
        if isinstance(one.payload, PhotoTaken)
    )


def signatures(events: Sequence[Envelope]) -> tuple[CardSignature, ...]:
    """Who signed, each role's last word, and whether something was entered after it."""
    last = max((one.number for one in events if not isinstance(one.payload, Signed)), default=0)
    found = {one.payload.role: one for one in events if isinstance(one.payload, Signed)}
    return tuple(
        CardSignature(role, signed.name, _minute(one.time), signed.strokes, one.number < last)
        for role, one in found.items()
        if isinstance(signed := one.payload, Signed)
    )
