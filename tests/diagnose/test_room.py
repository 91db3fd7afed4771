"""What forecasts keep is bounded, and what had to go is worked out again to the same."""

import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from loombench.circuit.catalogue import single_faults
from loombench.circuit.lower import LoweringOf
from loombench.diagnose import tabled
from loombench.diagnose.column import Column
from loombench.diagnose.forecast import fill_rows, room_for_sights, taken_bytes
from loombench.diagnose.hypothesis import hypotheses
from loombench.diagnose.room import LAST_TURNS, Room
from loombench.diagnose.stepname import read_condition
from loombench.diagnose.tabled import TabledForecast
from loombench.text.load import load_file
from loombench.vehicle.condition import Condition, Setup
from loombench.vehicle.points import Point
from tests.diagnose.vehicles import RELAY, vehicle

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"


class Keeps:
    """A keeper that notes what it was told to drop."""

    def __init__(self) -> None:
        self.gone: list[Condition] = []

    def drop(self, condition: Condition) -> None:
        self.gone.append(condition)


def named(text: str) -> Condition:
    found = read_condition(text)
    assert found is not None
    return found


def test_the_condition_used_longest_ago_goes_first_whoever_keeps_it() -> None:
    room, one, other = Room(100.0), Keeps(), Keeps()
    first, second, third = (named(f"S{k}=on") for k in (1, 2, 3))
    room.use(one, first, 40.0)
    room.use(other, second, 40.0)
    room.use(one, first, 45.0)
    assert (room.kept_bytes, one.gone, other.gone) == (85.0, [], [])
    room.use(one, third, 50.0)
    assert (room.kept_bytes, one.gone, other.gone) == (95.0, [], [second])


def test_what_is_being_used_stays_even_where_it_is_too_much() -> None:
    room, one = Room(10.0), Keeps()
    room.use(one, named("S1=on"), 50.0)
    assert one.gone == []
    room.use(one, named("S2=on"), 60.0)
    assert (one.gone, room.kept_bytes, room.dropped) == ([named("S1=on")], 60.0, 1)


def test_what_was_used_lately_makes_no_room_for_what_is_worked_out_ahead() -> None:
    room, one = Room(100.0), Keeps()
    old, kept, likely, more = (named(f"S{k}=on") for k in (1, 2, 3, 4))
    room.use(one, old, 30.0)
    for _ in range(LAST_TURNS + 1):
        with room.ahead():
            pass
        room.use(one, kept, 50.0)
    with room.ahead():
        room.use(one, likely, 40.0)
        assert (one.gone, room.is_short) == ([old], False), "what was used long ago goes"
        room.use(one, more, 30.0)
        assert (one.gone, room.is_short, room.kept_bytes) == ([old], True, 120.0), "not what was worked out just now"
    assert not room.is_short


def test_a_turn_is_what_is_asked_for_itself_however_often_work_ahead_is_broken_off() -> None:
    room, one = Room(100.0), Keeps()
    room.use(one, named("S1=on"), 60.0)
    for _ in range(LAST_TURNS + 2):
        with room.ahead():
            pass
    with room.ahead():
        room.use(one, named("S2=on"), 50.0)
        assert (one.gone, room.is_short) == ([], True)


def test_what_was_worked_out_ahead_stays_for_the_step_after_it() -> None:
    room, one = Room(100.0), Keeps()
    first, before, likely, new = (named(f"S{k}=on") for k in (1, 2, 3, 4))
    with room.ahead():
        room.use(one, before, 10.0)
    room.use(one, first, 50.0)
    with room.ahead():
        room.use(one, likely, 35.0)
    room.use(one, new, 15.0)
    assert one.gone == [before], "what was worked out before the last time goes"
    room.use(one, new, 30.0)
    assert one.gone == [before, first], "then what was used longest ago"


def test_what_a_keeper_kept_that_is_gone_takes_no_room_from_the_others() -> None:
    room, one, other = Room(100.0), Keeps(), Keeps()
    room.use(one, named("S1=on"), 40.0)
    room.use(other, named("S2=on"), 50.0)
    del other
    room.use(one, named("S3=on"), 40.0)
    assert (one.gone, room.kept_bytes, room.dropped) == ([], 80.0, 0)


def test_what_is_seen_takes_the_pages_in_which_there_is_something() -> None:
    known, rows = room_for_sights(2000, ("E1", "E2"), ("F1",), ("G1",)), np.arange(2000)
    assert taken_bytes(known, rows) == 0.0
    fill_rows(known.share, rows, np.tile([1.0, 0.0], (2000, 1)))
    fill_rows(known.blown, [700], np.ones((1, 1)))
    assert taken_bytes(known, rows) == 3 * 4096
    assert taken_bytes(known, np.array([3, 700, 701])) == 2 * 4096
    assert taken_bytes(known, np.array([3, 1100])) == 2 * 4096
    assert known.share.T.flags.c_contiguous, "a load that is dark in all rows takes nothing"


_SPARSE = """
import numpy as np
from loombench.diagnose.forecast import fill_rows, room_for_sights, taken_bytes
def resident():
    return next(int(line.split()[1]) * 1024 for line in open("/proc/self/status") if line.startswith("VmRSS"))
rows = np.arange(40_000)
values = np.tile([[1.0] + [0.0] * 14], (len(rows), 20))
fill_rows(room_for_sights(1000, tuple(map(str, range(300))), (), ()).share, rows[:1000], values[:1000])
before = resident()
known = room_for_sights(len(rows), tuple(map(str, range(300))), (), ())
for start in range(0, len(rows), 1000):
    fill_rows(known.share, rows[start : start + 1000], values[:1000])
taken = resident() - before
print(taken / taken_bytes(known, rows))
"""


def test_the_pages_taken_are_those_that_are_counted() -> None:
    if sys.platform == "linux":
        found = subprocess.run([sys.executable, "-c", _SPARSE], capture_output=True, text=True, check=True)
        assert 0.8 < float(found.stdout) < 2.0


@given(st.lists(st.lists(st.integers(0, 30), max_size=8, unique=True), max_size=6))
def test_a_column_knows_each_row_once(batches: list[list[int]]) -> None:
    column, told = Column(), dict[int, float]()
    for batch in batches:
        new = column.unknown(np.array(batch, dtype=np.intp))
        assert set(new.tolist()) == set(batch) - set(told)
        column.put(new, new * 2.0, new * 3.0)
        told.update({row: row * 2.0 for row in new.tolist()})
    assert column.rows.tolist() == sorted(told)
    assert [column.of(row) for row in told] == list(told.values())
    assert np.isnan(column.of(31))


def test_without_the_ways_rows_went_all_reads_and_looks_the_same(monkeypatch: pytest.MonkeyPatch) -> None:
    car = vehicle(RELAY)
    faults, lowering = hypotheses(car, single_faults(car)).faults, LoweringOf(car)
    battery = next(part.id for part in car.parts.values() if part.kind == "battery")
    minus = Point(battery, "-", layer="pin")
    reds = [point for point in lowering.netlist.node_of if point != minus][:12]
    pushed = [named("S7=push"), named("S7=push, S7=off"), named("S7=push")]
    found = []
    for most in (1, len(faults) + 1):
        monkeypatch.setattr(tabled, "MOST_KEPT_WAYS", most)
        forecast = TabledForecast(car, faults, lowering)
        sights = [forecast.sights(condition) for condition in pushed]
        known = [one for one in forecast.tables._known.values() if one.ended]
        assert (len(known) > 0) == (most == 1)
        assert all(not one.courses for one in known)
        setups = [Setup(one, red, minus, meter) for red in reds for one in pushed for meter in ("voltmeter", "clamp")]
        found.append(([one.share for one in sights], forecast.readings(setups).low))
        assert forecast.counts.audit_failures == 0
    np.testing.assert_allclose(found[0][0], found[1][0], atol=1e-9)
    np.testing.assert_allclose(found[0][1], found[1][1], atol=1e-7)
    assert np.isfinite(found[0][1]).mean() > 0.5


def test_of_a_state_that_all_rows_have_come_through_no_networks_are_kept(monkeypatch: pytest.MonkeyPatch) -> None:
    car = load_file(EXAMPLES / "cases" / "codes.circuit").value
    faults, lowering, done = hypotheses(car, single_faults(car)).faults, LoweringOf(car), named("S3=on")
    kept = []
    for most in (len(faults) + 1, 1):
        monkeypatch.setattr(tabled, "MOST_KEPT_WAYS", most)
        forecast = TabledForecast(car, faults, lowering)
        forecast.sights(done)
        (known,) = forecast.tables._known.values()
        ending = {id(trail.steps[end].stop) for trail in known.trails() for end in trail.ends}
        on_the_way = [stop for stop in known.passes if id(stop) not in ending]
        assert on_the_way
        assert all(stop._answers for stop in on_the_way)
        kept.append(sum(len(stop._entries) for stop in on_the_way))
    assert kept[0] > kept[1] == 0


def test_without_any_room_all_reads_and_looks_the_same() -> None:
    car = vehicle(RELAY)
    faults, lowering = hypotheses(car, single_faults(car)).faults, LoweringOf(car)
    bounded, room = Room(0.0), Room()
    tight = TabledForecast(car, faults, lowering, room=bounded)
    wide = TabledForecast(car, faults, lowering, room=room)
    conditions = [Condition(()), *(named(f"{one.id}={one.positions[-1].name}") for one in car.controls.values())]
    battery = next(part.id for part in car.parts.values() if part.kind == "battery")
    minus = Point(battery, "-", layer="pin")
    reds = [point for point in lowering.netlist.node_of if point != minus][:6]
    for _ in range(2):
        for condition in conditions:
            here, there = tight.sights(condition), wide.sights(condition)
            for name in ("share", "blown", "period_s", "astray", "stops_s", "opens_s", "draw_a"):
                np.testing.assert_allclose(getattr(here, name), getattr(there, name), atol=1e-7)
        setups = [Setup(condition, red, minus, "voltmeter") for red in reds for condition in conditions]
        one, other = tight.readings(setups), wide.readings(setups)
        np.testing.assert_allclose(one.low, other.low, atol=1e-6)
        np.testing.assert_allclose(one.high, other.high, atol=1e-6)
    assert bounded.dropped > len(conditions)
    assert room.dropped == 0
    assert 0.0 < room.kept_bytes < room.most_bytes
    assert tight.counts.audit_failures == wide.counts.audit_failures == 0
