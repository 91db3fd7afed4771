"""Bad KBL and VEC files."""

from collections.abc import Mapping
from types import MappingProxyType

from tests.exchange.hostile.pieces import (
    MANY,
    Make,
    connector,
    figures,
    harness,
    kbl,
    laid,
    laughs,
    link,
    module,
    outside,
    sound,
    specification,
    vec,
    wire,
)

_LONG = 900_000
_OWN_MODULES = '<Harness_configuration id="x"><Modules>x x</Modules></Harness_configuration>'


def _document(*specifications: str) -> bytes:
    return vec(f'<DocumentVersion id="d">{"".join(specifications)}</DocumentVersion>')


def _swap(old: str, new: str) -> bytes:
    """The sound file with a text replaced."""
    data = laid(sound())
    assert old.encode() in data
    return data.replace(old.encode(), new.encode())


def _segments() -> bytes:
    """A stretch between itself and itself, gone through four times."""
    more = '</Harness><Node id="n1"><Id>N</Id></Node>'
    more += '<Routing id="r"><Routed_wire>n</Routed_wire><Segments>g g g g</Segments></Routing>'
    more += '<Segment id="g"><Id>G</Id><End_node>g</End_node><Start_node>g</Start_node></Segment>'
    return _swap("</Harness>", more)


def _assembly() -> bytes:
    """A bought part that contains itself."""
    inside = '<Assembly_part_occurrence id="z"><Part>y</Part></Assembly_part_occurrence>'
    return _swap(
        '<Connector_housing id="hs">', f'<Assembly_part id="y">{inside}</Assembly_part><Connector_housing id="hs">'
    )


def _elements() -> bytes:
    """Wire elements that contain one another."""
    first = specification(
        "WireElementSpecification", "a", "<SubWireElementSpecification>b</SubWireElementSpecification>"
    )
    second = specification(
        "WireElementSpecification", "b", "<SubWireElementSpecification>a a b</SubWireElementSpecification>"
    )
    inside = '<WireElement id="e"><WireElementSpecification>e</WireElementSpecification></WireElement>'
    return _document(first, second, specification("WireSpecification", "w", inside))


def _couplings() -> bytes:
    """A coupling of itself."""
    mate = '<MatingPoint id="m"><FirstTerminalRole>m</FirstTerminalRole><SecondTerminalRole>p</SecondTerminalRole>'
    slot = '</MatingPoint><SlotCoupling id="s"><FirstSlot>s</FirstSlot><SecondSlot>s</SecondSlot></SlotCoupling>'
    return _document(specification("CouplingSpecification", "c", f'<CouplingPoint id="p">{mate}{slot}</CouplingPoint>'))


def _one_cavity() -> bytes:
    """Very many wires between the same two cavities."""
    return laid(sound("".join(link(f"n{n}", f"w{n}", "ap", "bp") + wire(str(n)) for n in range(4_999))))


REFUSED: Mapping[str, Make] = MappingProxyType({
    "laughs.kbl": lambda: kbl("<Harness id='h'>&l9;</Harness>", laughs("k")),
    "laughs.vec": lambda: vec("<X>&l9;</X>", laughs("vec:VecContent")),
    "outside.kbl": lambda: kbl("<Harness id='h'><Part_number>&secret;</Part_number></Harness>", outside("k")),
    "outside.vec": lambda: vec("<X>&secret;</X>", outside("k")),
    "outside-type.kbl": lambda: kbl("", '<!DOCTYPE k SYSTEM "http://127.0.0.1:9/k.dtd">\n'),
    "parameter.kbl": lambda: kbl("", '<!DOCTYPE k [<!ENTITY % p SYSTEM "file:///etc/hostname"> %p;]>\n'),
    "long-entity.kbl": lambda: kbl("&a;" * 50_000, f'<!DOCTYPE k [<!ENTITY a "{"x" * 50_000}">]>\n'),
    "deep.kbl": lambda: harness("<a>" * 200_000 + "</a>" * 200_000),
    "deep.vec": lambda: vec("<a>" * 200_000 + "</a>" * 200_000),
    "attributes.kbl": lambda: harness("<Connection " + " ".join(f'a{n}="1"' for n in range(MANY)) + "/>"),
    "attributes.vec": lambda: vec("<DocumentVersion " + " ".join(f'a{n}="1"' for n in range(MANY)) + "/>"),
    "unclosed-tag.kbl": lambda: harness('<Connection id="' + "x" * 30_000_000),
    "unclosed-remark.kbl": lambda: harness("<!-- " + "x" * 30_000_000),
    "unclosed-text.kbl": lambda: harness("<Part_number>" + "x" * 30_000_000),
    "unknown-encoding.kbl": lambda: kbl("").replace(b"UTF-8", b"EBCDIC-42"),
    "packing-as-encoding.kbl": lambda: kbl("").replace(b"UTF-8", b"zlib"),
    "nothing.kbl": lambda: b"",
    "zeros.kbl": lambda: b"\0" * 100_000,
    "picture.kbl": lambda: b"\x89PNG\r\n\x1a\n" + bytes(range(256)) * 100,
    "other.xml": lambda: b'<?xml version="1.0"?><svg xmlns="http://www.w3.org/2000/svg"><g/></svg>',
    "two-roots.kbl": lambda: kbl("") + b"<more/>",
    "zero-letter.kbl": lambda: harness("<Part_number>&#0;</Part_number>"),
})  # fmt: skip

ENDURED: Mapping[str, Make] = MappingProxyType({
    "empty-elements.kbl": lambda: kbl("<Accessory/>" * MANY),
    "empty-connections.kbl": lambda: harness("<Connection/>" * (MANY // 50)),
    "empty-wires.kbl": lambda: harness("<General_wire_occurrence/>" * (MANY // 50)),
    "empty-connectors.kbl": lambda: harness("<Connector_occurrence/>" * (MANY // 50)),
    "empty-elements.vec": lambda: vec("<PartVersion/>" * MANY),
    "empty-specifications.vec": lambda: _document("<Specification/>" * (MANY // 50)),
    "long-id.kbl": lambda: _swap("w1", "w" * _LONG),
    "long-name.kbl": lambda: _swap("<Id>a</Id>", f"<Id>{'X' * 5_000_000}</Id>"),
    "long-reference.kbl": lambda: _swap("<Part>p</Part>", f"<Part>{'p ' * MANY}</Part>"),
    "says-utf-16.kbl": lambda: _swap("UTF-8", "UTF-16"),
    "no-utf-8.kbl": lambda: laid(sound()).replace(b"<Id>a</Id>", b"<Id>K\xfchler</Id>"),
    "left-to-right.kbl": lambda: _swap("<Id>a</Id>", "<Id>a\u202egnp.\u202d\n/../b</Id>"),
    "beyond-figures.kbl": lambda: figures("1e999", "nan"),
    "below-figures.kbl": lambda: figures("-3", "-inf"),
    "other-figures.kbl": lambda: figures("1,5", "\u0663"),
    "long-figures.kbl": lambda: figures("9" * 200_000, "1e-400"),
    "code-figures.kbl": lambda: figures("1_0", "0x10"),
    "own-mate.kbl": lambda: laid(sound(mated="ac bc ac")),
    "own-part.kbl": lambda: _swap("<Part>hs</Part>", "<Part>a</Part>"),
    "own-unit.kbl": lambda: _swap("<Unit_component>u<", "<Unit_component>v1<"),
    "own-module.kbl": lambda: laid(sound(module("m", "A", "m mc h m"))),
    "own-modules.kbl": lambda: laid(sound(_OWN_MODULES)),
    "own-assembly.kbl": _assembly,
    "own-segment.kbl": _segments,
    "own-element.vec": _elements,
    "own-coupling.vec": _couplings,
    "one-id.kbl": lambda: harness("".join(link("n", "n", "n", "n") for _ in range(10_000))),
    "one-name.kbl": lambda: laid("".join(connector(f"a{n}", shown="a") for n in range(10_000))),
    "one-cavity.kbl": _one_cavity,
    "many-ends.kbl": lambda: laid(connector("a") + link("n", "w1", *["ap"] * 10_000) + wire("1")),
    "all-mated.kbl": lambda: laid(sound(mated="ac bc " * 50_000)),
    "brackets.kbl": lambda: laid(sound(module("m", "(" * 100_000 + "A" + ")" * 100_000, "n"))),
    "long-condition.kbl": lambda: laid(sound(module("m", "+".join(f"A{n}/B{n}" for n in range(30_000)), "n"))),
    "many-options.kbl": lambda: laid(sound("".join(module(f"m{n}", f"A{n}", "n w1") for n in range(3_000)))),
})  # fmt: skip
