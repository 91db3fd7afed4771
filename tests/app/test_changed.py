"""What changed between two harness files, as a user is told: any formats, one vehicle or all variants, bad files."""

from pathlib import Path

from loombench.app.changed import changed_json, changed_lines, what_changed

SAMPLES = Path(__file__).parents[1] / "exchange" / "samples"
ONE, TWO = (str(SAMPLES / f"VEC-Change-Example-{number}.xml") for number in ("I", "II"))
ARENA = str(SAMPLES / "ARENA-VWS4LS-DEMO.vec")


def test_two_revisions() -> None:
    found = what_changed(ONE, TWO)
    assert found.value is not None
    assert list(changed_lines(found.value)) == [
        "changed: wire 264002",
        "  part number: LB-0006 -> LB-0007",
        "  size: 0.5 mm2 -> 0.3 mm2",
        "  colour: BR -> B/K",
        "  length: 1063 mm -> 1077 mm",
        "changed: wire 264001",
        "  part number: LB-0006 -> LB-0007",
        "  size: 0.5 mm2 -> 0.3 mm2",
        "  colour: SW -> B/RD",
        "  length: 503 mm -> 1503 mm",
        "8 changes",
    ]
    assert changed_json(found.value)["old"] == "HARNESS-1"


def test_the_same_file_twice() -> None:
    found = what_changed(ONE, ONE)
    assert found.value is not None
    assert list(changed_lines(found.value)) == ["No difference in wires, connectors, boxes and fuses."]


def test_kbl_against_vec_of_a_part_of_it() -> None:
    """What only the KBL has is gone in the VEC: battery stud, fuse holder and two wires. The rest is the same."""
    found = what_changed(str(SAMPLES / "mini.kbl"), str(SAMPLES / "mini.vec"))
    assert found.value is not None
    gone = [(one.of, one.id) for one in found.value.differences if one.kind == "removed"]
    assert gone == [("wire", "1"), ("wire", "2"), ("holder", "FH1"), ("holder", "BAT+"), ("fitted", "F1")]
    assert not [one for one in found.value.differences if one.field in ("ends", "colour", "length", "area")]


def test_two_vehicles_of_one_file(tmp_path: Path) -> None:
    text = Path(ARENA).read_text(encoding="utf-8").replace(">310.0<", ">999.0<")
    new = tmp_path / "new.vec"
    new.write_text(text, encoding="utf-8")
    left = what_changed(ARENA, str(new), ("BASIS", "VAR1"))
    right = what_changed(ARENA, str(new), ("BASIS", "VAR2"))
    assert left.value is not None
    assert right.value is not None
    assert left.value.differences == ()
    assert [(one.id, one.field) for one in right.value.differences] == [("W3", "length")]


def test_a_file_that_is_not_there_or_no_harness(tmp_path: Path) -> None:
    gone = what_changed(ONE, str(tmp_path / "no.vec"))
    assert gone.value is None
    assert [one.code for one in gone.problems if one.level.value == "error"] == ["file-missing"]
    bad = tmp_path / "bad.vec"
    bad.write_text("<VecContent>", encoding="utf-8")
    broken = what_changed(str(bad), ONE)
    assert changed_json(broken.value) == {"differences": None}
    assert "xml-broken" in [one.code for one in broken.problems]
