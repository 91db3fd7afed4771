"""Wire list, companion lists and labels as written: rows checked by hand."""

import csv
import io

import pytest

from loombench.exchange.csvout import csv_text
from loombench.exchange.labels import write_labels
from loombench.exchange.leaving import leave
from loombench.exchange.wirelist.write import write_lists, write_wirelist
from tests.exchange.out.files import everything
from tests.exchange.out.vehicles import FILES, example, small


def rows(text: str) -> list[dict[str, str]]:
    """The rows of a table by its heads."""
    return list(csv.DictReader(io.StringIO(text, newline="")))


def test_a_wire_is_a_row_with_units_and_what_is_not_known_stays_empty() -> None:
    found = rows(write_wirelist(leave(small())))
    named = {(row["from_conn"], row["from_cavity"]): row for row in found}
    wire = named["B1", "K4.87"]
    assert (wire["wire_no"], wire["colour"], wire["colour_system"]) == ("214", "RD/WH", "IEC")
    assert (wire["size"], wire["size_unit"], wire["length"], wire["length_unit"]) == ("2.5", "mm2", "2400", "mm")
    assert (wire["to_conn"], wire["to_cavity"], wire["harness"]) == ("X12@chassis", "1", "chassis")
    unknown = named["B1", "K4.85"]
    assert [unknown[key] for key in ("wire_no", "size", "size_unit", "length", "length_unit")] == [""] * 5
    assert named["SP1", "1"]["length"] == "300"
    assert len(found) == 16 + 1 + 5


def test_bars_are_jumpers_and_join_what_the_carrier_joins() -> None:
    bars = [row for row in rows(write_wirelist(leave(small()))) if row["wire_type"] == "bar"]
    assert {(row["from_conn"], row["to_conn"], row["length"]) for row in bars} == {("B1", "B1", "0")}
    assert [(row["from_cavity"], row["to_cavity"]) for row in bars] == [
        ("in", "F12.in"),
        ("F12.in", "F13.in"),
        ("F13.in", "K4.30"),
        ("F13.out", "K4.86"),
        ("F12.out", "C/7"),
    ]


def test_the_companion_lists_say_fuses_grounds_and_what_is_plugged_into_what() -> None:
    lists = {name: rows(text) for name, text in write_lists(leave(small())).items()}
    assert [(row["fuse"], row["rating"], row["feed"], row["output"]) for row in lists["fuses"]] == [
        ("F1", "100", "F1.in", "F1.out"),
        ("F12", "10", "B1.F12.in", "B1.F12.out"),
        ("F13", "", "B1.F13.in", "B1.F13.out"),
        ("F20", "5", "F20.in", "F20.out"),
    ]
    grounds = {row["ground"]: (row["stud"], row["body"]) for row in lists["grounds"]}
    assert grounds["W2/b"] == ("W2", "cab")
    assert grounds["chassis"] == ("chassis", "chassis")
    mates = {row["connector"]: row["mating connector"] for row in lists["connectors"] if row["mating connector"]}
    assert mates == {"X12@chassis": "X12@boom", "X12@boom": "X12@chassis"}
    assert [row["splice"] for row in lists["splices"]] == ["C4.shield", "SP1"]


def test_a_wire_with_taps_is_a_row_for_each_stretch_and_an_open_end_stays_open() -> None:
    found = rows(write_wirelist(everything()))
    tapped = [row for row in found if row["option"] == "(A1+B2)/(C3)"]
    assert [(row["from_conn"], row["to_conn"]) for row in tapped] == [("X1", "S1"), ("S1", "S1")]
    sealed = next(row for row in found if row["from_terminal"] == "T-1")
    assert (sealed["from_seal"], sealed["to_conn"], sealed["to_cavity"]) == ("S-1", "", "")


@pytest.mark.parametrize("name", FILES)
def test_every_wire_gets_a_label_at_each_end(name: str) -> None:
    vehicle = example(name)
    found = rows(write_labels(leave(vehicle)))
    assert len(found) == 2 * len(vehicle.wires)
    ends = {(row["wire"], row["from"]): row["to"] for row in found}
    assert all(ends[wire, there] == here for (wire, here), there in ends.items())


def test_a_label_says_number_colour_size_and_where_to() -> None:
    found = [row for row in rows(write_labels(leave(small()))) if row["number"]]
    assert [row["label"] for row in found] == [
        "214 RD/WH 2.5mm2 B1.K4.87 > X12@chassis.1",
        "214 RD/WH 2.5mm2 X12@chassis.1 > B1.K4.87",
    ]


def test_no_cell_is_a_formula_or_breaks_its_line() -> None:
    text = csv_text(("a", "b"), [('=SUM(A1)"', "x\r\ny"), ("@x", "-1")])
    assert list(csv.reader(io.StringIO(text, newline=""))) == [["a", "b"], [' =SUM(A1)"', "x y"], [" @x", " -1"]]
