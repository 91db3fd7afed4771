"""A harness as a KBL file (VDA 4964), version 2.4 SR-1, in words that the strict schema of 2.5 allows as well.

2.4 is what most programs read and the first that has fuses as such. KBL has fields for wires, holders, contacts, boxes
with their bars, fuses and modules. What it has none for and still has a place is written as a named text
(`Installation_information`): places, studs, bodies, looms, a relay's pin names, the colour system.
"""

from loombench.exchange.crimps import crimps
from loombench.exchange.harness import Harness
from loombench.exchange.kbl.holdersout import Holders
from loombench.exchange.kbl.sheet import Sheet, part_fields, units
from loombench.exchange.kbl.wiresout import write_modules, write_wires
from loombench.exchange.xmlout import NULL, document, tag

VERSION = "2.4 SR-1"
NAMESPACE = "http://www.prostep.org/Car_electric_container/KBL2.3/KBLSchema"
INSTANCE = "http://www.w3.org/2001/XMLSchema-instance"
COLOUR_SYSTEM = "colour system"
_MASTERS = (
    "Cartesian_point", "Cavity_seal", "Component", "Component_box", "Connector_housing", "General_terminal",
    "General_wire", "Harness", "Node", "Routing", "Segment", "Unit", "Wire_protection",
)  # fmt: skip
_USES = (
    "Cavity_seal_occurrence", "Component_box_occurrence", "Component_occurrence", "Connection", "Connector_occurrence",
    "General_wire_occurrence", "Special_terminal_occurrence", "Terminal_occurrence", "Wire_protection_occurrence",
    "Wiring_group", "Module",
)  # fmt: skip


def write_kbl(harness: Harness) -> str:
    """The text of the file; the same text for the same harness."""
    sheet = Sheet()
    holders = Holders(sheet, harness, crimps(harness))
    holders.write()
    holders.fit()
    write_wires(sheet, harness, holders)
    write_modules(sheet)
    systems = dict.fromkeys(wire.colour.system for wire in harness.wires if wire.colour.system)
    said = [
        tag("Processing_information", tag("Instruction_type", COLOUR_SYSTEM), tag("Instruction_value", system),
            id=sheet.names.new("i"))
        for system in list(systems) if len(systems) == 1
    ]  # fmt: skip
    titles = (tag("Car_classification_level_2", NULL), tag("Model_year", NULL))
    content = tag("Content", "harness complete set")
    uses = (use for name in _USES for use in sheet.uses.get(name, ()))
    sheet.masters["Harness"] = [
        tag("Harness", *part_fields(harness.name, harness.name), *said, *titles, content, *uses, id="harness")
    ]
    sheet.masters["Unit"] = list(units())
    masters = (master for name in _MASTERS for master in sheet.masters.get(name, ()))
    spaces = {"xmlns:kbl": NAMESPACE, "xmlns:xsi": INSTANCE}
    return document(tag("kbl:KBL_container", *masters, **spaces, id="root", version_id=VERSION))
