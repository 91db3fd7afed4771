"""VEC as written: valid by the schema, of elements that version 1.1.3 has, for every example vehicle."""

from collections import Counter
from itertools import product
from pathlib import Path
from xml.etree import ElementTree

import pytest

from loombench.exchange.harness import Harness
from loombench.exchange.leaving import leave
from loombench.exchange.vec.write import write_vec
from tests.exchange.out.files import everything
from tests.exchange.out.schema import breaches
from tests.exchange.out.vehicles import FILES, example, small

LATER = {"vec:FuseRole", "vec:RelayRole", "vec:OpenWireEndTerminalRole"}
"""What came after 1.1.3 (exchange of a fuse's or relay's role in 2.1, of an open end in 1.2)."""
MORE = {
    *product(("CavityCoupling",), ("Identification", "FirstCavity", "SecondCavity")),
    *product(("SlotCoupling",), ("Identification", "FirstSlot", "SecondSlot", "CavityCoupling")),
    *product(("RelaySpecification",), ("Identification", "DescribedPart", "HousingComponent")),
    *product(("SignalSpecification",), ("Identification", "Signal")),
    *product(("Signal",), ("Identification", "SignalName", "NominalVoltage")),
    *product(("SubWireElement",), ("Identification", "WireElementSpecification")),
    *product(("LocalizedString",), ("LanguageCode", "Value")),
    *product(("Type",), ("Type", "ReferenceSystem")),
    *product(("WireElementSpecification",), ("Type", "SubWireElementSpecification")),
    ("Component", "Description"), ("CouplingPoint", "SlotCoupling"), ("HousingComponentRef", "ConnectorHousingRole"),
    ("PinComponent", "ReferencedCavity"), ("WireElement", "SubWireElement"), ("WireElementReference", "Signal"),
}  # fmt: skip
"""What a vehicle's file has beside what is in `mini.vec` and `mini_fuse.vec`, which are valid from 1.1.3 to 2.2.0;
these are the same in all of these versions (from memory)."""
SAMPLES = Path(__file__).resolve().parents[1] / "samples"
XSI = "{http://www.w3.org/2001/XMLSchema-instance}type"


@pytest.mark.parametrize("name", FILES)
def test_what_is_written_of_every_example_vehicle_is_valid(name: str) -> None:
    assert breaches("vec", write_vec(leave(example(name)))) == ()


def test_what_other_files_can_hold_is_valid_as_well() -> None:
    assert breaches("vec", write_vec(everything())) == ()
    assert breaches("vec", write_vec(Harness())) == ()


@pytest.mark.parametrize("harness", [leave(small()), everything()], ids=["vehicle", "file"])
def test_nothing_of_a_later_version_is_in_it(harness: Harness) -> None:
    root = ElementTree.fromstring(write_vec(harness))
    assert root.findtext("VecVersion") == "1.1.3"
    types = {element.attrib[XSI] for element in root.iter() if XSI in element.attrib}
    assert {"vec:WireRole", "vec:SIUnit"} <= types
    assert not types & LATER


def _pairs(root: ElementTree.Element) -> set[tuple[str, str]]:
    kinds = {one: one.attrib.get(XSI, one.tag).removeprefix("vec:") for one in root.iter()}
    return {(kinds[one], child.tag) for one in root.iter() for child in one}


@pytest.mark.parametrize("name", FILES)
def test_elements_are_those_of_files_that_are_valid_in_every_version(name: str) -> None:
    known = set(MORE)
    for sample in ("mini.vec", "mini_fuse.vec"):
        known |= _pairs(ElementTree.parse(SAMPLES / sample).getroot())
    assert _pairs(ElementTree.fromstring(write_vec(leave(example(name))))) - known == set()


def test_every_reference_leads_to_the_kind_of_thing_it_should() -> None:
    root = ElementTree.fromstring(write_vec(leave(small())))
    kinds = {one.attrib["id"]: one.attrib.get(XSI, one.tag) for one in root.iter() if "id" in one.attrib}
    wanted = {
        "EquippedCavityRef": {"CavityReference"},
        "ReferencedCavity": {"Cavity"},
        "ReferencedWireEnd": {"WireEnd"},
        "MountedTerminal": {"vec:PluggableTerminalRole", "vec:RingTerminalRole", "vec:SpliceTerminalRole"},
        "FirstTerminalRole": {"vec:PluggableTerminalRole"},
        "FirstCavity": {"CavityReference"},
        "FirstSlot": {"vec:SlotReference"},
        "Pins": {"PinComponent"},
        "ReferencedWireElement": {"WireElement", "SubWireElement"},
        "EEComponentSpecification": {
            "vec:EEComponentSpecification",
            "vec:FuseSpecification",
            "vec:RelaySpecification",
        },
        "Signal": {"Signal"},
        "Part": {"PartVersion"},
        "DescribedPart": {"PartVersion"},
    }
    met = Counter[str]()
    for element in root.iter():
        if element.tag in wanted and not len(element):
            met[element.tag] += 1
            assert {kinds[name] for name in (element.text or "").split()} <= wanted[element.tag], element.tag
    assert set(met) == set(wanted)


def test_the_same_harness_gives_the_same_text() -> None:
    assert write_vec(leave(small())) == write_vec(leave(small()))
