"""What happened in a case, one line an event: what a person is told was kept."""

from loombench.app.spoken import method_text, plain_setup, setup_text
from loombench.app.stepnames import step_text
from loombench.app.stepwords import load_text
from loombench.app.suspectwords import suspect_text
from loombench.base.quantity import print_quantity
from loombench.base.wording import Catalogue
from loombench.diagnose.bench import Bench
from loombench.diagnose.codes import known_codes
from loombench.diagnose.hypothesis import halves
from loombench.diagnose.looking import CheckPosition, LookFuse, See
from loombench.diagnose.stepname import read_step
from loombench.evidence.envelope import Envelope
from loombench.evidence.events import (
    CaseClosed,
    CaseOpened,
    CodesRead,
    ComplaintGiven,
    ConsentGiven,
    Disturbed,
    HistoryTold,
    LeadsCounted,
    NotAsDrawn,
    Note,
    Observed,
    PartUsed,
    Payload,
    PhotoTaken,
    ReadingTaken,
    ReasonGiven,
    RepairDone,
    Signed,
    StepDeclined,
    TemporaryMeasure,
    Undone,
    WorkClock,
)
from loombench.evidence.replay import effective

OPEN_OHM = 1e8


def value_text(value: float, unit: str) -> str:
    """A reading as the meter shows it."""
    return "OL" if unit == "ohm" and value >= OPEN_OHM else print_quantity(value, unit)


def event_text(bench: Bench, events: tuple[Envelope, ...], payload: Payload, words: Catalogue) -> str:
    """One event in words; `events` are those of the case, which an `Undone` refers to."""
    say = words.say
    match payload:
        case ReadingTaken(setup=setup, value=value, unit=unit):
            shown = value_text(value, unit)
            return say("session.reading", setup=setup_text(bench.vehicle, setup, words), value=shown)
        case Observed(what=what, seen=seen):
            return say("session.seen", what=_looked_at(bench, what), word=_word(seen, "meaning", words))
        case Undone(event=number):
            gone = next((one for one in events if one.number == number), None)
            text = event_text(bench, events, gone.payload, words) if gone else str(number)
            return say("session.undone", text=text)
        case RepairDone(fault=group, method=method):
            name = suspect_text(bench, group, words) if set(halves(group)) <= set(bench.hypotheses.groups) else group
            return say("session.repaired", suspect=name, how=f" ({method_text(method, words)})" if method else "")
    return plain_text(payload, words)


def consent_text(given: ConsentGiven, words: Catalogue) -> str:
    """What the customer agreed to, in one line."""
    minutes = words.say("session.consent-minutes", minutes=f"{given.minutes:g}") if given.minutes else ""
    return ", ".join(piece for piece in (minutes, given.amount, given.who) if piece) or "-"


def observation_texts(bench: Bench, events: tuple[Envelope, ...], words: Catalogue) -> tuple[str, ...]:
    """What was observed, in the order of the observations that the events make."""
    found: list[str] = []
    for one in (envelope.payload for envelope in effective(events)):
        match one:
            case CodesRead():
                found += code_texts(bench, one, words)
            case ComplaintGiven() | HistoryTold() | ReadingTaken():
                found.append(event_text(bench, events, one, words))
            case Observed(what=what) if read_step(what):
                found.append(event_text(bench, events, one, words))
    return tuple(found)


def code_texts(bench: Bench, read: CodesRead, words: Catalogue) -> tuple[str, ...]:
    """What the codes say that the drawing knows, one line each."""
    return tuple(
        words.say(
            "session.code-known",
            code=code.text,
            part=load_text(bench, code.part),
            pin=code.pin,
            saw=words.say(f"session.saw-{code.saw}"),
        )
        for code in known_codes(bench.vehicle, read)
    )


def plain_text(payload: Payload, words: Catalogue, events: tuple[Envelope, ...] = ()) -> str:
    """An event in words as far as that goes without its vehicle; `events` are those of the case."""
    say = words.say
    match payload:
        case ReadingTaken(setup=setup, value=value, unit=unit):
            return say("session.reading", setup=plain_setup(setup, words), value=value_text(value, unit))
        case Observed(what=what, seen=seen):
            return say("session.seen", what=step_text(what, words), word=_word(seen, "seen", words))
        case Undone(event=number):
            gone = next((one.payload for one in events if one.number == number), None)
            return say("session.undone", text=number if gone is None else plain_text(gone, words))
        case RepairDone(fault=group, method=method):
            return say("session.repaired", suspect=group, how=f" ({method_text(method, words)})" if method else "")
        case StepDeclined(step=step, reason=reason):
            return say("session.declined", step=step_text(step, words), reason=reason or "-")
        case NotAsDrawn(text=text, change=change):
            return say("session.changed" if change else "session.deviation", text=text)
        case Disturbed(note=text):
            return say("session.disturbed", text=text or "-")
        case CodesRead(codes=codes):
            return say("session.codes-kept", codes=", ".join(codes)) if codes else say("session.codes-none")
        case LeadsCounted(out=out):
            return say("session.leads-out" if out else "session.leads-in")
        case TemporaryMeasure(text=text):
            return say("session.temporary", text=text)
        case PartUsed(name=name, number=number, quantity=quantity, state=state):
            text = say("session.part", quantity=quantity, name=name, number=number, state=say(f"card.{state}"))
            return " ".join(text.split())
        case ReasonGiven(text=text):
            return say("session.reason", text=text)
        case Note(text=text):
            return say("session.note", text=text)
        case WorkClock(running=running):
            return say("session.clock-on" if running else "session.clock-off")
        case ConsentGiven():
            return say("session.consent", limit=consent_text(payload, words))
        case PhotoTaken(text=text):
            return say("session.photo", text=text or "-")
        case Signed(role=role, name=name, strokes=strokes):
            how = "session.signed" if strokes else "session.signed-on-paper"
            return say(how, who=say(f"session.{role}"), name=name)
        case ComplaintGiven(complaint=complaint):
            about = "" if complaint.target in complaint.text else complaint.target
            return say("session.complaint-about" if about else "session.complaint", text=complaint.text, about=about)
        case HistoryTold(history=history):
            return say("session.history", text=history.text)
        case CaseOpened(complaint=told):
            return say("session.opening", text=told)
        case CaseClosed(verdict=verdict):
            return say("session.closing", text=words.say(f"proof.{verdict}") if words.has(f"proof.{verdict}") else "-")
    return type(payload).__name__


def _word(seen: str, table: str, words: Catalogue) -> str:
    """What was seen, in the words of a table of the catalogue; as it was typed where that has none."""
    key = f"{table}.{seen.replace(' ', '-')}"
    return words.say(key) if words.has(key) else seen


def _looked_at(bench: Bench, name: str) -> str:
    step = read_step(name)
    match step:
        case See():
            return f"{load_text(bench, step.load)}, {step.condition}"
        case LookFuse():
            return load_text(bench, step.fuse)
        case CheckPosition():
            return load_text(bench, step.control)
    return name
