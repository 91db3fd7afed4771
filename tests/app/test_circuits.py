"""Circuits that are gone on with, and pages that follow them: the same as from rest, and as drawn whole."""

import random
from collections.abc import Sequence
from itertools import pairwise
from pathlib import Path

import pytest

from loombench.app.circuits import Circuits, Oldest
from loombench.app.drawing import Drawings, layouts_here
from loombench.app.drawnstate import overlay_of
from loombench.app.functionfacts import shared
from loombench.app.livepages import Laid, LivePages
from loombench.app.metering import METERS, OHMS, before, shown
from loombench.app.operating import by_place, handles, is_first
from loombench.app.partsheet import laid, part_sheet
from loombench.app.pinsheet import pin_sheet, points_of
from loombench.app.working import working
from loombench.base.wording import catalogue
from loombench.circuit.fault import Fault
from loombench.circuit.lower import lower
from loombench.circuit.operate import Halfway, operate
from loombench.circuit.ready import ready_for
from loombench.draw.circuit.functions import Function
from loombench.text.load import load_file, load_text
from loombench.text.names import read_condition
from loombench.vehicle.condition import Condition, Operation
from loombench.vehicle.graph import battery_minus
from loombench.vehicle.model import Vehicle
from loombench.vehicle.points import Point

EXAMPLES = Path(__file__).parents[2] / "examples"
ROOF = load_file(EXAMPLES / "telehandler-roof").value
LAYOUTS = layouts_here(None)
WORDS = catalogue()
KEPT_OFF = load_text(
    """loombench 1
vehicle "Belt" 12V
body chassis
stud W1 on chassis
battery G1 70Ah
module A7 "restraint module"
  plugs X1 4way
  supply X1/1
  ground X1/2
  out X1/3 high-side
class pyro A7.X1/3
switch S1 off | on: 1=2 | try!: 1=2 "lamp"
lamp E1 12V 21W
fuse F1 10A
G1.- (BK 16mm2 0.4m) W1/a
G1.+ (RD 1mm2 1m) F1 (RD 1mm2 1m) S1.1
F1.out (RD 1mm2 1m) A7.X1/1
S1.2 (GY 1mm2 1m) E1 (BN 1mm2 1m) W1/b
A7.X1/2 (BN 1mm2 1m) W1/c
"""
).value


def done(vehicle: Vehicle, *words: str) -> Condition:
    found = read_condition(vehicle, words)
    assert not found.problems
    return found.value


def some_operations(vehicle: Vehicle, seed: int, count: int) -> tuple[Operation, ...]:
    """Operations drawn by seed: controls, plugs, fuses, waits, another supply."""
    drawn = random.Random(seed)
    netlist = lower(vehicle).value
    every = [one for one in netlist.variables if one.is_input and ":" not in one.name]
    found = []
    for _ in range(count):
        variable = drawn.choice(every)
        found.append(Operation("set", variable.name, drawn.choice(variable.states)))
        if drawn.random() < 0.3:
            found.append(Operation("wait", "", "2"))
        if drawn.random() < 0.2:
            found.append(Operation("supply", "", "11.5"))
    return tuple(found)


def over(circuits: Circuits, condition: Condition, function: Function) -> Laid:
    """What a state lays over a function."""
    situation = circuits.reached(condition).value
    sights = circuits.sights(condition, (), function.loads)
    return lambda names, wires: circuits.overlay(situation, names, wires, sights)


def same(one: Sequence[float], other: Sequence[float]) -> bool:
    return all(a == b or (a != a and b != b) for a, b in zip(one, other, strict=True))  # noqa: PLR0124  (nan)


@pytest.mark.parametrize("name", ["flatbed-indicators", "tipper-tarpaulin", "telehandler-roof"])
def test_who_goes_on_comes_to_where_one_comes_from_rest(name: str) -> None:
    vehicle = load_file(EXAMPLES / name).value
    ready = ready_for(lower(vehicle).value)
    known: dict[tuple[Operation, ...], Halfway] = {}
    for seed in range(3):
        steps = some_operations(vehicle, seed, 5)
        for count in range(1, len(steps) + 1):
            condition = Condition(steps[:count])
            on = operate(ready, condition, known=known).settled
            whole = operate(ready, condition).settled
            assert same(on.point.volts.tolist(), whole.point.volts.tolist())
            assert (on.point.state, on.findings, len(on.phases)) == (
                whole.point.state,
                whole.findings,
                len(whole.phases),
            )
    assert len(known) > 10


def test_what_is_kept_is_the_newest() -> None:
    kept: Oldest[int, str] = Oldest(2)
    for number in (1, 2, 3):
        kept[number] = str(number)
    assert list(kept) == [2, 3]
    assert kept.or_made(3, lambda: "other") == "3"


def test_an_overlay_of_some_points_says_what_that_of_all_says() -> None:
    circuits = Circuits(ROOF)
    condition = done(ROOF, "S4=on", "pull F14")
    whole = overlay_of(ROOF, condition).value
    situation = circuits.reached(condition).value
    some = circuits.overlay(situation, ("E7.1", "S4.2"), ("SP2~E7.1",), circuits.sights(condition, (), ("E7",)), "E7.1")
    assert some.volts["E7.1"] == whole.volts["E7.1"]
    assert some.live == {"SP2~E7.1"}
    assert dict(some.amps) == {"SP2~E7.1": whole.amps["SP2~E7.1"]}
    assert (some.gone, some.red) == (whole.gone, "E7.1")
    assert dict(some.works) == {"E7": whole.works["E7"]}


def test_live_pages_are_what_is_drawn_whole() -> None:
    drawings, circuits = Drawings(ROOF), Circuits(ROOF)
    live = LivePages(drawings)
    for function in drawings.functions[:2]:
        for words in ((), ("S4=on",), ("S5=on", "pull F14")):
            condition = done(ROOF, *words)
            laid_over = over(circuits, condition, function)
            made = live.pages(function, laid_over, LAYOUTS, WORDS).value
            drawn = drawings.pages(function, LAYOUTS, overlay_of(ROOF, condition).value).value
            assert len(made) == len(drawn)
            for one, other in zip(made, drawn, strict=True):
                assert all(layer in other.svg for layer in (one.live, one.still, one.over))
                assert len(one.still) > 2000


def test_what_stands_still_is_named_by_what_it_is() -> None:
    live, circuits = LivePages(Drawings(ROOF)), Circuits(ROOF)
    boom = live.drawings.functions[0]

    def key(*words: str) -> str:
        page = live.pages(boom, over(circuits, done(ROOF, *words), boom), LAYOUTS, WORDS).value[0]
        return page.key

    (page,) = live.pages(boom, over(circuits, Condition(), boom), LAYOUTS, WORDS, (key(),)).value
    assert not page.still
    assert key() == key("S5=on") == key("pull F12") != key("S4=on")


def test_everything_can_be_set_but_what_is_kept_off() -> None:
    circuits = Circuits(KEPT_OFF)
    situation = circuits.reached(done(KEPT_OFF, "S1=on", "engine=run", "pull F1")).value
    state = situation.settled.point.state
    found = handles(KEPT_OFF, circuits.may_set, circuits.circuit().netlist, state, ("S1", "F1", "A7"), WORDS)
    by_name = {(one.name, one.sort): one for one in found}
    assert not any(one.part == "A7" for one in found)
    control = by_name["S1", "set"]
    assert [(one.text, one.now, one.springs) for one in control.choices] == [
        ("off", False, False), ("on", True, False), ("try", False, True),
    ]  # fmt: skip
    assert (control.tap, control.here, control.moved) == ("S1=try", True, True)
    fuse = by_name["F1", "seat"]
    assert [one.operation for one in fuse.choices] == ["insert F1", "pull F1"]
    assert (fuse.tap, fuse.here) == ("insert F1", True)
    assert is_first(KEPT_OFF, by_name["engine", "engine"])
    for one in found:
        assert not read_condition(KEPT_OFF, [choice.operation for choice in one.choices]).problems
    assert [place.id for place in by_place(ROOF, ())] == []


def test_a_meter_shows_the_ghost_and_its_low_impedance_does_not() -> None:
    ghost = load_text(
        """loombench 1
vehicle "Ghost" 12V
battery G1 70Ah
connector X1 2way a | b
lamp E1 12V 21W
resistor R1 1000000ohm
loom a
G1.+ (RD 1mm2 1m) R1 (GY 1mm2 1m) X1.1
loom b
X1.1 (GY 1mm2 1m) E1.1
E1.2 (BN 1mm2 1m) G1.-
"""
    ).value
    circuits = Circuits(ghost)
    situation = circuits.reached(done(ghost, "unplug E1")).value
    minus = battery_minus(ghost)
    high = shown(circuits, situation, "voltmeter", Point("X1", "1", "b"), minus, WORDS)
    low = shown(circuits, situation, "low-impedance", Point("X1", "1", "b"), minus, WORDS)
    assert high.value is not None
    assert low.value is not None
    assert high.value > 11.0
    assert 0.0 < low.value < 0.1


def test_no_meter_is_put_where_nobody_may_measure_and_ohms_are_said_to_be_live() -> None:
    circuits = Circuits(KEPT_OFF)
    situation = circuits.reached(done(KEPT_OFF, "S1=on")).value
    refused = shown(circuits, situation, "voltmeter", Point("A7", "X1/3"), battery_minus(KEPT_OFF), WORDS)
    assert (refused.value, refused.text) == (None, "")
    assert "pyro" in refused.refused
    ohms = shown(circuits, situation, "ohmmeter", Point("E1", "1"), battery_minus(KEPT_OFF), WORDS)
    assert ohms.live
    assert any("make it dead" in one.casefold() for one in ohms.remarks)
    assert {before(one, WORDS) for one in OHMS} == {WORDS.say("caution.ohms-dead")}
    assert {shown(circuits, situation, one, Point("E1", "1"), Point("E1", "2"), WORDS).refused for one in METERS} == {
        ""
    }


def test_a_pin_says_its_wire_its_place_and_what_it_reads() -> None:
    circuits = Circuits(ROOF)
    situation = circuits.reached(done(ROOF, "S4=on")).value
    sheet = pin_sheet(circuits, situation, Point("X12", "3", "boom"), WORDS)
    assert (sheet.name, sheet.place, sheet.sheet) == ("X12.3@boom", "boom-pivot", "X12@boom")
    assert sheet.volts == overlay_of(ROOF, done(ROOF, "S4=on")).value.volts["X12.3@boom"]
    assert [(one.colour, one.size) for one in sheet.wires] == [("OG/BK", "1.5 mm²")]
    assert sheet.face.startswith("<svg")
    kept = pin_sheet(Circuits(KEPT_OFF), Circuits(KEPT_OFF).reached(Condition()).value, Point("A7", "X1/3"), WORDS)
    assert kept.kept_off
    assert (kept.volts, kept.current) == ("", "")
    names = points_of(ROOF, ("X12", "E7"))
    assert list(names) == ["E7.1", "E7.2", "X12.3@boom", "X12.3@chassis"] or names[:2] == ("E7.1", "E7.2")
    assert all(one != other for one, other in pairwise(names))


def test_a_part_says_what_may_be_tried_in_it() -> None:
    circuits = Circuits(ROOF)
    sheet = part_sheet(circuits, "F12", (), WORDS)
    assert sheet is not None
    assert "blown F12" in dict(sheet.faults)
    wire = part_sheet(circuits, "SP2~E7.1", (), WORDS)
    assert wire is not None
    assert "open SP2~E7.1" in dict(wire.faults)
    assert part_sheet(circuits, "nothing", (), WORDS) is None
    assert laid(ROOF, (Fault("blown", "F12"),), WORDS)[0][0] == "blown F12"
    on = done(ROOF, "S4=on")
    dark, lit = (
        working(ROOF, circuits.sights(on, faults, ("E7",)), WORDS) for faults in ((Fault("blown", "F12"),), ())
    )
    assert ([one.light for one in dark], [one.light for one in lit]) == (["dead"], ["full"])


def test_what_is_shared_is_shared_both_ways() -> None:
    drawings = Drawings(load_file(EXAMPLES / "recovery-truck").value)
    seen = 0
    for function in drawings.functions:
        for one in shared(drawings, function, WORDS):
            for key, _title in one.functions:
                other = next(function for function in drawings.functions if function.key == key)
                assert one.part in other.parts
                seen += 1
    assert seen > 5
