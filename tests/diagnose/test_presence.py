"""What comes and goes: a good reading clears nobody, a bad one counts, and a cure is no proof at once."""

import numpy as np
import pytest

from loombench.app.case import Case, bench_for
from loombench.app.complaints import understand
from loombench.app.finding import answer, complain, next_step, open_case, repaired, see, suspects, take, verdict
from loombench.app.practice import PRACTICE_TIME as TIME
from loombench.diagnose.bench import Bench
from loombench.diagnose.comeback import SURE, looks_for
from loombench.diagnose.expected import nominal, tolerance
from loombench.diagnose.hypothesis import SOUND
from loombench.diagnose.looking import See
from loombench.diagnose.presence import often
from loombench.evidence.complaint import Complaint, History
from loombench.record.memory import MemoryStore
from loombench.vehicle.condition import Condition, Operation, Setup
from loombench.vehicle.points import Point
from tests.diagnose.vehicles import LAMP, vehicle

CAR = vehicle(LAMP)
ON = Condition((Operation("set", "S4", "on"),))
MINUS = Point("G1", "-", layer="pin")
AT_LAMP, AT_SWITCH = (Setup(ON, Point(part, pin), MINUS) for part, pin in (("E7", "1"), ("S4", "2")))
ALWAYS, SOMETIMES = "E7 dead when S4=on", "E7 dead when S4=on, sometimes"


@pytest.fixture(scope="module")
def bench() -> Bench:
    return bench_for(CAR)


def opened(bench: Bench, text: str) -> Case:
    first, *more = understand(CAR, text).value
    assert isinstance(first, Complaint)
    case = open_case(CAR, "0" * 64, first, MemoryStore(), "1", TIME, bench=bench)
    for one in more:
        case = complain(case, one, TIME)
    return case


def share(case: Case, group: str) -> float:
    return float(case.belief.group_share[case.belief.hypotheses.groups.index(group)])


def test_what_was_said_is_kept(bench: Bench) -> None:
    told = understand(CAR, "E7 dead when S4=on, only when moved").value
    assert [(one.symptom, one.presence) for one in told if isinstance(one, Complaint)] == [("dead", "moved")]
    assert [(one.word, one.where) for one in told if isinstance(one, History)] == [("moved", "")]
    assert opened(bench, ALWAYS).belief.bench.presence == 1.0
    assert opened(bench, SOMETIMES).belief.bench.presence == often()


def test_one_good_reading_clears_nobody_who_comes_and_goes(bench: Bench) -> None:
    """12.4 V at the lamp's plug clears the feed of a lamp that is always dead, and not of one that is so at times."""
    before, after = {}, {}
    for text in (ALWAYS, SOMETIMES):
        case = opened(bench, text)
        before[text] = share(case, "contact X12.1")
        after[text] = share(take(case, AT_LAMP, 12.0, TIME), "contact X12.1")
    assert after[ALWAYS] < 0.05 * before[ALWAYS]
    assert after[SOMETIMES] > 0.3 * before[SOMETIMES]


def test_many_good_readings_do_lower_it_step_by_step(bench: Bench) -> None:
    """Against all being well, which is what the readings are like: each time at most the part of looks at which it is
    there is lost."""
    case, good = opened(bench, SOMETIMES), nominal(bench, AT_LAMP)
    assert good is not None
    odds = [share(case, "contact X12.1") / share(case, SOUND)]
    for _ in range(4):
        case = take(case, AT_LAMP, good, TIME)
        odds.append(share(case, "contact X12.1") / share(case, SOUND))
    assert odds == sorted(odds, reverse=True)
    assert odds[-1] == pytest.approx((1.0 - often()) ** 4 * odds[0], rel=0.2)


def test_a_bad_reading_counts_in_full(bench: Bench) -> None:
    """No volts at the lamp: it is before the lamp. Volts at the switch a moment later clear nothing before it."""
    case = take(opened(bench, SOMETIMES), AT_LAMP, 0.0, TIME)
    case = take(case, AT_SWITCH, 12.3, TIME)
    assert share(case, "E7") < 0.01
    assert share(case, "contact W3/a") < 0.01
    out = {one.group for one in suspects(case) if not one.survives}
    assert not {"S4", "contact S4.1", "contact X12.1", "S4.2~X12.1"} & out


def test_not_being_there_this_time_ends_nothing(bench: Bench) -> None:
    case = see(opened(bench, SOMETIMES), "E7", ON, "works", TIME)
    assert verdict(case).state == "searching"
    assert next_step(case) is not None
    assert verdict(see(opened(bench, ALWAYS), "E7", ON, "works", TIME)).state == "not-reproduced"


def gone(bench: Bench, text: str, group: str, before: tuple[str, ...] = ("dead",)) -> Case:
    """Seen before, one thing put right, and the first look after it is good."""
    case = opened(bench, text)
    for word in before:
        case = see(case, "E7", ON, word, TIME)
    return see(repaired(case, group, TIME), "E7", ON, "works", TIME)


def test_gone_after_a_repair_is_no_proof(bench: Bench) -> None:
    for text, state, proven in ((ALWAYS, "cured", True), (SOMETIMES, "searching", False)):
        found = verdict(gone(bench, text, "E7"))
        assert (found.state, found.proven) == (state, proven)
    assert "E7" in verdict(gone(bench, ALWAYS, "E7")).text


def test_looks_after_a_repair_are_so_many_that_what_is_still_there_would_have_shown_itself() -> None:
    for share in (0.1, 0.2, 0.3, 0.5, 0.8):
        looks = looks_for(share)
        assert 1.0 - (1.0 - share) ** looks >= SURE > 1.0 - (1.0 - share) ** (looks - 1)


def test_it_is_looked_at_again_and_again_with_the_spot_moved_before_it_is_said_not_to_be_back(bench: Bench) -> None:
    case = gone(bench, "E7 dead when S4=on, only when moved", "contact X12.1")
    asked = []
    while verdict(case).state == "searching":
        card = next_step(case)
        assert card is not None
        left = looks_for(often()) - 1 - len(asked)
        assert case.looks_owed == left
        assert str(left) in card.why
        asked.append(card.id)
        case = answer(case, card.id, "works", TIME)
    assert verdict(case).state == "not-back"
    moved = [name for name in asked if "wiggle X12" in name]
    assert len(moved) == looks_for(tolerance("provoked").value) == 4
    assert set(asked) == {moved[0], See("E7", ON).id}
    # Nothing can be moved at a lamp.
    assert gone(bench, SOMETIMES, "E7").look_again == See("E7", ON)


def test_it_is_looked_at_oftener_where_it_was_rarely_there(bench: Bench) -> None:
    often_there = gone(bench, SOMETIMES, "E7", ("dead",)).looks_owed
    rarely = gone(bench, SOMETIMES, "E7", ("works", "works", "works", "dead")).looks_owed
    assert often_there == looks_for(often()) - 1
    assert rarely > often_there


def test_a_good_look_with_another_spot_moved_does_not_make_it_gone_again(bench: Bench) -> None:
    moved = Condition((Operation("wiggle", "X12"), *ON.operations))
    case = see(opened(bench, SOMETIMES), "E7", moved, "dead", TIME)
    case = see(repaired(case, "E7", TIME), "E7", ON, "dead", TIME)
    case = see(case, "E7", moved, "works", TIME)
    assert verdict(case).state == "searching"
    assert "E7" not in case.verdict.groups


def test_what_comes_back_is_searched_for_again(bench: Bench) -> None:
    case = see(gone(bench, SOMETIMES, "E7"), "E7", ON, "works", TIME)
    case = see(case, "E7", ON, "dead", TIME)
    assert case.looks_owed == 0
    assert verdict(case).state == "searching"
    assert "E7" not in case.verdict.groups
    assert next_step(case) is not None
    # Late too, when it was said not to be back.
    late = gone(bench, SOMETIMES, "E7")
    while late.look_again is not None:
        late = see(late, "E7", ON, "works", TIME)
    assert verdict(late).state == "not-back"
    assert verdict(see(late, "E7", ON, "dead", TIME)).state == "searching"


def test_moving_a_spot_speaks_for_what_is_there(bench: Bench) -> None:
    """Dead while X12 is moved: its contacts rise; lit while it is moved: they sink more than what was not moved."""
    moved = Condition((Operation("wiggle", "X12"), *ON.operations))
    case = opened(bench, "E7 dead when S4=on, only when moved")
    dead, lit = (see(opened(bench, case.complaint.text), "E7", moved, word, TIME) for word in ("dead", "works"))
    here, elsewhere = "contact X12.1", "contact S4.2"

    def odds(one: Case) -> float:
        return share(one, here) / share(one, elsewhere)

    assert odds(dead) > 1.5 * odds(case)
    assert odds(lit) < 0.8 * odds(case)


def test_all_is_as_before_for_what_is_always_there(bench: Bench) -> None:
    case = take(opened(bench, ALWAYS), AT_LAMP, 0.0, TIME)
    twice = take(opened(bench, ALWAYS), AT_LAMP, 0.0, TIME)
    np.testing.assert_array_equal(case.belief.share, twice.belief.share)
    assert case.belief.bench.presence == 1.0
