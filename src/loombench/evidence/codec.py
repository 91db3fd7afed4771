"""Events to JSON objects and back. The stored form bears its version; what is not understood is said and never guessed.

    {"format": 1, "number": 3, "time": "2026-03-02T14:05:00+01:00", "case": "2026-014", "author": "M. Holm",
     "kind": "Observed", "payload": {"what": "see E7 when S4=on", "seen": "dead"}}

A later version of the program adds here what turns an object of an older format into the present one.
"""

import json
import math
from collections.abc import Callable, Mapping
from types import MappingProxyType

from loombench.base.outcome import Outcome
from loombench.base.problems import Problem, Span, error
from loombench.evidence.complaint import HISTORIES, PRESENCES, SYMPTOMS, Complaint, History
from loombench.evidence.envelope import FORMAT, Envelope
from loombench.evidence.events import (
    PAYLOADS,
    SIGNERS,
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
    Verified,
    WorkClock,
)
from loombench.evidence.fields import Reader, shown
from loombench.vehicle.condition import METERS, VERBS, Condition, Operation, Setup
from loombench.vehicle.points import FACE, PIN, WIRE, Point

MOST_OPERATIONS = 1000
MOST_CODES = 1000
STATES = ("new", "used", "rebuilt")
_NOWHERE, _NOTHING = Point(""), Operation("")


def encode(event: Envelope) -> dict[str, object]:
    """The event as a JSON object."""
    return {
        "format": event.format,
        "number": event.number,
        "time": event.time,
        "case": event.case,
        "author": event.author,
        "kind": event.kind,
        "payload": _payload(event.payload),
    }


def encode_line(event: Envelope) -> str:
    """The event as one line of JSON, without the line's end."""
    fields = encode(event)
    line = json.dumps(fields, ensure_ascii=False, allow_nan=False, separators=(",", ":"))
    try:
        line.encode("utf-8")
    except UnicodeEncodeError:
        # Half a character (a lone surrogate) has no UTF-8; escaped it survives as it is.
        return json.dumps(fields, allow_nan=False, separators=(",", ":"))
    return line


def decode(found: object, span: Span | None = None) -> Outcome[Envelope | None]:
    """The event a JSON object stands for; None with the problems where it stands for none.

    `span` is where the object was found. A field that is not known is a warning, and the event is still given.
    """
    if not isinstance(found, Mapping):
        return Outcome(None, (error("event-shape", span, seen=shown(found)),))
    version = found.get("format")
    if isinstance(version, bool) or version != FORMAT or not isinstance(version, int):
        seen = "none" if "format" not in found else shown(version)
        return Outcome(None, (error("event-format", span, seen=seen, known=FORMAT),))
    kind = found.get("kind")
    if not isinstance(kind, str) or kind not in PAYLOADS:
        seen = "none" if "kind" not in found else shown(kind)
        return Outcome(None, (error("event-kind", span, seen=seen, allowed=", ".join(PAYLOADS)),))
    reader = Reader(found, span)
    number, time = reader.whole("number"), reader.time("time")
    case, author = reader.text("case"), reader.text("author")
    reader.one_of("kind", tuple(PAYLOADS))
    reader.whole("format")
    inner = reader.inner("payload")
    payload = _READERS[kind](inner)
    reader.take(inner)
    problems = tuple(reader.finished())
    if not Outcome(None, problems).usable:
        return Outcome(None, problems)
    return Outcome(Envelope(FORMAT, number, time, case, author, kind, payload), problems)


def decode_setup(found: object) -> Outcome[Setup | None]:
    """The set-up that a JSON object stands for; None with the problems where it stands for none."""
    if not isinstance(found, Mapping):
        return Outcome(None, (error("event-shape", seen=shown(found)),))
    reader = Reader(found, None, "setup.")
    setup = _read_setup(reader)
    problems = tuple(reader.finished())
    return Outcome(setup if Outcome(None, problems).usable else None, problems)


def decode_line(line: str, span: Span | None = None) -> Outcome[Envelope | None]:
    """The event of a line of JSON."""
    try:
        found = json.loads(line, parse_constant=_refuse)
    except (ValueError, RecursionError) as wrong:
        column = wrong.colno if isinstance(wrong, json.JSONDecodeError) else 1
        return Outcome(None, (_not_json(column, span),))
    return decode(found, span)


def _not_json(column: int, span: Span | None) -> Problem:
    place = span and Span(span.file, span.line, column, column + 1)
    return error("event-json", place, column=column)


def _refuse(word: str) -> float:
    raise ValueError(f"{word} is no JSON")


def _payload(payload: Payload) -> dict[str, object]:
    match payload:
        case ComplaintGiven(complaint=told):
            return {
                "target": told.target,
                "symptom": told.symptom,
                "condition": _condition(told.condition),
                "text": told.text,
                "presence": told.presence,
            }
        case HistoryTold(history=history):
            return dict(vars(history))
        case CodesRead(condition=condition):
            state = {} if condition is None else {"state": {"condition": _condition(condition)}}
            return {"codes": list(payload.codes), "module": payload.module, **state}
        case ReadingTaken():
            return {
                "setup": encode_setup(payload.setup),
                "value": payload.value if math.isfinite(payload.value) else str(payload.value),
                "unit": payload.unit,
                "note": payload.note,
            }
    return dict(vars(payload))


def _condition(condition: Condition) -> list[dict[str, object]]:
    return [_set_fields(operation, _NOTHING) for operation in condition.operations]


def encode_setup(setup: Setup) -> dict[str, object]:
    """A set-up as a JSON object."""
    return {
        "meter": setup.meter,
        "red": _set_fields(setup.red, _NOWHERE),
        "black": None if setup.black is None else _set_fields(setup.black, _NOWHERE),
        "condition": _condition(setup.condition),
        "lead_ohm": setup.lead_ohm,
    }


def _set_fields(item: Point | Operation, usual: Point | Operation) -> dict[str, object]:
    """The fields that are not as usual."""
    return {name: value for name, value in vars(item).items() if value != vars(usual)[name]}


def _read_condition(reader: Reader) -> Condition:
    operations = []
    for item in reader.items("condition", MOST_OPERATIONS):
        operations.append(Operation(item.one_of("verb", VERBS), item.text("target", ""), item.text("value", "")))
        reader.take(item)
    return Condition(tuple(operations))


def _read_point(reader: Reader) -> Point:
    part, pin, half = reader.text("part"), reader.text("pin", ""), reader.text("half", "")
    return Point(part, pin, half, reader.one_of("layer", (WIRE, FACE, PIN), WIRE), reader.flag("ring", False))


def _read_setup(reader: Reader) -> Setup:
    condition = _read_condition(reader)
    red = reader.inner("red")
    red_point = _read_point(red)
    reader.take(red)
    black = reader.maybe("black")
    black_point = None
    if black is not None:
        black_point = _read_point(black)
        reader.take(black)
    meter, lead_ohm = reader.one_of("meter", METERS), reader.number("lead_ohm", 0.0)
    return Setup(condition, red_point, black_point, meter, lead_ohm)


def _read_reading(reader: Reader) -> ReadingTaken:
    inner = reader.inner("setup")
    setup = _read_setup(inner)
    reader.take(inner)
    return ReadingTaken(setup, reader.number("value", endless=True), reader.text("unit"), reader.text("note", ""))


def _read_complaint(reader: Reader) -> ComplaintGiven:
    condition = _read_condition(reader)
    target, symptom = reader.text("target"), reader.one_of("symptom", SYMPTOMS)
    text, presence = reader.text("text"), reader.one_of("presence", PRESENCES, "")
    return ComplaintGiven(Complaint(target, symptom, condition, text, presence))


def _read_codes(reader: Reader) -> CodesRead:
    state = reader.maybe("state")
    condition = None
    if state is not None:
        condition = _read_condition(state)
        reader.take(state)
    return CodesRead(reader.texts("codes", MOST_CODES), reader.text("module", ""), condition)


_READERS: MappingProxyType[str, Callable[[Reader], Payload]] = MappingProxyType(
    {
        "CaseOpened": lambda r: CaseOpened(
            r.text("vehicle"), r.text("digest"), r.text("complaint"), r.text("file", "")
        ),
        "ComplaintGiven": _read_complaint,
        "ReadingTaken": _read_reading,
        "Observed": lambda r: Observed(r.text("what"), r.text("seen")),
        "StepDeclined": lambda r: StepDeclined(r.text("step"), r.text("reason", "")),
        "Undone": lambda r: Undone(r.whole("event")),
        "RepairDone": lambda r: RepairDone(r.text("fault"), r.text("method", ""), r.text("parts", "")),
        "Verified": lambda r: Verified(r.text("complaint"), r.flag("ok")),
        "CaseClosed": lambda r: CaseClosed(r.text("verdict"), r.flag("proven"), r.text("cause", "")),
        "Note": lambda r: Note(r.text("text")),
        "CodesRead": _read_codes,
        "NotAsDrawn": lambda r: NotAsDrawn(r.text("text"), r.text("change", "")),
        "Disturbed": lambda r: Disturbed(r.text("note", "")),
        "TemporaryMeasure": lambda r: TemporaryMeasure(r.text("text")),
        "PartUsed": lambda r: PartUsed(
            r.text("name"), r.text("number", ""), r.text("quantity", "1"), r.one_of("state", STATES, "new")
        ),
        "ReasonGiven": lambda r: ReasonGiven(r.text("text")),
        "HistoryTold": lambda r: HistoryTold(History(r.one_of("word", HISTORIES), r.text("where"), r.text("text"))),
        "LeadsCounted": lambda r: LeadsCounted(r.flag("out")),
        "WorkClock": lambda r: WorkClock(r.flag("running")),
        "ConsentGiven": lambda r: ConsentGiven(max(0.0, r.number("minutes")), r.text("amount"), r.text("who")),
        "PhotoTaken": lambda r: PhotoTaken(r.text("sha256"), r.text("text"), r.text("step")),
        "Signed": lambda r: Signed(r.one_of("role", SIGNERS), r.text("name"), r.text("strokes")),
    }
)
