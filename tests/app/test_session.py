"""A session in words: what is typed, what is kept of it, and what is said."""

import math
import re
from dataclasses import replace

import pytest

from loombench.app.case import Case, bench_for
from loombench.app.eventwords import event_text
from loombench.app.finding import answer, next_step, open_case, replay, suspects
from loombench.app.practice import PRACTICE_TIME as TIME
from loombench.app.practice import PracticeVehicle
from loombench.app.reasons import why
from loombench.app.session import NEXT, STAY, Reply, respond
from loombench.app.shown import standing
from loombench.app.spoken import setup_text
from loombench.app.typed import Reading, present, read_typed
from loombench.base.problems import error
from loombench.base.wording import catalogue
from loombench.circuit.fault import read_fault
from loombench.diagnose.bench import Bench
from loombench.diagnose.measuring import Measure
from loombench.diagnose.verdict import CURED
from loombench.evidence.complaint import Complaint
from loombench.evidence.envelope import Envelope
from loombench.evidence.events import (
    CaseClosed,
    CodesRead,
    ComplaintGiven,
    Disturbed,
    LeadsCounted,
    NotAsDrawn,
    Note,
    Observed,
    PartUsed,
    ReadingTaken,
    ReasonGiven,
    RepairDone,
    TemporaryMeasure,
    Undone,
)
from loombench.record.memory import MemoryStore
from loombench.record.store import NotKept
from loombench.vehicle.condition import Condition, Operation
from tests.diagnose.vehicles import AIRBAG, LAMP, vehicle

ON = Condition((Operation("set", "S4", "on"),))
CAR = vehicle(LAMP)


@pytest.fixture(scope="module")
def bench() -> Bench:
    return bench_for(CAR)


def opened(bench: Bench) -> Case:
    complaint = Complaint("E7", "dead", ON, "E7 dead when S4=on")
    return open_case(bench.vehicle, "0" * 64, complaint, MemoryStore(), "c1", TIME, bench=bench)


def type_in(case: Case, *lines: str) -> Reply:
    reply = Reply(case)
    for line in lines:
        reply = respond(reply.case, next_step(reply.case), line, TIME)
    return reply


def last(reply: Reply) -> object:
    return reply.case.events[-1].payload


def test_a_reading_in_any_order_is_taken_in_the_present_state_or_the_one_said(bench: Bench) -> None:
    for typed, condition in (
        ("S4.2 12,4 V", ON),
        ("S4.2 12.4V when S4=off", Condition((Operation("set", "S4", "off"),))),
    ):
        reply = type_in(opened(bench), typed)
        taken = last(reply)
        assert isinstance(taken, ReadingTaken)
        assert (taken.value, taken.unit, taken.setup.condition) == (12.4, "V", condition)
        assert str(taken.setup.black) == "G1.-:pin"
        assert str(condition) in reply.said[0]
        assert reply.then == NEXT


@pytest.mark.parametrize(
    ("typed", "meter", "value"),
    [
        ("S4.1 to S4.2 80mV", "voltmeter", 0.08), ("S4.1 to S4.2 0.5 ohm", "ohmmeter", 0.5),
        ("S4.1 to S4.2 OL", "ohmmeter", math.inf), ("S4.1 = -0.2", "voltmeter", -0.2),
        ("E7.1 to G1.- 470k", "ohmmeter", 470_000.0),
    ],
)  # fmt: skip
def test_the_unit_says_which_meter(bench: Bench, typed: str, meter: str, value: float) -> None:
    read = read_typed(opened(bench), None, typed).value
    assert isinstance(read, Reading)
    assert (read.setup.meter, read.value) == (meter, pytest.approx(value))


def test_a_reading_nobody_asked_for_is_not_taken_with_what_the_card_wants_unplugged(bench: Bench) -> None:
    case = type_in(opened(bench), "dead").case
    apart = next(
        step
        for step in case.plan
        if isinstance(step, Measure) and any(one.verb == "unplug" for one in step.setup.condition.operations)
    )
    shown = next_step(case)
    assert shown is not None
    card = replace(shown, id=apart.id)
    assert str(present(case, card)) == "S4=on"
    read = read_typed(case, card, "S4.1 to S4.2 0V").value
    assert isinstance(read, Reading)
    assert read.setup.condition == ON


def test_where_nothing_fits_any_more_that_is_said(bench: Bench) -> None:
    case = type_in(opened(bench), "dead", "E7.1 12.3V", "E7.2 0V", "E7.1 0V", "E7.2 12.3V", "S4.1 0V").case
    assert case.verdict.groups == ()
    assert "may be wrong" in standing(case, "")
    assert any(first.text in line for first in suspects(case)[:1] for line in type_in(case, "suspects").said)


def test_a_complaint_about_several_loads_says_which(bench: Bench) -> None:
    told = Complaint("E8", "dead", ON, "work lamps dead")
    events = opened(bench).events
    assert event_text(bench, events, ComplaintGiven(told), catalogue()) == "complaint: work lamps dead, E8"
    assert event_text(bench, events, events[1].payload, catalogue()) == "complaint: E7 dead when S4=on"


@pytest.mark.parametrize("typed", ["works E8", "E8 works", "works E8 when S4=on", "E8 works when S4=on"])
def test_what_a_load_does_is_kept_as_seen_on_purpose(bench: Bench, typed: str) -> None:
    assert last(type_in(opened(bench), typed)) == Observed("see E8 when S4=on", "works")


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("E99.1 12V", "Not understood"), ("E7.9 12V", "pin-unknown"), ("E7.1 12V when S99=on", "control-unknown"),
        ("E7.1 3A", "reading-unread"), ("works S4", "complaint-no-load"), ("works E99", "part-unknown"),
        ("frobnicate", "help"), ("", "help"), ("cannot", "WHY"), ("why nobody", "suspects"),
        ("part", "NAME"), ("note", "note WHY"), ("close", "Count"), ("yes", "Not understood"),
        ("what if stop", "what if"),
        ("what if E7.1 to E7.2 3A", "reading-unread"), ("E7.1", "Not understood"), ("\x1b[2J", "Not understood"),
    ],
)  # fmt: skip
def test_what_is_not_understood_is_answered_and_keeps_nothing(bench: Bench, typed: str, said: str) -> None:
    start = opened(bench)
    reply = type_in(start, typed)
    assert said in "\n".join(reply.said)
    assert reply.case.events == start.events
    assert reply.then == STAY


def test_why_alone_speaks_of_the_first_suspect_and_keeps_nothing(bench: Bench) -> None:
    start = opened(bench)
    reply = type_in(start, "why ")
    first = suspects(start)[0].text
    assert reply.said[0].lstrip().startswith(first + ":")
    assert reply.said == type_in(start, f"why {first}").said
    assert reply.case.events == start.events


def test_the_commands_that_add_to_the_record(bench: Bench) -> None:
    for typed, payload in (
        ("codes P0562, U0100", CodesRead(("P0562", "U0100"))),
        ("codes none", CodesRead(())),
        ("codes P0562 when S4=on", CodesRead(("P0562",), "", ON)),
        ("disturbed moved X12", Disturbed("moved X12")),
        ("not as drawn there is a tow-bar", NotAsDrawn("there is a tow-bar")),
        ("temporary a fused lead from F12 to E7", TemporaryMeasure("a fused lead from F12 to E7")),
        ("because the clip was missing", ReasonGiven("the clip was missing")),
        ("part lamp 12V 55W no 433-1 x2 used", PartUsed("lamp 12V 55W", "433-1", "2", "used")),
    ):
        assert last(type_in(opened(bench), typed)) == payload


def test_after_a_disturbance_the_complaint_is_seen_again(bench: Bench) -> None:
    case = type_in(opened(bench), "dead").case
    card = next_step(case)
    assert card is not None
    assert card.kind != "verify"
    again = next_step(type_in(case, "disturbed").case)
    assert again is not None
    assert again.kind == "verify"


def test_a_change_alters_the_vehicle_of_the_case_until_it_is_taken_back(bench: Bench) -> None:
    wire = next(one for one in CAR.wires if {one.a.part, one.b.part} == {"S4", "X12"})
    start = opened(bench)
    reply = type_in(start, f"not as drawn size {wire.id} 4mm2")
    assert last(reply) == NotAsDrawn(f"size {wire.id} 4mm2", f"size {wire.id} 4mm2")
    assert reply.case.bench.vehicle.wire_by_id[wire.id].area_mm2.nominal == 4.0
    assert f"size {wire.id} 4mm2" in reply.said[-1]
    again = replay(CAR, reply.case.events, reply.case.store)
    assert again.bench.vehicle.wire_by_id[wire.id].area_mm2.nominal == 4.0
    back = type_in(reply.case, "undo")
    assert isinstance(last(back), Undone)
    assert back.case.bench.vehicle == CAR


@pytest.mark.parametrize("typed", ["size E7~Z9 4mm2", "rename E7 E17", "wire colours are wrong", "remove S4.9~X"])
def test_a_change_that_does_not_fit_is_kept_as_words(bench: Bench, typed: str) -> None:
    reply = type_in(opened(bench), f"not as drawn {typed}")
    assert last(reply) == NotAsDrawn(typed, "")
    assert reply.case.bench is bench
    assert "do:" in reply.said[0]


def test_what_if_keeps_nothing_and_says_what_the_answer_itself_would(bench: Bench) -> None:
    start = type_in(opened(bench), "dead").case
    asked = type_in(start, "what if E7.1 0V")
    assert asked.case.events == start.events
    assert start.store.read("c1").value == start.events
    then = type_in(start, "E7.1 0V").case
    first = next(one for one in suspects(then) if one.survives)
    assert first.text in "\n".join(asked.said)


def test_the_reasons_of_a_suspect_multiply_to_its_odds(bench: Bench) -> None:
    case = type_in(opened(bench), "dead", "works E8", "E7.1 12.3V", "E7.2 12.2V").case
    for one in suspects(case):
        told = why(case, one.group)
        odds = told.prior / (1.0 - told.prior)
        for reason in told.reasons:
            odds *= reason.factor
        assert odds / (1.0 + odds) == pytest.approx(one.share, rel=1e-6, abs=1e-12)
        assert told.against == one.against
    said = "\n".join(type_in(case, "why 1").said)
    assert "likelier" in said
    assert said.count("\n") == 2 * len(case.belief.observations)


def test_a_suspect_is_named_by_number_name_or_a_piece_of_it(bench: Bench) -> None:
    case = type_in(opened(bench), "dead", "works E8", "E7.1 12.3V", "E7.2 12.2V").case
    first = suspects(case)[0]
    for name in ("1", first.group, first.text):
        assert first.text in type_in(case, f"why {name}").said[0]
    assert "may be" in type_in(case, "why e").said[0]


def test_the_number_of_suspects_stands_on_the_card(bench: Bench) -> None:
    case = type_in(opened(bench), "dead").case
    left = [one for one in suspects(case) if one.survives]
    place = CAR.parts["E7"].place
    found = re.match(rf"(\d+) suspects left, (\d+) of them at {place}", standing(case, place))
    assert found
    assert 0 < int(found[2]) < int(found[1]) <= len(left)


def read_as_hidden(case: Case, hidden: str) -> Case:
    """The case played by the readings of a vehicle with that fault, up to its repair."""
    fault = read_fault(hidden)
    assert fault is not None
    practice = PracticeVehicle(case.bench.vehicle, fault)
    while (card := next_step(case)) is not None and card.kind != "mend":
        case = answer(case, card.id, practice.reply(case.offered(card.id), ()), TIME)
    return case


def test_a_repair_is_kept_with_how_it_was_done_and_then_the_complaint_is_seen_again(bench: Bench) -> None:
    found = read_as_hidden(opened(bench), "open contact W3/a")
    reply = type_in(found, "cleaned bare metal, greased")
    assert last(reply) == RepairDone("contact W3/a", "cleaned, bare metal, greased")
    worst = reply.case.worst_reading
    assert worst is not None
    assert f"before and after: {setup_text(CAR, worst.setup, catalogue())}" in reply.said[-1]
    card = next_step(reply.case)
    assert card is not None
    assert card.id == "see E7 when S4=on"
    assert type_in(reply.case, "works").case.verdict.state == CURED
    again = next_step(type_in(reply.case, "dead").case)
    assert again is not None
    assert again.id != card.id


def test_how_it_was_done_can_be_said_after_the_cure_without_touching_the_proof(bench: Bench) -> None:
    case = type_in(read_as_hidden(opened(bench), "open E7.2~W3/a"), "works").case
    assert case.verdict.state == CURED
    after = type_in(case, "patched 0.3m BK 1.5mm2")
    assert last(after) == Note("Wire E7.2 to W3/a (BK, 1.5mm2, 0.8 m, loom boom): patched, 0.3m BK 1.5mm2.")
    assert after.case.verdict == case.verdict


def test_a_repair_nobody_proposed_is_kept_too(bench: Bench) -> None:
    for typed, method in (
        ("renewed 1, new lamp", "renewed, new lamp"),
        ("repaired lamp E7", ""),
        ("replaced, 1", "replaced"),
    ):
        assert last(type_in(opened(bench), "dead", "works E8", typed)) == RepairDone("E7", method)
    case = type_in(opened(bench), "dead", "works E8").case
    assert "Which one?" in type_in(case, "cleaned").said[0]
    assert "may be" in type_in(case, "cleaned contact").said[0]
    assert "no reading from before" in type_in(case, "tightened 1").said[-1]


def test_a_proven_verdict_says_the_job_with_its_wire_the_caution_and_what_to_look_for(bench: Bench) -> None:
    reply = type_in(read_as_hidden(opened(bench), "open E7.2~W3/a"), "verdict")
    said = "\n".join(reply.said)
    for piece in ("Proven:", "BK", "1.5", "0.8 m", "boom", "Why it may have come", "see again"):
        assert piece in said, piece
    assert said.index("! ") < said.index("Repair:")


def test_a_temporary_measure_is_warned_of_before_it_is_kept(bench: Bench) -> None:
    said = type_in(opened(bench), "temporary fused lead F12 to E7").said
    assert said[0].startswith("! ")
    assert "kept" in said[1]


def test_closing_asks_for_the_leads_first(bench: Bench) -> None:
    start = opened(bench)
    assert not type_in(start, "close").case.course.closed
    for word, out in (("yes", True), ("no", False)):
        reply = type_in(opened(bench), f"close {word}")
        *_, leads, end = reply.case.events
        assert leads.payload == LeadsCounted(out)
        assert isinstance(end.payload, CaseClosed)
    assert next_step(reply.case) is None
    assert next_step(type_in(reply.case, "undo").case) is not None


def test_where_no_step_is_left_a_plain_yes_closes(bench: Bench) -> None:
    case = type_in(opened(bench), "works").case
    assert next_step(case) is None
    assert type_in(case, "yes").case.course.closed


class FullStore(MemoryStore):
    """Takes so many events and then has no more room."""

    def __init__(self, room: int) -> None:
        super().__init__()
        self.room = room

    def append(self, event: Envelope) -> None:
        if not self.room:
            raise NotKept(error("record-full", number=event.number, case=event.case, reason="No space left on device"))
        self.room -= 1
        super().append(event)


def test_what_is_not_kept_is_said_and_can_be_entered_again(bench: Bench) -> None:
    store = FullStore(2)
    complaint = Complaint("E7", "dead", ON, "E7 dead when S4=on")
    case = open_case(CAR, "0" * 64, complaint, store, "c1", TIME, bench=bench)
    reply = type_in(case, "dead")
    assert "record-full" in reply.said[0]
    assert reply.case.events == case.events
    store.room = 1
    assert len(type_in(reply.case, "dead").case.events) == 3


def test_half_an_answer_of_two_entries_is_gone_on_from(bench: Bench) -> None:
    """Closing is two entries; where only the first finds room, the second can follow later."""
    store = FullStore(3)
    complaint = Complaint("E7", "dead", ON, "E7 dead when S4=on")
    case = open_case(CAR, "0" * 64, complaint, store, "c1", TIME, bench=bench)
    half = type_in(case, "close yes").case
    assert [one.kind for one in half.events] == ["CaseOpened", "ComplaintGiven", "LeadsCounted"]
    store.room = 9
    assert type_in(half, "close yes").case.course.closed
    assert store.read("c1").problems == ()


def test_a_reading_on_an_airbag_circuit_is_warned_of() -> None:
    car = vehicle(AIRBAG)
    complaint = Complaint("E7", "dead", ON, "E7 dead when S4=on")
    case = open_case(car, "0" * 64, complaint, MemoryStore(), "c1", TIME, bench=bench_for(car))
    assert type_in(case, "R40.1 12V").said[0].startswith("! This point is on an airbag")
    assert not type_in(case, "E7.1 12V").said[0].startswith("!")
