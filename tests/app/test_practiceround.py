"""Rounds of practice: dealt by seed, replayed from their acts, with nothing of what is hidden before the end."""

from pathlib import Path

import pytest

from loombench.app.circuits import Circuits
from loombench.app.dealing import EASY, HARD, LEVELS, MIDDLE, Dealt, deal
from loombench.app.drawing import Drawings
from loombench.app.practice import complaint_of
from loombench.app.practiceend import best_path, hidden_texts
from loombench.app.practiceround import Standing, Table
from loombench.base.wording import catalogue
from loombench.circuit.fault import read_fault
from loombench.diagnose.looking import See
from loombench.diagnose.measuring import Measure
from loombench.diagnose.safety import suspect_allowed
from loombench.diagnose.situation import Situation, cost_of
from loombench.diagnose.suspect import group_of
from loombench.text.load import load_file, load_text
from loombench.text.names import read_condition
from loombench.vehicle.condition import Condition, Setup
from loombench.vehicle.graph import battery_minus
from loombench.vehicle.model import Vehicle
from loombench.vehicle.points import Point
from tests.app.test_circuits import KEPT_OFF
from tests.web.server import LAMP

EXAMPLES = Path(__file__).parents[2] / "examples"
ROOF = load_file(EXAMPLES / "telehandler-roof").value
LAMPS = load_text(LAMP).value
WORDS = catalogue()


def task(vehicle: Vehicle, *faults: str, load: str = "E7", operations: str = "S4=on") -> Dealt:
    """A task with what is written hidden."""
    hidden = tuple(fault for fault in (read_fault(text) for text in faults) if fault is not None)
    assert len(hidden) == len(faults)
    complaint = complaint_of(vehicle, hidden, (read_condition(vehicle, operations).value, Condition()))
    assert complaint is not None
    return Dealt(EASY, 1, hidden, complaint, load)


@pytest.fixture(scope="module")
def lamps() -> Table:
    """The lamp, to play on."""
    return Table(Circuits(LAMPS))


def played(table: Table, dealt: Dealt, *acts: str) -> Standing:
    return table.played(dealt, acts, WORDS)


@pytest.mark.parametrize("level", LEVELS)
def test_a_task_is_the_same_for_ever_and_somebody_would_complain(level: str) -> None:
    drawings, circuits = Drawings(ROOF), Circuits(ROOF)
    dealt = [deal(drawings, circuits, level, seed) for seed in range(4)]
    again = [deal(Drawings(ROOF), Circuits(ROOF), level, seed) for seed in range(4)]
    assert dealt == again
    for one in dealt:
        assert one is not None
        assert complaint_of(ROOF, one.hidden, (one.complaint.condition,)) is not None
        assert all(suspect_allowed(ROOF, circuits.nets, fault) for fault in one.hidden)
        assert one.complaint.target in next(made.loads for made in drawings.functions if made.key == one.function)
        if level == EASY:
            assert {fault.mode for fault in one.hidden} <= {"open", "blown"}
        if level == MIDDLE:
            assert all(fault.mode != "open" or "W" in fault.target for fault in one.hidden)
        if level == HARD:
            assert len(one.hidden) == 2 or one.hidden[0].mode not in ("open", "blown", "resistance")
    assert len({one.hidden for one in dealt if one is not None}) > 1


def test_two_faults_each_show_by_themselves() -> None:
    drawings, circuits = Drawings(ROOF), Circuits(ROOF)
    pairs = [one for one in (deal(drawings, circuits, HARD, seed) for seed in range(12)) if one and len(one.hidden) > 1]
    assert pairs
    for one in pairs:
        assert len({group_of(ROOF, fault) for fault in one.hidden}) == 2
        conditions = (one.complaint.condition, Condition())
        assert all(complaint_of(ROOF, (fault,), conditions) is not None for fault in one.hidden)


def test_nothing_is_dealt_where_nobody_could_complain() -> None:
    empty = load_text('loombench 1\nvehicle "Empty" 12V\n').value
    assert deal(Drawings(empty), Circuits(empty), EASY, 1) is None
    with pytest.raises(KeyError):
        deal(Drawings(LAMPS), Circuits(LAMPS), "hopeless", 1)


def test_acts_cost_what_the_steps_of_a_case_cost(lamps: Table) -> None:
    dealt = task(LAMPS, "open E7")
    standing = played(lamps, dealt, "look E7", "do S4=on", "look E7", "read voltmeter E7.1")
    assert [one.said for one in standing.acts] == ["dead", "Done.", "dead", "12.65 V"]
    assert [one.title for one in standing.acts] == ["Look at E7", "S4=on", "Look at E7", "voltmeter on E7.1"]
    on = read_condition(LAMPS, "S4=on").value
    setup = Setup(on, Point("E7", "1"), battery_minus(LAMPS))
    before = See("E7", on).after(lamps.bench, Situation(reached=frozenset(), condition=on))
    assert standing.acts[1].cost_s == cost_of("set-state")
    assert standing.acts[3].cost_s == Measure(setup).cost_s(lamps.bench, before)
    # The meter is out and the black lead is on: the second reading is cheaper.
    again = played(lamps, dealt, "do S4=on", "read voltmeter E7.1", "read voltmeter S4.1")
    assert again.acts[2].cost_s < again.acts[1].cost_s
    assert again.minutes == pytest.approx(sum(one.cost_s for one in again.acts) / 60.0)


def test_a_good_part_is_condemned_and_then_the_bad_one(lamps: Table) -> None:
    dealt = task(LAMPS, "open E7")
    wrong = played(lamps, dealt, "condemn S4")
    assert (wrong.over, wrong.cured, len(wrong.wrong)) == (False, False, 1)
    assert wrong.acts[0].cost_s > cost_of("wrong-part")
    right = played(lamps, dealt, "condemn S4", "condemn E7", "look E7")
    assert (right.over, right.cured, len(right.wrong), len(right.acts)) == (True, True, 1, 2)
    assert "works" in right.acts[1].said
    (hidden,) = hidden_texts(lamps, dealt, WORDS)
    assert "E7" in hidden


def test_of_two_faults_both_have_to_be_found(lamps: Table) -> None:
    dealt = task(LAMPS, "open E7", "open S4.2~E7.1")
    half = played(lamps, dealt, "condemn E7")
    assert (half.over, len(half.wrong)) == (False, 0)
    assert "dead" in half.acts[0].said
    assert played(lamps, dealt, "condemn E7", "condemn S4.2~E7.1").cured


def test_what_is_unsafe_is_not_done_but_counted() -> None:
    table = Table(Circuits(KEPT_OFF))
    dealt = task(KEPT_OFF, "open E1", load="E1", operations="S1=on")
    for act, why in {
        "read voltmeter A7.X1/3": "maker's procedure",
        "do unplug A7": "maker's procedure",
        "read ohmmeter S1.1 G1.-": "Ohms only on a dead circuit",
        "bridge F1": "never a bridge",
        "condemn A7.X1/3": "maker's procedure",
    }.items():
        known = act.removeprefix("condemn ") in table.bench.hypotheses.groups or not act.startswith("condemn")
        standing = played(table, dealt, act)
        assert len(standing.unsafe) == (1 if known else 0), act
        assert standing.situation == Situation()
        assert standing.minutes == 0.0
        assert not known or why in standing.acts[0].unsafe


def test_a_meter_of_practice_is_put_where_the_leads_are(lamps: Table) -> None:
    dealt = task(LAMPS, "resistance 5ohm S4.2~E7.1")
    on = played(lamps, dealt, "do S4=on", "read voltmeter S4.2 E7.1", "read ohmmeter E7.1 E7.2")
    drop = float(on.acts[1].said.removesuffix(" V"))
    assert drop > 3.0
    assert on.acts[2].unsafe
    dead = played(lamps, dealt, "do unplug E7", "read ohmmeter S4.2 E7.1")
    assert float(dead.acts[1].said.removesuffix(" Ω")) == pytest.approx(5.2, abs=0.1)


NO_ACTS = (
    "", "dance", "do S99=on", "do ground E7.2", "look X99", "fuse E7", "read", "read eye E7.1", "read voltmeter",
    "read voltmeter X99.1", "bridge E7", "condemn nothing",
)  # fmt: skip


@pytest.mark.parametrize("act", NO_ACTS)
def test_what_is_no_act_costs_nothing_and_changes_nothing(lamps: Table, act: str) -> None:
    standing = played(lamps, task(LAMPS, "open E7"), act)
    assert (standing.minutes, standing.unsafe, standing.over, standing.situation) == (0.0, (), False, Situation())


def test_who_gives_up_sees_what_it_was(lamps: Table) -> None:
    standing = played(lamps, task(LAMPS, "open E7"), "stop", "do S4=on")
    assert (standing.over, standing.cured, len(standing.acts)) == (True, False, 1)


def test_the_own_path_of_the_program_ends_with_what_was_hidden(lamps: Table) -> None:
    dealt, heard = task(LAMPS, "open S4.2~E7.1"), list[str]()
    found = best_path(lamps, dealt, WORDS, heard.append)
    assert len(heard) == len(found.steps) > 2
    assert found.minutes > 1.0
    assert "S4.2" in found.verdict
    assert found.steps[0].said == "dead"


def test_what_can_be_condemned_is_named_at_its_part(lamps: Table) -> None:
    assert "E7" in lamps.groups_at["E7"]
    assert lamps.groups_at["S4.2~E7.1"] == ("S4.2~E7.1",)
    assert lamps.loads_of("E7") == ("E7",)
    assert not lamps.loads_of("S4")
