"""The job card of a case, filled from its events: the record is a by-product of the search."""

from loombench.app.cardrecord import (
    agreed,
    codes,
    details,
    leads_removed,
    notes,
    parts,
    photos,
    reasons,
    signatures,
    temporary,
    times,
    told,
    worked_s,
)
from loombench.app.cards import VerdictCard
from loombench.app.case import Case
from loombench.app.finding import ONE_LEFT, opening, verdict
from loombench.app.jobcard import BAD, GOOD, CardPair, CardReading, JobCard
from loombench.app.jobcard import job_card as card_document
from loombench.app.mending import done_text
from loombench.app.spoken import setup_text
from loombench.app.stepnames import step_text
from loombench.app.stepwords import load_text
from loombench.app.suspectwords import suspect_text
from loombench.base.quantity import print_quantity
from loombench.base.wording import Catalogue, catalogue
from loombench.diagnose.expected import BEYOND, RESISTIVE, deviation, nominal
from loombench.diagnose.likelihood import sound_look
from loombench.diagnose.looking import OF_BATTERY
from loombench.diagnose.measuring import unit_of
from loombench.diagnose.observation import (
    BatteryFlat,
    CodeSeen,
    FuseSeen,
    GripFelt,
    InputSeen,
    LoadSeen,
    MeterRead,
    Observation,
    PositionSeen,
    Told,
)
from loombench.diagnose.standing import MILLIVOLTS, is_battery
from loombench.diagnose.verdict import ONE_CLASS
from loombench.evidence.events import RepairDone, StepDeclined
from loombench.evidence.replay import effective
from loombench.paper.document import Document

MINUTE_S = 60.0
METER_DECIMALS = 3
"""What was expected is given as the meter would show it."""


def job_card(case: Case, words: Catalogue | None = None, customer: bool = False) -> Document:
    """The card as a document; the customer's copy is without readings and suspects."""
    return card_document(card_facts(case, words or catalogue()), words, customer)


def card_facts(case: Case, words: Catalogue) -> JobCard:
    """What the card says, as plain values."""
    said = verdict(case, words)
    seen = case.course.observations
    reproduced = next((one for one in seen if isinstance(one, LoadSeen) and one.verified), None)
    events = effective(case.events)
    pairs, worked = _pairs(case, words), worked_s(events, events[-1].time)
    return JobCard(
        number=case.id,
        vehicle=case.bench.vehicle.name,
        complaint=told(events) or case.complaint.text,
        details=details(events, words),
        reproduced=f"{what_seen(case, reproduced, words)}: {_word(case, reproduced, words)}" if reproduced else "",
        codes=codes(events),
        cautions=opening(case, words),
        readings=_readings(case, reproduced, pairs, words),
        proven=said.proven,
        cause=said.suspects[0] if said.proven else "",
        why=reasons(events),
        proof=_proof(said, words),
        remaining=() if said.proven else said.suspects,
        repair=_repair(case, said, words),
        parts=parts(events),
        pairs=pairs,
        times=times(events, words),
        leads_removed=leads_removed(events),
        temporary=temporary(events),
        notes=(*_notes(case, words), *notes(events, words)),
        worked_minutes=None if worked is None else worked / MINUTE_S,
        agreed=agreed(events, words),
        photos=photos(events),
        signatures=signatures(events),
    )


def _proof(said: VerdictCard, words: Catalogue) -> str:
    """What the case rests on, and what speaks against it."""
    alone = said.state == ONE_CLASS and len(said.suspects) == 1
    lines = [words.say(f"proof.{ONE_LEFT if alone else said.state}")]
    lines += [words.say("verdict.odd", what="; ".join(said.odd))] if said.odd else []
    return " ".join(lines)


def _repair(case: Case, said: VerdictCard, words: Catalogue) -> str:
    """What was done, one line each; where nothing was and a cause is proven, what is to be done."""
    events = [one.payload for one in effective(case.events) if isinstance(one.payload, RepairDone)]
    done = [done_text(case.bench, one.fault, one.method, words) for one in events]
    if not done and said.job and said.proven:
        return words.say("cardextra.to-do", job=said.job)
    return "\n".join(done)


def what_seen(case: Case, one: Observation, words: Catalogue) -> str:
    """What an observation is about."""
    match one:
        case MeterRead():
            return setup_text(case.bench.vehicle, one.setup, words)
        case LoadSeen():
            return f"{load_text(case.bench, one.load)}, {one.condition}"
        case FuseSeen():
            return load_text(case.bench, one.fuse)
        case PositionSeen():
            return load_text(case.bench, one.control)
        case GripFelt():
            return suspect_text(case.bench, one.group, words)
        case InputSeen():
            return f"{one.setup.red.at('wire')}, {one.setup.condition}"
        case BatteryFlat():
            return load_text(case.bench, one.battery)
        case CodeSeen():
            return f"{one.part}.{one.pin}"
        case Told():
            return f"{one.word} {one.where}".strip()


def _word(case: Case, one: LoadSeen, words: Catalogue) -> str:
    return words.say(f"meaning.{_look_of(case, one.load, one.seen)}")


def _look_of(case: Case, load: str, look: str) -> str:
    """A look's key in the catalogue; of a battery by the word it was given."""
    told = next((word for word, meant in OF_BATTERY.items() if meant == look), look)
    return told.replace(" ", "-") if is_battery(case.bench, load) else look


def _shown(one: MeterRead, value: float) -> str:
    if one.setup.meter in RESISTIVE:
        return "OL" if value >= 1e8 else print_quantity(value, "ohm")
    return print_quantity(value, unit_of(one.setup))


def _readings(
    case: Case, reproduced: LoadSeen | None, pairs: tuple[CardPair, ...], words: Catalogue
) -> tuple[CardReading, ...]:
    """Everything read and looked at in its order, but for the complaint itself and what stands under before and after
    anyway."""
    last, paired = case.course.situation.repaired, {pair.what for pair in pairs}
    found = []
    for one in case.course.observations:
        again = bool(last) and one.repaired == last and what_seen(case, one, words) in paired
        if one is not reproduced and not again and not _only_told(one):
            found.append(reading_of(case, one, words) if isinstance(one, MeterRead) else _look(case, one, words))
    return tuple(found)


def _only_told(one: Observation) -> bool:
    """Whether it was the customer or a module who said so, and nobody has looked."""
    told = isinstance(one, LoadSeen) and not one.verified
    return told or isinstance(one, BatteryFlat | Told | CodeSeen) or (isinstance(one, FuseSeen) and one.told)


def reading_of(case: Case, one: MeterRead, words: Catalogue) -> CardReading:
    """A reading beside what the sound vehicle would show, as the card has it."""
    sound = nominal(case.bench, one.setup)
    mark = "" if sound is None else BAD if deviation(case.bench, one) > BEYOND else GOOD
    decimals = METER_DECIMALS + (2 if one.setup.meter == MILLIVOLTS else 0)
    expected = "" if sound is None else _shown(one, round(sound, decimals))
    return CardReading(setup_text(case.bench.vehicle, one.setup, words), expected, _shown(one, one.value), mark)


def _look(case: Case, one: Observation, words: Catalogue) -> CardReading:
    what = what_seen(case, one, words)
    match one:
        case LoadSeen(load=load, seen=seen, condition=condition):
            sound = sound_look(case.bench, load, condition)
            fits = words.say(f"meaning.{_look_of(case, load, sound)}")
            return CardReading(what, fits, _word(case, one, words), GOOD if seen == sound else BAD)
        case FuseSeen(blown=blown):
            text = words.say("meaning.blown" if blown else "meaning.whole")
            return CardReading(what, words.say("meaning.whole"), text, BAD if blown else GOOD)
        case PositionSeen(as_believed=fits):
            text = words.say("cardextra.in-position" if fits else "cardextra.out-of-position")
            return CardReading(what, words.say("cardextra.in-position"), text, GOOD if fits else BAD)
        case GripFelt(firm=firm):
            text = words.say("meaning.firm" if firm else "meaning.slack")
            return CardReading(what, words.say("meaning.firm"), text, GOOD if firm else BAD)
        case InputSeen(seen=seen):
            return CardReading(what, "", words.say(f"meaning.{seen.replace(' ', '-')}"))
    return CardReading(what, "", "")


def _pairs(case: Case, words: Catalogue) -> tuple[CardPair, ...]:
    """The same thing before the last repair and after it."""
    last = case.course.situation.repaired
    before, pairs = dict[str, str](), dict[str, CardPair]()
    for one in case.course.observations:
        if not last or not isinstance(one, MeterRead | LoadSeen) or _only_told(one):
            continue
        name = what_seen(case, one, words)
        text = _shown(one, one.value) if isinstance(one, MeterRead) else _word(case, one, words)
        if one.repaired != last:
            before[name] = text
        elif name in before:
            pairs[name] = CardPair(name, before[name], text)
    return tuple(pairs.values())


def _notes(case: Case, words: Catalogue) -> tuple[str, ...]:
    *before, last = case.course.situation.repaired or ("",)
    tried = dict.fromkeys(group for group in before if group != last)
    found = [words.say("note.tried", suspect=suspect_text(case.bench, group, words)) for group in tried]
    for event in effective(case.events):
        if isinstance(event.payload, StepDeclined):
            found.append(
                words.say(
                    "note.declined", step=step_text(event.payload.step, words), reason=event.payload.reason or "-"
                )
            )
    return tuple(found)
