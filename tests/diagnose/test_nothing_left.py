"""Where nothing in the model is left for what was seen, a step is still offered and nothing breaks."""

from loombench.app.case import bench_for
from loombench.app.finding import open_case
from loombench.app.practice import PRACTICE_TIME as TIME
from loombench.app.session import respond
from loombench.diagnose.choose import _looked_ahead
from loombench.evidence.complaint import Complaint
from loombench.record.memory import MemoryStore
from loombench.vehicle.condition import Condition, Operation
from tests.diagnose.vehicles import LAMP, vehicle

ON = Condition((Operation("set", "S4", "on"),))


def test_the_steps_keep_their_order_where_no_fault_is_left_to_look_ahead_for() -> None:
    bench = bench_for(vehicle(LAMP))
    told = Complaint("E7", "dead", ON, "E7 dead when S4=on")
    case = open_case(bench.vehicle, "0" * 64, told, MemoryStore(), "c", TIME, bench=bench)
    case = respond(case, None, "dead E7 when S4=on", TIME).case
    situation = case.course.situation
    share = case.belief.hypotheses.unexplained.astype(float)
    ranked = [(one, one.step.outcomes(bench, share, situation)) for one in case.choice.ranking]
    assert len(ranked) > 1
    assert _looked_ahead(case.belief, situation, share, ranked) == tuple(one for one, _ in ranked)
