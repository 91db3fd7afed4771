"""What a breaker stops by heat: it works a while, stops, and works again once the breaker has cooled."""

from collections.abc import Iterator

import numpy as np
import pytest

from loombench.app.case import Case, bench_for
from loombench.app.complaints import understand
from loombench.app.finding import answer, next_step, open_case
from loombench.app.practice import PRACTICE_TIME, PracticeVehicle
from loombench.app.stepwords import step_card
from loombench.base.wording import catalogue
from loombench.circuit.fault import read_fault
from loombench.diagnose.belief import Belief, update
from loombench.diagnose.bench import Bench
from loombench.diagnose.choose import Ranked, choose
from loombench.diagnose.cooling import left_to_cool
from loombench.diagnose.looking import See
from loombench.diagnose.looks import plainly
from loombench.diagnose.measuring import Measure
from loombench.diagnose.observation import CUTS_OUT, DEAD, PULSING, SEEN, WORKS, LoadSeen
from loombench.diagnose.region import region
from loombench.diagnose.safety import allowed, cautions
from loombench.diagnose.situation import Situation, cost_of, differing
from loombench.diagnose.step import Step
from loombench.diagnose.stepname import read_condition, read_step
from loombench.diagnose.verdict import PROVEN
from loombench.evidence.complaint import Complaint
from loombench.record.memory import MemoryStore
from loombench.vehicle.condition import Condition, Setup
from loombench.vehicle.points import PIN, Point
from tests.diagnose.test_complained import LIKELY, TIMES, bench_of, likelihoods, read, told
from tests.diagnose.test_trying import Two
from tests.diagnose.vehicles import BREAKER, LAMP, vehicle

CAR = vehicle(BREAKER)
MOST_STEPS = 15
OVERLOAD, NEAR, HARD = "dragging M1 200%", "short S1.2 to ground 0.6ohm", "short S1.2 to ground 0.005ohm"
BEFORE_SWITCH, OPEN, STUCK = "short SP1 to ground 0.6ohm", "open M1", "stuck Q1 tripped"


def state(text: str) -> Condition:
    found = read_condition(text)
    assert found is not None
    return found


ON = state("S1=on")
COOLED = state("S1=on, S1=off, wait 90s, S1=on")


@pytest.fixture(name="bench", scope="module")
def _bench() -> Bench:
    return bench_of(CAR, [read(one) for one in (OVERLOAD, NEAR, HARD, BEFORE_SWITCH, OPEN, STUCK)])


def chances(bench: Bench, condition: Condition, word: str) -> dict[str, float]:
    """The likelihood of a look made on purpose, by fault."""
    found = update(Belief(bench), (LoadSeen("M1", word, condition, True),)).support[0]
    return dict(zip(bench.hypotheses.groups, np.exp(found).tolist(), strict=True))


@pytest.mark.parametrize("text", ["blower cuts out when S1=on", "M1 works a while and stops when S1=on"])
def test_a_load_that_works_a_while_and_stops_is_behind_a_breaker_that_trips(bench: Bench, text: str) -> None:
    complaint = told(CAR, text)
    assert complaint.symptom == "cuts-out"
    found = dict(zip(bench.hypotheses.groups, likelihoods(bench, complaint).tolist(), strict=True))
    assert found[OVERLOAD] > LIKELY
    assert found[OVERLOAD] > TIMES * max(found["sound"], found[OPEN], found[STUCK], found[HARD])
    assert PracticeVehicle(CAR, read(OVERLOAD)).look("M1", complaint.condition) == CUTS_OUT
    assert PracticeVehicle(CAR, read(HARD)).look("M1", complaint.condition) == DEAD


def test_it_is_understood_in_german() -> None:
    outcome = understand(CAR, "M1 geht eine Weile, dann nicht mehr wenn S1=on", catalogue("de"))
    assert [one.symptom for one in outcome.value if isinstance(one, Complaint)] == ["cuts-out"]


def test_a_slow_rhythm_is_said_either_way_and_a_quick_one_is_not() -> None:
    """A cycling breaker at 1.5 times its rating works for a minute or so; at three times for seconds."""
    car = vehicle(BREAKER.replace("stays-open 90s", "cycling"))
    bench = bench_of(car, [read(OVERLOAD), read("short S1.2 to ground 0.3ohm")])
    slow = chances(bench, ON, CUTS_OUT)
    assert slow[OVERLOAD] > 0.1
    assert chances(bench, ON, PULSING)[OVERLOAD] > 0.1
    assert slow["sound"] < 1e-4
    assert chances(bench, ON, PULSING)["short S1.2 to ground 0.3ohm"] > slow["short S1.2 to ground 0.3ohm"]


def test_what_is_left_to_cool_shows_whether_the_breaker_trips_again(bench: Bench) -> None:
    """Before, it may be open from another time; after it, what is dead has an open circuit, or a short before the
    switch that the breaker is heated through, or one that trips it at once."""
    dead, cooled = chances(bench, ON, DEAD), chances(bench, COOLED, DEAD)
    assert dead[OVERLOAD] > 0.4
    assert cooled[OVERLOAD] < 0.2
    assert chances(bench, COOLED, CUTS_OUT)[OVERLOAD] + chances(bench, COOLED, WORKS)[OVERLOAD] > 0.8
    for fault in (OPEN, STUCK, BEFORE_SWITCH, HARD):
        assert cooled[fault] > 0.99, fault
        assert chances(bench, COOLED, CUTS_OUT)[fault] < 1e-4, fault
    sights = bench.forecast.sights(ON)
    words = [SEEN[word] for word in plainly(sights, "M1")]
    assert words == [WORKS, CUTS_OUT, CUTS_OUT, DEAD, DEAD, DEAD, DEAD], (
        "a short before the switch has tripped it before"
    )


def test_too_short_a_wait_is_no_wait(bench: Bench) -> None:
    short = state("S1=on, S1=off, wait 60s, S1=on")
    assert chances(bench, short, DEAD)[OVERLOAD] > 0.99
    assert chances(bench, short, CUTS_OUT)[OVERLOAD] < 1e-4


def test_a_pause_is_made_as_it_stands_however_the_vehicle_was_set_before() -> None:
    assert [str(one) for one in COOLED.pause] == ["S1=off", "wait 90s", "S1=on"]
    for text in ("S1=on", "S1=on, wait 90s", "S1=on, wait 90s, S2=on", "S1=on, S1=off, wait 90s", "S1=off, S1=on"):
        assert state(text).pause == (), text
    done = [str(one) for one in differing(CAR, state("S2=on"), COOLED)]
    assert done == ["S2=off", "S1=on", "S1=off", "wait 90s", "S1=on"]
    assert [str(one) for one in differing(CAR, ON, COOLED)] == ["S1=off", "wait 90s", "S1=on"]
    assert [str(one) for one in differing(CAR, state("S2=on, S1=on"), COOLED)][-3:] == ["S1=off", "wait 90s", "S1=on"]
    assert [str(one) for one in differing(CAR, COOLED, ON)] == []


def waits(bench: Bench, *seen: LoadSeen, load: str = "M1", condition: Condition = ON) -> Iterator[See]:
    belief = update(Belief(bench), seen)
    where = region(bench.vehicle, (load,))
    return left_to_cool(bench, belief, where, bench.forecast.sights(condition), load, condition)


def test_waiting_is_offered_where_a_suspect_trips_a_breaker_that_cools(bench: Bench) -> None:
    (step,) = waits(bench, LoadSeen("M1", DEAD, ON, True))
    assert step.id == "see M1 when S1=on, S1=off, wait 90s, S1=on"
    assert step.kind == "wait"
    assert read_step(step.id) == step
    assert allowed(bench, step)
    assert cautions(bench, step)[0] == "cooling"
    assert "asleep" not in cautions(bench, step)
    spent = step.cost_s(bench, Situation(condition=ON))
    assert spent == pytest.approx(90.0 + 2.0 * cost_of("set-state") + cost_of("operate") + cost_of("look-load"))
    assert step.after(bench, Situation(condition=ON)).condition == COOLED


def test_waiting_is_offered_nowhere_else() -> None:
    dead = LoadSeen("M1", DEAD, ON, True)
    for text in (BREAKER.replace("stays-open 90s", "manual"), BREAKER.replace("stays-open 90s", "cycling")):
        assert list(waits(bench_of(vehicle(text), [read(OVERLOAD), read(OPEN)]), dead)) == []
    assert list(waits(bench_of(CAR, [read(OPEN), read(STUCK)]), dead)) == [], "no suspect trips it"
    whole = LoadSeen("M1", WORKS, ON, True)
    assert list(waits(bench_of(CAR, [read(HARD), read(OPEN)]), whole)) == [], "it has not tripped"
    lamp = bench_of(vehicle(LAMP), [read("short X12.1@boom to ground"), read("open X12.1@boom~SP2")])
    on = state("S4=on")
    assert list(waits(lamp, LoadSeen("E7", DEAD, on, True), load="E7", condition=on)) == [], "a fuse does not cool"


def test_with_no_time_said_it_waits_as_long_as_any_takes() -> None:
    unsaid = bench_of(vehicle(BREAKER.replace("stays-open 90s", "stays-open")), [read(OVERLOAD), read(STUCK)])
    (step,) = waits(unsaid, LoadSeen("M1", DEAD, ON, True))
    assert step.id == "see M1 when S1=on, S1=off, wait 300s, S1=on"


def opened(bench: Bench, hidden: str) -> tuple[Case, PracticeVehicle]:
    fault = read_fault(hidden)
    assert fault is not None
    complaint = Complaint("M1", "dead", ON, "M1 dead when S1=on")
    case = open_case(CAR, "0" * 64, complaint, MemoryStore(), "c", PRACTICE_TIME, bench=bench)
    return case, PracticeVehicle(CAR, fault)


def test_a_case_ends_with_what_trips_the_breaker() -> None:
    """All faults of the catalogue; the person finds the load dead at first, as the breaker is open from before."""
    case, practice = opened(bench_for(CAR), OVERLOAD)
    taken = []
    while not case.verdict.proven:
        card = next_step(case)
        assert card is not None
        assert len(taken) < MOST_STEPS
        step = case.offered(card.id)
        taken.append(step.kind)
        case = answer(case, card.id, DEAD if step.kind == "verify" else practice.reply(step, ()), PRACTICE_TIME)
    assert (case.verdict.state, case.verdict.groups) == (PROVEN, ("M1",))
    assert "wait" in taken


@pytest.mark.parametrize(("word", "left"), [(CUTS_OUT, "M1"), (WORKS, "M1"), (DEAD, "Q1")])
def test_waiting_tells_what_trips_a_breaker_from_one_that_is_open_for_good(word: str, left: str) -> None:
    """No volts part the two, and it is the shortest way where the load is far."""
    far = BREAKER.replace("reach 4min", "reach 20min")
    two = Two(far, "M1", "S1=on", OVERLOAD, STUCK)
    seen = Situation(condition=ON, done=frozenset({"see M1 when S1=on"}))
    choice = choose(two.belief, seen, two.plan())
    assert choice.step is not None
    assert choice.step.kind == "wait"
    after = update(two.belief, (choice.step.observe(seen, word),))
    assert after.hypotheses.groups[after.best()] == left
    assert after.group_share[after.best()] > 0.8


def test_the_card_says_the_caution_before_what_is_done() -> None:
    two = Two(BREAKER, "M1", "S1=on", OVERLOAD, STUCK)
    seen = Situation(condition=ON, done=frozenset({"see M1 when S1=on"}))
    (step,) = (one for one in two.plan() if one.kind == "wait")
    for language, first, said in (("en", "A breaker that trips", EN), ("de", "Ein Sicherungsautomat, der auslöst", DE)):
        words = catalogue(language)
        card = step_card(two.belief, seen, Ranked(step, 1.0, 120.0), two.belief.share, "best-rate", (), words)
        assert card.cautions[0].startswith(first)
        assert card.action == said
        assert CUTS_OUT in card.choices
        named = {one.mark: one.suspects for one in card.meanings}
        assert named[CUTS_OUT] == named[WORKS]
        assert [("M1" in named[word][0], "Q1" in named[word][0]) for word in (CUTS_OUT, DEAD)] == [TRUE, REVERSE]


def test_volts_behind_a_breaker_are_read_once_it_has_tripped() -> None:
    """That is where the circuit comes to rest; before, another value would be read, and speak against the truth."""
    two = Two(BREAKER, "M1", "S1=on", OVERLOAD, STUCK, seen=CUTS_OUT)
    volts = Measure(Setup(ON, Point("Q1", "out"), Point("G1", "-", layer=PIN)))
    off = Measure(Setup(state("S1=on, S1=off"), Point("Q1", "out"), Point("G1", "-", layer=PIN)))

    def action(step: Step, belief: Belief, language: str = "en") -> tuple[str, str]:
        situation = Situation(condition=ON)
        card = step_card(belief, situation, Ranked(step, 1.0, 40.0), belief.share, "best-rate", (), catalogue(language))
        return card.action, card.cautions[0]

    said, caution = action(volts, two.belief)
    assert said.startswith("Leave M1 (blower) on until it stops by itself; all this is read then. Red lead to Q1.out")
    assert caution.startswith("A breaker that trips")
    assert action(volts, two.belief, "de")[0].startswith("M1 (blower) eingeschaltet lassen, bis es von selbst aufhört")
    assert not action(off, two.belief)[0].startswith("Leave")
    dead = Two(BREAKER, "M1", "S1=on", OVERLOAD, STUCK)
    assert action(volts, dead.belief)[0].startswith("Red lead")


TRUE, REVERSE = (True, False), (False, True)
EN = (
    "Set S1 (blower) to off. Wait 90 s. Set S1 (blower) to on. "
    "Watch M1 (blower) for some minutes: does it work again, and how long does it stay on?"
)
DE = (
    "S1 (blower) auf „off“ stellen. 90 s warten. S1 (blower) auf „on“ stellen. "
    "M1 (blower) einige Minuten beobachten: Arbeitet es wieder, und wie lange bleibt es an?"
)
