"""The job card of a case, filled from its events: the record is a by-product of the search."""

from loombench.app.case import Case
from loombench.app.finding import opening, verdict
from loombench.app.jobcard import BAD, GOOD, CardPair, CardReading, JobCard
from loombench.app.jobcard import job_card as card_document
from loombench.app.spoken import setup_text
from loombench.app.stepwords import load_text
from loombench.app.suspectwords import job_text, suspect_text
from loombench.base.quantity import print_quantity
from loombench.base.wording import Catalogue, catalogue
from loombench.diagnose.expected import BEYOND, RESISTIVE, deviation, nominal
from loombench.diagnose.observation import FuseSeen, LoadSeen, MeterRead, Observation, PositionSeen
from loombench.evidence.events import StepDeclined
from loombench.evidence.replay import effective
from loombench.paper.document import Document


def job_card(case: Case, words: Catalogue | None = None, customer: bool = False) -> Document:
    """The card as a document; the customer's copy is without readings and suspects."""
    return card_document(card_facts(case, words or catalogue()), words, customer)


def card_facts(case: Case, words: Catalogue) -> JobCard:
    """What the card says, as plain values."""
    said = verdict(case, words)
    seen = case.course.observations
    reproduced = next((one for one in seen if isinstance(one, LoadSeen) and one.verified), None)
    repaired = case.course.situation.repaired
    return JobCard(
        number=case.id,
        vehicle=case.bench.vehicle.name,
        complaint=case.complaint.text,
        reproduced=f"{what_seen(case, reproduced)}: {_word(reproduced, words)}" if reproduced else "",
        cautions=opening(case, words),
        readings=tuple(_reading(case, one, words) for one in seen if isinstance(one, MeterRead)),
        proven=said.proven,
        cause=said.suspects[0] if said.proven else "",
        proof=words.say(f"proof.{said.state}"),
        remaining=() if said.proven else said.suspects,
        repair=" ".join(job_text(case.bench, group, words) for group in repaired),
        pairs=_pairs(case, words),
        notes=_notes(case, words),
    )


def what_seen(case: Case, one: Observation) -> str:
    """What an observation is about."""
    match one:
        case MeterRead():
            return setup_text(case.bench.vehicle, one.setup, catalogue())
        case LoadSeen():
            return f"{load_text(case.bench, one.load)}, {one.condition}"
        case FuseSeen():
            return load_text(case.bench, one.fuse)
        case PositionSeen():
            return load_text(case.bench, one.control)


def _word(one: LoadSeen, words: Catalogue) -> str:
    return words.say(f"meaning.{one.seen}")


def _shown(one: MeterRead, value: float) -> str:
    if one.setup.meter in RESISTIVE:
        return "OL" if value >= 1e8 else print_quantity(value, "ohm")
    return print_quantity(value, "V")


def _reading(case: Case, one: MeterRead, words: Catalogue) -> CardReading:
    sound = nominal(case.bench, one.setup)
    mark = "" if sound is None else BAD if deviation(case.bench, one) > BEYOND else GOOD
    return CardReading(
        setup_text(case.bench.vehicle, one.setup, words),
        "" if sound is None else _shown(one, sound),
        _shown(one, one.value),
        mark,
    )


def _pairs(case: Case, words: Catalogue) -> tuple[CardPair, ...]:
    """The same thing before the last repair and after it."""
    last = case.course.situation.repaired
    before: dict[str, str] = {}
    pairs: list[CardPair] = []
    for one in case.course.observations:
        if not last or not isinstance(one, MeterRead | LoadSeen):
            continue
        name = what_seen(case, one)
        text = _shown(one, one.value) if isinstance(one, MeterRead) else _word(one, words)
        if one.repaired != last:
            before[name] = text
        elif name in before:
            pairs.append(CardPair(name, before[name], text))
    return tuple(pairs)


def _notes(case: Case, words: Catalogue) -> tuple[str, ...]:
    tried = case.course.situation.repaired[:-1]
    found = [words.say("note.tried", suspect=suspect_text(case.bench, group, words)) for group in tried]
    for event in effective(case.events):
        if isinstance(event.payload, StepDeclined):
            found.append(words.say("note.declined", step=event.payload.step, reason=event.payload.reason or "-"))
    return tuple(found)
