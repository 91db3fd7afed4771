"""The occurrences of a KBL file (where a thing is used), from elements to `exchange.kbl.raw`."""

from collections.abc import Mapping
from types import MappingProxyType

from loombench.exchange.colours import system_named
from loombench.exchange.kbl.partsin import Taker, name, value, words
from loombench.exchange.kbl.raw import (
    CavityUse,
    ComponentUse,
    ConnectionUse,
    ContactUse,
    HolderUse,
    ModuleUse,
    PartUse,
    Raw,
    Refs,
    SegmentUse,
    SlotUse,
    Value,
    WireUse,
)
from loombench.exchange.texts import told
from loombench.exchange.xmlin import Element

COLOUR_SYSTEM = "colour system"
_MOST_RELATED = 200_000


def _part(raw: Raw, element: Element, tag: str = "Part") -> str:
    return raw.one(element.say(tag))


def _stands_in(raw: Raw, element: Element, key: str) -> None:
    """A specified occurrence says which dummies of its assembly it is the real one of."""
    for child in element.children:
        if child.tag == "Related_occurrence":
            for dummy in child.text.split()[:_MOST_RELATED]:
                raw.stand_ins[dummy] = "" if dummy in raw.stand_ins else key
        elif child.tag == "Related_assembly":
            raw.related.update(child.text.split())


def _cavity(raw: Raw, element: Element) -> CavityUse:
    key = raw.key(element.id, "Cavity_occurrence", element.line)
    return CavityUse(key, _part(raw, element), element.refs("Mated_cavities"))


def _slot(raw: Raw, element: Element) -> SlotUse:
    key = raw.key(element.id, "Slot_occurrence", element.line) if element.id else ""
    cavities: list[CavityUse] = []
    mated: Refs = element.refs("Mated_slots")
    for part in element.children:
        if part.tag in ("Cavities", "Component_cavities"):
            cavities.append(_cavity(raw, part))
        elif part.tag in ("Slots", "Integrated_slots"):
            inner = _slot(raw, part)
            cavities.extend(inner.cavities)
            mated = (*mated, *inner.mated)
    return SlotUse(key, _part(raw, element), tuple(cavities), mated)


def _holder(raw: Raw, element: Element) -> None:
    box = element.tag.endswith("Component_box_occurrence")
    kind = "Component_box_occurrence" if box else "Connector_occurrence"
    key = raw.key(element.id, kind, element.line)
    contacts = tuple(
        ContactUse(raw.key(one.id, "Contact_point", one.line), one.refs("Associated_parts"),
                   one.refs("Contacted_cavity"), one.line)
        for one in element.all("Contact_points")
    )  # fmt: skip
    slots = tuple(_slot(raw, one) for one in element.children if one.tag in ("Slots", "Component_box_connectors"))
    extras = tuple(
        (one.say("Instruction_type").casefold()[:60], raw.texts.name(one.say("Instruction_value"), one.line))
        for one in element.all("Installation_information")
    )
    raw.holders[key] = HolderUse(
        key, box, name(raw, element), words(raw, element), element.say("Usage"), _part(raw, element), contacts, slots,
        tuple(_slot(raw, one) for one in element.all("Component_slots")), extras, element.line,
    )  # fmt: skip
    _stands_in(raw, element, key)


def _instruction(raw: Raw, element: Element, kind: str) -> str:
    """What an installation instruction of that kind says, empty where there is none."""
    for one in element.all("Installation_information"):
        if one.say("Instruction_type").casefold() == kind:
            return raw.one(raw.texts.name(one.say("Instruction_value"), one.line))
    return ""


def _component(raw: Raw, element: Element) -> None:
    key = raw.key(element.id, "Component_occurrence", element.line)
    pins = tuple(
        (name(raw, one, "Component_pin_number"), name(raw, one, "Cavity_number"))
        for one in element.all("Component_pin_maps")
    )
    raw.component_uses[key] = ComponentUse(
        name(raw, element), words(raw, element), _part(raw, element), element.refs("Mounting"), pins,
        tuple(_instruction(raw, element, "pins").split()),
        "Fuse" in element.type or element.tag.startswith("Fuse"), element.line,
    )  # fmt: skip
    _stands_in(raw, element, key)


def _part_use(raw: Raw, element: Element) -> None:
    special = element.tag.endswith("Special_terminal_occurrence")
    key = raw.key(element.id, element.tag.removeprefix("Specified_"), element.line)
    raw.part_uses[key] = PartUse(
        special, name(raw, element) if special else "", words(raw, element) if special else "", _part(raw, element)
    )
    _stands_in(raw, element, key)


def _lengths(raw: Raw, element: Element) -> tuple[tuple[str, Value], ...]:
    found = (
        (one.say("Length_type"), value(raw, one.first("Length_value"))) for one in element.all("Length_information")
    )
    return tuple((raw.one(kind), said) for kind, said in found if said is not None)


def _wire(raw: Raw, element: Element) -> None:
    cores = element.all("Core_occurrence")
    special = bool(cores) or element.first("Special_wire_id") is not None
    kind = "Special_wire_occurrence" if special else "Wire_occurrence"
    key = raw.key(element.id, kind, element.line)
    number = name(raw, element, "Special_wire_id" if special else "Wire_number")
    keys = tuple(raw.key(core.id, "Core_occurrence", core.line) for core in cores)
    raw.wires[key] = WireUse(
        number, _part(raw, element), _lengths(raw, element), "", keys, _instruction(raw, element, "loom"), element.line
    )
    for core_key, core in zip(keys, cores, strict=True):
        raw.wires[core_key] = WireUse(
            name(raw, core, "Wire_number"),
            _part(raw, core),
            _lengths(raw, core),
            key,
            (),
            _instruction(raw, core, "loom"),
            core.line,
        )
    _stands_in(raw, element, key)


def _connection(raw: Raw, element: Element) -> None:
    key = raw.key(element.id, "Connection", element.line)
    ends = tuple((raw.one(one.say("Position_on_wire")), one.say("Contact_point")) for one in element.all("Extremities"))
    raw.connections[key] = ConnectionUse(
        name(raw, element), words(raw, element), name(raw, element, "Signal_name"),
        name(raw, element, "Nominal_voltage"), element.say("Wire"), ends, element.line,
    )  # fmt: skip


def _covering(raw: Raw, element: Element) -> None:
    key = raw.key(element.id, "Wire_protection_occurrence", element.line)
    raw.covering_uses[key] = _part(raw, element)


def _assembly(raw: Raw, element: Element) -> None:
    key = raw.key(element.id, "Assembly_part_occurrence", element.line)
    raw.assembly_uses[key] = (name(raw, element), _part(raw, element), element.line)


def _group(raw: Raw, element: Element) -> None:
    raw.groups.append((name(raw, element), name(raw, element, "Type"), element.refs("Assigned_wire"), element.line))


def _module(raw: Raw, element: Element) -> None:
    """A module with its configuration, a configuration made of modules, or a module configuration by itself."""
    kind = element.tag if element.tag in ("Module", "Harness_configuration") else "Module_configuration"
    key = raw.key(element.id, kind, element.line)
    inner = element.all("Module_configuration") or [element]
    condition = next((said for one in inner if told(said := one.say("Logistic_control_information"))), "")
    number = name(raw, element, "Part_number")
    raw.modules[key] = ModuleUse(number, words(raw, element), condition, element.refs("Modules"), element.line)
    for ref in dict.fromkeys(ref for one in inner for ref in one.refs("Controlled_components")):
        raw.listed.add(ref, key)


def _node(raw: Raw, element: Element) -> None:
    refs = (*element.refs("Referenced_components"), *element.refs("Referenced_cavities"))
    raw.nodes[raw.key(element.id, "Node", element.line)] = (name(raw, element), refs)


def _segment(raw: Raw, element: Element) -> None:
    lengths = (value(raw, element.first(tag)) for tag in ("Physical_length", "Virtual_length"))
    raw.segments[raw.key(element.id, "Segment", element.line)] = SegmentUse(
        name(raw, element), _part(raw, element, "Start_node"), _part(raw, element, "End_node"),
        tuple(one for one in lengths if one is not None),
        tuple(ref for area in element.all("Protection_area") for ref in area.refs("Associated_protection")),
        element.line,
    )  # fmt: skip


def _routing(raw: Raw, element: Element) -> None:
    segments = element.refs("Segments") or element.refs("Mandatory_segments")
    for wire in element.refs("Routed_wire"):
        raw.routes.append((wire, segments, element.line))


def _name_of_harness(raw: Raw, element: Element) -> None:
    raw.name = raw.name or raw.texts.name(element.text, element.line)


def _property_of_harness(raw: Raw, element: Element) -> None:
    if element.say("Instruction_type").casefold() == COLOUR_SYSTEM:
        raw.colours = system_named(element.say("Instruction_value"))


USE_TAKERS: Mapping[str, Taker] = MappingProxyType({
    "Connector_occurrence": _holder, "Component_box_occurrence": _holder, "Component_occurrence": _component,
    "Fuse_occurrence": _component, "Terminal_occurrence": _part_use, "Special_terminal_occurrence": _part_use,
    "Cavity_seal_occurrence": _part_use, "General_wire_occurrence": _wire, "Wire_occurrence": _wire,
    "Special_wire_occurrence": _wire, "Connection": _connection, "Wire_protection_occurrence": _covering,
    "Assembly_part_occurrence": _assembly, "Wiring_group": _group, "Module": _module,
    "Module_configuration": _module, "Harness_configuration": _module, "Node": _node, "Segment": _segment,
    "Routing": _routing,
})  # fmt: skip
HARNESS_TAKERS: Mapping[str, Taker] = MappingProxyType({
    "Part_number": _name_of_harness, "Processing_information": _property_of_harness,
})  # fmt: skip
