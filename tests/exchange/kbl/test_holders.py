"""What holds wire ends in KBL files as programs write them: connectors, splices, rings, boxes, what is fitted."""

import pytest

from loombench.exchange.harness import ColourText, Fitted, Harness, Holder, Mating, Spot
from loombench.exchange.kbl.read import read_kbl
from loombench.exchange.netcount import count
from loombench.exchange.report import Imported
from tests.exchange.kblframe import connection, connector, framed, wire


def read(given: str, left_out: tuple[str, ...] = ()) -> Imported:
    return read_kbl(framed(given, left_out).encode(), "x.kbl")


def harness(given: str, left_out: tuple[str, ...] = ()) -> tuple[Harness, dict[str, int]]:
    imported = read(given, left_out)
    assert imported.harness is not None
    return imported.harness, dict(imported.repairs)


def holder(of: Harness, id_: str) -> Holder:
    return next(one for one in of.holders if one.id == id_)


@pytest.mark.parametrize(
    ("usage", "kind"),
    [
        ("splice", "splice"), ("Splice", "splice"), ("inline_splice", "splice"), ("Spleiss", "splice"),
        ("ring terminal", "ring"), ("ring_terminal", "ring"), ("no end", "open-end"), ("dangler", "connector"),
        ("", "connector"), ("connector", "connector"),
    ],
)  # fmt: skip
def test_the_usage_tells_the_kind(usage: str, kind: str) -> None:
    found, repairs = harness(connector("x3", "S1", 1, usage))
    assert holder(found, "S1").kind == kind
    assert repairs == {}


def test_a_dummy_connector_with_a_ring_terminal_is_a_ring_without_a_usage() -> None:
    given = connector("x3", "G1", 1).replace(
        "<Contacted_cavity>", "<Associated_parts>rt</Associated_parts><Contacted_cavity>"
    )
    given += '\n<Special_terminal_occurrence id="rt"><Id>G1</Id><Part>tk</Part></Special_terminal_occurrence>'
    found, repairs = harness(given)
    assert holder(found, "G1").kind == "ring"
    assert repairs == {"usage-missing": 1}


@pytest.mark.parametrize(
    ("type_", "kind"), [("splice", "splice"), ("Ring terminal", "ring"), ("standard", "connector")]
)
def test_the_type_of_the_terminal_tells_the_kind_without_a_usage(type_: str, kind: str) -> None:
    given = connector("x3", "S1", 1).replace(
        "<Contacted_cavity>", "<Associated_parts>t1</Associated_parts><Contacted_cavity>"
    )
    given += '\n<Terminal_occurrence id="t1"><Part>tk</Part></Terminal_occurrence>\n'
    given += f'<General_terminal id="tk"><Part_number>T</Part_number><Terminal_type>{type_}</Terminal_type>'
    given += "</General_terminal>"
    assert holder(harness(given)[0], "S1").kind == kind


def test_a_splice_with_a_cavity_for_each_wire_is_one_node() -> None:
    given = "\n".join(
        (
            connector("x3", "S1", 2, "splice"),
            connection("k1", "C1", "w1", "px11", "px31"),
            connection("k2", "C2", "w2", "px32", "px21"),
        )
    )
    found, repairs = harness(given)
    assert holder(found, "S1").joined == (("1", "2"),)
    assert count(found).nets == 1
    assert repairs == {"splice-cavities": 1}


def test_a_bridge_terminal_joins_its_cavities() -> None:
    given = connector("x1", "X1", 2).replace(">x1c1</Contacted_cavity>", ">x1c1 x1c2</Contacted_cavity>")
    given += "\n" + connection("k2", "C2", "w2", "px11", "px22")
    found, repairs = harness(given)
    assert found.contacts[0].cavities == ("1", "2")
    assert count(found).nets == 1
    assert repairs == {}


def test_two_ends_in_one_contact_are_a_double_crimp_and_two_contacts_in_a_cavity_are_not_lost() -> None:
    crimp, _repairs = harness(connection("k2", "C2", "w2", "px11", "px22"))
    assert [wire.ends[0].contact for wire in crimp.wires] == ["px11", "px11"]
    given = connector("x1", "X1", 2).replace(">x1c2</Contacted_cavity>", ">x1c1</Contacted_cavity>")
    two, repairs = harness(given)
    assert [one.cavities for one in two.contacts[:2]] == [("1",), ("1",)]
    assert repairs == {"contacts-in-cavity": 1}


@pytest.mark.parametrize(
    "said", ["", "<Contacted_cavity></Contacted_cavity>", "<Contacted_cavity>gone</Contacted_cavity>"]
)
def test_a_contact_without_a_cavity_gets_one_of_its_own(said: str) -> None:
    given = connector("x1", "X1", 2).replace("<Contacted_cavity>x1c1</Contacted_cavity>", said)
    found, repairs = harness(given)
    assert found.contacts[0].cavities == ("?",)
    assert holder(found, "X1").cavities == ("1", "2", "?")
    assert repairs["contact-cavity"] == 1


def test_a_contact_of_a_ring_without_a_cavity_is_in_its_only_one() -> None:
    given = connector("x3", "G1", 1, "ring terminal").replace("<Contacted_cavity>x3c1</Contacted_cavity>", "")
    found, repairs = harness(given)
    assert next(one for one in found.contacts if one.holder == "G1").cavities == ("1",)
    assert repairs == {"contact-cavity": 1}


def test_cavities_keep_their_printed_names_and_unused_ones_are_there() -> None:
    given = (
        '<Connector_housing id="h2"><Part_number>H</Part_number><Description>housing</Description><Slots id="h2s">'
        '<Cavities id="h2c1"><Cavity_number>3E</Cavity_number></Cavities>'
        '<Cavities id="h2c2"><Cavity_number>3S</Cavity_number></Cavities>'
        '<Cavities id="h2c9"><Cavity_number>12</Cavity_number></Cavities></Slots></Connector_housing>'
    )
    found, repairs = harness(given)
    assert holder(found, "X1").cavities == ("3E", "3S", "12")
    assert (holder(found, "X1").part_number, holder(found, "X1").housing) == ("H", "housing")
    assert repairs == {}


def test_numbers_that_two_slots_share_are_told_apart() -> None:
    given = (
        '<Connector_housing id="h2"><Part_number>H</Part_number><Slots id="h2s"><Id>L</Id>'
        '<Cavities id="h2c1"><Cavity_number>1</Cavity_number></Cavities></Slots>'
        '<Slots id="h2t"><Id>R</Id><Cavities id="h2c2"><Cavity_number>1</Cavity_number></Cavities></Slots>'
        "</Connector_housing>\n"
        '<Connector_occurrence id="x1"><Id>X1</Id><Part>h2</Part>'
        '<Contact_points id="px11"><Contacted_cavity>x1c1</Contacted_cavity></Contact_points>'
        '<Contact_points id="px12"><Contacted_cavity>x1c2</Contacted_cavity></Contact_points>'
        '<Slots id="x1s"><Part>h2s</Part><Cavities id="x1c1"><Part>h2c1</Part></Cavities></Slots>'
        '<Slots id="x1t"><Part>h2t</Part><Cavities id="x1c2"><Part>h2c2</Part></Cavities></Slots>'
        "</Connector_occurrence>"
    )
    found, _repairs = harness(given, ("x2", "k1", "k2"))
    assert holder(found, "X1").cavities == ("L.1", "R.1")
    assert count(harness(given)[0]).nets == 2


def test_a_housing_that_is_missing_leaves_the_connector_with_cavities_of_its_own() -> None:
    given = connector("x1", "X1", 2).replace("<Part>h2</Part>", "<Part>gone</Part>")
    found, repairs = harness(given)
    assert holder(found, "X1").cavities == ("1", "2")
    assert repairs == {"reference-missing": 1}
    given = given.replace("<Part>h2c1</Part>", "<Part>gone</Part>").replace("<Part>h2c2</Part>", "<Part>gone</Part>")
    found, _repairs = harness(given)
    assert holder(found, "X1").cavities == ("?", "?#2")
    assert count(found).nets == 2


def test_two_holders_of_one_name_are_kept_apart() -> None:
    found, repairs = harness(connector("x2", "X1", 2))
    assert [(one.id, one.name) for one in found.holders[:2]] == [("X1", ""), ("X1#2", "X1")]
    assert count(found).nets == 2
    assert repairs == {"holder-name-twice": 1}


def test_two_objects_of_one_id_are_both_kept_and_references_lead_to_the_first() -> None:
    found, repairs = harness(
        f"{wire('w1', '1')}\n{wire('w1', '7')}\n{connector('x1', 'X9', 2)}\n{connector('x1', 'X8', 2)}"
    )
    assert found.wires[0].number == "1"
    assert [one.id for one in found.holders[:2]] == ["X9", "X8"]
    assert found.wires[0].ends[0].spot == Spot("X9", "1")
    assert repairs["id-twice"] >= 2


@pytest.mark.parametrize("empty", ["/NULL", "-", "none", "nd", ""])
def test_a_name_that_says_nothing_gives_way_to_the_files_id(empty: str) -> None:
    found, _repairs = harness(connector("x2", empty, 2))
    assert [one.id for one in found.holders[:2]] == ["x2", "X1"]


def test_texts_are_mended_and_cut() -> None:
    given = connector("x2", "X 2.(a)", 2).replace(
        "<Part>h2</Part>",
        "<Description>Zusatzl\u00c3\u00bcfter f\u00fcr K\u00c3\u00bchler\u202e</Description><Part>h2</Part>",
    )
    found, repairs = harness(given)
    assert holder(found, "X 2.(a)").description == "Zusatzl\u00fcfter f\u00fcr K\u00fchler"
    assert repairs == {"text-mended": 1, "text-cut": 1}
    found, repairs = harness(connector("x2", "X" * 5000, 2))
    assert len(found.holders[0].id) == 120
    assert repairs["text-cut"] >= 1


def instruction(kind: str, value: str) -> str:
    return (
        f"<Installation_information><Instruction_type>{kind}</Instruction_type><Instruction_value>{value}"
        "</Instruction_value></Installation_information>"
    )


@pytest.mark.parametrize("kind", ["connected_connector", "IN_LINK", "Connected Connector"])
def test_the_partner_in_another_file_is_read_where_it_is_named(kind: str) -> None:
    found, repairs = harness(connector("x2", "X2", 2, extra=instruction(kind, "CAB X9")))
    assert holder(found, "X2").partner == "CAB X9"
    assert repairs == {}


def test_what_kbl_has_no_field_for_is_read_from_instructions() -> None:
    said = "".join(instruction(*pair) for pair in (("stud", "W5"), ("body", "frame"), ("place", "rear left")))
    given = connector("x3", "G1", 1, "ring terminal", said) + "\n"
    given += wire("w1", "1").replace("<Wire_number>", f"{instruction('loom', 'cab')}<Wire_number>") + "\n"
    given += (
        '<Component_occurrence id="f1"><Id>K1</Id><Mounting>b1F</Mounting><Part>fk</Part>'
        f"{instruction('pins', '30 87')}</Component_occurrence>\n"
        "<Processing_information><Instruction_type>colour system</Instruction_type>"
        "<Instruction_value>Japanese</Instruction_value></Processing_information>\n"
        '<General_wire id="wk"><Part_number>W</Part_number><Cover_colour><Colour_type>base</Colour_type>'
        "<Colour_value>B</Colour_value></Cover_colour></General_wire>"
    )
    found, repairs = harness(given)
    ring = holder(found, "G1")
    assert (ring.stud, ring.body, ring.place) == ("W5", "frame", "rear left")
    assert found.wires[0].loom == "cab"
    assert found.fitted[0].pins == ("30", "87")
    assert found.wires[0].colour == ColourText(("B",), "Japanese")
    assert repairs == {}


def test_a_description_in_other_languages_counts_where_there_is_no_plain_one() -> None:
    given = connector("x2", "X2", 2).replace(
        "<Part>h2</Part>",
        "<Localized_description><Language_code>De</Language_code><Value>Lampe</Value></Localized_description>"
        "<Part>h2</Part>",
    )
    assert holder(harness(given)[0], "X2").description == "Lampe"


@pytest.mark.parametrize(
    "given",
    [
        connector("x2", "X2", 2).replace(
            '<Cavities id="x2c1">', '<Cavities id="x2c1"><Mated_cavities>x1c2</Mated_cavities>'
        ),
        connector("x2", "X2", 2).replace('<Slots id="x2s">', '<Slots id="x2s"><Mated_slots>x1s</Mated_slots>'),
    ],
)
def test_what_is_plugged_together_is_told(given: str) -> None:
    found, repairs = harness(given)
    pairs = {Mating("X2", "X1", (("1", "2"),)), Mating("X2", "X1", (("1", "1"), ("2", "2")))}
    assert set(found.matings) < pairs
    assert len(found.matings) == 1
    assert repairs == {}


def test_a_mating_told_from_both_sides_is_one() -> None:
    given = connector("x2", "X2", 2).replace('<Slots id="x2s">', '<Slots id="x2s"><Mated_slots>x1s</Mated_slots>')
    given += "\n" + connector("x1", "X1", 2).replace(
        '<Slots id="x1s">', '<Slots id="x1s"><Mated_slots>x2s</Mated_slots>'
    )
    found, _repairs = harness(given)
    assert found.matings == (Mating("X2", "X1", (("1", "1"), ("2", "2"))),)


def fitted(mounting: str, more: str = "", part: str = "fk") -> tuple[Fitted, dict[str, int]]:
    given = (
        f'<Component_occurrence id="f1"><Id>F1</Id><Mounting>{mounting}</Mounting><Part>{part}</Part>'
        f"</Component_occurrence>\n{more}"
    )
    found, repairs = harness(given)
    return found.fitted[0], repairs


@pytest.mark.parametrize("mounting", ["b1 b1F b1F1 b1F2", "b1F", "b1F1 b1F2", "b1", "b1 b1F"])
def test_a_fuse_is_across_its_slot_however_the_slot_is_named(mounting: str) -> None:
    fuse, repairs = fitted(mounting)
    assert fuse.spots == (Spot("B1", "F1.1"), Spot("B1", "F1.2"))
    assert (fuse.kind, fuse.slot, fuse.rating_a) == ("fuse", "F1", 10.0)
    assert repairs == {}


@pytest.mark.parametrize("mounting", ["b1F2", "b1 b1F b1F2"])
def test_a_fuse_that_names_its_protected_side_alone_gets_the_other(mounting: str) -> None:
    fuse, repairs = fitted(mounting)
    assert fuse.spots == (Spot("B1", "F1.1"), Spot("B1", "F1.2"))
    assert repairs == {"mounting-one-cavity": 1}


@pytest.mark.parametrize("mounting", ["", "gone", "w1"])
def test_a_fuse_that_is_nowhere_is_kept_and_joins_nothing(mounting: str) -> None:
    fuse, repairs = fitted(mounting)
    assert fuse.spots == ()
    assert repairs["fitted-nowhere"] == 1


def test_a_fuse_in_a_connector_of_two_cavities_is_across_them() -> None:
    fuse, repairs = fitted("x2")
    assert fuse.spots == (Spot("X2", "1"), Spot("X2", "2"))
    assert repairs == {}
    fuse, repairs = fitted("x2c2")
    assert fuse.spots == (Spot("X2", "1"), Spot("X2", "2"))
    assert repairs == {"mounting-one-cavity": 1}


ONE_CAVITY = """<Component_box id="bk"><Part_number>B-1</Part_number><Component_slots id="bkF"><Id>F1</Id>
<Component_cavities id="bkF2"><Cavity_number>2</Cavity_number></Component_cavities></Component_slots></Component_box>
<Component_box_occurrence id="b1"><Id>B1</Id><Part>bk</Part><Component_slots id="b1F"><Part>bkF</Part>
<Component_cavities id="b1F2"><Part>bkF2</Part></Component_cavities></Component_slots></Component_box_occurrence>"""


def test_a_slot_with_one_cavity_gets_one_for_its_feed() -> None:
    found, repairs = harness(ONE_CAVITY)
    (fuse,) = found.fitted
    assert fuse.spots == (Spot("B1", "F1.feed"), Spot("B1", "F1.2"))
    box = holder(found, "B1")
    assert box.slots[0].cavities == ("F1.feed", "F1.2")
    assert set(box.cavities) == {"F1.feed", "F1.2"}
    assert repairs["slot-one-cavity"] == 1


def test_two_fuses_in_one_slot_share_its_feed_and_are_said() -> None:
    more = '<Component_occurrence id="f2"><Id>F1b</Id><Mounting>b1F2</Mounting><Part>fk</Part></Component_occurrence>'
    found, repairs = harness(ONE_CAVITY + "\n" + more)
    assert found.fitted[0].spots == found.fitted[1].spots
    assert repairs["slot-shared"] == 1


def test_a_box_without_bars_leaves_its_slots_alone_and_says_so() -> None:
    frame = framed("")
    bars = frame[frame.index('<Connections id="bkb1">') : frame.index("</Component_box>")]
    imported = read_kbl(frame.replace(bars, "").encode(), "x.kbl")
    assert imported.harness is not None
    assert holder(imported.harness, "B1").joined == ()
    assert dict(imported.repairs) == {"slot-unfed": 1}


def test_wire_ends_on_a_box_are_found() -> None:
    frame = framed(connection("k1", "C1", "w1", "px11", "pb1"))
    frame = frame.replace(
        "</Component_box_occurrence>",
        '<Contact_points id="pb1"><Id>B1-1</Id><Contacted_cavity>b1A1</Contacted_cavity></Contact_points>'
        '<Contact_points id="pb2"><Id>B1-2</Id><Contacted_cavity>b1F2</Contacted_cavity></Contact_points>'
        "</Component_box_occurrence>",
    )
    imported = read_kbl(frame.encode(), "x.kbl")
    assert imported.harness is not None
    assert imported.harness.wires[0].ends[1].spot == Spot("B1", "A.1")
    assert next(one for one in imported.harness.contacts if one.id == "pb2").cavities == ("F1.2",)
    assert imported.repairs == ()


@pytest.mark.parametrize(
    ("part", "kind", "rating_a"),
    [
        ("<Description>Blade fuse 7,5 A</Description>", "fuse", 7.5),
        ("<Description>Flachsicherung 15A</Description>", "fuse", 15.0),
        ("<Description>Mini relay 12 V 40 A</Description>", "relay", None),
        ("<Description>Relais K5</Description>", "relay", None),
        ("<Description>Fuse adapter</Description>", "", None),
        ("<Description>/NULL</Description>", "", None),
    ],
)
def test_kinds_that_only_words_tell(part: str, kind: str, rating_a: float | None) -> None:
    component = f'<Component id="fk"><Part_number>P</Part_number>{part}</Component>'
    found, repairs = fitted("b1F", component)
    assert (found.kind, found.rating_a) == (kind, rating_a)
    assert repairs.get("fitted-kind", 0) == (1 if kind else 0)
    assert repairs.get("fuse-rating-text", 0) == (1 if rating_a else 0)


def test_the_slot_tells_a_relay_where_the_part_does_not() -> None:
    frame = framed('<Component id="fk"><Part_number>P</Part_number></Component>')
    frame = frame.replace(
        '<Component_slots id="bkF"><Id>F1</Id>', '<Component_slots id="bkF"><Id>F1</Id><Type>Relay</Type>'
    )
    imported = read_kbl(frame.encode(), "x.kbl")
    assert imported.harness is not None
    assert imported.harness.fitted[0].kind == "relay"
    assert dict(imported.repairs) == {"fitted-kind": 1}


def test_a_component_that_is_a_fuse_only_as_occurrence_is_one() -> None:
    given = '<Component id="fk"><Part_number>P</Part_number></Component>\n'
    given += '<Component_occurrence id="f1" xsi:type="kbl:Fuse_occurrence"><Id>F1</Id><Mounting>b1F</Mounting><Part>fk</Part></Component_occurrence>'  # noqa: E501
    found, _repairs = harness(given)
    assert (found.fitted[0].kind, found.fitted[0].rating_a) == ("fuse", None)


def test_pin_maps_give_the_parts_own_names() -> None:
    given = (
        '<Component_occurrence id="f1"><Id>K1</Id><Mounting>b1F</Mounting><Part>fk</Part>'
        "<Component_pin_maps><Component_pin_number>87</Component_pin_number><Cavity_number>2</Cavity_number>"
        "</Component_pin_maps><Component_pin_maps><Component_pin_number>30</Component_pin_number>"
        "<Cavity_number>1</Cavity_number></Component_pin_maps></Component_occurrence>"
    )
    found, _repairs = harness(given)
    assert found.fitted[0].pins == ("30", "87")


def test_an_unfitted_slot_is_there_and_open() -> None:
    found, _repairs = harness("", ("f1",))
    assert found.fitted == ()
    assert holder(found, "B1").slots[0].cavities == ("F1.1", "F1.2")
