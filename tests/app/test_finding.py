"""A finding session from complaint to cure on small vehicles, the answers coming from a practice vehicle."""

import pytest

from loombench.app.cards import StepCard
from loombench.app.case import Case, bench_for
from loombench.app.finding import (
    answer,
    cannot,
    close,
    complain,
    next_step,
    open_case,
    opening,
    repaired,
    replay,
    suspects,
    take,
    undo,
    verdict,
)
from loombench.app.practice import PRACTICE_TIME as TIME
from loombench.app.practice import PracticeVehicle, auto
from loombench.circuit.fault import Fault, read_fault
from loombench.diagnose.bench import Bench
from loombench.evidence.complaint import Complaint
from loombench.record.memory import MemoryStore
from loombench.vehicle.condition import Condition, Operation, Setup
from loombench.vehicle.points import Point
from tests.diagnose.vehicles import AIRBAG, LAMP, vehicle

ON = Condition((Operation("set", "S4", "on"),))
CAR = vehicle(LAMP)
MINUS = Point("G1", "-", layer="pin")


@pytest.fixture(scope="module")
def bench() -> Bench:
    return bench_for(CAR)


def opened(bench: Bench, target: str = "E7", symptom: str = "dead") -> Case:
    complaint = Complaint(target, symptom, ON, f"{target} {symptom} when S4=on")
    return open_case(bench.vehicle, "0" * 64, complaint, MemoryStore(), "c1", TIME, bench=bench)


def fault(text: str) -> Fault:
    found = read_fault(text)
    assert found is not None
    return found


def test_the_first_card_verifies_the_complaint(bench: Bench) -> None:
    card = next_step(opened(bench))
    assert card is not None
    assert card.kind == "verify"
    assert card.settings == ("S4=on",)
    assert card.choices == ("dead", "dim", "works")
    assert "E7 (left)" in card.action


def test_a_card_says_where_how_and_what_each_answer_would_mean(bench: Bench) -> None:
    case = opened(bench)
    case = answer(case, _card(case).id, "dead", TIME)
    while not (card := _card(case)).unit:
        case = answer(case, card.id, {"see": "dead", "fuse": "whole", "position": "as believed"}[card.kind], TIME)
    assert card.unit == "V"
    assert card.red
    assert card.black
    assert card.red_side
    assert card.plugged
    assert card.place in CAR.places
    assert card.reach == CAR.places[card.place].note
    assert card.cautions
    marks = [meaning.mark for meaning in card.meanings]
    assert "good" in marks
    assert "bad" in marks
    good = next(meaning for meaning in card.meanings if meaning.mark == "good")
    assert card.nominal is not None
    assert good.low is None or good.low <= card.nominal
    assert good.high is None or card.nominal <= good.high
    bounds = [bound for meaning in card.meanings for bound in (meaning.low, meaning.high) if bound is not None]
    assert bounds == sorted(bounds)
    assert all(meaning.suspects for meaning in card.meanings if meaning.mark in ("good", "bad"))


def _card(case: Case) -> StepCard:
    card = next_step(case)
    assert card is not None
    return card


HIDDEN = (
    "open contact W3/a", "open E7", "blown F12", "short S4.2 to ground", "stuck S4 off", "open contact X12.1@boom",
    "resistance 0.7ohm SP2~E7.1", "resistance 3ohm contact E7.2", "open W9", "open S4.1~F12.out",
)  # fmt: skip


@pytest.mark.parametrize("text", HIDDEN)
def test_a_hidden_fault_is_found_and_cured(bench: Bench, text: str) -> None:
    hidden = fault(text) if text != HIDDEN[-1] else Fault("open", _wire("S4", "F12"))
    practice = PracticeVehicle(CAR, hidden)
    symptom = practice.look("E7", ON)
    case = auto(opened(bench, "E7", symptom), practice)
    said = verdict(case)
    assert said.state == "cured"
    assert practice.left(said.groups) == ()
    assert [one.kind for one in case.events][-1] == "CaseClosed"


def _wire(one: str, two: str) -> str:
    return next(wire.id for wire in CAR.wires if {wire.a.part, wire.b.part} == {one, two})


def test_replay_equals_live(bench: Bench) -> None:
    live = auto(opened(bench), PracticeVehicle(CAR, fault("open contact W3/a")))
    stored = live.store.read("c1")
    assert stored.problems == ()
    again = replay(CAR, stored.value, live.store, bench=bench)
    assert again.events == live.events
    assert again.belief.share.tolist() == live.belief.share.tolist()
    assert verdict(again) == verdict(live)
    assert suspects(again) == suspects(live)


def test_readings_in_any_order_lead_to_the_same_belief(bench: Bench) -> None:
    readings = [(Point("S4", "2"), 12.4), (Point("E7", "1"), 12.3), (Point("E7", "2"), 12.25)]

    def course(order: list[tuple[Point, float]]) -> Case:
        case = opened(bench)
        for point, value in order:
            case = take(case, Setup(ON, point, MINUS), value, TIME)
        return case

    one, two = course(readings), course(readings[::-1])
    assert one.belief.share.tolist() == pytest.approx(two.belief.share.tolist(), rel=1e-9)
    # Whether the other lamp draws its current too, a battery that may be half empty hides.
    assert suspects(one)[0].group in ("contact W3", "contact W3/a", "contact W9.a")
    assert sum(each.share for each in suspects(one) if "W3" in each.group or "W9" in each.group) > 0.8


def test_undo_takes_back_the_last_thing_and_stops_at_the_complaint(bench: Bench) -> None:
    start = opened(bench)
    case = take(start, Setup(ON, Point("S4", "2"), MINUS), 0.0, TIME)
    case = take(case, Setup(ON, Point("S4", "1"), MINUS), 12.5, TIME)
    once = undo(case, TIME)
    assert len(once.belief.observations) == 2
    twice = undo(once, TIME)
    assert twice.belief.share.tolist() == start.belief.share.tolist()
    assert undo(twice, TIME) is twice


def test_a_declined_step_is_not_offered_again(bench: Bench) -> None:
    case = opened(bench)
    case = answer(case, _card(case).id, "dead", TIME)
    first = _card(case)
    case = cannot(case, first.id, "seized", TIME)
    assert _card(case).id != first.id


def test_answers_that_a_step_cannot_have_are_refused_and_nothing_is_kept(bench: Bench) -> None:
    case = opened(bench)
    with pytest.raises(ValueError, match="no answer"):
        answer(case, _card(case).id, "purple", TIME)
    with pytest.raises(KeyError):
        answer(case, "no such step", "dead", TIME)
    assert case.store.read("c1").value == case.events


def test_what_works_clears_its_part_of_the_way(bench: Bench) -> None:
    case = complain(opened(bench), Complaint("E8", "works", ON, "E8 works"), TIME)
    shares = {one.group: one.share for one in suspects(case)}
    assert max(shares, key=lambda name: shares[name]) in ("E7", "contact W3/a", "contact E7.1", "contact E7.2")
    assert shares.get("F12", 0.0) < 0.02


def test_not_reproduced_is_said(bench: Bench) -> None:
    case = opened(bench)
    case = answer(case, _card(case).id, "works", TIME)
    assert verdict(case).state == "not-reproduced"
    assert next_step(case) is None


def test_a_repair_that_does_not_cure_reopens_the_case(bench: Bench) -> None:
    case = opened(bench)
    case = answer(case, _card(case).id, "dead", TIME)
    case = repaired(case, "E7", TIME)
    card = _card(case)
    assert card.id == "see E7 when S4=on"
    case = answer(case, card.id, "dead", TIME)
    found = suspects(case)
    assert all(one.group != "E7" or one.share < 1e-3 for one in found)
    assert not verdict(case).proven
    assert next_step(case) is not None


def test_readings_that_fit_nothing_give_that_verdict(bench: Bench) -> None:
    case = opened(bench)
    for part, pin, value in (("F12", "out", 4.1), ("S4", "2", 8.7), ("E7", "1", 2.2), ("E7", "2", 6.0)):
        case = take(case, Setup(ON, Point(part, pin), MINUS), value, TIME)
    assert verdict(case).state == "nothing-explains"
    assert not verdict(close(case, TIME)).proven


def test_the_opening_defers_to_the_maker_and_names_what_is_dangerous(bench: Bench) -> None:
    assert "maker's procedure" in opening(opened(bench))[0]
    airbag = bench_for(vehicle(AIRBAG))
    assert any("airbag" in text for text in opening(opened(airbag)))


def test_no_step_of_any_case_touches_an_airbag_circuit() -> None:
    car = vehicle(AIRBAG)
    airbag = bench_for(car)
    for target in ("R40", "E7"):
        complaint = Complaint(target, "dead", ON, f"{target} dead")
        case = open_case(car, "0" * 64, complaint, MemoryStore(), "c1", TIME, bench=airbag)
        for step in (*case.plan, *case.repairs):
            assert not any(name in step.id for name in ("R40", "F40", "X40", "W3/c")), step.id
