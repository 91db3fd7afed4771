"""Power tree, ground tree and the line of blocks: what hangs on what, and what is said of amperes and reserve."""

import xml.etree.ElementTree as ET

import pytest

from loombench.draw.blockline import block_line
from loombench.draw.shapes import Rect, Text
from loombench.draw.treepages import Load, ground_pages, power_pages
from loombench.draw.trees import Branch, blocks, ground_tree, power_tree
from loombench.text.load import load_text

SVG = "{http://www.w3.org/2000/svg}"
BENCH = """loombench 1
vehicle "Bench" 12V
body chassis
body boom
strap W9 boom chassis 0.3m 16mm2
stud W1 on chassis
stud W3 on boom "left lamp bracket"
battery G1 70Ah "starter battery"
fuselink F1 100A
fuse F2 10A "work lamps"
fuse F3 15A "horn"
switch S4 off | on: 1=2 "work lamps"
lamp E7 55W "left"
lamp E8 55W "right"
horn B7 5A
G1.- (BK 16mm2 0.4m) W1/a
G1.+ (RD 6mm2 0.6m) F1 (RD 4mm2 1m) SP1
SP1 (RD 1mm2 1m) F2 (RD 1mm2 1m) S4 (GY 1mm2 1m) SP2
SP2 (GY 1mm2 1m) E7 (BN 1mm2 1m) W3/a
SP2 (GY 1mm2 1m) E8 (BN 1mm2 1m) W3/b
SP1 (RD 1mm2 1m) F3 (RD 1mm2 1m) B7 (BN 1mm2 1m) W1/b
"""
VEHICLE = load_text(BENCH, "bench.circuit").value


def shape(branch: Branch) -> object:
    """A tree as plain lists: a part's branches, then its loads."""
    return {name: shape(below) for name, below in branch.branches.items()} | dict.fromkeys(branch.loads, "load")


def texts(pages: tuple[str, ...]) -> list[str]:
    """All texts, in order."""
    return ["".join(text.itertext()) for page in pages for text in ET.fromstring(page).iter(f"{SVG}text")]


def test_the_power_tree_goes_over_what_protects() -> None:
    two = {"E7": "load", "E8": "load"}
    assert shape(power_tree(VEHICLE)) == {"G1": {"F1": {"F2": two, "F3": {"B7": "load"}}}}


def test_the_ground_tree_goes_over_metal_and_straps() -> None:
    far = {"W9": {"boom": {"W3": {"E7": "load", "E8": "load"}}}}
    assert shape(ground_tree(VEHICLE)) == {"G1": {"W1": {"B7": "load", "chassis": far}}}


def test_what_has_no_way_back_is_on_no_tree() -> None:
    cut = load_text(BENCH.replace("B7 (BN 1mm2 1m) W1/b", "B7.1"), "bench.circuit").value
    assert "B7" not in str(shape(ground_tree(cut)))
    assert "B7" in str(shape(power_tree(cut)))


def test_reserve_is_what_the_rating_leaves() -> None:
    through = {"F2": Load(9.2, 10.0), "F3": Load(20.0, 15.0), "F1": Load(29.2)}
    shown = texts(power_pages(VEHICLE, through, "with S4=on"))
    assert "Amperes computed with S4=on; the bar is their share of the rating." in shown
    assert shown[shown.index("F2") + 3 : shown.index("F2") + 6] == ["10 A", "9.2 A", "0.8 A"]
    assert "over by 5 A" in shown
    assert shown.index("F3") < shown.index("F2")
    assert "feeds: E7 left, E8 right" in shown
    assert "29.2 A" in shown


def test_without_a_state_no_amperes_are_told() -> None:
    shown = texts(power_pages(VEHICLE, {}))
    assert "No state was computed: ratings only." in shown
    assert "0 A" not in shown


def test_the_ground_tree_names_what_returns_where() -> None:
    shown = texts(ground_pages(VEHICLE, {"W9": Load(9.2)}, "with S4=on"))
    assert "returns: E7 left, E8 right" in shown
    assert "0.3 m 16 mm2" in shown
    assert "9.2 A" in shown
    assert "reserve" not in shown


def test_a_long_tree_goes_on_on_further_pages() -> None:
    more = "".join(f"fuse F{at} 5A\nlamp L{at} 5W\n" for at in range(100, 170))
    wires = "".join(f"SP1 (RD 1mm2 1m) F{at} (RD 1mm2 1m) L{at} (BN 1mm2 1m) W1/x{at}\n" for at in range(100, 170))
    pages = power_pages(load_text(BENCH + more + wires, "bench.circuit").value, {})
    assert len(pages) > 1
    shown = texts(pages)
    assert [name for name in (f"F{at}" for at in range(100, 170)) if name not in shown] == []
    for page in pages:
        assert max(float(text.get("y") or 0.0) for text in ET.fromstring(page).iter(f"{SVG}text")) < 287.0


def test_the_blocks_of_a_function() -> None:
    found = blocks(VEHICLE, ("E7", "E8"))
    assert found.columns == (("G1",), ("F1", "F2"), ("S4",), ("E7", "E8"), ("W3", "boom", "W9", "chassis", "W1"))


@pytest.mark.parametrize("width", [120.0, 180.0])
def test_the_line_of_blocks_fits_its_width(width: float) -> None:
    shapes, height = block_line(VEHICLE, ("E7",), width)
    boxes = [one for one in shapes if isinstance(one, Rect)]
    assert [round(one.height_mm, 6) for one in boxes] == [round(height, 6)] * 5
    assert max(one.x_mm + one.width_mm for one in boxes) == pytest.approx(width)
    assert [one.text for one in shapes if isinstance(one, Text) and one.role == "note"] == [
        "source", "protection", "control", "load", "return",
    ]  # fmt: skip


def test_nothing_is_said_where_nothing_stands_on_the_way() -> None:
    assert block_line(VEHICLE, ("SP1",), 190.0) == ((), 0.0)
