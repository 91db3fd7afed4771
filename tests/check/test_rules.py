"""Each planted fault is found and named, and nothing else is said to be an error."""

from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from loombench.base.problems import Level
from loombench.check.run import check
from loombench.text.load import load_file, load_text
from loombench.text.skeleton import SKELETONS, skeleton
from tests.check.circuits import CLEAN, codes, one, planted, vehicle

ROOT = Path(__file__).parents[2]
EXAMPLES = sorted((ROOT / "examples").glob("*/*.circuit"))


def test_there_are_examples() -> None:
    assert len(EXAMPLES) >= 11


def test_a_clean_vehicle_is_clean() -> None:
    assert check(vehicle(CLEAN)) == ()


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: f"{path.parent.name}/{path.name}")
def test_no_example_has_errors(path: Path) -> None:
    assert [item for item in check(load_file(str(path)).value) if item.level is Level.ERROR] == []


@pytest.mark.parametrize("name", SKELETONS)
def test_no_skeleton_has_errors_or_warnings(name: str) -> None:
    assert [item for item in check(load_text(skeleton(name)).value) if item.level is not Level.NOTE] == []


def test_the_loss_of_any_wire_is_found() -> None:
    whole = vehicle(CLEAN)
    silent = [
        wire.id
        for wire in whole.wires
        if not check(replace(whole, wires=tuple(other for other in whole.wires if other != wire)))
    ]
    assert silent == []


@pytest.mark.parametrize(
    ("old", "new", "code", "facts"),
    [
        ("SP4 (GY 1mm2 0.4m) E1 (BN", "E1.1 (BN", "load-no-feed", {"load": "E1"}),
        ("E2 (BN 1mm2 0.4m) W2/b", "E2.1", "load-no-return", {"load": "E2", "point": "E2.2"}),
        ("strap W9 shelter chassis 0.3m 16mm2\n", "", "body-without-strap", {"body": "shelter", "loads": "E1, E2, R1"}),
        ("strap W9 shelter chassis 0.3m 16mm2", "strap W9 shelter chassis", "strap-assumed", {"straps": "W9"}),
        ("G1.- (BK 25mm2 0.4m) W1/a\n", "", "battery-minus-open", {"battery": "G1"}),
        ("A1.31 (BN 1mm2 0.4m) W1/c\n", "", "module-no-ground", {"module": "A1", "pins": "A1.31"}),
        ("F3 (WH 1mm2 1m) A1.1", "F3 (WH 1mm2 1m) SP9", "module-no-supply", {"pin": "A1.1"}),
        ("loom rear\n", "loom rear\nSP4 (GY 1mm2 1m) SP8\n", "dead-end", {"wire": "SP4~SP8", "point": "SP8"}),
        ("X1.2 (BU/WH 1.5mm2 1m) R1", "X1.3 (BU/WH 1.5mm2 1m) R1", "load-no-feed", {"load": "R1"}),
        ("lamp E2 12V 21W\n", "lamp E2 12V 21W\nlamp E3 12V 5W\n", "part-unwired", {"parts": "E3"}),
        ("switch S2", "switch S3 off | on: 3=4\nswitch S2", "control-unused", {"control": "S3", "pins": "3=4"}),
        ("X1.1 (GY 1.5mm2 2m) SP4", "X1.1 (GN 1.5mm2 2m) SP4", "colour-change", {"count": "2"}),
        ("G1.+ (RD 16mm2 0.2m)", "G1.+ (RD 16mm2 0.3m)", "wire-unprotected", {"wires": "G1.+~F1.in"}),
        ("SP4 (GY 1mm2 0.4m) E1", "SP4 (GY 1mm2 ?m) E1", "load-unknown", {"loads": "E1"}),
        ("lamp E1 12V 21W", "lamp E1", "assumed", {"parts": "lamp E1"}),
        ("loom rear\n", "SP1 (RD 10mm2 0.3m) F3.in\nloom rear\n", "terminal-shared", {"points": "F3.in"}),
    ],
    ids=lambda value: value if isinstance(value, str) and " " not in value else "",
)  # fmt: skip
def test_a_planted_fault_is_found(old: str, new: str, code: str, facts: dict[str, str]) -> None:
    found = one(planted((old, new)), code)
    assert {name: found.fact(name) for name in facts} == facts
    assert found.spans


def test_a_body_that_nothing_grounds_is_said_but_not_wrong() -> None:
    text = 'loombench 1\nvehicle "Insulated" 24V\nbody chassis\nbattery G1 140Ah\nfuse F1 10A\nlamp E1 24V 21W\n'
    wires = "G1.+ (RD 6mm2 0.2m) F1 (RD 1mm2 2m) E1 (BN 1mm2 2m) G1.-\n"
    found = check(vehicle(text + wires))
    assert codes(found) == {"battery-not-grounded"}
    assert found[0].level is Level.WARNING


def test_two_wires_in_a_cavity_are_a_slip_and_the_empty_one_is_seen_too() -> None:
    found = planted(("K1.87 (BU/WH 1.5mm2 2m) X1.2", "K1.87 (BU/WH 1.5mm2 2m) X1.1"))
    assert one(found, "cavity-twice").fact("point") == "X1.1@cab"
    assert one(found, "cavity-one-sided").fact("cavity") == "X1.2"


def test_a_module_without_a_ground_line() -> None:
    found = planted(("  ground 31\n", ""), ("A1.31 (BN 1mm2 0.4m) W1/c\n", ""))
    assert one(found, "module-undeclared").fact("missing") == "ground"


def test_a_cavity_with_one_side_is_a_warning_and_a_half_without_wires_one_note() -> None:
    found = planted(("loom rear\n", "loom rear\nX1.4 (VT 1mm2 1m) SP4\n"))
    assert one(found, "cavity-one-sided").level is Level.WARNING
    assert one(found, "cavity-one-sided").fact("other") == "cab"
    connector = ("module A1", "connector X2 4way rear | tail\nmodule A1")
    lone = planted(connector, ("loom rear\n", "loom rear\nX2.1 (VT 1mm2 1m) SP4\n"))
    assert one(lone, "half-not-drawn").level is Level.NOTE
    assert one(lone, "half-not-drawn").fact("half") == "tail"


def test_a_load_behind_another_has_its_feed() -> None:
    """As a blower's resistors, which are only fed through the motor."""
    text = CLEAN.replace("SP4 (GY 1mm2 0.8m) E2 (BN 1mm2 0.4m) W2/b\n", "")
    found = planted(("E1 (BN 1mm2 0.4m) W2/a", "E1 (BN 1mm2 0.4m) E2 (BN 1mm2 1m) W2/a"), text=text)
    assert [item for item in found if item.level is Level.ERROR] == []


def test_two_lamps_that_lost_their_common_ground_do_not_find_it_over_their_feed() -> None:
    """Their feed, behind the switch, also leads to a third lamp with a ground of its own."""
    text = CLEAN.replace("(BN 1mm2 0.4m) W2/a", "(BN 1mm2 0.4m) SP5").replace(
        "(BN 1mm2 0.4m) W2/b", "(BN 1mm2 0.4m) SP5"
    )
    third = "lamp E2 12V 21W\nlamp E3 12V 5W\n", "loom rear\nSP4 (GY 1mm2 1m) E3 (BN 1mm2 1m) W2/d\n"
    found = planted(("lamp E2 12V 21W\n", third[0]), ("loom rear\n", third[1]), text=text)
    assert {item.fact("load") for item in found if item.code == "load-no-return"} == {"E1", "E2"}


def test_lamps_in_series_and_a_charge_lamp_are_fed_and_grounded() -> None:
    head = (
        'loombench 1\nvehicle "Two by two" 24V\nbody chassis\nstud W1 on chassis\nbattery G1 140Ah\nalternator G2 80A\n'
    )
    parts = "fuse F1 10A\nlamp E1 12V 21W\nlamp E2 12V 21W\nlamp H1 24V 2W\n"
    wires = "G1.- (BK 50mm2 0.4m) W1/a\nG2.- (BK 16mm2 0.4m) W1/b\nG1.+ (RD 16mm2 0.2m) F1 (RD 1mm2 1m) SP1\n"
    loads = "SP1 (RD 1mm2 1m) E1 (RD 1mm2 1m) E2 (BN 1mm2 1m) W1/c\nSP1 (RD 1mm2 1m) H1 (BU 1mm2 1m) G2.D+\n"
    found = check(vehicle(head + parts + wires + loads))
    assert [item for item in found if item.level is not Level.NOTE] == []


@given(st.sets(st.integers(min_value=2, max_value=CLEAN.count("\n")), max_size=12))
@settings(max_examples=25, deadline=None)
def test_whatever_is_missing_nothing_raises(gone: set[int]) -> None:
    text = "".join(line for number, line in enumerate(CLEAN.splitlines(keepends=True)) if number not in gone)
    assert all(item.code for item in check(load_text(text).value))


def test_a_part_that_conducts_nothing_needs_no_feed() -> None:
    """A generic part without a number is no load by its law; with one it is."""
    bare = (
        ("loom rear\n", "loom rear\nSP4 (GY 1mm2 1m) A9.1\n"),
        ("lamp E2 12V 21W\n", "lamp E2 12V 21W\ngeneric A9 1 2\n"),
    )
    assert "load-no-return" not in codes(planted(*bare))
    told = (bare[0], ("lamp E2 12V 21W\n", "lamp E2 12V 21W\ngeneric A9 1 2 2A\n"))
    assert one(planted(*told), "load-no-return").fact("load") == "A9"
