"""Wires out of KBL files as programs write them: ends, colours, sizes, lengths, cables; each repair counted."""

import pytest

from loombench.exchange.colours import meaning
from loombench.exchange.harness import ColourText, Spot, Wire
from loombench.exchange.kbl.read import read_kbl
from loombench.exchange.report import Imported
from tests.exchange.kblframe import MM, connection, connector, framed, wire, wire_kind


def read(given: str, left_out: tuple[str, ...] = ()) -> Imported:
    imported = read_kbl(framed(given, left_out).encode(), "x.kbl")
    assert imported.harness is not None
    return imported


def wire_of(imported: Imported, number: str = "1") -> Wire:
    assert imported.harness is not None
    return next(one for one in imported.harness.wires if one.number == number)


def coloured(*colours: tuple[str, str]) -> tuple[Wire, dict[str, int]]:
    imported = read(wire_kind("wk", *colours))
    return wire_of(imported), dict(imported.repairs)


@pytest.mark.parametrize(
    ("colours", "meant"),
    [
        ((("Grundfarbe", "sw"), ("Kennfarbe", "ge")), "black / yellow"),
        ((("Kennfarbe", "ge"), ("Grundfarbe", "sw")), "black / yellow"),
        ((("base colour", "BU"), ("second colour", "GY")), "blue / grey"),
        ((("gfarbe", "GN"), ("kfarbe", "WH")), "green / white"),
        ((("Base Color", "gn-br"),), "green / brown"),
        ((("base colour", "WH/RD"),), "white / red"),
        ((("base colour", "weiss"), ("second colour", "blau")), "white / blue"),
        ((("base colour", "RD"), ("first identification", "YE"), ("second identification", "BK")),
         "red / yellow / black"),
        ((("base colour", "RD"), ("second identification", "BK"), ("first identification", "YE")),
         "red / yellow / black"),
        ((("base colour", "RD"), ("label identification", "WH")), "red"),
        ((("", "GN"), ("", "YE")), "green / yellow"),
    ],
)  # fmt: skip
def test_base_and_stripes_are_told_apart_in_every_vocabulary(colours: tuple[tuple[str, str], ...], meant: str) -> None:
    one, repairs = coloured(*colours)
    assert str(meaning(one.colour)) == meant
    assert repairs == {}


@pytest.mark.parametrize("text", ["", "/NULL", "-", "none", "nd"])
def test_a_colour_that_says_nothing_is_none(text: str) -> None:
    one, repairs = coloured(("base colour", text))
    assert one.colour == ColourText()
    assert repairs == {}


def test_blk_is_bare_and_not_black() -> None:
    one, repairs = coloured(("Grundfarbe", "blk"))
    assert str(meaning(one.colour)) == "bare"
    assert repairs == {"colour-bare": 1}


def test_blk_among_north_american_colours_is_black() -> None:
    given = wire_kind("wk", ("base", "BLK")) + "\n" + wire_kind("wk2", ("base", "YEL")) + "\n"
    given += wire_kind("wk3", ("base", "ORG"))
    one = wire_of(read(given))
    assert str(meaning(one.colour)) == "black"


def test_src_is_a_screen() -> None:
    one, repairs = coloured(("base colour", "SRC"))
    assert one.shield
    assert repairs == {"colour-screen": 1}


def test_letters_that_read_in_several_systems_are_left_open() -> None:
    one, repairs = coloured(("base colour", "B"))
    assert one.colour == ColourText(("B",), "")
    assert repairs == {"colours-unsure": 1}
    told = read_kbl(framed(wire_kind("wk", ("base colour", "B"))).encode(), "x.kbl", "Italian")
    assert str(meaning(wire_of(told).colour)) == "white"
    assert told.repairs == ()


def long(*lengths: tuple[str, str], unit: str = MM) -> tuple[float | None, dict[str, int]]:
    said = "".join(
        f"<Length_information><Length_type>{kind}</Length_type><Length_value>{unit}<Value_component>{value}"
        "</Value_component></Length_value></Length_information>"
        for kind, value in lengths
    )
    imported = read(
        f'<General_wire_occurrence id="w1"><Part>wk</Part>{said}<Wire_number>1</Wire_number></General_wire_occurrence>'
    )
    return wire_of(imported).length_m, dict(imported.repairs)


@pytest.mark.parametrize(
    ("lengths", "length_m", "repairs"),
    [
        ((("DMU", "800"), ("production length", "900")), 0.9, {}),
        ((("Production", "900"), ("supplement", "50")), 0.9, {}),
        ((("Drawing length", "850"), ("dmu length", "800")), 0.85, {}),
        ((("dmu length", "800"), ("supplement", "50")), 0.85, {}),
        ((("DMU", "800"), ("supplement", "50"), ("Supplement", "20")), 0.87, {}),
        ((("supplement", "50"),), None, {}),
        ((("Calculated Length", "700"), ("DMU", "650")), 0.7, {}),
        ((("Production", "-1"), ("DMU", "650")), 0.65, {"length-unrouted": 1}),
        ((("DMU", "-1"),), None, {"length-unrouted": 1}),
        ((("Production", "0"),), None, {"length-zero": 1}),
        ((("Production", "-20"),), None, {"value-absurd": 1}),
        ((("Production", "99000000"),), None, {"value-absurd": 1}),
        ((("Production", "NaN"),), None, {"number-unread": 1}),
        ((("Production", "1e400"),), None, {"number-unread": 1}),
        ((("Production", "350,5"),), 0.3505, {"number-comma": 1}),
        ((("Schlauch", "420"),), 0.42, {"length-type": 1}),
        ((("", "420"),), 0.42, {"length-type": 1}),
    ],
)
def test_the_length_is_the_most_trusted_of_those_given(
    lengths: tuple[tuple[str, str], ...], length_m: float | None, repairs: dict[str, int]
) -> None:
    assert long(*lengths) == (length_m, repairs)


@pytest.mark.parametrize(
    ("unit", "value", "length_m", "repairs"),
    [
        ("<Unit_name>cm</Unit_name>", "42", 0.42, {}),
        ("<Unit_name>inch</Unit_name>", "10", 0.254, {}),
        ("<Unit_name>Millimeter</Unit_name>", "42", 0.042, {}),
        ("<Si_unit_name>metre</Si_unit_name><Si_prefix>centi</Si_prefix>", "42", 0.42, {}),
        ("<Si_unit_name>metre</Si_unit_name>", "1.5", 1.5, {}),
        ("<Unit_name>stone</Unit_name>", "420", 0.42, {"unit-assumed": 1}),
        ("<Unit_name>Ampere</Unit_name>", "420", 0.42, {"unit-assumed": 1}),
        ("", "420", 0.42, {"unit-assumed": 1}),
    ],
)
def test_units_are_converted_or_assumed_aloud(unit: str, value: str, length_m: float, repairs: dict[str, int]) -> None:
    given = f'<Unit id="uX">{unit}</Unit>\n' + wire("w1", "1", length=value).replace("umm<", "uX<")
    imported = read(given)
    assert wire_of(imported).length_m == pytest.approx(length_m, rel=1e-12)
    assert dict(imported.repairs) == repairs


def test_a_unit_that_is_not_there_is_assumed_aloud() -> None:
    imported = read(wire("w1", "1").replace("umm<", "gone<"))
    assert wire_of(imported).length_m == 0.5
    assert dict(imported.repairs) == {"unit-assumed": 1}


@pytest.mark.parametrize(
    ("unit", "value", "area_mm2", "repairs"),
    [
        ("<Si_unit_name>metre</Si_unit_name><Si_prefix>milli</Si_prefix><Si_dimension>square</Si_dimension>", "0.350",
         0.35, {}),
        ("<Unit_name>mm2</Unit_name>", "2.5", 2.5, {}),
        ("<Unit_name>mm²</Unit_name>", "2.5", 2.5, {}),
        ("<Unit_name>qmm</Unit_name>", "2.5", 2.5, {}),
        ("<Unit_name>square millimetre</Unit_name>", "2.5", 2.5, {}),
        ("<Unit_name>AWG</Unit_name>", "18", 0.823, {}),
        ("<Si_unit_name>metre</Si_unit_name><Si_prefix>milli</Si_prefix>", "0.5", 0.5, {"unit-assumed": 1}),
        ("<Unit_name>mm2</Unit_name>", "0", None, {}),
        ("<Unit_name>mm2</Unit_name>", "0,35", 0.35, {"number-comma": 1}),
        ("<Unit_name>m2</Unit_name>", "2.5", None, {"value-absurd": 1}),
    ],
)  # fmt: skip
def test_cross_sections(unit: str, value: str, area_mm2: float | None, repairs: dict[str, int]) -> None:
    given = f'<Unit id="uX">{unit}</Unit>\n' + wire_kind("wk", ("base colour", "RD"), area=value).replace("umm2", "uX")
    imported = read(given)
    assert wire_of(imported).area_mm2 == (None if area_mm2 is None else pytest.approx(area_mm2, abs=5e-4))
    assert dict(imported.repairs) == repairs


def test_a_jumper_within_a_connector_may_have_no_length() -> None:
    imported = read(connection("k1", "C1", "w1", "px11", "px12") + "\n" + wire("w1", "1", length="0"))
    assert wire_of(imported).length_m == 0
    assert imported.repairs == ()


def test_a_bar_between_two_holders_may_have_no_length() -> None:
    bar = wire_kind("wk", ("base colour", "RD")).replace("FLRY-B", "bar")
    imported = read(f"{bar}\n{wire('w1', '1', length='0')}")
    assert wire_of(imported).length_m == 0
    assert imported.repairs == ()


CABLE = (
    '<General_wire id="ck"><Part_number>C-3</Part_number><Wire_type>cable</Wire_type><Cover_colour><Colour_type>base'
    "</Colour_type><Colour_value>/NULL</Colour_value></Cover_colour>"
    '<Core id="c1"><Id>a</Id><Wire_type>twist</Wire_type><Cross_section_area><Unit_component>umm2</Unit_component>'
    "<Value_component>0.35</Value_component></Cross_section_area><Core_colour><Colour_type>base</Colour_type>"
    "<Colour_value>WH</Colour_value></Core_colour></Core>"
    '<Core id="c2"><Id>b</Id><Wire_type>twist</Wire_type><Core_colour><Colour_type>base</Colour_type><Colour_value>BN'
    "</Colour_value></Core_colour></Core>"
    '<Core id="c3"><Id>s</Id><Core_colour><Colour_type>base</Colour_type><Colour_value>blk</Colour_value></Core_colour>'
    "</Core></General_wire>\n"
    '<General_wire_occurrence id="cw"><Part>ck</Part><Length_information><Length_type>Production</Length_type>'
    f"<Length_value>{MM}<Value_component>640</Value_component></Length_value></Length_information>"
    "<Special_wire_id>LTG7</Special_wire_id>"
    '<Core_occurrence id="o1"><Wire_number>7.1</Wire_number><Part>c1</Part></Core_occurrence>'
    '<Core_occurrence id="o2"><Wire_number>7.2</Wire_number><Part>c2</Part></Core_occurrence>'
    '<Core_occurrence id="o3"><Wire_number>7.3</Wire_number><Part>c3</Part></Core_occurrence></General_wire_occurrence>'
)


def test_the_cores_of_a_cable_are_its_wires() -> None:
    given = "\n".join(
        (CABLE, connection("k1", "C1", "o1", "px11", "px21"), connection("k2", "C2", "o2", "px12", "px22"))
    )
    imported = read(given, ("w1", "w2"))
    one, two = wire_of(imported, "7.1"), wire_of(imported, "7.2")
    assert (one.cable, one.core, one.twist, one.area_mm2, one.length_m) == ("LTG7", "a", "LTG7", 0.35, 0.64)
    assert (two.area_mm2, str(meaning(two.colour))) == (None, "brown")
    assert dict(imported.repairs) == {"wire-unconnected": 1}


def test_a_shield_that_ends_at_a_connector_goes_to_a_pin_of_its_own() -> None:
    given = "\n".join((CABLE, connection("k1", "C1", "o3", "x1", "px21")))
    imported = read(given, ("w1",))
    one = wire_of(imported, "7.3")
    assert one.ends[0].spot == Spot("X1", "shield")
    assert one.ends[0].contact == ""
    assert one.shield
    assert imported.harness is not None
    assert next(h for h in imported.harness.holders if h.id == "X1").cavities == ("1", "2", "shield")
    assert dict(imported.repairs)["reference-kind"] == 1


def test_an_end_that_names_the_only_cavity_of_a_ring_goes_there() -> None:
    given = connector("x3", "G1", 1, "ring terminal") + "\n" + connection("k1", "C1", "w1", "px11", "x3")
    imported = read(given)
    assert wire_of(imported).ends[1].spot == Spot("G1", "1")
    assert dict(imported.repairs) == {"reference-kind": 1}


def test_an_end_that_names_a_cavity_goes_there() -> None:
    imported = read(connection("k1", "C1", "w1", "x1c2", "px21"))
    assert wire_of(imported).ends[0].spot == Spot("X1", "2")
    assert dict(imported.repairs) == {"reference-kind": 1}


def test_an_end_that_names_a_terminal_goes_to_its_contact() -> None:
    given = connector("x1", "X1", 2).replace("<Contacted_cavity>x1c2", "<Associated_parts>t1</Associated_parts><Contacted_cavity>x1c2")  # fmt: skip  # noqa: E501
    given += '\n<Terminal_occurrence id="t1"><Part>tk</Part></Terminal_occurrence>\n'
    imported = read(given + connection("k1", "C1", "w1", "t1", "px21"))
    end = wire_of(imported).ends[0]
    assert (end.spot, end.contact) == (Spot("X1", "2"), "px12")
    assert dict(imported.repairs) == {"reference-kind": 1}


@pytest.mark.parametrize("ends", [("px11",), (), ("px11", "gone")])
def test_a_wire_with_an_end_missing_is_kept_open(ends: tuple[str, ...]) -> None:
    imported = read(connection("k1", "C1", "w1", *ends))
    one = wire_of(imported)
    assert len(one.ends) == 2
    assert one.ends[1].spot is None
    assert dict(imported.repairs)["wire-end-open"] == 1


def test_more_than_two_ends_are_put_in_their_order_along_the_wire() -> None:
    given = (
        '<Connection id="k1"><Id>C1</Id><Wire>w1</Wire>'
        "<Extremities><Position_on_wire>1</Position_on_wire><Contact_point>px21</Contact_point></Extremities>"
        "<Extremities><Position_on_wire>0,5</Position_on_wire><Contact_point>px22</Contact_point></Extremities>"
        "<Extremities><Position_on_wire>0</Position_on_wire><Contact_point>px11</Contact_point></Extremities>"
        "</Connection>"
    )
    assert [str(end.spot) for end in wire_of(read(given)).ends] == ["X1.1", "X2.2", "X2.1"]


def test_position_says_nothing_about_direction() -> None:
    one = read(connection("k1", "C1", "w1", "px11", "px21"))
    two = read(connection("k1", "C1", "w1", "px21", "px11"))
    assert {end.spot for end in wire_of(one).ends} == {end.spot for end in wire_of(two).ends}


def test_a_wire_whose_occurrence_is_missing_is_kept_with_what_is_known() -> None:
    imported = read(connection("k1", "C1", "gone", "px11", "px21"), ("w1",))
    assert imported.harness is not None
    one = next(wire for wire in imported.harness.wires if wire.signal == "sig-C1")
    assert (one.number, one.area_mm2, one.colour, one.length_m) == ("", None, ColourText(), None)
    assert [str(end.spot) for end in one.ends] == ["X1.1", "X2.1"]
    assert dict(imported.repairs) == {"reference-missing": 1}


def test_a_connection_that_names_no_wire_but_a_connector_is_said() -> None:
    imported = read(connection("k1", "C1", "x2", "px11", "px21"), ("w1",))
    assert dict(imported.repairs) == {"reference-kind": 1}


def test_a_wire_type_that_is_missing_leaves_the_wire() -> None:
    imported = read(wire("w1", "1", part="gone"))
    assert wire_of(imported).length_m == 0.5
    assert dict(imported.repairs) == {"reference-missing": 1}


def test_one_number_on_two_wires_keeps_both_under_names_of_their_own() -> None:
    imported = read(wire("w2", "1"))
    assert imported.harness is not None
    assert [one.id for one in imported.harness.wires] == ["1", "1#2"]
    assert [one.number for one in imported.harness.wires] == ["1", "1"]


def test_a_group_of_twisted_wires_has_its_name() -> None:
    group = '<Wiring_group id="g1"><Id>TP1</Id><Type>{}</Type><Assigned_wire>w1 w2</Assigned_wire></Wiring_group>'
    assert wire_of(read(group.format("twisted pair"))).twist == "TP1"
    assert wire_of(read(group.format("bundle"))).twist == ""


def test_the_dummies_of_an_assembly_are_not_counted() -> None:
    given = (
        '<Assembly_part id="ap"><Part_number>A-1</Part_number>'
        + connector("dx", "D1", 2)
        + connection("dk", "D1", "dw", "pdx1", "pdx2")
        + wire("dw", "9")
        + "</Assembly_part>\n"
        + '<Assembly_part_occurrence id="ao"><Id>A1</Id><Part>ap</Part></Assembly_part_occurrence>\n'
        + wire("w1", "1").replace(
            "</General_wire_occurrence>",
            "<Related_assembly>ao</Related_assembly><Related_occurrence>dw</Related_occurrence>"
            "</General_wire_occurrence>",
        )
    )
    imported = read(given)
    assert imported.harness is not None
    assert [one.number for one in imported.harness.wires] == ["1", "2"]
    assert [one.id for one in imported.harness.holders] == ["X1", "X2", "B1"]
    assert imported.repairs == ()


def test_a_connection_of_a_dummy_gets_what_stands_for_it() -> None:
    given = (
        connection("k1", "C1", "dw", "px11", "px21")
        + "\n"
        + wire("w1", "1").replace(
            "</General_wire_occurrence>", "<Related_occurrence>dw</Related_occurrence></General_wire_occurrence>"
        )
    )
    imported = read(given)
    assert wire_of(imported).length_m == 0.5
    assert dict(imported.repairs) == {"stand-in": 1}


def test_routing_gives_segments_and_if_need_be_the_length() -> None:
    topology = (
        '<Node id="n1"><Id>N1</Id><Referenced_components>x1</Referenced_components></Node>'
        '<Node id="n2"><Id>N2</Id></Node><Node id="n3"><Id>N3</Id></Node>'
        f'<Segment id="s1"><Id>SEG-A</Id><Virtual_length>{MM}<Value_component>300</Value_component></Virtual_length>'
        f"<Physical_length>{MM}<Value_component>310</Value_component></Physical_length>"
        "<End_node>n2</End_node><Start_node>n1</Start_node><Protection_area><Associated_protection>wp"
        "</Associated_protection></Protection_area></Segment>"
        f'<Segment id="s2"><Id>SEG-B</Id><Virtual_length>{MM}<Value_component>200</Value_component></Virtual_length>'
        "<End_node>n3</End_node><Start_node>n2</Start_node></Segment>"
        '<Wire_protection id="wpk"><Protection_type>tape</Protection_type></Wire_protection>'
        '<Wire_protection_occurrence id="wp"><Id>P1</Id><Part>wpk</Part></Wire_protection_occurrence>'
        '<Routing id="r1"><Routed_wire>k1</Routed_wire><Segments>s1 s2</Segments></Routing>\n'
    )
    imported = read(topology + wire("w1", "1", length="-1"))
    assert imported.harness is not None
    assert (wire_of(imported).segments, wire_of(imported).length_m) == (("SEG-A", "SEG-B"), 0.51)
    one = imported.harness.segments[0]
    assert (one.start, one.end, one.length_m, one.protection) == ("N1", "N2", 0.31, "tape")
    assert next(holder for holder in imported.harness.holders if holder.id == "X1").place == "N1"
    assert dict(imported.repairs) == {"length-summed": 1, "length-unrouted": 1}


def test_the_nominal_voltage_counts_where_all_agree() -> None:
    volts = connection("k1", "C1", "w1", "px11", "px21").replace(
        "<Wire>", "<Nominal_voltage>24V</Nominal_voltage><Wire>"
    )
    imported = read(volts)
    assert imported.harness is not None
    assert imported.harness.voltage_v == 24.0
