"""The sample of the exchange: each figure and each thing in it, as counted by hand in the file."""

from pathlib import Path

import pytest

from loombench.exchange.harness import ColourText, Harness, Spot
from loombench.exchange.kbl.read import read_kbl
from loombench.exchange.netcount import count
from loombench.exchange.report import Imported

MINI = Path(__file__).parents[1] / "samples" / "mini.kbl"


@pytest.fixture(scope="module")
def imported() -> Imported:
    with MINI.open("rb") as file:
        return read_kbl(file, "mini.kbl")


@pytest.fixture(scope="module")
def harness(imported: Imported) -> Harness:
    assert imported.harness is not None
    return imported.harness


def test_nothing_had_to_be_mended(imported: Imported) -> None:
    assert imported.repairs == ()
    assert imported.problems == ()
    assert dict(imported.rows)["connection"] == 4


def test_the_figures_are_those_counted_by_hand(harness: Harness) -> None:
    figures = count(harness)
    assert (figures.connections, figures.connectors, figures.splices, figures.rings) == (4, 4, 1, 2)
    assert (figures.carriers, figures.fuses, figures.nets, figures.segments) == (1, 1, 3, 1)
    assert len(harness.contacts) == 7
    assert not harness.variants


def test_a_wire_has_what_the_file_says_of_it(harness: Harness) -> None:
    wire = next(one for one in harness.wires if one.number == "2")
    assert [str(end.spot) for end in wire.ends] == ["FH1.A.2", "S1.1"]
    assert (wire.signal, wire.area_mm2, wire.length_m, wire.segments) == ("30-F1", 2.5, 0.9, ("SEG1",))
    assert wire.colour == ColourText(("RD", "YE"), "IEC")
    assert wire.span is not None
    assert wire.span.line == 71


def test_a_box_has_its_bars_its_slot_and_its_fuse(harness: Harness) -> None:
    box = next(one for one in harness.holders if one.kind == "box")
    assert box.cavities == ("A.1", "A.2", "F1.1", "F1.2")
    assert box.joined == (("A.1", "F1.1"), ("A.2", "F1.2"))
    (fuse,) = harness.fitted
    assert (fuse.kind, fuse.rating_a, fuse.slot) == ("fuse", 20.0, "F1")
    assert fuse.spots == (Spot("FH1", "F1.1"), Spot("FH1", "F1.2"))


def test_a_ring_has_the_words_of_its_terminal_and_its_place(harness: Harness) -> None:
    rings = {one.id: one for one in harness.holders if one.kind == "ring"}
    assert rings["G5"].description == "Ground stud rear left"
    assert rings["BAT+"].place == "N0"
