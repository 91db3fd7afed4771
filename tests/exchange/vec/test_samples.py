"""The sample files: their figures, counted by hand in the files, and what changed between two revisions."""

import pytest

from loombench.exchange.differences import differences
from loombench.exchange.harness import ColourText, Harness, Spot
from loombench.exchange.kbl.read import read_kbl
from loombench.exchange.leaving import leave
from loombench.exchange.netcount import Counts, count
from loombench.exchange.report import Imported
from loombench.exchange.vec.read import read_vec
from loombench.exchange.vec.write import write_vec
from tests.exchange.out.vehicles import FILES, example
from tests.exchange.secondcount import vec as counted_again
from tests.exchange.vec.files import SAMPLES


def sample(name: str) -> Imported:
    with (SAMPLES / name).open("rb") as stream:
        return read_vec(stream, name)


def harness(name: str) -> Harness:
    found = sample(name).harness
    assert found is not None
    return found


# connections, connectors, splices, rings, carriers, fuses, segments, nets, largest net
FIGURES = {
    "mini.vec": Counts(2, 3, 1, 1, 0, 0, 0, 2, 2),
    "mini_fuse.vec": Counts(0, 0, 0, 0, 1, 1, 0, 0, 0),
    "ARENA-VWS4LS-DEMO.vec": Counts(3, 2, 0, 0, 0, 0, 0, 3, 2),
    "VEC-Change-Example-I.xml": Counts(2, 3, 0, 0, 0, 0, 0, 2, 2),
    "VEC-Change-Example-II.xml": Counts(2, 3, 0, 0, 0, 0, 0, 2, 2),
}


@pytest.mark.parametrize("name", FIGURES)
def test_figures(name: str) -> None:
    counts = count(harness(name))
    assert counts == FIGURES[name]
    again = counted_again(SAMPLES / name)
    assert (counts.connections, counts.nets, counts.largest_net) == (again.connections, again.nets, again.largest_net)


def test_mini() -> None:
    found = harness("mini.vec")
    assert (found.name, found.format) == ("HARNESS-DEMO", "VEC 1.1.3")
    assert [(one.id, one.kind, one.cavities, one.part_number) for one in found.holders] == [
        ("E12-A", "connector", ("1", "2"), "CONN-2W"),
        ("S1", "splice", ("1",), "SPLICE"),
        ("G5", "ring", ("1",), "RING-M6"),
    ]
    three, four = found.wires
    assert [end.spot for end in three.ends] == [Spot("S1", "1"), Spot("E12-A", "1")]
    assert (three.number, three.area_mm2, three.length_m, three.colour) == (
        "3", 2.5, 1.2, ColourText(("RD", "YE"), "IEC"),
    )  # fmt: skip
    assert (four.number, four.area_mm2, four.length_m, four.colour) == ("4", 1.0, 0.4, ColourText(("BN",), "IEC"))
    assert [(end.spot, end.contact) for end in four.ends] == [
        (Spot("E12-A", "2"), "E12-A-2"), (Spot("G5", "1"), "G5"),
    ]  # fmt: skip
    assert [(one.id, one.terminal) for one in found.contacts if one.holder == "E12-A"] == [
        ("E12-A-1", "TERM-2.8"), ("E12-A-2", "TERM-2.8"),
    ]  # fmt: skip
    assert three.span is not None
    assert (three.span.file, three.span.line) == ("mini.vec", 42)


def test_a_fuse_in_its_holder() -> None:
    found = harness("mini_fuse.vec")
    box, fuse = found.holders[0], found.fitted[0]
    assert (box.id, box.kind, box.cavities) == ("FH1", "box", ("A.1", "A.2", "F1.1", "F1.2"))
    assert box.joined == (("A.1", "F1.1"), ("A.2", "F1.2"))
    assert [(slot.id, slot.cavities, slot.kind) for slot in box.slots] == [("F1", ("F1.1", "F1.2"), "fuse")]
    assert (fuse.id, fuse.kind, fuse.slot, fuse.rating_a, fuse.part_number) == ("F1", "fuse", "F1", 20.0, "FUSE-C-20")
    assert fuse.spots == (Spot("FH1", "F1.1"), Spot("FH1", "F1.2"))
    assert found.matings == ()


def test_modules_are_options_and_colours_keep_their_keys() -> None:
    read = sample("ARENA-VWS4LS-DEMO.vec")
    found = harness("ARENA-VWS4LS-DEMO.vec")
    assert [one.code for one in found.options] == ["BASIS", "VAR1", "VAR2"]
    assert {one.id: one.options for one in found.wires} == {"W1": ("VAR1",), "W2": ("BASIS",), "W3": ("VAR2",)}
    assert {one.id: one.options for one in found.holders} == {"A1": ("BASIS",), "A2": ("BASIS",)}
    assert [(one.colour.parts, one.length_m, one.area_mm2) for one in found.wires] == [
        (("BL",), 0.3, 0.35), (("YL",), 0.32, 0.35), (("RD",), 0.31, 0.35),
    ]  # fmt: skip
    # BL and YL are said to be letters of IEC 60757, which has BU and YE.
    assert read.repairs == (("vec-colour", 2),)
    assert [one.fact("colour") for one in read.problems] == ["BL", "YL"]


def test_a_makers_colours_are_read_in_the_system_that_is_told() -> None:
    """`BR` and `SW` in the maker's own system are brown and black where he means the German letters."""
    data = (SAMPLES / "VEC-Change-Example-I.xml").read_bytes()
    told = read_vec(data, "x", "DIN")
    assert told.harness is not None
    assert [one.colour for one in told.harness.wires] == [ColourText(("BR",), "DIN"), ColourText(("SW",), "DIN")]
    assert told.repairs == ()
    useless = read_vec(data, "x", "Japanese")
    assert useless.harness is not None
    assert useless.harness.wires[1].colour == ColourText(("SW",), "Acme Inc.")


def test_the_same_circuit_from_kbl_has_the_same_netlist_where_they_overlap() -> None:
    whole = read_kbl((SAMPLES / "mini.kbl").read_bytes(), "mini.kbl").harness
    part = harness("mini.vec")
    assert whole is not None
    of_kbl = {one.number: one for one in whole.wires}
    for wire in part.wires:
        other = of_kbl[wire.number]
        assert {str(end.spot) for end in wire.ends} == {str(end.spot) for end in other.ends}
        assert (wire.area_mm2, wire.length_m, wire.colour.parts) == (other.area_mm2, other.length_m, other.colour.parts)
    kinds = {one.id: one.kind for one in whole.holders}
    assert {one.id: one.kind for one in part.holders}.items() <= kinds.items()


@pytest.mark.parametrize("name", FILES)
def test_what_is_written_comes_back(name: str) -> None:
    """Vehicle, VEC and back: nothing changes but that a device's plug is not told from another connector."""
    out = leave(example(name))
    back = read_vec(write_vec(out).encode("utf-8"), name)
    assert back.harness is not None
    changes = differences(out, back.harness)
    assert {(one.field, one.before, one.after) for one in changes} <= {("kind", "device", "connector")}
    assert count(back.harness).nets == count(out).nets
    assert back.repairs == ()


def test_a_multicore_is_its_cores() -> None:
    found = harness("VEC-Change-Example-I.xml")
    assert [(one.id, one.cable, one.core, one.colour) for one in found.wires] == [
        ("264002", "SL1", "1", ColourText(("BR",), "Acme Inc.")),
        ("264001", "SL1", "2", ColourText(("SW",), "Acme Inc.")),
    ]


def test_what_changed_between_two_revisions() -> None:
    """Another cable type, a colour that becomes base and stripe, a length added and one altered; nothing else."""
    changes = differences(harness("VEC-Change-Example-I.xml"), harness("VEC-Change-Example-II.xml"))
    assert [(one.id, one.field, one.before, one.after) for one in changes] == [
        ("264002", "part_number", "LB-0006", "LB-0007"),
        ("264002", "area", "0.5 mm2", "0.3 mm2"),
        ("264002", "colour", "BR", "B/K"),
        ("264002", "length", "1063 mm", "1077 mm"),
        ("264001", "part_number", "LB-0006", "LB-0007"),
        ("264001", "area", "0.5 mm2", "0.3 mm2"),
        ("264001", "colour", "SW", "B/RD"),
        ("264001", "length", "503 mm", "1503 mm"),
    ]
    assert {(one.kind, one.of) for one in changes} == {("changed", "wire")}
