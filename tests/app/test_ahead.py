"""Working ahead: every answer is followed, nothing of it is kept, and it can be left at any question."""

import threading
from dataclasses import replace

import pytest

from loombench.app.ahead import look_ahead
from loombench.app.cards import StepCard
from loombench.app.case import Case, bench_for
from loombench.app.finding import answer, next_step, open_case
from loombench.app.practice import PRACTICE_TIME as TIME
from loombench.base.wording import catalogue
from loombench.diagnose.answers import likely_answers
from loombench.diagnose.belief import strikes
from loombench.diagnose.choose import question
from loombench.diagnose.forecast import Readings, Sights
from loombench.evidence.complaint import Complaint
from loombench.record.memory import MemoryStore
from loombench.shell.ahead import working_ahead
from loombench.vehicle.condition import Condition, Operation
from tests.diagnose.vehicles import LAMP, vehicle

ON = Condition((Operation("set", "S4", "on"),))


def opened() -> Case:
    """A case with nothing known of its vehicle yet."""
    complaint = Complaint("E7", "dead", ON, "E7 dead when S4=on")
    car = vehicle(LAMP)
    return open_case(car, "0" * 64, complaint, MemoryStore(), "c1", TIME, bench=bench_for(car))


@pytest.fixture
def case() -> Case:
    return opened()


class Asked:
    """A forecast that counts what it is asked for the first time."""

    def __init__(self, forecast: object) -> None:
        self.forecast, self.conditions = forecast, list[str]()

    def readings(self, setups: list[object], needed: object = None) -> Readings:
        self.conditions += [str(setup.condition) for setup in setups]  # type: ignore[attr-defined]
        return self.forecast.readings(setups, needed)  # type: ignore[attr-defined,no-any-return]

    def sights(self, condition: object, needed: object = None) -> Sights:
        self.conditions.append(str(condition))
        return self.forecast.sights(condition, needed)  # type: ignore[attr-defined,no-any-return]

    def taken_back(self) -> int:
        return 0

    def dear(self, condition: object) -> object:
        return self.forecast.dear(condition)  # type: ignore[attr-defined]


def test_each_answer_of_a_card_is_followed_and_none_is_kept(case: Case) -> None:
    card = next_step(case)
    assert card is not None
    found = likely_answers(case.belief, case.course.situation, case.offered(card.id))
    assert {value for value, _ in found} == {one.mark for one in card.meanings}
    assert [chance for _, chance in found] == sorted((chance for _, chance in found), reverse=True)
    before = case.events
    assert look_ahead(case, card, lambda: False) >= len(card.meanings)
    assert case.events == before
    assert case.store.read(case.id).value == before


def test_what_was_worked_out_ahead_is_what_the_next_step_asks_for(case: Case) -> None:
    asked = Asked(case.bench.forecast)
    watched = replace(case, bench=replace(case.bench, forecast=asked))
    card = next_step(watched)
    assert card is not None
    look_ahead(watched, card, lambda: False)
    ahead = set(asked.conditions)
    asked.conditions.clear()
    assert next_step(answer(watched, card.id, "dead", TIME)) is not None
    assert set(asked.conditions) <= ahead


def measured(case: Case) -> tuple[Case, StepCard]:
    """The case at its first step with a number for an answer."""
    card = next_step(case)
    while card is not None and not card.unit:
        case = answer(case, card.id, card.meanings[0].mark, TIME)
        card = next_step(case)
    assert card is not None
    return case, card


def test_a_number_is_tried_for_each_outcome_that_some_suspect_makes_the_meter_show(case: Case) -> None:
    later, card = measured(case)
    step = later.offered(card.id)
    share, _ = question(later.belief)
    outcomes = step.outcomes(later.belief.bench, share, later.course.situation).outcomes
    found = likely_answers(later.belief, later.course.situation, step)
    inside = [[k for k, one in enumerate(outcomes) if one.low <= float(value) <= one.high] for value, _ in found]
    assert sorted(k for some in inside for k in some) == list(range(len(outcomes)))
    # The likeliest one is a reading by which a suspect is left that nothing speaks against.
    after = answer(later, card.id, found[0][0], TIME)
    assert strikes(after.belief)[after.belief.hypotheses.group == after.belief.best()].min() == 0


def test_after_each_answer_those_of_the_card_it_leads_to_are_followed(case: Case) -> None:
    later, card = measured(case)
    found = likely_answers(later.belief, later.course.situation, later.offered(card.id))
    assert look_ahead(later, card, lambda: False) > len(found)


def test_it_is_left_as_soon_as_the_person_has_answered(case: Case) -> None:
    card = next_step(case)
    assert card is not None
    assert look_ahead(case, card, lambda: True) == 0


def test_it_is_left_where_it_would_take_the_room_of_what_the_case_stands_on(case: Case) -> None:
    card = next_step(case)
    assert card is not None
    room = case.bench.room
    room.most_bytes, before = room.kept_bytes, room.dropped
    room_for_all = look_ahead(opened(), card, lambda: False)
    assert look_ahead(case, card, lambda: False) < room_for_all
    assert room.dropped == before


def test_nothing_works_on_after_the_line_has_come(case: Case) -> None:
    card = next_step(case)
    with working_ahead(case, card, catalogue(), 0.0):
        workers = threading.active_count()
    assert threading.active_count() == workers - 1
    with working_ahead(case, None, catalogue()):
        assert threading.active_count() == workers - 1


def test_which_step_comes_next_does_not_hang_on_what_was_worked_out_ahead() -> None:
    def steps(ahead: bool) -> list[str]:
        later = opened()
        found = list[str]()
        while (card := next_step(later)) is not None and len(found) < 5:
            found.append(card.id)
            if ahead:
                look_ahead(later, card, lambda: False)
            (value, _), *_ = likely_answers(later.belief, later.course.situation, later.offered(card.id))
            later = answer(later, card.id, value, TIME)
        return found

    found = steps(ahead=False)
    assert len(found) > 2
    assert steps(ahead=True) == found
