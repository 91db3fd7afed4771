"""The record of a job: what happened in order, the work clock, what was agreed, photos, parts, signatures.

Nothing here needs the case worked out: what is added speaks for or against no suspect, and is kept by the store alone.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory
from types import MappingProxyType

from loombench.app.cardrecord import agreed, consent, leads_removed, photos, runs_since, signatures, worked_s
from loombench.app.desk.asking import Asked
from loombench.app.desk.courses import Course, courses
from loombench.app.desk.desk import Desk, Task
from loombench.app.desk.entering import LONGEST_NAME, Entered, now
from loombench.app.desk.saying import Told, told
from loombench.app.eventwords import plain_text
from loombench.app.jobcard import STROKES, CardPhoto, signature_svg
from loombench.app.jobs import SqliteStore, export_job
from loombench.app.session import part_used
from loombench.base.problems import Problem, error
from loombench.evidence.envelope import envelope
from loombench.evidence.events import (
    SIGNERS,
    ConsentGiven,
    LeadsCounted,
    Note,
    PartUsed,
    Payload,
    PhotoTaken,
    ReasonGiven,
    Signed,
    TemporaryMeasure,
    Undone,
    WorkClock,
)
from loombench.evidence.replay import effective
from loombench.record.attachment import PHOTO, attach_as
from loombench.record.store import NotKept

MINUTE_S = 60.0
PHOTO_MEDIA = "image/jpeg"
MOST_MINUTES = 100_000.0
LONGEST = 2000
TRIES = 5
"""Another program may take the number first; so often it is tried again."""


@dataclass(frozen=True)
class Happened:
    """An event in words. `gone`: it was taken back; `photo`: the SHA-256 of the photo it is about."""

    number: int
    day: str
    time: str
    author: str
    text: str
    gone: bool
    photo: str


@dataclass(frozen=True)
class SignatureShown:
    """Who signed, as a drawing of ours; empty where it was on paper."""

    role: str
    name: str
    time: str
    svg: str
    overtaken: bool


@dataclass(frozen=True)
class RecordShown:
    """A job's record. `worked_s` is None where the clock was never used; `over` whether it has passed what the customer
    agreed to; `leads` None where nobody counted them."""

    case: str
    number: int
    closed: bool
    happened: tuple[Happened, ...]
    worked_s: float | None
    running: bool
    agreed: str
    agreed_minutes: float
    over: bool
    parts: tuple[PartUsed, ...]
    temporary: tuple[str, ...]
    leads: bool | None
    photos: tuple[CardPhoto, ...]
    signatures: tuple[SignatureShown, ...]
    courses: tuple[Course, ...]
    problems: tuple[Told, ...]


def shown(desk: Desk, asked: Asked, case: str) -> RecordShown:
    """The record as the store has it."""
    store, words = desk.store(), asked.words
    read = store.value.read(case) if store.value is not None else None
    events = read.value if read is not None else ()
    valid = effective(events)
    standing = {one.number for one in valid}
    worked, given = worked_s(valid, now()), consent(valid)
    limit_s = given.minutes * MINUTE_S if given is not None else 0.0
    happened = tuple(
        Happened(
            number=one.number,
            day=one.time[:10],
            time=one.time[11:16],
            author=one.author,
            text=plain_text(one.payload, words, events),
            gone=one.number not in standing and not isinstance(one.payload, Undone),
            photo=one.payload.sha256 if isinstance(one.payload, PhotoTaken) else "",
        )
        for one in events
    )
    return RecordShown(
        case=case,
        number=events[-1].number if events else 0,
        closed=any(one.kind == "CaseClosed" for one in valid),
        happened=happened,
        worked_s=worked,
        running=bool(runs_since(valid)),
        agreed=agreed(valid, words),
        agreed_minutes=given.minutes if given is not None else 0.0,
        over=bool(limit_s) and worked is not None and worked > limit_s,
        parts=tuple(one.payload for one in valid if isinstance(one.payload, PartUsed)),
        temporary=tuple(one.payload.text for one in valid if isinstance(one.payload, TemporaryMeasure)),
        leads=leads_removed(valid),
        photos=photos(valid),
        signatures=tuple(
            SignatureShown(one.role, one.name, one.time, signature_svg(one.strokes), one.overtaken)
            for one in signatures(valid)
        ),
        courses=courses(valid, words),
        problems=told((*store.problems, *(read.problems if read is not None else ())), words),
    )


def add(desk: Desk, asked: Asked, case: str, entry: str, kind: str, fields: Mapping[str, str]) -> Entered:
    """Keep one entry of the record: `kind` and its fields as a page sends them; see `KINDS`."""
    payload = payload_of(kind, fields)
    if isinstance(payload, Problem):
        return Entered(False, (), 0, told((payload,), asked.words))
    if not 0 < len(entry) <= LONGEST_NAME:
        return Entered(False, (), 0, told((error("record-entry", kind=kind[:40]),), asked.words))
    return _keep(desk, asked, case, entry, payload)


def payload_of(kind: str, fields: Mapping[str, str]) -> Payload | Problem:
    """What an entry of the record says, or why it says nothing."""
    payload = KINDS[kind](fields) if kind in KINDS else None
    return payload if payload is not None else error("record-entry", kind=kind[:40])


def add_photo(desk: Desk, asked: Asked, case: str, entry: str, data: bytes, text: str, step: str) -> Entered:
    """Keep a photo, as it was made harmless, with what it shows."""
    store = desk.store()
    if store.value is None or not 0 < len(entry) <= LONGEST_NAME:
        return Entered(False, (), 0, told(store.problems or (error("record-entry", kind="photo"),), asked.words))
    if not store.value.read(case).value:
        return Entered(False, (), 0, told((error("job-unknown", case=case[:80], known="-"),), asked.words))
    called = attach_as(PHOTO, f"photo-{entry[:40]}.jpg", PHOTO_MEDIA, data)
    try:
        if not store.value.knows(case, entry):
            store.value.attach(case, called, data)
    except NotKept as refused:
        return Entered(False, (), 0, told((refused.problem,), asked.words))
    return _keep(desk, asked, case, entry, PhotoTaken(called.sha256, text[:LONGEST], step[:LONGEST]))


def _keep(desk: Desk, asked: Asked, case: str, entry: str, payload: Payload) -> Entered:
    store, words = desk.store(), asked.words
    if store.value is None:
        return Entered(False, (), 0, told(store.problems, words))
    number, problem = store.value.next_number(case), None
    if number == 1:
        return Entered(False, (), 0, told((error("job-unknown", case=case[:80], known="-"),), words))
    for _ in range(TRIES):
        try:
            event = envelope(number, now(), case, "", payload)
            fresh = store.value.append_all((event,), entry)
            kept = words.say("session.kept", number=number, text=plain_text(payload, words)).strip()
            return Entered(True, (kept,) if fresh else (), number if fresh else number - 1)
        except NotKept as refused:
            problem, number = refused.problem, store.value.next_number(case)
            if problem.code != "record-next":
                break
    return Entered(False, (), number - 1, told((problem,) if problem else (), words))


def content(desk: Desk, asked: Asked, case: str, sha256: str) -> bytes | None:
    """The bytes of a photo of a job; None where it has none of that hash."""
    _ = asked
    store = desk.store().value
    if store is None:
        return None
    found = next((one for one in store.attached(case).value if one.kind == PHOTO and one.sha256 == sha256), None)
    return store.content(found).value if found is not None else None


def job_file(desk: Desk, asked: Asked, case: str) -> bytes | None:
    """A job as one file, to be taken into another store; None where there is none."""
    _ = asked
    store = desk.store().value
    return _exported(store, case) if store is not None else None


def _exported(store: SqliteStore, case: str) -> bytes | None:
    with TemporaryDirectory() as folder:
        target = export_job(store, case, Path(folder) / "job").value
        return target.read_bytes() if target is not None else None


def _consent(fields: Mapping[str, str]) -> Payload | None:
    said = fields.get("minutes", "").strip().replace(",", ".")
    try:
        minutes = float(said) if said else 0.0
    except ValueError:
        return None
    amount, who = _text(fields, "amount"), _text(fields, "who")
    return ConsentGiven(minutes, amount, who) if 0.0 <= minutes <= MOST_MINUTES and (minutes or amount) else None


def _signed(fields: Mapping[str, str]) -> Payload | None:
    role, name, strokes = _text(fields, "role"), _text(fields, "name"), fields.get("strokes", "")
    fine = role in SIGNERS and name and (not strokes or (STROKES.fullmatch(strokes) and len(strokes) <= MOST_STROKES))
    return Signed(role, name, strokes) if fine else None


def _text(fields: Mapping[str, str], name: str) -> str:
    return " ".join(fields.get(name, "").split())[:LONGEST]


def _worded(kind: Callable[[str], Payload]) -> Callable[[Mapping[str, str]], Payload | None]:
    def made(fields: Mapping[str, str]) -> Payload | None:
        text = _text(fields, "text")
        return kind(text) if text else None

    return made


MOST_STROKES = 18_000
KINDS: Mapping[str, Callable[[Mapping[str, str]], Payload | None]] = MappingProxyType({
    "clock-on": lambda _fields: WorkClock(True),
    "clock-off": lambda _fields: WorkClock(False),
    "leads-out": lambda _fields: LeadsCounted(True),
    "leads-in": lambda _fields: LeadsCounted(False),
    "consent": _consent,
    "signed": _signed,
    "part": lambda fields: part_used(_text(fields, "text")),
    "temporary": _worded(TemporaryMeasure),
    "because": _worded(ReasonGiven),
    "note": _worded(Note),
})  # fmt: skip
"""What a page may add, by what it calls it."""

TASKS: Mapping[str, Task] = MappingProxyType({
    "record.shown": shown, "record.add": add, "record.photo": add_photo, "record.content": content,
    "record.file": job_file,
})  # fmt: skip
