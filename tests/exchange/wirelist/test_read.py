"""Wire lists as harnesses: the sample, and each trap of such lists as a list of ours with what it has to give."""

from pathlib import Path

import pytest

from loombench.exchange.harness import BOX, CONNECTOR, RING, SPLICE, Harness, Wire
from loombench.exchange.netcount import count
from loombench.exchange.report import Imported
from loombench.exchange.wirelist.layout import AUTOMATIC, Layout
from loombench.exchange.wirelist.read import read_wirelist
from tests.exchange.tables.build import DAY_MONTH, POWER, xlsx

SAMPLE = Path(__file__).parents[1] / "samples" / "mini_wirelist.csv"


def read(text: str | bytes, layout: Layout = AUTOMATIC, **others: str) -> Imported:
    data = text.encode() if isinstance(text, str) else text
    more = [(other.encode(), f"{name}.csv") for name, other in others.items()]
    return read_wirelist(data, "list.csv", layout, more)


def harness(text: str | bytes, layout: Layout = AUTOMATIC, **others: str) -> Harness:
    found = read(text, layout, **others).harness
    assert found is not None
    return found


def codes(imported: Imported) -> dict[str, int]:
    return dict(imported.repairs)


def ends(made: Harness) -> dict[str, tuple[str, ...]]:
    return {wire.id: tuple(str(end.spot) if end.spot else "" for end in wire.ends) for wire in made.wires}


def first(text: str, layout: Layout = AUTOMATIC) -> Wire:
    return harness(text, layout).wires[0]


def test_the_sample_is_read_as_it_stands() -> None:
    imported = read(SAMPLE.read_bytes())
    assert imported.problems == ()
    assert dict(imported.rows) == {"row": 6, "wire": 6}
    made = imported.harness
    assert made is not None
    assert ends(made) == {
        "1": ("BAT+.1", "FH1.1"), "2": ("FH1.2", "S1.1"), "3": ("S1.1", "E12-A.1"), "4": ("E12-A.2", "G5.1"),
        "5": ("C7.12", "C31.3"), "6": ("C7.13", "C31.4"),
    }  # fmt: skip
    assert {holder.id: holder.kind for holder in made.holders} == {
        "BAT+": RING, "FH1": CONNECTOR, "S1": SPLICE, "E12-A": CONNECTOR, "G5": RING, "C7": CONNECTOR, "C31": CONNECTOR,
    }  # fmt: skip
    one, five = made.wires[0], made.wires[4]
    assert (one.loom, one.signal, one.colour.parts, one.colour.system) == ("MAIN", "30", ("RD", "YE"), "IEC")
    assert (one.area_mm2, one.length_m, one.type, one.options) == (2.5, 0.25, "FLRY-B", ())
    assert (five.area_mm2, five.length_m, five.cable, five.core, five.twist) == (0.35, 2.1, "TP1", "1", "TP1")
    assert five.options == ("OPT-A",)
    assert [option.code for option in made.options] == ["OPT-A"]
    assert {contact.id: contact.terminal for contact in made.contacts if contact.holder == "G5"} == {"G5-1": "RING-M6"}
    figures = count(made)
    assert (figures.connections, figures.connectors, figures.splices, figures.rings) == (6, 7, 1, 2)
    assert (figures.nets, figures.largest_net) == (5, 3)


GERMAN = """Leitungssatz Kabine;;;;;;;
Stand 3;;;;;;;

Ltg-Nr;Von Stecker;Kammer;Nach Stecker;Kammer;Farbe;Querschnitt [mm²];Länge (mm)
12;X1;3;SPL;;rt/ge;0,5;1.250
12A;SPL;;E7;1;rt/ge;0,5;300
13;Masse 2;;E7;2;br;1,5;200
14;X1;1;X1;2;sw;1;30
15;X1;5;;;ws;2,5;90
15;X1;6;X4;1-2;ws;2,5;90
"""


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "cp1252"])
def test_a_german_list_below_its_titles(encoding: str) -> None:
    imported = read(GERMAN.encode(encoding))
    made = imported.harness
    assert made is not None
    assert ends(made) == {
        "12": ("X1.3", "SPL-12.1"), "12A": ("SPL-12.1", "E7.1"), "13": ("Masse 2.1", "E7.2"), "14": ("X1.1", "X1.2"),
        "15": ("X1.5", ""), "15#2": ("X1.6", "X4.1-2"),
    }  # fmt: skip
    assert [wire.area_mm2 for wire in made.wires] == [0.5, 0.5, 1.5, 1.0, 2.5, 2.5]
    assert [wire.length_m for wire in made.wires] == [1.25, 0.3, 0.2, 0.03, 0.09, 0.09]
    assert {wire.colour.system for wire in made.wires} == {"DIN"}
    rows = dict(imported.rows)
    assert (rows["wire"], rows["jumper"], rows["open_end"]) == (6, 1, 1)
    assert [holder.kind for holder in made.holders] == [CONNECTOR, SPLICE, CONNECTOR, RING, CONNECTOR]


@pytest.mark.parametrize(
    ("cell", "spot"),
    [
        ("X12-3", "X12.3"), ("X12:3", "X12.3"), ("X12/3", "X12.3"), ("X12.3", "X12.3"), ("X12(3)", "X12.3"),
        ("X12 3", "X12.3"), ("E12-A-2", "E12-A.2"), ("GND-1", "GND-1.1"), ("BAT+", "BAT+.1"), ("SP12", "SP12.1"),
        ("Masse", "Masse.1"), ("Batt +", "Batt +.1"), ("", ""), ("-", ""), ("open", ""),
    ],
)  # fmt: skip
def test_a_joined_cell_is_parted(cell: str, spot: str) -> None:
    assert ends(harness(f"wire,from,to\n1,{cell},Q9-1\n"))["1"] == (spot, "Q9.1")


def test_a_list_of_connectors_decides_where_a_cell_is_parted() -> None:
    text = "wire,from,to\n1,E12-A,X1.2-1\n2,E12-A-2,X9-1\n"
    made = read(text, connectors="connector,ways\nE12-A,2\nX1.2,3\nE12,4\n")
    assert made.harness is not None
    assert ends(made.harness) == {"1": ("E12-A.?1", "X1.2.1"), "2": ("E12-A.2", "X9.1")}
    assert codes(made) == {"list-cavity-missing": 1, "list-connector-unlisted": 1}
    assert {holder.id: holder.cavities for holder in made.harness.holders}["X1.2"] == ("1", "2", "3")


def test_ends_without_a_cavity_are_joined_to_nothing() -> None:
    made = harness("wire,from,pin,to,pin\n1,X1,,X2,1\n2,X1,,X2,2\n")
    assert made.wires[0].ends[0].spot != made.wires[1].ends[0].spot
    assert count(made).nets == 2


def test_splices_of_other_circuits_are_other_splices() -> None:
    made = harness("wire,from,to\n12,X1-1,SPL\n12A,SPL,X2-1\n12B,SPL,X3-1\n13,X1-2,SPL\n13A,SPL,X2-2\n")
    assert count(made).nets == 2
    assert {holder.id for holder in made.holders if holder.kind == SPLICE} == {"SPL-12", "SPL-13"}


@pytest.mark.parametrize(
    ("head", "cells", "areas"),
    [
        ("size [mm²]", ("0,5", "16"), (0.5, 16.0)),
        ("AWG", ("18", "1/0"), (0.823, 53.475)),
        ("gauge", ("18AWG", "0.5 mm2"), (0.823, 0.5)),
        ("size", ("0.5", "1"), (0.5, 1.0)),
        ("size", ("20", "16"), (0.518, 1.309)),
        ("size", ("0.5", "18"), (None, None)),
        ("size", ("4", "6"), (None, None)),
        ("size", ("0.5", "18 AWG", "20"), (None, 0.823, None)),
    ],
)
def test_sizes_are_taken_only_where_their_unit_is_sure(
    head: str, cells: tuple[str, ...], areas: tuple[float | None, ...]
) -> None:
    """AWG areas as published: 18 is 0.823 mm2, 20 is 0.518, 16 is 1.31, 1/0 is 53.5."""
    rows = "".join(f"{at};X1;{at};X2;{at};{cell}\n" for at, cell in enumerate(cells, 1))
    made = harness(f"wire;from;pin;to;pin;{head}\n{rows}")
    assert [wire.area_mm2 and round(wire.area_mm2, 3) for wire in made.wires] == list(areas)
    assert [wire.size_text for wire in made.wires] == list(cells)


def test_a_column_of_both_units_is_refused_with_an_example_of_each() -> None:
    imported = read("wire,from,pin,to,pin,size\n1,X1,1,X2,1,0.5\n2,X1,2,X2,2,18\n")
    (said,) = [one for one in imported.problems if one.code == "list-size-mixed"]
    assert (said.level.value, said.fact("mm2"), said.fact("awg")) == ("warning", "0.5", "18")
    assert [span.line for span in said.spans] == [2, 3]


@pytest.mark.parametrize(
    ("head", "cell", "layout", "metres"),
    [
        ("length", "250mm", AUTOMATIC, 0.25),
        ("length", "1,2 m", AUTOMATIC, 1.2),
        ("length", '12"', AUTOMATIC, 0.3048),
        ("length [cm]", "25", AUTOMATIC, 0.25),
        ("length", "25", AUTOMATIC, None),
        ("length", "25", Layout(length_unit="in"), 0.635),
        ("length [mm]", "1.250", AUTOMATIC, None),
        ("length [mm]", "1.250", Layout(decimal=","), 1.25),
        ("length [mm]", "1.250", Layout(decimal="."), 0.00125),
        ("length [mm]", "0", AUTOMATIC, None),
        ("length [mm]", "-1", AUTOMATIC, None),
    ],
)
def test_lengths_have_their_unit_from_cell_head_or_caller(
    head: str, cell: str, layout: Layout, metres: float | None
) -> None:
    assert first(f"wire;from;pin;to;pin;{head}\n1;X1;1;X2;1;{cell}\n", layout).length_m == metres


def test_a_unit_beside_the_number_counts() -> None:
    wire = first("wire,from,pin,to,pin,size,unit,length,unit\n1,X1,1,X2,1,18,AWG,2,ft\n")
    assert (round(wire.area_mm2 or 0.0, 3), wire.length_m) == (0.823, 0.6096)


def test_a_colour_system_is_asked_where_it_is_not_sure() -> None:
    text = "wire,from,pin,to,pin,colour\n1,X1,1,X2,1,B\n2,X1,2,X2,2,R\n3,X1,3,X2,3,V\n"
    imported = read(text)
    (said,) = [one for one in imported.problems if one.code == "list-colour-asked"]
    assert "Japanese: B black, V violet" in said.fact("candidates")
    assert "Italian: B white, V green" in said.fact("candidates")
    assert imported.harness is not None
    assert {(wire.colour.parts, wire.colour.system) for wire in imported.harness.wires} == {
        (("B",), ""), (("R",), ""), (("V",), "")}  # fmt: skip
    told = harness(text, Layout(colour_system="IT"))
    assert {wire.colour.system for wire in told.wires} == {"Italian"}


def test_base_and_stripe_may_have_columns_of_their_own() -> None:
    wire = first("Ltg-Nr;Von;Kammer;Nach;Kammer;Grundfarbe;Kennfarbe\n1;X1;1;X2;1;rt;ge\n")
    assert (wire.colour.parts, wire.colour.system) == (("rt", "ge"), "DIN")


VARIANTS = (
    "wire,from,pin,to,pin,LHD,RHD\n1,X1,1,X2,1,x,x\n2,X1,2,X2,2,x,\n3,X1,2,X3,2,,1\n4,X1,4,X2,4,,\n5,X1,5,X2,5,LHD,0\n"
)


def test_columns_of_marks_are_options() -> None:
    imported = read(VARIANTS)
    made = imported.harness
    assert made is not None
    assert {wire.id: wire.options for wire in made.wires} == {"1": (), "2": ("LHD",), "3": ("RHD",), "5": ("LHD",)}
    assert [option.code for option in made.options] == ["LHD", "RHD"]
    assert made.variants
    assert codes(imported) == {"list-options-found": 1, "list-row-refused": 1}
    assert len(harness(VARIANTS, Layout(unmarked="always")).wires) == 5


def test_one_column_of_marks_is_an_option_only_if_it_says_so() -> None:
    rows = "1,X1,1,X2,1,x\n2,X1,2,X2,2,\n"
    checked = harness(f"wire,from,pin,to,pin,seen by\n{rows}")
    assert [wire.options for wire in checked.wires] == [(), ()]
    assert [wire.options for wire in harness(f"wire,from,pin,to,pin,Option 7\n{rows}").wires] == [("Option_7",), ()]
    told = Layout(columns=((5, "option:TOW"),))
    assert [wire.options for wire in harness(f"wire,from,pin,to,pin,seen by\n{rows}", told).wires] == [("TOW",), ()]


def test_a_variant_may_be_called_like_a_column_of_another_list() -> None:
    made = harness("wire;from;pin;to;pin;LEFT;RIGHT\n1;X1;1;X2;1;x;\n2;X1;1;X3;1;;x\n")
    assert [wire.options for wire in made.wires] == [("LEFT",), ("RIGHT",)]


def test_an_end_that_a_spreadsheet_altered_is_not_made_up() -> None:
    book = xlsx({"W": [["wire", "from", "to"], ["1", (45293.0, DAY_MONTH), "X2-1"]]})
    imported = read(book)
    assert imported.harness is not None
    assert ends(imported.harness) == {"1": ("", "X2.1")}
    assert codes(imported) == {"list-cell-altered": 1, "list-end-open": 1}
    told = harness(book, Layout(dates="day-month"))
    assert ends(told) == {"1": ("2.1", "X2.1")}


def test_a_cell_merged_over_connector_and_pin_is_no_pin() -> None:
    book = xlsx({"W": [["wire", "from", "pin", "to", "pin"], ["1", "X4", "", "X2", "1"]]}, merged=["B2:C2"])
    imported = read(book)
    assert imported.harness is not None
    assert ends(imported.harness) == {"1": ("X4.?1", "X2.1")}
    assert codes(imported) == {"list-cavity-missing": 1}


def test_heads_in_two_lines_with_merged_sides() -> None:
    heads = [["Wire", "From", "", "To", "", "Colour"], ["", "Conn", "Pin", "Conn", "Pin"]]
    made = harness(
        xlsx({"W": [*heads, ["1", "X1", "2", "X2", "3", "rt"]]}, merged=["B1:C1", "D1:E1", "A1:A2", "F1:F2"])
    )
    assert ends(made) == {"1": ("X1.2", "X2.3")}
    assert made.wires[0].colour.parts == ("rt",)


def test_rows_that_are_no_wires_are_passed_over() -> None:
    imported = read(
        "kind,wire,from,pin,to,pin\n# a remark\nW,1,X1,1,X2,1\nCON,X1,housing,,,\nEngine bay,,,,,\n"
        "kind,wire,from,pin,to,pin\nW,2,X1,2,X2,2\nTotal,2,,,,\n"
    )
    assert imported.harness is not None
    assert ends(imported.harness) == {"1": ("X1.1", "X2.1"), "2": ("X1.2", "X2.2")}
    assert dict(imported.rows)["comment"] == 1


def test_a_wire_from_a_cavity_to_itself_is_refused() -> None:
    imported = read("wire,from,pin,to,pin\n1,X1,1,X1,1\n2,X1,1,X1,2\n")
    assert imported.harness is not None
    assert [wire.id for wire in imported.harness.wires] == ["2"]
    assert dict(imported.rows)["refused"] == 1
    assert dict(imported.rows)["jumper"] == 1


def test_two_wires_in_one_cavity_are_one_node() -> None:
    imported = read("wire,from,pin,to,pin,from terminal\n1,X1,1,X2,1,T1\n2,X1,1,X2,2,T1\n")
    made = imported.harness
    assert made is not None
    assert codes(imported) == {"list-cavity-twice": 1}
    assert made.wires[0].ends[0].contact == made.wires[1].ends[0].contact == "X1-1"
    assert count(made).nets == 1


def test_twisted_wires_name_their_group_or_one_another() -> None:
    text = "wire,from,pin,to,pin,twisted with\n1,X1,1,X2,1,2\n2,X1,2,X2,2,1\n3,X1,3,X2,3,TP4\n4,X1,4,X2,4,\n"
    assert [wire.twist for wire in harness(text).wires] == ["1~2", "1~2", "TP4", ""]


def test_a_workbook_with_its_companions_as_sheets() -> None:
    book = xlsx(
        {
            "Wires": [
                ["Wire", "From", "Pin", "To", "Pin", "Size"],
                ["007", "FH1", "1", "BAT+", "", 2.5],
                ["008", "", "2", "SPL", "", 2.5],
                ["008A", "SPL", "", "X1", (46024.0, DAY_MONTH), 0.75],
                ["009", "10E4", "3E", "X1", (100000.0, POWER), 0.5],
            ],
            "Connectors": [["Connector", "Ways", "Location"], ["FH1", 2.0, "dash"], ["X1", 9.0, "sill"], ["10E4", 4.0]],
            "Fuses": [["Fuse", "Rating", "Feed"], ["F1", "20 A", "FH1-1"]],
        },
        merged=["B2:B3"],
    )
    imported = read(book)
    made = imported.harness
    assert made is not None
    assert ends(made) == {
        "007": ("FH1.1", "BAT+.1"), "008": ("FH1.2", "SPL-008.1"), "008A": ("SPL-008.1", "X1.?1"),
        "009": ("10E4.3E", "X1.?2"),
    }  # fmt: skip
    assert {holder.id: (holder.kind, holder.place) for holder in made.holders}["FH1"] == (BOX, "dash")
    assert [(one.id, one.rating_a, [str(spot) for spot in one.spots]) for one in made.fitted] == [
        ("F1", 20.0, ["FH1.1", "FH1.2"])
    ]
    assert codes(imported)["list-cell-altered"] == 2
    assert {one.fact("may") for one in imported.problems if one.code == "list-cell-altered"} == {
        "2-1 / 1-2", "10E4, 1E5, ..."}  # fmt: skip
    told = harness(book, Layout(dates="day-month"))
    assert ends(told)["008A"] == ("SPL-008.1", "X1.2-1")


def test_companion_files_fill_in_and_confirm() -> None:
    imported = read(
        "wire,from,pin,to\n4,X1,1,X7\n6,X1,2,SPL\n6A,SPL,,X8-1\n9,X9,1,\n",
        pins="connector,pin,wire\nX7,3,4\n,4,9\n",
        splices="splice,wires left,wires right\nS6,6,6A\n",
        connectors="connector,ways,mating connector\nX1,4,\nX7,4,X9\nX8,1,\nX9,4,X7\n",
        grounds="ground,location\nW3,left sill\n",
    )
    made = imported.harness
    assert made is not None
    assert ends(made) == {"4": ("X1.1", "X7.3"), "6": ("X1.2", "S6.1"), "6A": ("S6.1", "X8.1"), "9": ("X9.1", "X7.4")}
    assert codes(imported)["list-end-from-companion"] == 3
    (mating,) = made.matings
    assert (mating.a, mating.b, mating.pairs) == ("X7", "X9", tuple((str(n), str(n)) for n in range(1, 5)))


def test_a_connector_in_two_looms_is_one_coupling() -> None:
    imported = read("harness,wire,from,pin,to,pin\ncab,1,X1,1,E4,1\nchassis,1,X1,1,E5,1\n")
    assert imported.harness is not None
    assert codes(imported) == {"list-connector-shared": 1}
    assert imported.harness.holders[0].looms == ("cab", "chassis")
    assert count(imported.harness).nets == 1


def test_nothing_is_half_imported() -> None:
    assert read("some,text\n1,2\n").harness is None
    assert read(b"PK\x03\x04broken").harness is None
    good = b"wire,from,to\n1,X1-1,X2-1\n"
    assert read_wirelist(good, "a.csv", AUTOMATIC, [(b"", "b.csv")]).harness is None
    assert [one.code for one in read("some,text\n1,2\n").problems] == ["list-sheet-unused", "list-header-missing"]


def test_the_caller_may_say_everything() -> None:
    layout = Layout(
        header_line=-1,
        columns=((0, "wire_no"), (1, "from"), (2, "to"), (3, "size"), (4, "colour"), (5, "length")),
        size_unit="mm2", length_unit="mm", colour_system="DIN", delimiter=";",
    )  # fmt: skip
    imported = read("1;X1-1;X2-1;4;rt;100\n2;X1-2;X2-2;16;br;1,5\n", layout)
    made = imported.harness
    assert made is not None
    assert imported.problems == ()
    assert [(wire.area_mm2, wire.length_m, wire.colour.system) for wire in made.wires] == [
        (4.0, 0.1, "DIN"), (16.0, 0.0015, "DIN")]  # fmt: skip
