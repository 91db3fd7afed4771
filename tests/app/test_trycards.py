"""The cards of what is tried out: a colleague's words, the caution before, what is left on is written down."""

import pytest

from loombench.app.case import Case, bench_for
from loombench.app.finding import answer, open_case
from loombench.app.stepwords import step_card
from loombench.base.wording import catalogue
from loombench.diagnose.bench import Bench
from loombench.diagnose.choose import Ranked
from loombench.diagnose.looking import See
from loombench.diagnose.measuring import Measure
from loombench.diagnose.situation import Situation
from loombench.diagnose.step import Step
from loombench.diagnose.stepname import read_step
from loombench.evidence.complaint import Complaint
from loombench.evidence.events import TemporaryMeasure
from loombench.record.memory import MemoryStore
from loombench.text.names import find_point, read_condition
from loombench.vehicle.condition import Condition, Setup
from tests.diagnose.vehicles import LAMP, vehicle

TIME = "2026-03-02T14:05:00+01:00"


@pytest.fixture(scope="module")
def bench() -> Bench:
    return bench_for(vehicle(LAMP))


def opened(bench: Bench) -> Case:
    state = read_condition(bench.vehicle, "S4=on").value
    return open_case(
        bench.vehicle, "0", Complaint("E7", "dead", state, "E7 dead"), MemoryStore(), "c", TIME, bench=bench
    )


def card_text(bench: Bench, step: Step, state: str = "") -> tuple[str, tuple[str, ...]]:
    case = opened(bench)
    now = Situation(condition=read_condition(bench.vehicle, state).value if state else Condition())
    ranked = Ranked(step, 0.0, 0.0)
    card = step_card(case.belief, now, ranked, case.belief.share, "best-rate", (), catalogue())
    return card.action, card.cautions


def see(bench: Bench, load: str, state: str) -> See:
    return See(load, read_condition(bench.vehicle, state).value)


def volts(bench: Bench, red: str, black: str, state: str) -> Measure:
    points = [find_point(bench.vehicle, name).value for name in (red, black)]
    assert points[0] is not None
    return Measure(Setup(read_condition(bench.vehicle, state).value, points[0], points[1]))


def test_the_words_say_what_to_do_in_the_order_it_is_done(bench: Bench) -> None:
    assert card_text(bench, see(bench, "E7", "ground E7.2, S4=on"))[0] == (
        "Clip a lead from E7.2 (left) to battery minus. Set S4 (work lamps) to on. What does E7 (left) do?"
    )
    assert card_text(bench, see(bench, "E7", "feed E7.1 10A"))[0] == (
        "Clip a lead with a 10 A fuse from battery plus to E7.1 (left). What does E7 (left) do?"
    )
    moved = card_text(bench, see(bench, "E7", "wiggle X12, S4=on"))[0]
    assert (
        moved == "Set S4 (work lamps) to on. Push, pull and twist X12, gently, while you watch. What does E7 (left) do?"
    )
    assert card_text(bench, volts(bench, "F12.out", "G1.-", "limiter F12, S4=on"))[0].startswith(
        "Switch off, draw F12 (work lamps) and put a 55 W lamp in its socket. Set S4 (work lamps) to on. "
        "Red lead to F12.out"
    )
    assert card_text(bench, volts(bench, "E7.1:pin", "E7.2:pin", "substitute E7, S4=on"))[0] == (
        "Switch off, take E7 (left) off and put a 55 W lamp on its plug in its place. Set S4 (work lamps) to on. "
        "Meter across that lamp, red lead at the end that goes to E7.1. How many volts?"
    )
    grip = read_step("grip of contact X12.1")
    assert grip is not None
    assert card_text(bench, grip)[0].startswith("Unplug X12 and draw a matching terminal through X12.1")


def test_what_was_put_on_is_taken_off_by_the_next_step(bench: Bench) -> None:
    after = card_text(bench, see(bench, "E8", "S4=on"), "ground E7.2, S4=on")[0]
    assert after == "Take the lead off E7.2 (left). What does E8 (right) do?"
    assert "put F12 (work lamps) back" in card_text(bench, see(bench, "E8", "S4=on"), "limiter F12, S4=on")[0]


def test_a_caution_stands_before_each(bench: Bench) -> None:
    for step, word in (
        (see(bench, "E7", "ground E7.2, S4=on"), "Only ever to a ground wire"),
        (see(bench, "E7", "feed E7.1 10A"), "People, hands and objects clear first"),
        (see(bench, "E7", "wiggle X12, S4=on"), "may hide the fault"),
        (volts(bench, "F12.out", "G1.-", "limiter F12, S4=on"), "never a bridge"),
        (volts(bench, "E7.1:pin", "E7.2:pin", "substitute E7, S4=on"), "gets hot"),
    ):
        assert any(word in caution for caution in card_text(bench, step)[1]), step.id


def test_a_lead_that_feeds_past_the_switches_is_written_down_as_temporary(bench: Bench) -> None:
    case = opened(bench)
    step = see(bench, "E7", "feed E7.1 10A")
    case.__dict__["plan"] = (step,)
    case = answer(case, step.id, "works", TIME)
    noted = [one.payload for one in case.events if isinstance(one.payload, TemporaryMeasure)]
    assert noted == [TemporaryMeasure("Fed lead with a 10 A fuse from battery plus to E7.1 (left): to be taken off.")]
    assert case.course.observations[-1] == step.observe(Situation(), "works")
