"""A small sound KBL file around the few elements that an example or a test is about.

Elements given take the place of those of the frame with the same `id`; others are added. They come first, in the line
they are given in, so that a problem's line is a line of what was given.
"""

import re

HEAD = (
    '<kbl:KBL_container xmlns:kbl="http://www.prostep.org/Car_electric_container/KBL2.3/KBLSchema" '
    'xmlns:xsi="http://www.w3.org/2001/XMLSchema-instance" id="root" version_id="2.4 SR-1"><Harness id="hrn">'
)
TAIL = "</Harness></kbl:KBL_container>\n"
_OWN_ID = re.compile(r'^<[\w:]+[^>]*?\bid="([^"]*)"', re.M)
MM, MM2 = "<Unit_component>umm</Unit_component>", "<Unit_component>umm2</Unit_component>"


def connector(id_: str, name: str, cavities: int, usage: str = "", extra: str = "") -> str:
    """A connector occurrence with one contact `p<id><n>` in each of its cavities `<id>c<n>`."""
    contacts = "".join(
        f'<Contact_points id="p{id_}{n}"><Id>{name}-{n}</Id><Contacted_cavity>{id_}c{n}</Contacted_cavity>'
        "</Contact_points>"
        for n in range(1, cavities + 1)
    )
    inside = "".join(
        f'<Cavities id="{id_}c{n}"><Part>h{cavities}c{n}</Part></Cavities>' for n in range(1, cavities + 1)
    )
    said = f"<Usage>{usage}</Usage>" if usage else ""
    return (
        f'<Connector_occurrence id="{id_}"><Id>{name}</Id>{said}<Part>h{cavities}</Part>{contacts}{extra}'
        f'<Slots id="{id_}s"><Part>h{cavities}s</Part>{inside}</Slots></Connector_occurrence>'
    )


def housing(cavities: int) -> str:
    """A connector housing `h<n>` with so many cavities."""
    inside = "".join(
        f'<Cavities id="h{cavities}c{n}"><Cavity_number>{n}</Cavity_number></Cavities>' for n in range(1, cavities + 1)
    )
    return (
        f'<Connector_housing id="h{cavities}"><Part_number>H-{cavities}</Part_number>'
        f'<Slots id="h{cavities}s">{inside}</Slots></Connector_housing>'
    )


def connection(id_: str, name: str, wire: str, *ends: str) -> str:
    """A connection of a wire between contact points."""
    inside = "".join(
        f'<Extremities id="{id_}e{n}"><Position_on_wire>{n / max(len(ends) - 1, 1):g}</Position_on_wire>'
        f"<Contact_point>{end}</Contact_point></Extremities>"
        for n, end in enumerate(ends)
    )
    return (
        f'<Connection id="{id_}"><Id>{name}</Id><Signal_name>sig-{name}</Signal_name><Wire>{wire}</Wire>{inside}'
        "</Connection>"
    )


def wire(id_: str, number: str, part: str = "wk", length: str = "500") -> str:
    """A wire occurrence with a production length in mm."""
    return (
        f'<General_wire_occurrence xsi:type="kbl:Wire_occurrence" id="{id_}"><Part>{part}</Part>'
        f'<Length_information id="{id_}l"><Length_type>Production</Length_type><Length_value id="{id_}v">{MM}'
        f"<Value_component>{length}</Value_component></Length_value></Length_information>"
        f"<Wire_number>{number}</Wire_number></General_wire_occurrence>"
    )


def wire_kind(id_: str, *colours: tuple[str, str], area: str = "1.0") -> str:
    """A wire type with colours (type, value)."""
    said = "".join(
        f'<Cover_colour id="{id_}k{n}"><Colour_type>{kind}</Colour_type><Colour_value>{text}</Colour_value>'
        "</Cover_colour>"
        for n, (kind, text) in enumerate(colours)
    )
    return (
        f'<General_wire id="{id_}"><Part_number>W-{id_}</Part_number><Wire_type>FLRY-B</Wire_type>'
        f'<Cross_section_area id="{id_}a">{MM2}<Value_component>{area}</Value_component></Cross_section_area>'
        f"{said}</General_wire>"
    )


FRAME = (
    '<Unit id="umm"><Si_unit_name>metre</Si_unit_name><Si_prefix>milli</Si_prefix></Unit>',
    '<Unit id="umm2"><Si_unit_name>metre</Si_unit_name><Si_prefix>milli</Si_prefix><Si_dimension>square</Si_dimension>'
    "</Unit>",
    '<Unit id="uA"><Unit_name>Ampere</Unit_name></Unit>',
    wire_kind("wk", ("base colour", "RD")),
    housing(1),
    housing(2),
    '<General_terminal id="tk"><Part_number>T-1</Part_number></General_terminal>',
    connector("x1", "X1", 2),
    connector("x2", "X2", 2),
    connection("k1", "C1", "w1", "px11", "px21"),
    connection("k2", "C2", "w2", "px12", "px22"),
    wire("w1", "1"),
    wire("w2", "2"),
    '<Component id="fk" xsi:type="kbl:Fuse"><Part_number>F-10</Part_number><Nominal_current id="fka"><Unit_component>uA'
    "</Unit_component><Value_component>10</Value_component></Nominal_current></Component>",
    '<Component_box id="bk"><Part_number>B-1</Part_number><Component_box_connectors id="bkA"><Id>A</Id>'
    '<Integrated_slots id="bkAs"><Cavities id="bkA1"><Cavity_number>1</Cavity_number></Cavities>'
    '<Cavities id="bkA2"><Cavity_number>2</Cavity_number></Cavities></Integrated_slots></Component_box_connectors>'
    '<Component_slots id="bkF"><Id>F1</Id><Component_cavities id="bkF1"><Cavity_number>1</Cavity_number>'
    '</Component_cavities><Component_cavities id="bkF2"><Cavity_number>2</Cavity_number></Component_cavities>'
    '</Component_slots><Connections id="bkb1"><Cavities>bkA1</Cavities><Component_cavities>bkF1</Component_cavities>'
    '</Connections><Connections id="bkb2"><Cavities>bkA2</Cavities><Component_cavities>bkF2</Component_cavities>'
    "</Connections></Component_box>",
    '<Component_box_occurrence id="b1"><Id>B1</Id><Part>bk</Part><Component_box_connectors id="b1A"><Part>bkA</Part>'
    '<Slots id="b1As"><Part>bkAs</Part><Cavities id="b1A1"><Part>bkA1</Part></Cavities><Cavities id="b1A2"><Part>bkA2'
    '</Part></Cavities></Slots></Component_box_connectors><Component_slots id="b1F"><Part>bkF</Part>'
    '<Component_cavities id="b1F1"><Part>bkF1</Part></Component_cavities><Component_cavities id="b1F2"><Part>bkF2'
    "</Part></Component_cavities></Component_slots></Component_box_occurrence>",
    '<Component_occurrence id="f1"><Id>F1</Id><Mounting>b1F b1F1 b1F2</Mounting><Part>fk</Part></Component_occurrence>',
)


def framed(given: str, left_out: tuple[str, ...] = ()) -> str:
    """The whole file with what is given; elements of the frame named in `left_out` by their ids are not in it."""
    own = {*_OWN_ID.findall(given), *left_out}
    rest = [line for line in FRAME if (_OWN_ID.match(line) or [""])[1] not in own]
    return f"{HEAD}{given.rstrip()}\n" + "\n".join(rest) + TAIL
