"""A load that should be off: what feeds it or switches it is drawn, and it is looked whether it goes off."""

import pytest

from loombench.app.case import Case, bench_for
from loombench.app.finding import answer, next_step, open_case
from loombench.app.practice import PRACTICE_TIME, PracticeVehicle, complaint_of, usual_conditions
from loombench.circuit.fault import Fault, read_fault
from loombench.diagnose.bench import Bench
from loombench.diagnose.looking import See
from loombench.diagnose.safety import cautions
from loombench.diagnose.situation import Situation, cost_of
from loombench.diagnose.verdict import PROVEN
from loombench.evidence.complaint import Complaint
from loombench.record.memory import MemoryStore
from loombench.vehicle.condition import Condition, Operation
from tests.diagnose.vehicles import RELAY, vehicle

HORN = vehicle(RELAY)
GUARDED = vehicle(RELAY + "\nclass hv K4.86\n")
REST, HELD = Condition(), Condition((Operation("set", "S7", "push"),))
BEHIND_OR_INSIDE = (
    ("short K4.87 to supply", "short B7.1 to supply"), ("stuck K4 pulled", "K4"), ("stuck S7 push", "S7")
)  # fmt: skip
MOST_STEPS = 10


@pytest.fixture(name="bench", scope="module")
def _bench() -> Bench:
    return bench_for(HORN)


def fault(text: str) -> Fault:
    found = read_fault(text)
    assert found is not None
    return found


def opened(bench: Bench, complaint: Complaint) -> Case:
    return open_case(bench.vehicle, "0" * 64, complaint, MemoryStore(), "c", PRACTICE_TIME, bench=bench)


def drawn(case: Case) -> set[str]:
    """What is drawn to look at the load of a case."""
    looks = (step for step in case.plan if isinstance(step, See) and step.load == case.load)
    return {operation.target for step in looks for operation in step.condition.operations if operation.verb == "pull"}


@pytest.mark.parametrize(("hidden", "group"), BEHIND_OR_INSIDE)
def test_a_contact_that_does_not_open_and_a_feed_behind_it_are_told_apart(
    bench: Bench, hidden: str, group: str
) -> None:
    complaint = complaint_of(HORN, fault(hidden), usual_conditions(HORN))
    assert complaint is not None
    assert complaint.symptom == "always-on"
    case, practice = opened(bench, complaint), PracticeVehicle(HORN, fault(hidden))
    taken = []
    while not case.verdict.proven:
        card = next_step(case)
        assert card is not None
        assert len(taken) < MOST_STEPS
        taken.append(card.id)
        case = answer(case, card.id, practice.reply(case.offered(card.id), ()), PRACTICE_TIME)
    assert (case.verdict.state, case.verdict.groups) == (PROVEN, (group,))
    assert any(name.startswith("see B7 when pull") for name in taken)


def test_what_feeds_and_switches_a_load_that_should_be_off_is_drawn(bench: Bench) -> None:
    assert drawn(opened(bench, Complaint("B7", "always-on", REST, "B7 always on"))) == {"F1", "F2", "K4"}


def test_nothing_is_drawn_to_look_at_a_load_that_should_be_on(bench: Bench) -> None:
    assert drawn(opened(bench, Complaint("B7", "dead", HELD, "B7 dead"))) == set()


def test_nothing_on_a_forbidden_circuit_is_drawn() -> None:
    case = opened(bench_for(GUARDED), Complaint("B7", "always-on", REST, "B7 always on"))
    assert drawn(case) == {"F1", "F2"}


def test_drawing_and_putting_back_are_paid_for_and_the_caution_comes_first(bench: Bench) -> None:
    look = See("B7", Condition((Operation("pull", "F1"),)))
    here = Situation(frozenset({"box"}))
    plain = See("B7", REST).cost_s(bench, here)
    assert look.cost_s(bench, here) == plain + cost_of("pull-fuse") + cost_of("operate")
    after = look.after(bench, here)
    back = See("B7", REST).cost_s(bench, after)
    assert back == plain + cost_of("pull-fuse") + cost_of("operate")
    assert look.cost_s(bench, Situation()) > look.cost_s(bench, here)
    assert "draw-live" in cautions(bench, look)
    assert "draw-live" not in cautions(bench, See("B7", REST))


def test_the_card_says_what_to_draw(bench: Bench) -> None:
    case = opened(bench, Complaint("B7", "always-on", REST, "B7 always on"))
    card = next_step(case)
    assert card is not None
    card = next_step(answer(case, card.id, "works", PRACTICE_TIME))
    assert card is not None
    assert card.action == "Draw F2 (horn relay, coil). What does B7 (horn) do?"
    assert any("one straight pull" in one for one in card.cautions)
