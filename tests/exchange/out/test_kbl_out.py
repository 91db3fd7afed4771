"""KBL as written: valid by the schema, in words of version 2.4, for every example vehicle."""

from collections import Counter
from xml.etree import ElementTree

import pytest

from loombench.exchange.harness import ColourText, Contact, End, Fitted, Harness, Holder, Segment, Spot, Wire
from loombench.exchange.kbl.write import write_kbl
from loombench.exchange.leaving import leave
from tests.exchange.out.schema import breaches
from tests.exchange.out.vehicles import FILES, example, small

LATER = ("Alias_id", "Component_pin_maps", "Unconnected", "Harness_configuration", "Localized_description",
         "Schematic_connection", "Realized_schematic_connection", "Designed_operating_current",
         "Maximum_operating_current", "AttachedConsumers", "Classification")  # fmt: skip
"""What version 2.5 added, or what programs of 2.4 seldom know; a file that says 2.4 has none of it."""
TYPES = {"kbl:Fuse", "kbl:Slot", "kbl:Slot_occurrence", "kbl:Wire_occurrence", "kbl:Special_wire_occurrence"}
STRICT = {
    "Length_type": {"Production"},
    "Colour_type": {"base colour", "first identification", "second identification"},
    "Usage": {"splice", "ring terminal", "no end"},
    "Content": {"harness complete set", "module"},
}
XSI = "{http://www.w3.org/2001/XMLSchema-instance}type"


def everything() -> Harness:
    """A harness with what our own vehicles never have: variants, bridges, taps, open ends, segments, seals."""
    holders = (
        Holder("X1", "connector", "X 1 (front)", ("1", "2", "3"), (("1", "2"),), options=("A1+B2", "C3")),
        Holder("S1", "splice", cavities=("1", "2")),
        Holder("FB", "box", cavities=("1",)),
    )
    contacts = (
        Contact("X1-3", "X1", ("3",), "T-1", "S-1", "tin"),
        Contact("S1-1", "S1", ("1", "2")),
        Contact("S1-x", "S1", ("no such",)),
    )
    tap = tuple(End(Spot("S1", "1"), "S1-1") for _ in range(2))
    wires = (
        Wire("w 1", (End(Spot("X1", "1")), *tap), options=("A1+B2", "C3"), segments=("s1", "none")),
        Wire("w&<2>", (End(Spot("X1", "3"), "X1-3"), End(None)), colour=ColourText(("RD", "BK", "WH", "YE"), "IEC")),
        Wire("w\x013", (End(None),), length_m=0.0, area_mm2=0.0),
        Wire("core", (End(Spot("X1", "2")), End(Spot("S1", "2"))), cable="C", core="1", options=("C3",)),
        Wire("braid", (End(Spot("X1", "2")), End(None)), cable="C", shield=True, twist="T"),
    )
    fitted = (Fitted("F1", "fuse", (Spot("FB", "1"), Spot("nowhere", "2")), rating_a=7.5), Fitted("K", "", ()))
    return Harness("All", "", holders, contacts, wires, fitted, (Segment("s1", "n1", "n2", 0.57, "tape"),))


@pytest.mark.parametrize("name", FILES)
def test_what_is_written_of_every_example_vehicle_is_valid(name: str) -> None:
    assert breaches("kbl", write_kbl(leave(example(name)))) == ()


def test_what_other_files_can_hold_is_valid_as_well() -> None:
    assert breaches("kbl", write_kbl(everything())) == ()
    assert breaches("kbl", write_kbl(Harness())) == ()


@pytest.mark.parametrize("harness", [leave(small()), everything()], ids=["vehicle", "file"])
def test_nothing_of_a_later_version_is_in_it_and_words_are_those_of_the_strict_schema(harness: Harness) -> None:
    root = ElementTree.fromstring(write_kbl(harness))
    assert root.attrib["version_id"] == "2.4 SR-1"
    names = Counter(element.tag for element in root.iter())
    assert not [name for name in LATER if names[name]]
    assert {element.attrib[XSI] for element in root.iter() if XSI in element.attrib} <= TYPES
    for name, words in STRICT.items():
        assert {element.text for element in root.iter(name)} <= words


def test_every_reference_leads_to_the_kind_of_thing_it_should() -> None:
    root = ElementTree.fromstring(write_kbl(leave(small())))
    kinds = {element.attrib["id"]: element.tag for element in root.iter() if "id" in element.attrib}
    wanted = {
        "Contacted_cavity": {"Cavities"},
        "Contact_point": {"Contact_points"},
        "Wire": {"General_wire_occurrence", "Core_occurrence"},
        "Mated_cavities": {"Cavities"},
        "Mounting": {"Component_slots", "Component_cavities"},
        "Associated_parts": {"Special_terminal_occurrence", "Terminal_occurrence", "Cavity_seal_occurrence"},
        "Assigned_wire": {"Core_occurrence", "General_wire_occurrence"},
    }
    met = dict.fromkeys(wanted, 0)
    for element in root.iter():
        if element.tag in wanted:
            met[element.tag] += 1
            assert {kinds[name] for name in (element.text or "").split()} <= wanted[element.tag], element.tag
    assert all(met.values())


def test_the_same_harness_gives_the_same_text_and_lengths_keep_their_figures() -> None:
    text = write_kbl(leave(small()))
    assert text == write_kbl(leave(small()))
    assert "<Value_component>570</Value_component>" in text
    assert "<Value_component>0.8230468337313146</Value_component>" in text
