"""One false reading, entered before the first step: the search still ends at what is wrong, and never at a proof of
anything else. The vehicle answers all steps truly; what is offered is done."""

from functools import cache

import pytest

from loombench.app.case import Case, bench_for
from loombench.app.finding import answer, next_step, take, verdict
from loombench.app.findingcard import card_facts
from loombench.app.practice import PRACTICE_TIME as TIME
from loombench.base.wording import catalogue
from loombench.circuit.fault import read_fault
from loombench.diagnose.bench import Bench
from loombench.diagnose.suspect import group_of
from loombench.diagnose.verdict import CURED, ONE_CLASS, PROVEN
from loombench.text.names import read_condition
from loombench.vehicle.condition import Setup
from loombench.vehicle.points import Point
from tests.diagnose.vehicles import LAMP, vehicle
from tests.scenarios.played import MOST_STEPS, opened, vehicle_with

MINUS = Point("G1", "-", layer="pin")
CASES = [
    ("open contact W3/a", Point("E7", "2"), 0.0),
    ("open contact W3/a", Point("SP2"), 6.0),
    ("open contact X12.1@boom", Point("E7", "1"), 12.3),
    ("open contact X12.1@boom", Point("S4", "2"), 12.4),
    ("blown F12", Point("E7", "1"), 12.3),
    ("open E7", Point("F12", "out"), 0.0),
    ("open S4.2~X12.1", Point("F12", "out"), 0.0),
]


@cache
def known() -> Bench:
    return bench_for(vehicle(LAMP))


def played(hidden: str, red: Point, false_v: float) -> list[Case]:
    """The case after each step, with the false reading first."""
    car = known().vehicle
    practice = vehicle_with(car, hidden)
    on = read_condition(car, "S4=on").value
    case = opened(car, "E7", practice.look("E7", on), "S4=on", known())
    cases = [take(case, Setup(on, red, MINUS), false_v, TIME)]
    while len(cases) < MOST_STEPS and cases[-1].verdict.state not in (PROVEN, CURED):
        case = cases[-1]
        card = next_step(case)
        assert card is not None, (case.verdict, [one.id for one in case.plan])
        said = practice.reply(case.offered(card.id), case.course.situation.repaired)
        cases.append(answer(case, card.id, said, TIME))
    return cases


@pytest.mark.parametrize(("hidden", "red", "false_v"), CASES)
def test_one_false_reading_ends_neither_in_nothing_nor_in_a_wrong_proof(
    hidden: str, red: Point, false_v: float
) -> None:
    cases = played(hidden, red, false_v)
    fault = read_fault(hidden)
    assert fault is not None
    right = group_of(known().vehicle, fault)
    assert cases[-1].verdict.proven
    assert cases[-1].verdict.groups == (right,)
    assert all(one.verdict.groups == (right,) for one in cases if one.verdict.proven)


def test_the_one_suspect_left_is_named_with_the_reading_against_it_and_is_not_proven_before_its_repair() -> None:
    before, after = played("open E7", Point("F12", "out"), 0.0)[-2:]
    assert before.verdict.state == ONE_CLASS
    assert before.verdict.groups == ("E7",)
    assert [before.belief.observations[row] for row in before.verdict.odd] == [before.course.observations[1]]
    said = verdict(before)
    assert not said.proven
    assert said.text.startswith(catalogue().say("verdict.one-left", suspect=said.suspects[0]))
    assert len(said.odd) == 1
    assert "F12.out" in said.odd[0]
    assert said.odd[0] in said.text
    assert said.odd[0] in card_facts(before, catalogue()).proof
    assert after.verdict.state == CURED
    assert after.verdict.odd == ()


def test_what_is_left_when_the_repair_of_all_others_did_not_help_is_not_proven_by_that() -> None:
    cases = played("open contact W3/a", Point("E7", "2"), 0.0)
    failed = [one for one in cases if one.course.situation.repaired and one.verdict.state != CURED]
    left = failed[0].verdict
    assert (left.groups, left.odd) == (("contact SP2<SP2~E7.1",), ())
    assert not left.proven
