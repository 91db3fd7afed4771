"""Small pieces of KBL and VEC to make bad files of."""

from collections.abc import Callable

KBL = "http://www.prostep.org/Car_electric_container/KBL2.3/KBLSchema"
VEC = "http://www.prostep.org/ecad-if/2011/vec"
XSI = "http://www.w3.org/2001/XMLSchema-instance"
HEAD = '<?xml version="1.0" encoding="UTF-8"?>\n'
MANY = 1_000_000

Make = Callable[[], bytes]

UNITS = (
    '<Unit id="u"><Si_unit_name>metre</Si_unit_name><Si_prefix>milli</Si_prefix></Unit><Unit id="uu">'
    "<Si_unit_name>metre</Si_unit_name><Si_prefix>milli</Si_prefix><Si_dimension>square</Si_dimension></Unit>"
)


def kbl(inside: str, doctype: str = "") -> bytes:
    """A KBL file around some elements of the root."""
    spaces = f'xmlns:kbl="{KBL}" xmlns:xsi="{XSI}"'
    root = f'<kbl:KBL_container {spaces} id="root" version_id="2.4">'
    return f"{HEAD}{doctype}{root}\n{inside}\n</kbl:KBL_container>\n".encode()


def harness(inside: str) -> bytes:
    """A KBL file around some elements of its harness."""
    return kbl(f'<Harness id="h"><Part_number>H</Part_number>{inside}</Harness>')


def vec(inside: str, doctype: str = "") -> bytes:
    """A VEC file around some elements of the root."""
    root = f'<vec:VecContent xmlns:vec="{VEC}" xmlns:xsi="{XSI}" id="c"><VecVersion>1.1.3</VecVersion>'
    return f"{HEAD}{doctype}{root}\n{inside}\n</vec:VecContent>\n".encode()


def specification(kind: str, name: str, inside: str) -> str:
    """A VEC specification."""
    head = f'<Specification xsi:type="vec:{kind}" id="{name}"><Identification>{name}</Identification>'
    return f"{head}{inside}</Specification>"


def laughs(root: str) -> str:
    """A document type of ten to the ninth laughs in a thousand letters."""
    entities = "".join(f'<!ENTITY l{n} "{f"&l{n - 1};" * 10}">' for n in range(1, 10))
    return f'<!DOCTYPE {root} [<!ENTITY l0 "ha">{entities}]>\n'


def outside(root: str) -> str:
    """A document type with an entity that stands for a file of the machine."""
    return f'<!DOCTYPE {root} [<!ENTITY secret SYSTEM "file:///etc/hostname">]>\n'


def numerical(tag: str, name: str, unit: str, value: str) -> str:
    """A KBL value with its unit."""
    inside = f"<Unit_component>{unit}</Unit_component><Value_component>{value}</Value_component>"
    return f'<{tag} id="{name}">{inside}</{tag}>'


def wire(number: str, length: str = "900") -> str:
    """A KBL wire occurrence of the type `p`."""
    long = numerical("Length_value", f"v{number}", "u", length)
    return (
        f'<General_wire_occurrence xsi:type="kbl:Wire_occurrence" id="w{number}"><Part>p</Part><Length_information '
        f'id="l{number}"><Length_type>Production</Length_type>{long}</Length_information>'
        f"<Wire_number>{number}</Wire_number></General_wire_occurrence>"
    )


def wire_type(area: str = "0.5") -> str:
    """The KBL wire type `p`."""
    colour = "<Colour_type>base colour</Colour_type><Colour_value>RD</Colour_value>"
    colour = f'<Cover_colour id="pc">{colour}</Cover_colour>'
    size = numerical("Cross_section_area", "pa", "uu", area)
    return f'<General_wire id="p"><Part_number>P</Part_number>{size}{colour}</General_wire>'


def housing() -> str:
    """The KBL housing `hs` with one cavity."""
    hole = '<Cavities id="hc"><Cavity_number>1</Cavity_number></Cavities>'
    slot = f'<Slots id="hss"><Number_of_cavities>1</Number_of_cavities>{hole}</Slots>'
    return f'<Connector_housing id="hs"><Part_number>H</Part_number>{slot}</Connector_housing>'


def connector(name: str, mated: str = "", shown: str = "") -> str:
    """A KBL connector occurrence of the housing `hs`, with a contact in its cavity."""
    mates = f"<Mated_cavities>{mated}</Mated_cavities>" if mated else ""
    return (
        f'<Connector_occurrence id="{name}"><Id>{shown or name}</Id><Part>hs</Part><Contact_points id="{name}p">'
        f'<Id>1</Id><Contacted_cavity>{name}c</Contacted_cavity></Contact_points><Slots id="{name}s"><Part>hss</Part>'
        f'<Cavities id="{name}c">{mates}<Part>hc</Part></Cavities></Slots></Connector_occurrence>'
    )


def link(name: str, of: str, *ends: str) -> str:
    """A KBL connection."""
    sides = "".join(
        f'<Extremities id="{name}e{n}"><Position_on_wire>{n}</Position_on_wire><Contact_point>{end}</Contact_point>'
        "</Extremities>"
        for n, end in enumerate(ends)
    )
    return f'<Connection id="{name}"><Signal_name>S</Signal_name><Wire>{of}</Wire>{sides}</Connection>'


def module(name: str, condition: str, parts: str) -> str:
    """A KBL module."""
    inside = f"<Logistic_control_information>{condition}</Logistic_control_information>"
    inside += f"<Controlled_components>{parts}</Controlled_components>"
    return f'<Module id="{name}"><Module_configuration id="{name}c">{inside}</Module_configuration></Module>'


def laid(inside: str) -> bytes:
    """A KBL file with the types `hs` and `p` around some elements of its harness."""
    return kbl(f'{housing()}{wire_type()}<Harness id="h"><Part_number>H</Part_number>{inside}</Harness>{UNITS}')


def sound(more: str = "", mated: str = "") -> str:
    """A wire `w1` by the connection `n` between connectors `a` and `b`, and something more, for `laid`."""
    return link("n", "w1", "ap", "bp") + connector("a", mated) + connector("b", mated) + wire("1") + more


def figures(area: str, length: str) -> bytes:
    """A KBL file whose one wire has these figures."""
    inside = sound().replace(wire("1"), wire("1", length))
    return laid(inside).replace(wire_type().encode(), wire_type(area).encode())
