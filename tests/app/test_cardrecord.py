"""What a card takes from the record: who, when, codes, parts, times, what is not lasting."""

from collections.abc import Sequence

import pytest

from loombench.app.cardrecord import codes, details, leads_removed, notes, parts, reasons, temporary, times, told
from loombench.app.jobcard import CardPart
from loombench.app.practice import PRACTICE_TIME
from loombench.base.wording import catalogue
from loombench.evidence.complaint import Complaint
from loombench.evidence.envelope import Envelope, envelope
from loombench.evidence.events import (
    CaseClosed,
    CaseOpened,
    CodesRead,
    ComplaintGiven,
    Disturbed,
    LeadsCounted,
    NotAsDrawn,
    Note,
    PartUsed,
    Payload,
    ReasonGiven,
    RepairDone,
    TemporaryMeasure,
)
from loombench.vehicle.condition import Condition

WORDS = catalogue()
OPENED = CaseOpened("Lamp", "0" * 64, "left lamp “dead”")


def record(*entries: tuple[str, Payload], author: str = "") -> Sequence[Envelope]:
    """Entries of one day, each with its hour and minute."""
    return tuple(
        envelope(number, f"2026-03-01T{clock}:00+01:00", "one", author, payload)
        for number, (clock, payload) in enumerate(entries, 1)
    )


def test_times_are_told_apart_by_the_repair_and_a_break_is_not_counted() -> None:
    events = record(
        ("08:00", OPENED), ("08:10", Note("a")), ("08:25", Note("b")), ("09:05", Note("after a break")),
        ("09:30", RepairDone("E7")), ("09:30", Note("works")), ("09:34", Note("c")),
        ("09:36", CaseClosed("cured", True)),
    )  # fmt: skip
    minutes = {one.what: one.minutes for one in times(events, WORDS)}
    assert minutes == {"finding": pytest.approx(25), "repair": pytest.approx(25), "test after repair": pytest.approx(6)}
    assert times(record(("08:00", OPENED), ("08:00", Note("a"))), WORDS) == ()


def test_a_clock_that_was_set_back_takes_nothing_away() -> None:
    events = record(("08:00", OPENED), ("07:00", Note("a")), ("07:10", Note("b")))
    assert [one.minutes for one in times(events, WORDS)] == [pytest.approx(10)]


def test_what_nobody_did_is_not_made_up() -> None:
    bare = record(("08:00", OPENED))
    assert (codes(bare), parts(bare), reasons(bare), leads_removed(bare), temporary(bare), notes(bare, WORDS)) == (
        None, (), "", None, (), (),
    )  # fmt: skip
    assert details(bare, WORDS) == (("Opened", "2026-03-01 08:00"),)


def test_a_practice_case_that_ran_by_itself_has_no_dates() -> None:
    events = (
        *record(("08:00", OPENED)),
        envelope(2, PRACTICE_TIME, "one", "", CaseClosed("cured", True)),
    )
    assert details(events, WORDS) == (("Opened", "2026-03-01 08:00"),)


def test_everything_entered_is_on_the_card() -> None:
    events = record(
        ("08:00", OPENED),
        ("08:00", ComplaintGiven(Complaint("E7", "dead", Condition(), "E7 dead"))),
        ("08:01", ComplaintGiven(Complaint("E8", "dim", Condition(), "E8 dim"))),
        ("08:02", CodesRead(("P0562", "U0100"))), ("08:03", Disturbed("moved X12")), ("08:03", Disturbed()),
        ("08:04", NotAsDrawn("there is a tow-bar")), ("08:05", TemporaryMeasure("a fused lead")),
        ("08:06", PartUsed("clip", "433-1", "2", "used")), ("08:07", ReasonGiven("clip missing")),
        ("08:08", ReasonGiven("chafed")), ("08:09", LeadsCounted(False)), ("08:10", LeadsCounted(True)),
        ("08:11", Note("key is in the box")), ("08:12", CaseClosed("cured", True)),
        author="M. Holm",
    )  # fmt: skip
    assert told(events) == "left lamp “dead”\nE8 dim"
    assert codes(events) == ("P0562", "U0100")
    assert parts(events) == (CardPart("clip", "433-1", "2", "used"),)
    assert reasons(events) == "clip missing; chafed"
    assert leads_removed(events) is True
    assert temporary(events) == ("a fused lead",)
    assert details(events, WORDS) == (
        ("Technician", "M. Holm"), ("Opened", "2026-03-01 08:00"), ("Closed", "2026-03-01 08:12"),
    )  # fmt: skip
    said = "\n".join(notes(events, WORDS))
    for piece in ("moved X12", "seen again", "tow-bar", "key is in the box"):
        assert piece in said
