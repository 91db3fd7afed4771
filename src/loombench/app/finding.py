"""A finding session, as plain functions over frozen values and an event store.

    case = open_case(vehicle, digest, complaint, store, "2026-001", time)    complaint: evidence.complaint.Complaint
    card = next_step(case)                       StepCard, or None where nothing is left to do
    case = answer(case, card.id, 12.4, time)     a number in card.unit, or one of card.choices
    case = take(case, setup, 3.1, time)          a reading nobody asked for, in any order
    case = cannot(case, card.id, "seized", time) declined: not offered again
    case = undo(case, time)                      takes the last thing back
    suspects(case), verdict(case)
    case = repaired(case, group, time)           then next_step asks to see complaint and neighbours again
    case = close(case, time)
    job_card(case)                               Document (app.findingcard)
    case = note(case, Disturbed("..."), time)    codes read, parts used, and what else belongs on the card
    not_as_drawn(case, "size S4.2~E7.1 2.5mm2", time)
                                                 Outcome: the vehicle of this case is altered, or the words are kept
    replay(vehicle, events, store)               the same case from its events

Every function that changes something appends its event to the store, which acknowledges it only when it is on disk,
and gives the case that the replay of all events makes. `time` is ISO text with zone; nothing here has a clock.
"""

from dataclasses import fields, replace

from loombench.app.asbuilt import as_built, is_change, unfit
from loombench.app.cards import StepCard, Suspect, VerdictCard
from loombench.app.case import Case, bench_for
from loombench.app.course import advanced
from loombench.app.eventwords import observation_texts
from loombench.app.stepwords import load_text, short, step_card, temporary_text
from loombench.app.suspectwords import job_text, suspect_text
from loombench.base.outcome import Outcome, errors
from loombench.base.wording import Catalogue, catalogue
from loombench.circuit.lower import lower
from loombench.diagnose.belief import strikes
from loombench.diagnose.bench import Bench
from loombench.diagnose.choose import Ranked, question, surviving
from loombench.diagnose.looking import Mend, See
from loombench.diagnose.measuring import unit_of
from loombench.diagnose.observation import SEEN
from loombench.diagnose.plan import mends
from loombench.diagnose.safety import cautions, opening_cautions
from loombench.diagnose.step import Step
from loombench.diagnose.verdict import (
    CURED,
    NOT_BACK,
    NOT_REPRODUCED,
    ONE_CLASS,
    PROVEN,
    SEARCHING,
    ranking,
)
from loombench.evidence.complaint import Complaint, History
from loombench.evidence.envelope import Envelope, envelope
from loombench.evidence.events import (
    CaseClosed,
    CaseOpened,
    CodesRead,
    ComplaintGiven,
    Disturbed,
    HistoryTold,
    LeadsCounted,
    NotAsDrawn,
    Note,
    Observed,
    PartUsed,
    Payload,
    ReadingTaken,
    ReasonGiven,
    RepairDone,
    StepDeclined,
    TemporaryMeasure,
    Undone,
)
from loombench.record.store import EventStore
from loombench.vehicle.condition import Condition, Setup
from loombench.vehicle.model import Vehicle

AGAIN = "again"
"""Why a complaint that comes and goes is looked at several times after a repair."""
ONE_LEFT = "one-left"
"""What a class of one is called in the catalogue."""
NotePayload = CodesRead | Disturbed | LeadsCounted | Note | PartUsed | ReasonGiven | TemporaryMeasure


def open_case(
    vehicle: Vehicle, digest: str, complaint: Complaint, store: EventStore, case_id: str, time: str,
    author: str = "", bench: Bench | None = None, file: str = "",
) -> Case:  # fmt: skip
    """A new case with its first complaint. `digest` is the SHA-256 of the vehicle's text, `file` where that lies."""
    case = Case(case_id, author, bench or bench_for(vehicle), store, (), vehicle)
    case = _append(case, CaseOpened(vehicle.name, digest, complaint.text, file), time)
    return _append(case, ComplaintGiven(complaint), time)


def replay(
    vehicle: Vehicle, events: tuple[Envelope, ...], store: EventStore, author: str = "", bench: Bench | None = None
) -> Case:
    """The case that some events make; `vehicle` as drawn, `bench` one for it as built.

    Raises:
        ValueError: there are no events.
    """
    if not events:
        raise ValueError("no events: no case")
    made = bench or bench_for(as_built(vehicle, events).value)
    name = events[0].case
    return Case(name, author, made, store, events, vehicle, store.next_number(name))


def complain(case: Case, told: Complaint | History, time: str) -> Case:
    """One more complaint, something that is said to work, or something that happened before."""
    return _append(case, HistoryTold(told) if isinstance(told, History) else ComplaintGiven(told), time)


def take(case: Case, setup: Setup, value: float, time: str, note: str = "") -> Case:
    """A reading under its set-up, asked for or not."""
    return _append(case, ReadingTaken(setup, value, unit_of(setup), note), time)


def answer(
    case: Case, step_id: str, value: float | str, time: str, note: str = "", words: Catalogue | None = None
) -> Case:
    """The answer to the step of that id: a number for a reading, one of the card's choices for the rest.

    Raises:
        KeyError: no step of that id is on offer now.
        ValueError: the answer is none that the step can have.
    """
    step = case.offered(step_id)
    if not step.number:
        outcomes = step.outcomes(case.belief.bench, case.belief.share, case.course.situation).outcomes
        # A load may look as no suspect would have it look.
        own = tuple(one.word for one in outcomes)
        known = SEEN if isinstance(step, See | Mend) and not set(own) - set(SEEN) else own
        if value not in known:
            raise ValueError(f"{value!r} is no answer to {step_id!r}; it is one of {', '.join(known)}")
    return answered(case, step, value, time, note, words)


def answered(
    case: Case, step: Step, value: float | str, time: str, note: str = "", words: Catalogue | None = None
) -> Case:
    """The answer to a step that was on offer when it was shown, whatever has been entered since then.

    Raises:
        ValueError: it is no number where the step asks for one.
    """
    if step.number:
        number = float(value)
        if number != number:  # noqa: PLR0124  (nan)
            raise ValueError(f"{value} is no reading")
        return take(case, _setup(step), number, time, note)
    if isinstance(step, Mend):
        case = repaired(case, step.group, time)
        return _append(case, Observed(See(step.load, step.condition).id, str(value)), time)
    leftover = temporary_text(case.bench, step, words or catalogue())
    if leftover:
        case = _append(case, TemporaryMeasure(leftover), time)
    return _append(case, Observed(step.id, str(value)), time)


def _setup(step: Step) -> Setup:
    setup = getattr(step, "setup", None)
    assert isinstance(setup, Setup)
    return setup


def see(case: Case, load: str, condition: Condition, word: str, time: str) -> Case:
    """What a load was seen to do, asked for or not: dead, dim or works."""
    return _append(case, Observed(See(load, condition).id, word), time)


def cannot(case: Case, step_id: str, reason: str, time: str) -> Case:
    """The step is not possible here: it is not offered again."""
    return _append(case, StepDeclined(step_id, reason), time)


def undo(case: Case, time: str) -> Case:
    """Take back the last event that is not taken back yet; the opening and the first complaint stay."""
    last = last_standing(case)
    return case if last is None else _append(case, Undone(last.number), time)


def last_standing(case: Case) -> Envelope | None:
    """The event that is taken back next; None where only the opening and the first complaint are left."""
    gone = {one.payload.event for one in case.events if isinstance(one.payload, Undone)}
    first = 2
    left = (one for one in reversed(case.events[first:]) if not isinstance(one.payload, Undone))
    return next((one for one in left if one.number not in gone), None)


def repaired(case: Case, group: str, time: str, method: str = "", parts: str = "") -> Case:
    """A suspect was put right; the complaint is then to be seen again."""
    return _append(case, RepairDone(group, method, parts), time)


def close(case: Case, time: str) -> Case:
    """The end of the case with its verdict as it stands."""
    verdict = case.verdict
    cause = verdict.groups[0] if verdict.proven else ""
    return _append(case, CaseClosed(verdict.state, verdict.proven, cause), time)


def next_step(case: Case, words: Catalogue | None = None) -> StepCard | None:
    """The card of the step to take now; None where the case is closed, cured and retested, or nothing is left."""
    found = next_offer(case)
    if found is None:
        return None
    ranked, reason, then = found
    share, _ = question(case.belief)
    words = words or catalogue()
    card = step_card(case.belief, case.course.situation, ranked, share, reason, then, words)
    return replace(card, why=words.say(f"why.{reason}", left=case.looks_owed)) if reason == AGAIN else card


def next_offer(case: Case) -> tuple[Ranked, str, tuple[Step, ...]] | None:
    """The step to take now, why, and what may follow; None where `next_step` has none."""
    if case.course.closed:
        return None
    seen, state = case.course.seen_since, case.verdict.state
    if case.course.situation.repaired and case.retests and case.retests[0].id not in seen:
        return _plain(case, case.retests[0]), "retest", case.retests[1:3]
    if case.look_again is not None:
        return _plain(case, case.look_again), AGAIN, case.retests[1:3]
    if state in (CURED, NOT_BACK):
        left = [step for step in case.retests if step.id not in seen]
        return (_plain(case, left[0]), "retest", tuple(left[1:3])) if left else None
    if state == NOT_REPRODUCED:
        return None
    if state in (PROVEN, ONE_CLASS):
        jobs = case.repairs
        return (_plain(case, jobs[0]), "mend" if state == ONE_CLASS else "proven", jobs[1:3]) if jobs else None
    choice = case.choice
    if choice.step is None:
        return None
    others = tuple(one.step for one in choice.ranking if one.step is not choice.step)[:2]
    ranked = next((one for one in choice.ranking if one.step is choice.step), _plain(case, choice.step))
    return ranked, choice.reason, others


def _plain(case: Case, step: Step) -> Ranked:
    return Ranked(step, 0.0, step.cost_s(case.bench, case.course.situation))


def suspects(case: Case, words: Catalogue | None = None) -> tuple[Suspect, ...]:
    """The suspects, those still in the running first, likeliest first."""
    words = words or catalogue()
    names = case.belief.hypotheses.groups
    against = strikes(case.belief)
    alive = {names[group] for group in surviving(case.belief)}
    found = []
    for name, share in ranking(case.belief):
        fewest = int(against[case.belief.hypotheses.group == names.index(name)].min())
        found.append(Suspect(name, suspect_text(case.bench, name, words), share, fewest, name in alive))
    return tuple(sorted(found, key=lambda one: not one.survives))


def verdict(case: Case, words: Catalogue | None = None) -> VerdictCard:
    """What may be said now, with the repair proposed."""
    words = words or catalogue()
    found = case.verdict
    named = tuple(suspect_text(case.bench, group, words) for group in found.groups)
    key = ONE_LEFT if found.state == ONE_CLASS and len(named) == 1 else found.state
    text = words.say(f"verdict.{key}", suspect=named[0] if named else "", suspects="; ".join(named))
    observed = observation_texts(case.bench, case.events, words) if found.odd else ()
    odd = tuple(observed[row] for row in found.odd)
    text += f" {words.say('verdict.odd', what='; '.join(odd))}" if odd else ""
    if case.unseen:
        key = "to-condemn" if found.state == SEARCHING else "not-seen"
        what = "; ".join(words.say(f"owed.{one.what}", at=one.at) for one in case.unseen)
        text += f" {words.say(f'verdict.{key}', suspects='; '.join(named), what=what)}"
    jobs = mends(case.bench, found.groups[:1], case.load, case.complaint.condition)
    keys = cautions(case.bench, jobs[0]) if jobs else ()
    retest = [
        load_text(case.bench, step.load) if isinstance(step, See) else short(step, words) for step in case.retests
    ]
    return VerdictCard(
        found.state,
        found.proven,
        text,
        found.groups,
        named,
        job_text(case.bench, found.groups[0], words) if found.groups else "",
        tuple(words.say(f"caution.{key}") for key in keys),
        tuple(retest),
        odd,
    )


def opening(case: Case, words: Catalogue | None = None) -> tuple[str, ...]:
    """The cautions before the first step."""
    words = words or catalogue()
    return tuple(words.say(f"caution.{key}") for key in opening_cautions(case.bench))


def note(case: Case, payload: NotePayload, time: str) -> Case:
    """Something for the record that speaks for or against no suspect, or (disturbed) makes the complaint be seen
    again."""
    return _append(case, payload, time)


def not_as_drawn(case: Case, text: str, time: str) -> Outcome[Case]:
    """A difference between vehicle and drawing. A change that can be read (`size S4.2~E7.1 2.5mm2`) is in force from
    then on; anything else, and what does not fit, is kept as words, with the problems."""
    if not is_change(text):
        return Outcome(_append(case, NotAsDrawn(text), time))
    drawn = case.drawn or case.bench.vehicle
    trial = envelope(case.following or len(case.events) + 1, time, case.id, case.author, NotAsDrawn(text, text))
    events = (*case.events, trial)
    before, after = as_built(drawn, case.events), as_built(drawn, events)
    wrong = tuple(one for one in after.problems if one not in before.problems)
    if not wrong:
        wrong = errors(lower(after.value).problems) or unfit(bench_for(after.value), events)
    return Outcome(_append(case, NotAsDrawn(text, "" if wrong else text), time), wrong)


def _append(case: Case, payload: Payload, time: str) -> Case:
    number = case.following or len(case.events) + 1
    event = envelope(number, time, case.id, case.author, payload)
    case.store.append(event)
    return resumed(case, event)


def resumed(case: Case, event: Envelope) -> Case:
    """The case with one more event that its store has already."""
    events = (*case.events, event)
    after = replace(case, events=events, bench=_bench_after(case, events), following=event.number + 1)
    said = advanced(case.bench, case.course, event.payload)
    if after.bench is case.bench and said is case.course and not isinstance(event.payload, Undone):
        # What is only for the record: all that was worked out stays.
        own = {field.name for field in fields(case)}
        after.__dict__.update({name: value for name, value in vars(case).items() if name not in own})
    return after


def _bench_after(case: Case, events: tuple[Envelope, ...]) -> Bench:
    """Another bench where the vehicle is another from now on."""
    changed = [one.number for one in case.events if isinstance(one.payload, NotAsDrawn) and one.payload.change]
    last = events[-1].payload
    alters = isinstance(last, NotAsDrawn) and bool(last.change)
    alters = alters or (isinstance(last, Undone) and last.event in changed)
    return (
        bench_for(as_built(case.drawn or case.bench.vehicle, events).value, case.bench.rates) if alters else case.bench
    )
