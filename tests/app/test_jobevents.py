"""The work clock, what the customer agreed to, photos, signatures: kept as events, told, and on the card."""

import pytest

from loombench.app.cardrecord import agreed, consent, photos, runs_since, signatures, worked_s
from loombench.app.case import Case, bench_for
from loombench.app.eventwords import plain_text
from loombench.app.finding import note, open_case, resumed, undo
from loombench.app.findingcard import job_card
from loombench.app.jobcard import JobCard, signature_svg
from loombench.app.jobcard import job_card as card_document
from loombench.base.wording import catalogue
from loombench.evidence.complaint import Complaint
from loombench.evidence.envelope import Envelope, envelope
from loombench.evidence.events import ConsentGiven, Note, Payload, PhotoTaken, Signed, WorkClock
from loombench.paper.document import Document, SignatureLines, Svg
from loombench.paper.html import to_html
from loombench.record.memory import MemoryStore
from loombench.vehicle.condition import Condition, Operation
from tests.diagnose.vehicles import LAMP, vehicle

WORDS = catalogue()
STROKES = "M10 20L30 40L50 20M60 60L70 80"


def at(minute: int, payload: Payload, number: int = 0) -> Envelope:
    """An event of nine o'clock and some minutes."""
    return envelope(number or minute + 1, f"2026-03-02T09:{minute:02}:00+01:00", "7", "M. Holm", payload)


def clocked(*minutes: int) -> tuple[Envelope, ...]:
    """A clock started, stopped, started ... at these minutes."""
    return tuple(at(minute, WorkClock(k % 2 == 0), k + 1) for k, minute in enumerate(minutes))


@pytest.mark.parametrize(("minutes", "now", "worked"), [
    ((), "", None), ((0, 10), "", 600.0), ((0, 10, 30, 45), "", 1500.0),
    ((0,), "2026-03-02T09:05:00+01:00", 300.0), ((0,), "", 0.0), ((0, 10, 20), "2026-03-02T09:21:00+01:00", 660.0),
    ((10, 5), "", 0.0), ((0,), "2026-03-02T08:00:00+00:00", 0.0),
])  # fmt: skip
def test_the_work_clock_adds_up_what_it_ran(minutes: tuple[int, ...], now: str, worked: float | None) -> None:
    assert worked_s(clocked(*minutes), now) == worked


def test_a_clock_that_is_started_twice_loses_nothing_and_counts_nothing_twice() -> None:
    events = (at(0, WorkClock(True)), at(4, WorkClock(True)), at(9, WorkClock(False)), at(12, WorkClock(False)))
    assert worked_s(events) == 9 * 60
    assert worked_s((at(3, WorkClock(False)),)) is None


def test_it_runs_since_it_was_started_last() -> None:
    assert runs_since(clocked(0, 10, 30)) == "2026-03-02T09:30:00+01:00"
    assert runs_since(clocked(0, 10)) == runs_since(()) == ""


def test_the_last_agreement_counts() -> None:
    events = (at(0, ConsentGiven(60, "120 EUR", "A. Berg")), at(5, ConsentGiven(90)))
    assert consent(events) == ConsentGiven(90)
    assert agreed(events, WORDS) == "at most 90 min"
    assert agreed(events[:1], WORDS) == "at most 60 min, 120 EUR, A. Berg"
    assert agreed((), WORDS) == ""
    with pytest.raises(ValueError, match="minutes"):
        ConsentGiven(-1)


def test_a_signature_says_when_something_was_entered_after_it() -> None:
    signed = at(3, Signed("customer", "A. Berg", STROKES))
    assert [one.overtaken for one in signatures((at(0, Note("x")), signed))] == [False]
    assert [one.overtaken for one in signatures((signed, at(5, Note("x"))))] == [True]
    both = signatures((signed, at(4, Signed("technician", "M. Holm", ""))))
    assert [(one.role, one.overtaken) for one in both] == [("customer", False), ("technician", False)]


@pytest.mark.parametrize("strokes", [
    "", "M1 2", "M1 2L3", 'M1 2L3 4"/><script>', "M1 2L3 4\n", "M1 2 L3 4", "L1 2L3 4", "M12345 1L2 2", "m1 2l3 4",
])  # fmt: skip
def test_what_is_no_stroke_is_not_drawn(strokes: str) -> None:
    assert signature_svg(strokes) == ""


def document(**facts: object) -> Document:
    """A card with these facts."""
    return card_document(JobCard("7", "Lamp", "E7 dead", **facts))  # type: ignore[arg-type]


def test_the_card_bears_a_drawn_signature_and_a_line_for_who_did_not_sign() -> None:
    drawn = document(signatures=signatures((at(3, Signed("customer", "A. Berg", STROKES)),)))
    (svg,) = (one for one in drawn.blocks if isinstance(one, Svg))
    (lines,) = (one for one in drawn.blocks if isinstance(one, SignatureLines))
    assert STROKES in svg.text
    assert svg.alt == "Received: A. Berg, 2026-03-02 09:03"
    assert lines.labels == ("Technician", "Date")
    on_paper = document(signatures=signatures((at(3, Signed("customer", "A. Berg", "")),)))
    assert [one.labels for one in on_paper.blocks if isinstance(one, SignatureLines)] == [
        ("Technician", "Date", "Received")
    ]


def test_the_card_lists_photos_times_and_what_was_agreed() -> None:
    taken = photos((at(2, PhotoTaken("ab" * 32, "rust at W3", "see E7")),))
    page = to_html(document(photos=taken, worked_minutes=47.4, agreed="at most 60 min"))
    for said in ("rust at W3", "2026-03-02 09:02", "47 min", "at most 60 min"):
        assert said in page
    copy = to_html(card_document(JobCard("7", "Lamp", "E7 dead", photos=taken, agreed="at most 60 min"), customer=True))
    assert "at most 60 min" in copy


@pytest.mark.parametrize(("payload", "text"), [
    (WorkClock(True), "work clock started"), (WorkClock(False), "work clock stopped"),
    (ConsentGiven(60), "agreed with the customer: at most 60 min"), (PhotoTaken("ab", "rust"), "photo: rust"),
    (Signed("customer", "A. Berg", STROKES), "signed on the screen, customer: A. Berg"),
    (Signed("technician", "M. Holm"), "signed on paper, technician: M. Holm"),
])  # fmt: skip
def test_each_is_told_in_words(payload: Payload, text: str) -> None:
    assert plain_text(payload, WORDS) == text


@pytest.fixture(scope="module")
def case() -> Case:
    car = vehicle(LAMP)
    complaint = Complaint("E7", "dead", Condition((Operation("set", "S4", "on"),)), "E7 dead when S4=on")
    return open_case(car, "0" * 64, complaint, MemoryStore(), "7", "2026-03-02T09:00:00+01:00", bench=bench_for(car))


def test_what_is_only_for_the_record_leaves_what_was_worked_out(case: Case) -> None:
    belief, choice = case.belief, case.choice
    after = resumed(case, at(5, WorkClock(True), 3))
    assert after.events[-1].payload == WorkClock(True)
    assert after.belief is belief
    assert after.choice is choice
    noted = note(case, Note("rust"), "2026-03-02T09:06:00+01:00")
    assert noted.belief is belief
    assert "belief" not in vars(undo(noted, "2026-03-02T09:07:00+01:00")), "what is undone is worked out anew"


def test_the_card_of_a_case_has_its_own(case: Case) -> None:
    after = resumed(resumed(case, at(5, WorkClock(True), 3)), at(17, WorkClock(False), 4))
    after = resumed(after, at(18, ConsentGiven(60, "", "A. Berg"), 5))
    page = to_html(job_card(after))
    assert "Worked, by the clock: 12 min." in page
    assert "at most 60 min, A. Berg" in page
