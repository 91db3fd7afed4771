"""Wires, cores, connections, routes and modules as KBL."""

from collections.abc import Iterable

from loombench.exchange.harness import ColourText, End, Harness, Wire
from loombench.exchange.kbl.holdersout import Holders
from loombench.exchange.kbl.sheet import MM, MM2, Sheet, part_fields
from loombench.exchange.xmlout import NULL, Tag, each, millimetres, optional, plain, tag

COLOUR_TYPES = ("base colour", "first identification", "second identification")
SHIELD = "shield"


def write_wires(sheet: Sheet, harness: Harness, holders: Holders) -> None:
    """Wire types, wires and cores, what each connects, twisted groups, routes."""
    occurrence: dict[str, str] = {}
    for wire in harness.wires:
        if not wire.cable:
            occurrence[wire.id] = _single(sheet, wire)
    for cable, cores in _grouped((wire.cable, wire) for wire in harness.wires).items():
        occurrence.update(_multicore(sheet, cable, cores))
    connection: dict[str, str] = {}
    for wire in harness.wires:
        connection[wire.id] = _connection(sheet, harness, wire, occurrence[wire.id], holders)
    for group, wires in _grouped((wire.twist, wire) for wire in harness.wires).items():
        members = [occurrence[wire.id] for wire in wires]
        if len(members) > 1:
            inside = (tag("Id", group), tag("Type", "twisted"), each("Assigned_wire", members))
            sheet.use(tag("Wiring_group", *inside, id=sheet.names.new("g")))
    _routes(sheet, harness, connection)


def _grouped(pairs: Iterable[tuple[str, Wire]]) -> dict[str, list[Wire]]:
    found: dict[str, list[Wire]] = {}
    for name, wire in pairs:
        if name:
            found.setdefault(name, []).append(wire)
    return found


def _colours(sheet: Sheet, name: str, colour: ColourText) -> Iterable[Tag]:
    parts = colour.parts[: len(COLOUR_TYPES)] or (NULL,)
    for kind, text in zip(COLOUR_TYPES, parts, strict=False):
        yield tag(name, tag("Colour_type", kind), tag("Colour_value", text), id=sheet.names.new("k"))


def _single(sheet: Sheet, wire: Wire) -> str:
    key = ("wire", wire.part_number, wire.area_mm2, wire.colour.parts, wire.type, wire.size_text)
    if key not in sheet.known:
        area = sheet.value("Cross_section_area", plain(wire.area_mm2), MM2) if wire.area_mm2 is not None else None
        kind = optional("Wire_type", wire.type)
        colours = _colours(sheet, "Cover_colour", wire.colour)
        sheet.known[key] = sheet.master(
            sheet.part("General_wire", "partW", wire.part_number, wire.size_text, kind, area, *colours)
        )
    made = tag(
        "General_wire_occurrence",
        tag("Part", sheet.known[key]),
        *sheet.told(loom=wire.loom),
        sheet.length(wire.length_m),
        tag("Wire_number", wire.number or NULL),
        xsi_type="kbl:Wire_occurrence",
        id=sheet.names.new("w"),
    )
    return sheet.use(made, wire.options)


def _multicore(sheet: Sheet, cable: str, wires: list[Wire]) -> dict[str, str]:
    parts, uses, found = [], [], {}
    for wire in wires:
        core = sheet.names.new("core")
        area = sheet.value("Cross_section_area", plain(wire.area_mm2 or 0.0), MM2)
        kind = optional("Wire_type", SHIELD if wire.shield else wire.type)
        parts.append(tag("Core", tag("Id", wire.core or NULL), kind, area,
                         *_colours(sheet, "Core_colour", wire.colour), id=core))  # fmt: skip
        use = tag("Core_occurrence", tag("Wire_number", wire.number or NULL), tag("Part", core),
                  *sheet.told(loom=wire.loom), sheet.length(wire.length_m), id=sheet.names.new("w"))  # fmt: skip
        uses.append(use)
        found[wire.id] = use.attributes["id"]
        if wire.options:
            sheet.options.setdefault(wire.options, []).append(found[wire.id])
    jacket = _colours(sheet, "Cover_colour", ColourText())
    part = sheet.master(sheet.part("General_wire", "partW", wires[0].part_number, cable, *parts, *jacket))
    lengths = {wire.length_m for wire in wires}
    whole = sheet.length(lengths.pop() if len(lengths) == 1 else None)
    made = tag("General_wire_occurrence", tag("Part", part), whole,
               tag("Special_wire_id", cable), *uses, xsi_type="kbl:Special_wire_occurrence",
               id=sheet.names.new("cable"))  # fmt: skip
    sheet.use(made)
    return found


def _connection(sheet: Sheet, harness: Harness, wire: Wire, occurrence: str, holders: Holders) -> str:
    last = max(len(wire.ends) - 1, 1)
    ends = list(wire.ends) + [End(None)] * (2 - len(wire.ends))
    extremities = []
    for place, end in enumerate(ends):
        position = tag("Position_on_wire", plain(round(place / last, 6)))
        extremities.append(tag("Extremities", position, tag("Contact_point", holders.point(end) or holders.loose_end(
            f"{wire.id}-{place + 1}")), id=sheet.names.new("e")))  # fmt: skip
    volts = f"{harness.voltage_v:g}V" if harness.voltage_v is not None else ""
    made = tag(
        "Connection",
        tag("Id", wire.id),
        optional("Description", wire.remark),
        optional("Signal_name", wire.signal),
        optional("Nominal_voltage", volts),
        tag("Wire", occurrence),
        *extremities,
        id=sheet.names.new("c"),
    )
    return sheet.use(made, wire.options)


def _routes(sheet: Sheet, harness: Harness, connection: dict[str, str]) -> None:
    nodes = dict.fromkeys(node for one in harness.segments for node in (one.start, one.end))
    ids = {node: sheet.names.new("n") for node in nodes}
    for number, node in enumerate(nodes):
        point = tag("Cartesian_point", *(tag("Coordinates", text) for text in (str(number), "0")),
                    id=sheet.names.new("pt"))  # fmt: skip
        sheet.master(tag("Node", tag("Id", node), tag("Cartesian_point", sheet.master(point)), id=ids[node]))
    own: dict[str, str] = {}
    for one in harness.segments:
        own[one.id] = sheet.names.new("seg")
        length = sheet.value("Virtual_length", millimetres(one.length_m), MM) if one.length_m is not None else None
        protected = _protection(sheet, one.protection) if one.protection else None
        sheet.master(tag("Segment", tag("Id", one.id), length, tag("End_node", ids[one.end]),
                         tag("Start_node", ids[one.start]), protected, id=own[one.id]))  # fmt: skip
    for wire in harness.wires:
        ways = [own[name] for name in wire.segments if name in own]
        if ways:
            inside = (tag("Routed_wire", connection[wire.id]), each("Segments", ways))
            sheet.master(tag("Routing", *inside, id=sheet.names.new("r")))


def _protection(sheet: Sheet, words: str) -> Tag:
    part = sheet.master(sheet.part("Wire_protection", "partP", "", words))
    use = sheet.use(tag("Wire_protection_occurrence", tag("Id", words), tag("Part", part), id=sheet.names.new("p")))
    inside = (tag("Start_location", "0"), tag("End_location", "1"), tag("Associated_protection", use))
    return tag("Protection_area", *inside, id=sheet.names.new("pa"))


def write_modules(sheet: Sheet) -> None:
    """One module for each condition, with all that hangs on it."""
    for number, (conditions, members) in enumerate(sheet.options.items(), 1):
        for condition in conditions:
            settings = tag("Module_configuration", tag("Logistic_control_information", condition),
                           tag("Configuration_type", "option code"), each("Controlled_components", members),
                           id=sheet.names.new("mc"))  # fmt: skip
            titles = (tag("Car_classification_level_2", NULL), tag("Model_year", NULL))
            sheet.use(tag("Module", *part_fields(f"M{number}", condition), *titles, tag("Content", "module"), settings,
                          id=sheet.names.new("m")))  # fmt: skip
