"""The record of a job as the store alone keeps it: beside a search that goes on, and beside other programs."""

import pytest

from loombench.app.desk.asking import Asked
from loombench.app.desk.cardviews import FILE, found_so_far, printed
from loombench.app.desk.desk import Desk
from loombench.app.desk.entering import enter
from loombench.app.desk.finding import JobNow, begin, job_now
from loombench.app.desk.record import add, add_photo, content, job_file, payload_of, shown
from loombench.base.problems import Problem
from loombench.evidence.envelope import envelope
from loombench.evidence.events import ConsentGiven, Note, PartUsed, Signed, WorkClock
from loombench.record.sqlite import SqliteStore

TIME = "2026-03-02T09:00:00+01:00"


@pytest.fixture
def case(desk: Desk) -> str:
    return begin(desk, Asked(), "lamp", "E7 dead when S4=on").case


def test_what_is_recorded_leaves_the_step_that_was_worked_out(desk: Desk, case: str) -> None:
    before = job_now(desk, Asked(), case)
    worked_out = desk.case(case, Asked()).value
    assert worked_out is not None
    assert add(Desk(desk.place), Asked(), case, "r1", "note", {"text": "rust at W1"}).number == 3
    after = job_now(desk, Asked(), case)
    assert isinstance(before, JobNow)
    assert isinstance(after, JobNow)
    assert (after.number, after.card) == (3, before.card)
    kept = desk.case(case, Asked()).value
    assert kept is not None
    assert kept.belief is worked_out.belief


def test_a_number_that_another_program_takes_first_is_no_reason_to_lose_an_entry(
    desk: Desk, case: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    taken = list[int]()
    real = SqliteStore.next_number

    def late(self: SqliteStore, name: str) -> int:
        number = real(self, name)
        if not taken:
            taken.append(number)
            self.append(envelope(number, TIME, name, "", Note("from elsewhere")))
        return number

    monkeypatch.setattr(SqliteStore, "next_number", late)
    entered = add(desk, Asked(), case, "r1", "note", {"text": "rust at W1"})
    assert (entered.kept, entered.number) == (True, 4)
    assert [one.text for one in shown(desk, Asked(), case).happened[2:]] == ["note: from elsewhere", "note: rust at W1"]


def test_a_job_nobody_knows_gets_no_entries(desk: Desk) -> None:
    store = desk.store().value
    assert store is not None
    before = store.cases()
    assert [one.code for one in add(desk, Asked(), "gone", "r1", "note", {"text": "x"}).problems] == ["job-unknown"]
    assert [one.code for one in add_photo(desk, Asked(), "gone", "r1", b"x", "", "").problems] == ["job-unknown"]
    assert store.cases() == before
    assert store.attached("gone").value == ()
    assert job_file(desk, Asked(), "gone") is None
    assert shown(desk, Asked(), "gone").happened == ()


def test_a_photo_is_the_jobs_own(desk: Desk, case: str) -> None:
    other = begin(desk, Asked(), "lamp", "E7 dim when S4=on").case
    for _ in range(2):
        assert add_photo(desk, Asked(), case, "p1", b"a picture", "rust", "see E7").kept
    (photo,) = shown(desk, Asked(), case).photos
    assert content(desk, Asked(), case, photo.sha256) == b"a picture"
    assert content(desk, Asked(), other, photo.sha256) is None
    assert content(desk, Asked(), case, "0" * 64) is None


def test_what_was_taken_back_stands_in_the_line_and_counts_no_more(desk: Desk, case: str) -> None:
    add(desk, Asked(), case, "r1", "consent", {"minutes": "0.5"})
    add(desk, Asked(), case, "r2", "part", {"text": "lamp 12V 21W"})
    assert enter(desk, Asked(), case, "r3", "undo", number=4).kept
    record = shown(desk, Asked(), case)
    assert [one.gone for one in record.happened] == [False, False, False, True, False]
    assert record.parts == ()
    assert (record.agreed, record.agreed_minutes, record.over) == ("at most 0.5 min", 0.5, False)


def test_the_clock_that_passed_what_was_agreed_warns(desk: Desk, case: str) -> None:
    store = desk.store().value
    assert store is not None
    add(desk, Asked(), case, "r1", "consent", {"minutes": "60"})
    store.append(envelope(4, TIME, case, "", WorkClock(True)))
    running = shown(desk, Asked(), case)
    assert (running.running, running.over) == (True, True)
    store.append(envelope(5, "2026-03-02T09:59:00+01:00", case, "", WorkClock(False)))
    stopped = shown(desk, Asked(), case)
    assert (stopped.running, stopped.over, stopped.worked_s) == (False, False, 59 * 60)
    add(desk, Asked(), case, "r2", "consent", {"minutes": "58"})
    assert shown(desk, Asked(), case).over


@pytest.mark.parametrize(("kind", "fields", "payload"), [
    ("consent", {"minutes": "1,5"}, ConsentGiven(1.5)),
    ("consent", {"amount": " 120  EUR "}, ConsentGiven(0, "120 EUR")),
    ("part", {"text": "lamp x2"}, PartUsed("lamp", "", "2")),
    ("signed", {"role": "customer", "name": "A. Berg"}, Signed("customer", "A. Berg")),
    ("consent", {"minutes": "inf"}, None), ("consent", {"minutes": "nan"}, None), ("consent", {"minutes": "1e9"}, None),
    ("consent", {"who": "A. Berg"}, None), ("signed", {"role": "customer", "name": "A", "strokes": "M1 1"}, None),
    ("signed", {"role": "customer", "name": "A", "strokes": "M1 1" + "L2 2" * 5000}, None), ("note", {}, None),
    ("Undone", {"event": "1"}, None), ("", {}, None),
])  # fmt: skip
def test_each_kind_takes_what_is_possible(kind: str, fields: dict[str, str], payload: object) -> None:
    made = payload_of(kind, fields)
    assert isinstance(made, Problem) if payload is None else made == payload


def test_the_file_to_take_along_has_all_that_happened(desk: Desk, case: str) -> None:
    enter(desk, Asked(), case, "e1", "dead", "see E7 when S4=on")
    enter(desk, Asked(), case, "e2", "undo", number=3)
    add(desk, Asked(), case, "r1", "note", {"text": "<script>alert(1)</script>"})
    made = printed(desk, Asked(), case, FILE).data
    assert made is not None
    page = made.decode()
    for said in ("Job card: Lamp", "taken back: E7, S4=on: does nothing", "&lt;script&gt;", "data:image/svg+xml"):
        assert said in page
    assert "<script>" not in page
    assert 'src="http' not in page
    assert found_so_far(desk, Asked(), case).proven is False
    assert printed(desk, Asked(), "gone", FILE).data is None
