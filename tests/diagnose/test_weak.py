"""A breaker worn by many trips: it stops a load that takes no more than it should, and is parted from a load that takes
too much by the amperes while it works."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from loombench.app.case import Case, bench_for
from loombench.app.complaints import understand
from loombench.app.finding import answer, next_step, open_case
from loombench.app.practice import PRACTICE_TIME, PracticeVehicle
from loombench.app.stepwords import step_card
from loombench.app.suspectwords import cause_text, fault_text, job_text, suspect_text
from loombench.app.vehicles import open_vehicle
from loombench.base.wording import catalogue
from loombench.circuit.catalogue import single_faults
from loombench.circuit.lower import lower
from loombench.circuit.meter import read as read_meter
from loombench.circuit.operate import run
from loombench.diagnose.choose import Ranked
from loombench.diagnose.condemn import AMPS, unseen
from loombench.diagnose.cooling import once_stopped
from loombench.diagnose.measuring import Measure
from loombench.diagnose.observation import CUTS_OUT, DEAD, PULSING, WORKS
from loombench.diagnose.safety import cautions
from loombench.diagnose.situation import Situation
from loombench.diagnose.verdict import CURED, ONE_CLASS, SEARCHING
from loombench.evidence.complaint import Complaint
from loombench.record.memory import MemoryStore
from loombench.vehicle.condition import RUNNING, Setup
from loombench.vehicle.model import Vehicle
from loombench.vehicle.points import Point
from tests.diagnose.test_complained import read
from tests.diagnose.test_cooling import ON, OVERLOAD, STUCK, state
from tests.diagnose.test_trying import Two
from tests.diagnose.vehicles import BREAKER, vehicle

CAR = vehicle(BREAKER)
TELEHANDLER = Path(__file__).parents[2] / "examples" / "telehandler-roof"
WEAK = "weak Q1 40%"
RATED_A = 10.0
MOST_STEPS = 15


def amps(car: Vehicle, fault: str, condition: str, meter: str = RUNNING) -> float:
    lowered = lower(car, (read(fault),) if fault else ())
    value = read_meter(lowered.value, Setup(state(condition), Point("Q1", "out"), None, meter)).value
    assert value is not None
    return value


def problems(text: str) -> list[str]:
    return [one.code for one in lower(CAR, (read(text),)).problems]


def test_a_weak_breaker_is_of_the_catalogue_and_trips_below_its_rating() -> None:
    assert read(WEAK) in single_faults(CAR)
    look = PracticeVehicle(CAR, read(WEAK)).look
    assert look("M1", ON) == CUTS_OUT
    sound, weak = (run(lower(CAR, some).value, state("S2=on")).point for some in ((), (read(WEAK),)))
    assert look("E1", state("S2=on")) == WORKS, "the map lamp takes less than what is left of the breaker"
    assert weak.current_a("E1") == sound.current_a("E1") > 0.3
    assert PracticeVehicle(CAR, read("weak Q1 90%")).look("M1", ON) == WORKS


def test_nothing_else_is_weak_and_no_share_makes_a_breaker_stronger() -> None:
    assert problems(WEAK) == []
    assert problems("weak M1 40%") == ["fault-unfit"]
    assert problems("weak Q1 100%") == ["fault-unfit"]
    assert problems("weak Q9 40%") == ["fault-target"]


def test_a_clamp_read_while_it_works_shows_what_flowed_before_the_breaker_tripped() -> None:
    assert amps(CAR, WEAK, "S1=on", "clamp") == pytest.approx(0.0, abs=1e-6)
    assert amps(CAR, WEAK, "S1=on") == pytest.approx(amps(CAR, "", "S1=on", "clamp"), rel=1e-6)
    assert amps(CAR, "", "S1=on") < RATED_A < amps(CAR, OVERLOAD, "S1=on")
    cycling = vehicle(BREAKER.replace("stays-open 90s", "cycling"))
    assert amps(cycling, OVERLOAD, "S1=on", "clamp") < amps(cycling, OVERLOAD, "S1=on")
    assert amps(cycling, OVERLOAD, "S1=on") == pytest.approx(amps(CAR, OVERLOAD, "S1=on"), rel=1e-6)


def opened(car: Vehicle, complaint: Complaint) -> Case:
    return open_case(car, "0" * 64, complaint, MemoryStore(), "c", PRACTICE_TIME, bench=bench_for(car))


def course(case: Case, practice: PracticeVehicle) -> Iterator[tuple[str, Case]]:
    """The steps taken, by name, each with the case before it."""
    for _ in range(MOST_STEPS):
        card = next_step(case)
        if card is None:
            break
        yield card.id, case
        step = case.offered(card.id)
        case = answer(case, card.id, practice.reply(step, case.course.situation.repaired), PRACTICE_TIME)
    yield "", case


def test_from_a_complaint_to_the_weak_breaker_of_the_telehandler() -> None:
    """What is hidden has another share of its rating left than the catalogue's."""
    car = open_vehicle(str(TELEHANDLER)).vehicle
    (complaint,) = understand(car, "roof work lamp, front left works a while and stops when S5=on").value
    assert isinstance(complaint, Complaint)
    assert (complaint.target, complaint.symptom) == ("E11", "cuts-out")
    steps = list(course(opened(car, complaint), PracticeVehicle(car, read("weak Q1 45%"))))
    names = [name for name, _ in steps]
    after_the_look = steps[1][1]
    assert after_the_look.verdict.groups == ("Q1",)
    assert after_the_look.verdict.state == SEARCHING
    assert [one.what for one in after_the_look.unseen] == [AMPS]
    amperes, renewed = (
        names.index("running amps at Q1.out when S5=on, S5=off, wait 300s, S5=on"),
        names.index("mend Q1"),
    )
    assert amperes < renewed
    assert steps[renewed][1].verdict.state == ONE_CLASS
    last = steps[-1][1]
    assert (last.verdict.state, last.verdict.groups) == (CURED, ("Q1",))


@pytest.mark.parametrize(("hidden", "group"), [(OVERLOAD, "M1"), ("weak Q1 45%", "Q1")])
def test_amperes_part_a_stiff_motor_from_a_weak_breaker_before_either_is_put_right(hidden: str, group: str) -> None:
    """All faults of the catalogue."""
    complaint = Complaint("M1", "cuts-out", ON, "M1 cuts out when S1=on")
    steps = list(course(opened(CAR, complaint), PracticeVehicle(CAR, read(hidden))))
    names = [name for name, _ in steps]
    read_at = next(k for k, name in enumerate(names) if name.startswith("running amps at Q1.out"))
    put_right = [k for k, name in enumerate(names) if name.startswith("mend ")]
    assert read_at < put_right[0]
    assert names[put_right[0]] == f"mend {group}"
    belief = steps[read_at + 1][1].belief
    shares = dict(zip(belief.hypotheses.groups, belief.group_share.tolist(), strict=True))
    other = "Q1" if group == "M1" else "M1"
    assert shares[group] > 100.0 * shares[other]
    assert (steps[-1][1].verdict.state, steps[-1][1].verdict.groups) == (CURED, (group,))


def clamps(two: Two) -> list[Measure]:
    return [step for step in two.plan() if isinstance(step, Measure) and step.setup.meter == RUNNING]


def test_amperes_are_offered_once_the_load_was_seen_to_stop_by_itself() -> None:
    assert clamps(Two(BREAKER, "M1", "S1=on", OVERLOAD, WEAK, seen=DEAD)) == []
    two = Two(BREAKER, "M1", "S1=on", OVERLOAD, WEAK, seen=CUTS_OUT)
    (step,) = clamps(two)
    assert step.id == "running amps at Q1.out when S1=on, S1=off, wait 90s, S1=on"
    assert two.apart(step) > 0.9
    assert once_stopped(two.belief, Situation(condition=ON), step) == ""
    assert cautions(two.bench, step)[:2] == ("cooling", "moving")
    cycling = Two(BREAKER.replace("stays-open 90s", "cycling"), "M1", "S1=on", OVERLOAD, WEAK, seen=PULSING)
    assert [one.id for one in clamps(cycling)] == ["running amps at Q1.out when S1=on"]
    by_hand = Two(BREAKER.replace("stays-open 90s", "manual"), "M1", "S1=on", OVERLOAD, WEAK, seen=CUTS_OUT)
    assert [one.id for one in clamps(by_hand)] == ["running amps at Q1.out when S1=on"]


def test_a_breaker_that_is_open_for_good_owes_no_amperes() -> None:
    two = Two(BREAKER, "M1", "S1=on", WEAK, STUCK, seen=DEAD)
    assert unseen(two.belief, ("Q1",), two.where, "M1", ON) == ()
    two = Two(BREAKER, "M1", "S1=on", WEAK, STUCK, seen=CUTS_OUT)
    assert [(one.what, one.at) for one in unseen(two.belief, ("Q1",), two.where, "M1", ON)] == [(AMPS, "Q1.out")]
    assert unseen(two.belief, ("M1",), two.where, "M1", ON) == ()


@pytest.mark.parametrize(
    ("language", "clamp", "rating"),
    [
        ("en", "Zero the clamp at this spot, put it round all leads at Q1.out and leave it there.", "rated at 10 A"),
        ("de", "Stromzange an dieser Stelle auf null stellen, um alle Leitungen an Q1.out legen", "10 A Nennstrom"),
    ],
)
def test_the_card_puts_the_clamp_on_before_the_load(language: str, clamp: str, rating: str) -> None:
    words = catalogue(language)
    for text, cools in ((BREAKER, "90 s"), (BREAKER.replace("stays-open 90s", "manual"), "Q1 (blower)")):
        two = Two(text, "M1", "S1=on", OVERLOAD, WEAK, seen=CUTS_OUT)
        (step,) = clamps(two)
        ranked = Ranked(step, 1.0, 120.0)
        card = step_card(two.belief, Situation(condition=ON), ranked, two.belief.share, "best-rate", (), words)
        assert card.action.startswith(clamp)
        assert cools in card.action
        assert rating in card.action
        named = [meaning.suspects for meaning in card.meanings]
        assert [len(names) for names in named] == [1, 1]
        assert "Q1" in named[0][0]
        assert "M1" in named[1][0]


def test_the_repair_says_first_that_a_larger_breaker_is_no_cure() -> None:
    two = Two(BREAKER, "M1", "S1=on", OVERLOAD, WEAK, seen=CUTS_OUT)
    en, de = catalogue("en"), catalogue("de")
    assert suspect_text(two.bench, "Q1", en) == "breaker Q1"
    assert job_text(two.bench, "Q1", en).startswith("A breaker of a larger rating is never the cure")
    assert job_text(two.bench, "Q1", de).startswith("Ein Sicherungsautomat mit größerem Nennstrom ist nie die Abhilfe")
    assert "10 A" in job_text(two.bench, "Q1", en)
    assert cause_text(two.bench, "Q1", en).startswith("Breakers grow weak by tripping often")
    assert fault_text(CAR, read(WEAK), en) == "Q1 is weak: trips as if it were rated at 40% of what is on it"
    assert "40%" in fault_text(CAR, read(WEAK), de)
