"""KBL as written: valid by the schema, in words of version 2.4, for every example vehicle."""

from collections import Counter
from itertools import product
from pathlib import Path
from xml.etree import ElementTree

import pytest

from loombench.exchange.harness import Harness
from loombench.exchange.kbl.write import write_kbl
from loombench.exchange.leaving import leave
from tests.exchange.out.files import everything
from tests.exchange.out.schema import breaches
from tests.exchange.out.vehicles import FILES, example, small

LATER = ("Alias_id", "Component_pin_maps", "Unconnected", "Harness_configuration", "Localized_description",
         "Schematic_connection", "Realized_schematic_connection", "Designed_operating_current",
         "Maximum_operating_current", "AttachedConsumers", "Classification")  # fmt: skip
"""What version 2.5 added, or what programs of 2.4 seldom know; a file that says 2.4 has none of it."""
MORE = {
    *product(("Component_box_occurrence", "Component_occurrence", "Connector_occurrence", "Core_occurrence",
              "Wire_occurrence"), ("Installation_information",)),
    *product(("Installation_information", "Processing_information"), ("Instruction_type", "Instruction_value")),
    *product(("Component",), ("Part_number", "Company_name", "Version", "Abbreviation", "Description")),
    *product(("Core",), ("Id", "Wire_type", "Cross_section_area", "Core_colour")),
    *product(("Core_colour",), ("Colour_type", "Colour_value")),
    *product(("Core_occurrence",), ("Wire_number", "Part", "Length_information")),
    *product(("Special_wire_occurrence",), ("Special_wire_id", "Part", "Length_information", "Core_occurrence")),
    *product(("Wiring_group",), ("Id", "Type", "Assigned_wire")),
    ("Cavities", "Mated_cavities"), ("Connection", "Description"), ("Connection", "Nominal_voltage"),
    ("General_wire", "Core"), ("Harness", "Processing_information"), ("Harness", "Wiring_group"),
}  # fmt: skip
"""What a vehicle's file has beside what is in `mini.kbl`, which is valid in 2.4 SR-1, in both forms of 2.5, and but for
its fuse in 2.3. Of these `Nominal_voltage` came with 2.4; the others are older (from memory)."""
SAMPLE = Path(__file__).resolve().parents[1] / "samples" / "mini.kbl"
TYPES = {"kbl:Fuse", "kbl:Slot", "kbl:Slot_occurrence", "kbl:Wire_occurrence", "kbl:Special_wire_occurrence"}
STRICT = {
    "Length_type": {"Production"},
    "Colour_type": {"base colour", "first identification", "second identification"},
    "Usage": {"splice", "ring terminal", "no end"},
    "Content": {"harness complete set", "module"},
}
XSI = "{http://www.w3.org/2001/XMLSchema-instance}type"


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


def _pairs(root: ElementTree.Element) -> set[tuple[str, str]]:
    kinds = {one: one.attrib.get(XSI, one.tag).removeprefix("kbl:") for one in root.iter()}
    return {(kinds[one], child.tag) for one in root.iter() for child in one}


@pytest.mark.parametrize("name", FILES)
def test_elements_are_those_of_a_file_that_is_valid_in_every_version(name: str) -> None:
    known = _pairs(ElementTree.parse(SAMPLE).getroot()) | MORE
    assert _pairs(ElementTree.fromstring(write_kbl(leave(example(name))))) - known == set()


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
