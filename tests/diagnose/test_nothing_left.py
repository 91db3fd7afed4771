"""Where nothing in the model is left for what was seen, a step is still offered and nothing breaks."""

from dataclasses import replace

from loombench.app.case import bench_for
from loombench.app.finding import open_case, repaired, see, take
from loombench.app.practice import PRACTICE_TIME as TIME
from loombench.app.session import respond
from loombench.diagnose.choose import _looked_ahead
from loombench.evidence.complaint import Complaint
from loombench.record.memory import MemoryStore
from loombench.vehicle.condition import Condition, Operation, Setup
from loombench.vehicle.points import Point
from tests.diagnose.vehicles import LAMP, vehicle

ON = Condition((Operation("set", "S4", "on"),))


def test_the_steps_keep_their_order_where_no_fault_is_left_to_look_ahead_for() -> None:
    bench = bench_for(vehicle(LAMP))
    told = Complaint("E7", "dead", ON, "E7 dead when S4=on")
    case = open_case(bench.vehicle, "0" * 64, told, MemoryStore(), "c", TIME, bench=bench)
    case = respond(case, None, "dead E7 when S4=on", TIME).case
    situation = case.course.situation
    share = case.belief.hypotheses.unexplained.astype(float)
    ranked = [(one, one.step.outcomes(bench, share, situation).table) for one in case.choice.ranking]
    assert len(ranked) > 1
    assert _looked_ahead(case.belief, situation, share, ranked) == tuple(one for one, _ in ranked)


def test_a_suspect_with_a_single_reading_against_it_keeps_the_search_open() -> None:
    """The lamp was renewed in vain, and one reading keeps the ways to it and from it out, each its own."""
    bench = replace(bench_for(vehicle(LAMP)), grow=None)
    told = Complaint("E7", "dead", ON, "E7 dead when S4=on")
    case = open_case(bench.vehicle, "0" * 64, told, MemoryStore(), "c", TIME, bench=bench)
    case = see(case, "E7", ON, "dead", TIME)
    minus = Point("G1", "-", layer="pin")
    for pin, volts in (("1", 12.3), ("2", 0.01)):
        case = take(case, Setup(ON, Point("E7", pin, layer="pin"), minus), volts, TIME)
    case = see(repaired(case, "E7", TIME), "E7", ON, "dead", TIME)
    assert case.verdict.state == "searching"
    assert {"contact X12.1", "contact W3/a"} <= set(case.verdict.groups)
    assert "E7" not in case.verdict.groups
    assert case.choice.reason == "doubted"
