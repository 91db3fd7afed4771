"""A control that is found in another position: it may only be set wrong, or be stuck there."""

from loombench.app.case import bench_for
from loombench.diagnose.belief import Belief, update
from loombench.diagnose.choose import surviving
from loombench.diagnose.observation import LoadSeen, PositionSeen
from loombench.diagnose.plan import steps
from loombench.diagnose.region import region
from loombench.diagnose.situation import Situation
from loombench.vehicle.condition import Condition, Operation
from tests.diagnose.vehicles import LAMP, vehicle

ON = Condition((Operation("set", "S4", "on"),))
BENCH = bench_for(vehicle(LAMP))
DEAD = LoadSeen("E7", "dead", ON, True)


def test_a_switch_found_off_is_set_wrong_or_stuck_and_putting_it_right_is_offered() -> None:
    belief = update(Belief(BENCH), [DEAD, PositionSeen("S4", False)])
    assert {belief.hypotheses.groups[group] for group in surviving(belief)} == {"position S4", "S4"}
    offered = steps(BENCH, belief, Situation(), region(BENCH.vehicle, ("E7",)), "E7", ON)
    assert "mend position S4" in [step.id for step in offered]


def test_a_switch_that_is_put_right_and_cures_nothing_is_stuck() -> None:
    again = LoadSeen("E7", "dead", ON, True, ("position S4",))
    belief = update(Belief(BENCH), [DEAD, PositionSeen("S4", False), again])
    assert [belief.hypotheses.groups[group] for group in surviving(belief)] == ["S4"]


def test_a_switch_seen_where_it_should_be_may_still_be_stuck_inside() -> None:
    belief = update(Belief(BENCH), [DEAD, PositionSeen("S4", True)])
    left = {belief.hypotheses.groups[group] for group in surviving(belief)}
    assert "S4" in left
    assert "position S4" not in left
    offered = steps(BENCH, belief, Situation(), region(BENCH.vehicle, ("E7",)), "E7", ON)
    assert "mend position S4" not in [step.id for step in offered]
