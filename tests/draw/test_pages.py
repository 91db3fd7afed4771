"""Pages: arranged, labelled, broken; the netlist of their lines is the vehicle's."""

import json
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from benchmarks.drawncompare import mismatches
from benchmarks.drawnnets import rebuilt
from benchmarks.drawnpage import read_page
from loombench.app.drawing import Drawings, layouts_here
from loombench.app.vehicles import open_vehicle
from loombench.draw.circuit.functions import function_of
from loombench.draw.engine.remembered import Remembered
from loombench.draw.layout.arrange import LayoutError, Layouts, Placed, Spacing, arrange
from loombench.draw.layout.items import JOIN, SYMBOL, WIRE, Item, Plan, Port, Run
from loombench.draw.layout.labels import Box, place_labels
from loombench.draw.layout.lines import drawn
from loombench.draw.layout.plan import plan_of
from loombench.draw.layout.stretching import stretched
from loombench.draw.page import pages_of
from loombench.draw.papers import A4, Sheet
from loombench.draw.piece import wire_texts
from loombench.draw.shapes import TOP
from tests.draw.test_circuit import EXAMPLES, ROOF

LAYOUTS = layouts_here(None)
BOOM = plan_of(ROOF, function_of(ROOF, ("E7", "E8")).taking)
SMALL = (Sheet("small", 120.0, 120.0),)


class Altered:
    """An engine whose answers somebody has changed."""

    def __init__(self, change: Callable[[dict[str, Any]], None]) -> None:
        self.change = change

    def lay(self, graph: str) -> str:
        """The answer, altered."""
        answer = json.loads(LAYOUTS.lay(graph))
        self.change(answer["ok"])
        return json.dumps(answer)


def test_the_supply_is_at_the_top_and_the_ground_at_the_bottom() -> None:
    placed = arrange(BOOM, LAYOUTS, Spacing())
    y = {key: corner[1] for key, corner in placed.corners.items()}
    assert min(y, key=lambda key: y[key]) == "G1"
    assert max(y, key=lambda key: y[key]) == "W3"


def _aslant(graph: dict[str, Any]) -> None:
    graph["edges"][3]["sections"][0]["endPoint"]["x"] += 1.0
    graph["edges"][3]["sections"][0]["bendPoints"] = [{"x": 1.0, "y": 2.0}]


def _upon(graph: dict[str, Any]) -> None:
    graph["children"][2] |= {"x": graph["children"][3]["x"], "y": graph["children"][3]["y"]}


def _in_pieces(graph: dict[str, Any]) -> None:
    graph["edges"][0]["sections"] *= 2


@pytest.mark.parametrize("change", [_aslant, _upon, _in_pieces])
def test_an_arrangement_that_does_not_hold_is_refused(change: Callable[[dict[str, Any]], None]) -> None:
    with pytest.raises(LayoutError):
        arrange(BOOM, Altered(change), Spacing())


def test_a_wrong_plan_is_refused() -> None:
    wrong = replace(BOOM, runs=(replace(BOOM.runs[0], end=("SP9", "x")),))
    with pytest.raises(ValueError, match="SP9"):
        arrange(wrong, LAYOUTS, Spacing())


@pytest.mark.parametrize("name", ["telehandler-roof", "livestock-trailer"])
def test_the_lines_of_all_pages_are_the_vehicles_wires(name: str) -> None:
    drawings = Drawings(open_vehicle(str(EXAMPLES / name)).vehicle)
    for function in drawings.functions:
        pages = [read_page(page.svg) for page in drawings.pages(function, LAYOUTS).value]
        assert pages
        assert rebuilt(pages).faults == ()
        assert mismatches(drawings.vehicle, pages) == ()


def test_what_is_too_large_is_broken_with_a_join_on_both_sides() -> None:
    pages = pages_of(ROOF, BOOM, LAYOUTS, SMALL)
    assert len(pages) > 1
    joins = [item.part for page in pages for item in page.items if item.sort == JOIN]
    assert joins
    assert all(joins.count(key) == 2 for key in joins)
    for page in pages:
        for piece, (x, y) in page.pieces:
            assert x + piece.placed.width_mm <= SMALL[0].width_mm
            assert y + piece.placed.height_mm <= SMALL[0].height_mm
    kept = {item.key for page in pages for item in page.items if item.sort != JOIN}
    assert kept == set(BOOM.items)


def test_one_thing_larger_than_the_paper_gets_paper_of_its_size() -> None:
    tiny = (Sheet("tiny", 40.0, 40.0),)
    pages = pages_of(ROOF, BOOM, LAYOUTS, tiny)
    assert {page.sheet.name for page in pages} == {"long"}


def test_the_same_plan_gives_the_same_pages() -> None:
    assert pages_of(ROOF, BOOM, layouts_here(None)) == pages_of(ROOF, BOOM, LAYOUTS)


def test_wires_on_one_pin_meet_under_a_dot() -> None:
    drawings = Drawings(ROOF)
    plan = plan_of(ROOF, drawings.functions[-1].taking)
    lines = drawn(plan, arrange(plan, LAYOUTS, Spacing()))
    ends = [lines.ways[name] for name in ("F1.out~B1.in", "G2.B+~F1.out")]
    assert any(spot in lines.joints for way in ends for spot in (way[0], way[-1]))


def test_an_arrangement_is_stretched_between_its_layers_only() -> None:
    plain = arrange(BOOM, LAYOUTS, Spacing())
    more = stretched(BOOM, plain, plain.height_mm + 20.0)
    assert plain.height_mm + 19.5 < more.height_mm <= plain.height_mm + 20.0
    assert {key: x for key, (x, _) in more.corners.items()} == {key: x for key, (x, _) in plain.corners.items()}
    for run in BOOM.runs:
        way = more.ways[run.key]
        assert (way[0], way[-1]) == (more.ports[run.start], more.ports[run.end])
        assert [x for x, _ in way] == [x for x, _ in plain.ways[run.key]]
    for item in BOOM.items.values():
        for port in item.ports:
            before, after = (one.ports[item.key, port.key][1] - one.corners[item.key][1] for one in (plain, more))
            assert after == pytest.approx(before)
    assert stretched(BOOM, plain, plain.height_mm) is plain
    most = stretched(BOOM, plain, plain.height_mm + 1000.0)
    assert most.height_mm < plain.height_mm + 6.01 * len(BOOM.items)


def test_two_lines_of_a_pin_that_cross_change_places_at_it() -> None:
    ports = (Port("p", "G1.+", TOP, 5.0), Port("p~1", "", TOP, 7.5, 0.0, "p"))
    items = {"G1": Item("G1", "G1", SYMBOL, "battery", 10.0, 10.0, ports)}
    items |= {key: Item(key, key, SYMBOL, "fuse", 4.0, 4.0, (Port("in", "", TOP, 2.0),)) for key in ("F1", "F2")}
    runs = (Run("right", WIRE, ("G1", "p"), ("F1", "in")), Run("left", WIRE, ("F2", "in"), ("G1", "p~1")))
    plan = Plan(items, runs)
    corners = {"G1": (20.0, 20.0), "F1": (38.0, 20.0), "F2": (8.0, 20.0)}
    spots = {("G1", "p"): (25.0, 20.0), ("G1", "p~1"): (27.5, 20.0)}
    spots |= {("F1", "in"): (40.0, 20.0), ("F2", "in"): (10.0, 20.0)}
    ways = {
        "right": ((25.0, 20.0), (25.0, 5.0), (40.0, 5.0), (40.0, 20.0)),
        "left": ((10.0, 20.0), (10.0, 10.0), (27.5, 10.0), (27.5, 20.0)),
    }
    lines = drawn(plan, Placed(50.0, 30.0, corners, spots, ways))
    assert lines.ways == {
        "right": ((25.0, 20.0), (27.5, 20.0), (27.5, 5.0), (40.0, 5.0), (40.0, 20.0)),
        "left": ((10.0, 20.0), (10.0, 10.0), (25.0, 10.0), (25.0, 20.0)),
    }
    assert lines.joints == ((25.0, 20.0),)
    # Where something stands beside the pin they stay as they are.
    beside = replace(plan, items=items | {"K1": Item("K1", "K1", SYMBOL, "relay", 4.0, 4.0, ())})
    kept = drawn(beside, Placed(50.0, 30.0, corners | {"K1": (27.2, 6.0)}, spots, ways))
    assert kept.ways["right"] == ways["right"]


def test_labels_lie_on_nothing() -> None:
    (page,) = pages_of(ROOF, BOOM, LAYOUTS, A4)
    (piece, _) = page.pieces[0]
    grounds = [label.ground for label in piece.labels]
    assert len(grounds) == sum(run.sort == "wire" for run in BOOM.runs)
    for at, one in enumerate(grounds):
        assert not any(one.meets(two) for two in grounds[at + 1 :])


def test_a_label_is_shortened_moved_or_given_up() -> None:
    ways = {"a": ((50.0, 0.0), (50.0, 30.0)), "b": ((56.0, 0.0), (56.0, 30.0))}
    alone = place_labels({"a": ("GY/RD 1.5", "GY")}, {"a": ways["a"]}, (), ())
    assert (alone.labels[0].text, alone.labels[0].turned) == ("GY/RD 1.5", False)
    beside = place_labels({"a": ("GY/RD 1.5", "GY")}, ways, (), ())
    assert beside.labels[0].turned
    walls = (Box(40.0, 0.0, 9.5, 30.0), Box(50.5, 0.0, 9.5, 30.0))
    none = place_labels({"a": ("GY/RD 1.5", "GY")}, {"a": ways["a"]}, walls, ())
    assert none.without == ("a",)


def test_words_beside_a_wire_are_far_from_every_other_line() -> None:
    """A short wire has its words beside it; where a neighbour runs near on the right they go to the left."""
    short = ((50.0, 0.0), (50.0, 8.0))
    right = place_labels({"a": ("RD 1.5",)}, {"a": short}, (), ()).labels[0].ground
    assert right.x > 50.0
    for gap, side in ((3.5, 1), (1.8, -1)):
        x = right.x + right.wide + gap
        found = place_labels({"a": ("RD 1.5",)}, {"a": short, "b": ((x, 0.0), (x, 30.0))}, (), ()).labels[0].ground
        assert (found.x > 50.0) == (side > 0)
    bent = ((50.0, 0.0), (50.0, 8.0), (56.0, 8.0), (56.0, 4.0), (62.0, 4.0))
    (label,) = place_labels({"a": ("RD 1.5",)}, {"a": bent}, (), ()).labels
    assert [spot for spot in bent if label.ground.meets(Box(*spot, 0.01, 0.01))] == []
    hemmed = {"a": short, "b": ((38.0, 0.0), (38.0, 30.0)), "c": ((62.0, 0.0), (62.0, 30.0))}
    for label in place_labels({"a": ("RD 1.5",)}, hemmed, (), ()).labels:
        assert label.ground.x < 50.0 < label.ground.x + label.ground.wide


def test_words_on_a_wire_say_what_is_not_known() -> None:
    wire = ROOF.wires[0]
    assert wire_texts(wire) == ("BK 25", "BK")
    bare = replace(wire, colour=type(wire.colour)(), size_text="?", number="")
    assert wire_texts(bare) == ("? ?", "?")


def test_answers_are_kept_and_a_spoilt_one_is_asked_for_again(tmp_path: Path) -> None:
    asked: list[str] = []

    class Counting:
        def lay(self, graph: str) -> str:
            asked.append(graph)
            return f'{{"ok": "{graph}"}}'

    def remembered(folder: Path | None) -> Layouts:
        return Remembered(Counting, folder)

    first = remembered(tmp_path / "kept")
    assert [first.lay("g"), first.lay("g")] == ['{"ok": "g"}'] * 2
    assert remembered(tmp_path / "kept").lay("g") == '{"ok": "g"}'
    assert asked == ["g"]
    (file,) = (tmp_path / "kept").iterdir()
    file.write_text(file.read_text(encoding="utf-8") + "x", encoding="utf-8")
    assert remembered(tmp_path / "kept").lay("g") == '{"ok": "g"}'
    blocked = tmp_path / "file"
    blocked.write_text("", encoding="utf-8")
    assert remembered(blocked / "below").lay("g") == '{"ok": "g"}'
    assert remembered(None).lay("g") == '{"ok": "g"}'
    assert asked == ["g"] * 4


def test_each_wire_of_a_battery_post_begins_at_the_post() -> None:
    """Not the main feed on the way of the thinnest, which reads as fed through it."""
    camper = open_vehicle(str(EXAMPLES / "camper-van")).vehicle
    drawings = Drawings(camper)
    supply = next(one for one in drawings.functions if one.key == "supply")
    plan = plan_of(camper, supply.taking)
    placed = arrange(plan, LAYOUTS, Spacing())
    lines = drawn(plan, placed)
    x, y = placed.ports["G1", "G1.+"]
    begun = [
        lines.ways[run.key][0 if run.start[0] == "G1" else -1]
        for run in plan.runs
        for item, port in (run.start, run.end)
        if item == "G1" and port.startswith("G1.+")
    ]
    assert len(begun) == 4
    assert all(abs(spot[0] - x) <= 2.5 and spot[1] == y for spot in begun)
    assert set(begun) <= {*lines.joints, (x, y)}
