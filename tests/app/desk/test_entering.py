"""What a page enters in a job: understood by itself, kept whole and once, and refused with a word."""

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import cast

import pytest

from loombench.app.ahead import look_ahead
from loombench.app.cards import StepCard
from loombench.app.case import Case
from loombench.app.desk.asking import Asked
from loombench.app.desk.desk import Desk, DeskPlace
from loombench.app.desk.entering import Entered, enter
from loombench.app.desk.finding import Begun, JobNow, begin, head, job_now, reasons, step_drawn, work_ahead
from loombench.base.problems import error
from loombench.evidence.codec import encode_setup
from loombench.evidence.envelope import Envelope
from loombench.evidence.events import Observed, ReadingTaken, RepairDone, StepDeclined, Undone
from loombench.record.store import NotKept
from loombench.vehicle.condition import Condition, Operation, Setup
from loombench.vehicle.points import PIN, Point
from tests.web.server import LAMP

LOAD = "E7"
ON = Condition((Operation("set", "S4", "on"),))
AT_LAMP = encode_setup(Setup(ON, Point("E7", "1"), Point("G1", "-", layer=PIN)))


@pytest.fixture
def case(desk: Desk) -> str:
    begun = begin(desk, Asked(), "lamp", "E7 dead when S4=on")
    assert begun.problems == ()
    return begun.case


def events(desk: Desk, case: str) -> tuple[Envelope, ...]:
    store = desk.store().value
    assert store is not None
    return store.read(case).value


def last(desk: Desk, case: str) -> object:
    return events(desk, case)[-1].payload


def codes(entered: Entered) -> list[str]:
    return [one.code for one in entered.problems]


def test_a_job_that_was_begun_can_be_taken_up_by_another_worker(desk: Desk, case: str) -> None:
    now = job_now(Desk(desk.place), Asked(), case)
    assert isinstance(now, JobNow)
    assert now.fresh
    assert now.complaint == "E7 dead when S4=on"
    assert now.card is not None
    assert now.card.card.kind == "verify"
    assert now.undo == ""
    at = head(desk, Asked(), case)
    assert (at.vehicle, at.shelved, at.number) == ("Lamp", "lamp", 2)


@pytest.mark.parametrize(("vehicle", "complaint", "code"), [
    ("lamp", "E7 wobbles", "complaint-unread"), ("lamp", " ", "complaint-needed"), ("lamp", "E9 dead", "part-unknown"),
    ("../lamp", "E7 dead", "desk-vehicle-unknown"),
])  # fmt: skip
def test_what_cannot_be_begun_is_said_and_nothing_is_kept(desk: Desk, vehicle: str, complaint: str, code: str) -> None:
    store = desk.store().value
    assert store is not None
    before = store.cases()
    begun = begin(desk, Asked(), vehicle, complaint)
    assert (begun.case, [one.code for one in begun.problems]) == ("", [code])
    assert store.cases() == before


def test_an_entry_sent_again_is_kept_once_also_after_a_restart(desk: Desk, case: str) -> None:
    send: Callable[[Desk], Entered] = lambda at: enter(at, Asked(), case, "a1", "11.9", "volts", AT_LAMP)  # noqa: E731
    assert send(desk).kept
    assert send(desk) == Entered(True, (), 3)
    assert send(Desk(desk.place)) == Entered(True, (), 3)
    assert [one.number for one in events(desk, case)] == [1, 2, 3]


def test_an_answer_stands_by_itself_when_nothing_was_worked_out(desk: Desk, case: str) -> None:
    assert enter(desk, Asked(), case, "a1", "80 mV", "volts E7.1", AT_LAMP).kept
    read = last(desk, case)
    assert isinstance(read, ReadingTaken)
    assert (read.value, read.unit, str(read.setup.red), read.setup.condition) == (0.08, "V", "E7.1", ON)
    assert enter(desk, Asked(), case, "a2", "dim", "see E7 when S4=on").kept
    assert last(desk, case) == Observed("see E7 when S4=on", "dim")
    assert enter(desk, Asked(), case, "a3", "works", f"mend {LOAD}").kept
    assert [one.payload for one in events(desk, case)[-2:]] == [
        RepairDone(LOAD),
        Observed("see E7 when S4=on", "works"),
    ]
    assert "belief" not in vars(desk.case(case, Asked()).value)


def test_what_makes_two_events_is_kept_whole_under_one_name(desk: Desk, case: str) -> None:
    assert enter(desk, Asked(), case, "a1", "close yes").kept
    assert [one.kind for one in events(desk, case)[-2:]] == ["LeadsCounted", "CaseClosed"]
    assert enter(desk, Asked(), case, "a1", "close yes").number == 4


@pytest.mark.parametrize(("line", "step", "setup", "code"), [
    ("wobbly", "see E7 when S4=on", None, "entry-unread"), ("12.4 V", "see E7 when S4=on", None, "entry-unread"),
    ("dead", "volts", AT_LAMP, "entry-unread"), ("12 ohm", "volts", AT_LAMP, "entry-unread"),
    ("12.4", "gaze at E7", None, "entry-unread"), ("works", "mend the unknown", None, "entry-unread"),
    ("12.4", "volts", {"meter": "voltmeter"}, "event-field-missing"),
    ("12.4", "volts", {**AT_LAMP, "red": {"part": "E99", "pin": "1"}}, "part-unknown"),
    ("12.4", "volts", {**AT_LAMP, "red": {"part": "E7", "pin": "77"}}, "pin-unknown"),
    ("blown", "see E7 when S4=on", None, "entry-unread"),
])  # fmt: skip
def test_what_is_no_answer_is_refused_and_nothing_is_kept(
    desk: Desk, case: str, line: str, step: str, setup: Mapping[str, object] | None, code: str
) -> None:
    entered = enter(desk, Asked(), case, "a1", line, step, setup)
    assert (entered.kept, codes(entered)) == (False, [code])
    assert len(events(desk, case)) == 2
    assert enter(desk, Asked(), case, "a1", "12.4", "volts", AT_LAMP).kept


def test_a_reading_without_a_state_is_taken_in_the_one_the_page_showed(desk: Desk, case: str) -> None:
    assert enter(desk, Asked(), case, "a1", "S4.1 12.4V", state="S4=on").kept
    read = last(desk, case)
    assert isinstance(read, ReadingTaken)
    assert read.setup.condition == ON
    assert enter(desk, Asked(), case, "a2", "S4.1 12.4V when S4=off", state="S4=on").kept
    assert cast(ReadingTaken, last(desk, case)).setup.condition != ON
    assert enter(desk, Asked(), case, "a3", "note when S4=on it clicks", state="S4=on").kept
    assert enter(desk, Asked(), case, "a4", "S4.1 12.4V", state="at rest").kept
    assert cast(ReadingTaken, last(desk, case)).setup.condition == Condition()


def test_taking_back_is_about_what_the_page_has_seen(desk: Desk, case: str) -> None:
    enter(desk, Asked(), case, "a1", "12.4", "volts", AT_LAMP)
    overtaken = enter(desk, Asked(), case, "a2", "undo", number=2)
    assert (overtaken.kept, codes(overtaken)) == (False, ["entry-overtaken"])
    assert enter(desk, Asked(), case, "a3", "undo", number=3).kept
    assert last(desk, case) == Undone(3)


def test_what_is_not_possible_is_kept_with_the_reason(desk: Desk, case: str) -> None:
    assert enter(desk, Asked(), case, "a1", "cannot is seized", "volts E7.1", AT_LAMP).kept
    assert last(desk, case) == StepDeclined("volts E7.1", "is seized")


def test_what_others_entered_is_there_before_the_next_entry(desk: Desk, case: str) -> None:
    other = Desk(desk.place)
    assert enter(other, Asked(), case, "b1", "12.4", "volts", AT_LAMP).kept
    assert enter(desk, Asked(), case, "a1", "dim", "see E7 when S4=on").number == 4
    assert enter(other, Asked(), case, "b2", "note rust").number == 5
    now = job_now(desk, Asked(), case)
    assert isinstance(now, JobNow)
    assert now.number == 5


def test_a_question_changes_nothing_and_says_something(desk: Desk, case: str) -> None:
    asked = enter(desk, Asked(), case, "a1", "suspects")
    assert not asked.kept
    assert asked.problems == ()
    assert any("E7" in one for one in asked.said)
    assert any("E7" in one for one in reasons(desk, Asked(), case, "1"))


def test_the_step_is_drawn_and_where_none_is_left_the_circuit(desk: Desk, case: str) -> None:
    drawn = step_drawn(desk, Asked(), case)
    assert drawn.problems == ()
    assert drawn.pages[0][1].startswith("<svg")
    for entry, line in (("a1", "works E7 when S4=on"), ("a2", "close yes")):
        enter(desk, Asked(), case, entry, line)
    now = job_now(desk, Asked(), case)
    assert isinstance(now, JobNow)
    assert now.closed
    assert now.card is None
    assert step_drawn(desk, Asked(), case).pages


def test_a_job_nobody_knows_is_said(desk: Desk) -> None:
    assert codes(enter(desk, Asked(), "gone", "a1", "12.4")) == ["job-unknown"]
    now = job_now(desk, Asked(), "gone")
    assert isinstance(now, Begun)
    assert [one.code for one in now.problems] == ["job-unknown"]
    assert head(desk, Asked(), "../gone").number == 0


def test_in_german_it_is_said_in_german(desk: Desk, case: str) -> None:
    entered = enter(desk, Asked("de"), case, "a1", "wobbly", "see E7 when S4=on")
    assert entered.problems[0].title == "Dieser Eintrag wurde nicht verstanden"
    now = job_now(desk, Asked("de"), case)
    assert isinstance(now, JobNow)
    assert "S4" in now.card.card.action if now.card else False
    assert "Set " not in now.card.card.action if now.card else False


def test_a_job_without_its_vehicle_goes_on_with_the_text_kept_with_it(tmp_path: Path) -> None:
    (tmp_path / "lamp.circuit").write_text(LAMP, encoding="utf-8")
    place = DeskPlace(tmp_path, tmp_path / "store" / "jobs.sqlite")
    begun = begin(Desk(place), Asked(), "lamp", "E7 dead when S4=on")
    (tmp_path / "lamp.circuit").unlink()
    again = Desk(place)
    assert enter(again, Asked(), begun.case, "a1", "12.4", "volts", AT_LAMP).kept
    assert head(again, Asked(), begun.case).shelved == ""


def test_a_store_that_is_damaged_while_one_works_keeps_nothing_and_says_so(tmp_path: Path) -> None:
    (tmp_path / "lamp.circuit").write_text(LAMP, encoding="utf-8")
    place = DeskPlace(tmp_path, tmp_path / "store" / "jobs.sqlite")
    begun = begin(Desk(place), Asked(), "lamp", "E7 dead when S4=on")
    place.store.write_bytes(place.store.read_bytes()[:4096])
    entered = enter(Desk(place), Asked(), begun.case, "a1", "note rust")
    assert not entered.kept
    assert entered.problems[0].fix


def test_what_the_store_refuses_is_said_and_the_case_is_as_the_store_has_it(
    desk: Desk, case: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(_self: object, some: tuple[Envelope, ...], _called: str = "") -> bool:
        raise NotKept(error("record-full", number=some[0].number, case=case, reason="No space left on device"))

    with monkeypatch.context() as barred:
        barred.setattr("loombench.record.sqlite.SqliteStore.append_all", full)
        refused = enter(desk, Asked(), case, "a1", "dim", "see E7 when S4=on")
        assert (refused.kept, codes(refused), refused.number) == (False, ["record-full"], 2)
    assert enter(desk, Asked(), case, "a1", "dim", "see E7 when S4=on").number == 3
    assert len(events(desk, case)) == 3


def test_what_follows_a_card_is_worked_out_once_while_nobody_asks(
    desk: Desk, case: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    followed = list[str]()

    def counted(case: Case, card: StepCard, stopped: Callable[[], bool]) -> int:
        followed.append(card.id)
        return look_ahead(case, card, stopped)

    monkeypatch.setattr("loombench.app.desk.finding.look_ahead", counted)
    work_ahead(desk, lambda: False)
    assert followed == []
    job_now(desk, Asked(), case)
    work_ahead(desk, lambda: True)
    work_ahead(desk, lambda: False)
    work_ahead(desk, lambda: False)
    assert followed == ["see E7 when S4=on"] * 2
    assert len(events(desk, case)) == 2
    enter(desk, Asked(), case, "a1", "dead", "see E7 when S4=on")
    work_ahead(desk, lambda: False)
    assert len(followed) == 2
