"""The part masters of a KBL file (what a thing is), from elements to `exchange.kbl.raw`."""

from collections.abc import Callable, Mapping
from types import MappingProxyType

from loombench.exchange.kbl.raw import (
    ComponentKind,
    HousingKind,
    Raw,
    SlotKind,
    TerminalKind,
    UnitKind,
    Value,
    WireKind,
)
from loombench.exchange.texts import told
from loombench.exchange.xmlin import Element

Taker = Callable[[Raw, Element], None]


def value(raw: Raw, element: Element | None) -> Value | None:
    """A number with its unit, or None where there is no element."""
    if element is None:
        return None
    return Value(element.say("Value_component") or element.text, raw.one(element.say("Unit_component")), element.line)


def words(raw: Raw, element: Element) -> str:
    """The description of a thing, else the first of those in other languages, else its abbreviation."""
    for tag in ("Description", "Localized_description", "Abbreviation"):
        for child in element.children:
            text = child.say("Value") if child.tag == "Localized_description" else child.text
            if child.tag == tag and told(text):
                return raw.texts.words(text, child.line)
    return ""


def name(raw: Raw, element: Element, tag: str = "Id") -> str:
    """A short text of an element, empty where it says nothing."""
    child = element.first(tag)
    return raw.one(raw.texts.name(child.text, child.line)) if child is not None else ""


def _unit(raw: Raw, element: Element) -> None:
    said = [element.say(tag) for tag in ("Unit_name", "Si_unit_name", "Si_prefix", "Si_dimension")]
    raw.units[raw.key(element.id, "Unit", element.line)] = UnitKind(*(text if told(text) else "" for text in said))


def _colours(raw: Raw, element: Element, tag: str) -> tuple[tuple[str, str], ...]:
    return tuple((raw.one(one.say("Colour_type")), name(raw, one, "Colour_value")) for one in element.all(tag))


def _wire(raw: Raw, element: Element) -> None:
    key = raw.key(element.id, "General_wire", element.line)
    number = name(raw, element, "Part_number")
    kind = name(raw, element, "Wire_type") or name(raw, element, "Cable_designator")
    area = value(raw, element.first("Cross_section_area"))
    colours = _colours(raw, element, "Cover_colour")
    raw.wire_kinds[key] = WireKind("", number, kind, area, colours, "", element.line)
    for core in element.all("Core"):
        raw.core_kinds[raw.key(core.id, "Core", core.line)] = WireKind(
            name(raw, core), number, name(raw, core, "Wire_type"), value(raw, core.first("Cross_section_area")),
            _colours(raw, core, "Core_colour"), key, core.line,
        )  # fmt: skip


def _slot(raw: Raw, element: Element) -> SlotKind:
    kind = name(raw, element, "Type")
    if not kind and element.first("Valid_fuse_types") is not None:
        kind = "fuse"
    cavities: list[str] = []
    for part in element.children:
        if part.tag in ("Cavities", "Component_cavities"):
            key = raw.key(part.id, "Cavity", part.line)
            raw.cavity_numbers[key] = name(raw, part, "Cavity_number")
            cavities.append(key)
        elif part.tag in ("Integrated_slots", "Slots"):
            cavities.extend(_slot(raw, part).cavities)
    key = raw.key(element.id, "Slot", element.line) if element.id else ""
    return SlotKind(key, name(raw, element), kind, tuple(cavities))


def _slots(raw: Raw, element: Element, tag: str) -> tuple[SlotKind, ...]:
    return tuple(_slot(raw, one) for one in element.all(tag))


def _housing(raw: Raw, element: Element) -> None:
    raw.housings[raw.key(element.id, "Connector_housing", element.line)] = HousingKind(
        name(raw, element, "Part_number"), words(raw, element), name(raw, element, "Housing_type"),
        _slots(raw, element, "Slots"), (), (), element.line,
    )  # fmt: skip


def _box(raw: Raw, element: Element) -> None:
    raw.boxes[raw.key(element.id, "Component_box", element.line)] = HousingKind(
        name(raw, element, "Part_number"), words(raw, element), "",
        _slots(raw, element, "Component_box_connectors"), _slots(raw, element, "Component_slots"),
        tuple((*bar.refs("Cavities"), *bar.refs("Component_cavities")) for bar in element.all("Connections")),
        element.line,
    )  # fmt: skip


def _component(raw: Raw, element: Element) -> None:
    fuse = element.type == "Fuse" or element.tag == "Fuse"
    said = (name(raw, element, "Abbreviation"), words(raw, element))
    raw.components[raw.key(element.id, "Component", element.line)] = ComponentKind(
        fuse, name(raw, element, "Part_number"), " ".join(text for text in dict.fromkeys(said) if text),
        value(raw, element.first("Nominal_current")),
    )  # fmt: skip


def _terminal(raw: Raw, element: Element) -> None:
    raw.terminals[raw.key(element.id, "General_terminal", element.line)] = TerminalKind(
        name(raw, element, "Part_number"), name(raw, element, "Terminal_type"), name(raw, element, "Plating_material")
    )


def _seal(raw: Raw, element: Element) -> None:
    raw.seals[raw.key(element.id, "Cavity_seal", element.line)] = name(raw, element, "Part_number")


def _covering(raw: Raw, element: Element) -> None:
    said = name(raw, element, "Protection_type") or words(raw, element) or name(raw, element, "Part_number")
    raw.coverings[raw.key(element.id, "Wire_protection", element.line)] = said


def _assembly(raw: Raw, element: Element) -> None:
    """A bought assembly: what stands in it are dummies, of which only the number of wires is kept."""
    wires = len(element.all("General_wire_occurrence"))
    raw.assemblies[raw.key(element.id, "Assembly_part", element.line)] = wires


PART_TAKERS: Mapping[str, Taker] = MappingProxyType({
    "Unit": _unit, "General_wire": _wire, "Connector_housing": _housing, "Component_box": _box,
    "Component": _component, "Fuse": _component, "General_terminal": _terminal, "Cavity_seal": _seal,
    "Wire_protection": _covering, "Assembly_part": _assembly,
})  # fmt: skip
