"""The finding view: a job begun, where it stands with the step on show, that step drawn, why a suspect stands."""

import re
from collections.abc import Callable, Iterable, Mapping
from contextlib import suppress
from dataclasses import dataclass
from types import MappingProxyType

from loombench.app.ahead import StoppedError, look_ahead
from loombench.app.bandwords import band_text, edge_text
from loombench.app.cards import Meaning, StepCard, Suspect
from loombench.app.case import Case
from loombench.app.casedrawing import case_sheets, step_document
from loombench.app.desk.asking import Asked
from loombench.app.desk.desk import Desk, Task, lying
from loombench.app.desk.entering import now
from loombench.app.desk.saying import Told, told
from loombench.app.eventwords import event_text
from loombench.app.finding import last_standing, next_step, opening, suspects, verdict
from loombench.app.firstlook import first_look
from loombench.app.mending import mend_lines
from loombench.app.search import only_opened, start
from loombench.app.shown import places_of, standing, verdict_lines, why_lines
from loombench.app.typed import LOOKING, present
from loombench.base.problems import Level, error
from loombench.base.wording import Catalogue
from loombench.diagnose.looking import OF_BATTERY
from loombench.diagnose.observation import PLAIN, SEEN
from loombench.diagnose.standing import is_battery
from loombench.evidence.codec import encode_setup
from loombench.evidence.events import CaseOpened
from loombench.paper.document import Svg
from loombench.record.store import NotKept
from loombench.vehicle.condition import Setup

LEFT_OPEN = ("searching", "one-class")
"""Verdicts after which something may still be tried."""
MOST_SUSPECTS = 40
LAST_EVENTS = 3
WORTH_NAMING = 0.005


@dataclass(frozen=True)
class Begun:
    """A job that was begun, or why it was not: `case` is then empty."""

    case: str
    problems: tuple[Told, ...]


@dataclass(frozen=True)
class JobHead:
    """Whose job it is: the vehicle's name, its address on the shelf where it lies there, the complaint, and the number
    of the last event, 0 where there is no such job."""

    case: str
    vehicle: str
    shelved: str
    complaint: str
    number: int
    problems: tuple[Told, ...] = ()


@dataclass(frozen=True)
class BandShown:
    """One answer: `mark` is good, bad, between or the word to answer with; `range` the band of a number in words,
    `text` what it is, `who` the suspects that would then be likeliest."""

    mark: str
    range: str
    text: str
    who: tuple[str, ...]


@dataclass(frozen=True)
class CardShown:
    """The step on show as a page needs it: the card, its answers, the other looks a load may have with their words,
    minutes it takes, and the set-up as an entry sends it back, None where it is no reading."""

    card: StepCard
    bands: tuple[BandShown, ...]
    looks: tuple[tuple[str, str], ...]
    minutes: int
    sound: str
    mending: tuple[str, ...]
    setup: Mapping[str, object] | None


@dataclass(frozen=True)
class FirstShown:
    """The look at the complaint that comes first, shown while the rest is worked out: cautions of the vehicle and the
    step, what is done, the looks it is answered with and the rarer ones. `fresh` is as for `JobNow`."""

    number: int
    fresh: bool
    cautions: tuple[str, ...]
    card: StepCard
    looks: tuple[tuple[str, str], ...]
    rarer: tuple[tuple[str, str], ...]
    minutes: int


@dataclass(frozen=True)
class SuspectShown:
    """A suspect in the list: its number, its words, where it is, its share of the belief in words, and how many
    readings speak against it."""

    number: int
    text: str
    places: tuple[str, ...]
    share: str
    against: int
    survives: bool


@dataclass(frozen=True)
class JobNow:
    """Where a job stands. `number` is that of its last event; `fresh` whether nothing was done since it was opened;
    `less_likely` how many more suspects there are than those listed; `state` the one an entry nobody asked for is taken
    in; `last` the latest events in words, the newest first; `undo` what would be taken back; `verdict` what may be said
    where no step is left or something is proven, and `ended` whether something may be tried all the same."""

    case: str
    vehicle: str
    complaint: str
    number: int
    closed: bool
    fresh: bool
    cautions: tuple[str, ...]
    card: CardShown | None
    standing: str
    verdict: tuple[str, ...]
    proven: bool
    ended: bool
    suspects: tuple[SuspectShown, ...]
    less_likely: int
    state: str
    last: tuple[str, ...]
    undo: str
    problems: tuple[Told, ...] = ()


@dataclass(frozen=True)
class StepDrawn:
    """The step on show, or where there is none the circuit of the complaint: faces, then pages, as alt text and SVG."""

    faces: tuple[tuple[str, str], ...]
    pages: tuple[tuple[str, str], ...]
    problems: tuple[Told, ...]


def begin(desk: Desk, asked: Asked, vehicle: str, complaint: str) -> Begun:
    """Begin a job on a vehicle of the folder: its first events and the vehicle's text are kept on return."""
    found, store = desk.vehicle(vehicle), desk.store()
    if found.value is None or store.value is None:
        return Begun("", told((*found.problems, *store.problems), asked.words))
    if not complaint.strip():
        return Begun("", told((error("complaint-needed", hidden="-"),), asked.words))
    time = now()
    taken, base = set(store.value.cases()), re.sub(r"\D", "", time)[:12]
    name = next(one for one in (base, *(f"{base}-{n}" for n in range(2, 10_000))) if one not in taken)
    try:
        begun = start(
            str(found.value.shelved.file), complaint, store.value.file.parent, name, time, jobs=store.value,
            words=asked.words,
        )  # fmt: skip
    except NotKept as refused:
        return Begun("", told((refused.problem,), asked.words))
    shown = tuple(one for one in begun.problems if one.level is Level.ERROR or begun.value is None)
    return Begun(name if begun.value is not None else "", told(shown, asked.words))


def job_now(desk: Desk, asked: Asked, case: str) -> JobNow | Begun:
    """Where a job stands, with the next step worked out; who it is not there for gets the problems alone."""
    found = desk.case(case, asked)
    if found.value is None:
        return Begun("", told(found.problems, asked.words))
    here, words = found.value, asked.words
    card = next_step(here, words)
    number = here.events[-1].number
    desk.cards[here.id] = (number, card)
    end, every = verdict(here, words), suspects(here, words)
    listed = _suspects(here, every)
    first, last = here.events[0].payload, last_standing(here)
    return JobNow(
        case=here.id,
        vehicle=here.bench.vehicle.name,
        complaint=first.complaint if isinstance(first, CaseOpened) else "",
        number=number,
        closed=here.course.closed,
        fresh=only_opened(here),
        cautions=opening(here, words),
        card=_card(here, card, words) if card is not None else None,
        standing=standing(here, card.place if card else "", words),
        verdict=verdict_lines(here, words) if card is None or end.proven else (),
        proven=end.proven,
        ended=card is None and not here.course.closed and end.state in LEFT_OPEN,
        suspects=listed,
        less_likely=sum(one.survives for one in every) - len(listed),
        state=str(present(here, card)),
        last=tuple(
            event_text(here.bench, here.events, one.payload, words) for one in here.events[: -LAST_EVENTS - 1 : -1]
        ),
        undo=event_text(here.bench, here.events, last.payload, words) if last is not None else "",
        problems=told(found.problems, words),
    )


def first_shown(desk: Desk, asked: Asked, case: str) -> FirstShown | None:
    """The look that a job begins with, told before anything is worked out; None where it is past."""
    found = desk.case(case, asked)
    if found.value is None:
        return None
    here, words = found.value, asked.words
    card = first_look(here, words)
    if card is None:
        return None
    battery = is_battery(here.bench, here.load)
    return FirstShown(
        number=here.events[-1].number,
        fresh=only_opened(here),
        cautions=opening(here, words),
        card=card,
        looks=_looks(OF_BATTERY if battery else PLAIN, words),
        rarer=() if battery else _looks((one for one in SEEN if one not in PLAIN), words),
        minutes=_minutes(card),
    )


def _looks(marks: Iterable[str], words: Catalogue) -> tuple[tuple[str, str], ...]:
    return tuple((one, words.say(f"meaning.{one.replace(' ', '-')}")) for one in marks)


def _minutes(card: StepCard) -> int:
    return max(1, round(card.cost_s / 60))


def _card(case: Case, card: StepCard, words: Catalogue) -> CardShown:
    step = case.offered(card.id)
    setup = getattr(step, "setup", None) if step.number else None
    others = [one for one in SEEN if one not in card.choices] if card.kind in LOOKING else []
    return CardShown(
        card=card,
        bands=tuple(_band(one, card, words) for one in card.meanings),
        looks=_looks(others, words),
        minutes=_minutes(card),
        sound="" if card.nominal is None else edge_text(card.nominal, card.unit),
        mending=mend_lines(case, card, words),
        setup=encode_setup(setup) if isinstance(setup, Setup) else None,
    )


def _band(one: Meaning, card: StepCard, words: Catalogue) -> BandShown:
    wide = band_text(one.low, one.high, card.nominal, card.unit, words) if card.unit else ""
    return BandShown(one.mark, wide, one.text, one.suspects)


def _suspects(case: Case, every: tuple[Suspect, ...]) -> tuple[SuspectShown, ...]:
    likely = [(k, one) for k, one in enumerate(every, 1) if one.survives and one.share >= WORTH_NAMING]
    return tuple(
        SuspectShown(k, one.text, places_of(case, one.group), f"{one.share:.0%}", one.against, one.survives)
        for k, one in (likely or list(enumerate(every, 1)))[:MOST_SUSPECTS]
    )


def step_drawn(desk: Desk, asked: Asked, case: str) -> StepDrawn:
    """The step on show with its leads, the faces it is measured at and its place."""
    found = desk.case(case, asked)
    if found.value is None:
        return StepDrawn((), (), told(found.problems, asked.words))
    here = found.value
    card = next_step(here, asked.words)
    if card is None:
        sheets = case_sheets(here, desk.layouts, asked.words)
        return StepDrawn((), tuple((one.alt, one.svg) for one in sheets.value), told(sheets.problems, asked.words))
    drawn = step_document(here, card, desk.layouts, asked.words)
    faces = tuple((one.alt, one.text) for one in drawn.value.blocks if isinstance(one, Svg))
    pages = tuple((one.alt, one.svg) for one in drawn.value.sheets)
    return StepDrawn(faces, pages, told(drawn.problems, asked.words))


def reasons(desk: Desk, asked: Asked, case: str, suspect: str) -> tuple[str, ...]:
    """What spoke for and against a suspect, one line each."""
    found = desk.case(case, asked)
    if found.value is None:
        return ()
    return tuple(line.strip() for line in why_lines(found.value, suspect, asked.words))


def head(desk: Desk, asked: Asked, case: str) -> JobHead:
    """What stands over a job's pages, as the store has it; without a number where there is no such job."""
    store = desk.store()
    read = store.value.read(case).value if store.value is not None else ()
    if store.value is None or not read or not isinstance(first := read[0].payload, CaseOpened):
        problems = store.problems or (error("job-unknown", case=case[:80], known="-"),)
        return JobHead(case, "", "", "", 0, told(problems, asked.words))
    file = lying(store.value.file, first.file)
    lies = next((one.id for one in desk.shelf().value if file is not None and one.file.resolve() == file), "")
    return JobHead(case, first.vehicle, lies, first.complaint, read[-1].number)


def work_ahead(desk: Desk, stopped: Callable[[], bool]) -> None:
    """Work out what would come after each answer to the card on show of the case used last, once for each card."""
    case = desk.latest(Asked(stopped=stopped))
    if case is None:
        return
    number, card = desk.cards.get(case.id, (0, None))
    if card is None or number != case.events[-1].number or desk.followed.get(case.id) == number:
        return
    with suppress(StoppedError):
        look_ahead(case, card, stopped)
        if not stopped():
            desk.followed[case.id] = number


TASKS: Mapping[str, Task] = MappingProxyType({
    "finding.begin": begin, "finding.now": job_now, "finding.drawn": step_drawn, "finding.reasons": reasons,
    "finding.head": head, "finding.first": first_shown,
})  # fmt: skip
