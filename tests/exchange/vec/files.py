"""Little VEC files for tests, put together from pieces; every name in them is invented."""

from pathlib import Path

from loombench.exchange.harness import Harness
from loombench.exchange.report import Imported
from loombench.exchange.vec.read import read_vec

SAMPLES = Path(__file__).parents[1] / "samples"
UNITS = (
    '<Unit xsi:type="vec:SIUnit" id="mm"><SiUnitName>Metre</SiUnitName><SiPrefix>Milli</SiPrefix></Unit>'
    '<Unit xsi:type="vec:SIUnit" id="mm2"><Exponent>2</Exponent><SiUnitName>Metre</SiUnitName>'
    "<SiPrefix>Milli</SiPrefix></Unit>"
    '<Unit xsi:type="vec:SIUnit" id="A"><SiUnitName>Ampere</SiUnitName></Unit>'
)


def file(*specifications: str, version: str = "2.2.0", rest: str = UNITS) -> str:
    """A file of one document."""
    return (
        '<v:VecContent xmlns:v="http://www.prostep.org/ecad-if/2011/vec" id="c"\n'
        ' xmlns:xsi="http://www.w3.org/2001/XMLSchema-instance">\n'
        f"<VecVersion>{version}</VecVersion>\n"
        f'<DocumentVersion id="d"><DocumentNumber>D1</DocumentNumber>\n{"".join(specifications)}</DocumentVersion>\n'
        f"{rest}</v:VecContent>\n"
    )


def specification(kind: str, id: str, *content: str, name: str = "") -> str:
    """A specification."""
    inside = "".join(content)
    return (
        f'<Specification xsi:type="vec:{kind}" id="{id}"><Identification>{name or id}</Identification>{inside}'
        "</Specification>\n"
    )


def composition(*components: str, id: str = "L1") -> str:
    """The components of a loom of that name."""
    return specification("CompositionSpecification", id, *components)


def component(name: str, *content: str, id: str = "") -> str:
    """A component; its id is its name."""
    return f'<Component id="{id or name}"><Identification>{name}</Identification>{"".join(content)}</Component>\n'


def role(kind: str, id: str, *content: str) -> str:
    """A role."""
    return f'<Role xsi:type="vec:{kind}" id="{id}">{"".join(content)}</Role>'


def wire(number: str, *content: str, ends: int = 2, inside: str = "", outside: str = "") -> str:
    """A wire `W<number>` with ends `<number>a`, `<number>b` ...; `content` is in its wire element reference."""
    return component(
        f"W{number}", outside, role("WireRole", f"r{number}", inside, element(number, *content, ends=ends))
    )


def element(number: str, *content: str, ends: int = 2) -> str:
    """A wire element reference with ends."""
    tips = "".join(
        f'<WireEnd id="{number}{letter}"><PositionOnWire>{place}</PositionOnWire></WireEnd>'
        for place, letter in enumerate("abcdefgh"[:ends])
    )
    return (
        f'<WireElementReference id="e{number}"><Identification>{number}</Identification>{"".join(content)}{tips}'
        "</WireElementReference>"
    )


def terminal(name: str, kind: str = "PluggableTerminalRole", *content: str, id: str = "") -> str:
    """A terminal of its own, with the role `t<id>`; its id is its name."""
    return component(name, *content, role(kind, f"t{id or name}"), id=f"c{id}" if id else "")


def connector(name: str, housing: str = "h", cavities: str = "1 2", *content: str) -> str:
    """A connector; `<name>.1` is the reference of cavity 1, `<name>s` of the slot."""
    inside = "".join(
        f'<CavityReference id="{name}.{one}"><Identification>{one}</Identification>'
        f"<ReferencedCavity>{housing}c{one}</ReferencedCavity></CavityReference>"
        for one in cavities.split()
    )
    slot = (
        f'<SlotReference xsi:type="vec:SlotReference" id="{name}s"><Identification>1</Identification>'
        f"<ReferencedSlot>{housing}s</ReferencedSlot>{inside}</SlotReference>"
    )
    named = f"<ConnectorHousingSpecification>{housing}</ConnectorHousingSpecification>"
    return component(name, *content, role("ConnectorHousingRole", f"r{name}", named, slot))


def housing(id: str = "h", cavities: str = "1 2") -> str:
    """A housing with one slot."""
    inside = "".join(f'<Cavity id="{id}c{one}"><CavityNumber>{one}</CavityNumber></Cavity>' for one in cavities.split())
    slot = f'<Slot xsi:type="vec:Slot" id="{id}s"><SlotNumber>1</SlotNumber>{inside}</Slot>'
    return specification("ConnectorHousingSpecification", id, slot)


def contacting(*points: str, id: str = "k") -> str:
    """Contact points."""
    return specification("ContactingSpecification", id, *points)


def point(name: str, ends: str = "", terminal: str = "", cavities: str = "", *content: str) -> str:
    """A contact point: wire ends and cavity references by id, each cavity in a mounting of its own after a `|`."""
    mounted = f"<MountedTerminal>{terminal}</MountedTerminal>" if terminal else ""
    in_cavities = "".join(
        f'<CavityMounting id="cm{name}{number}"><EquippedCavityRef>{one.strip()}</EquippedCavityRef></CavityMounting>'
        for number, one in enumerate(cavities.split("|"))
        if one.strip()
    )
    wires = "".join(
        f'<WireMounting id="wm{name}{one}"><ReferencedWireEnd>{one}</ReferencedWireEnd></WireMounting>'
        for one in ends.split()
    )
    return (
        f'<ContactPoint id="p{name}"><Identification>{name}</Identification>{"".join(content)}{mounted}{in_cavities}'
        f"{wires}</ContactPoint>\n"
    )


def length(number: str, kind: str = "Production", unit: str = "mm", id: str = "l") -> str:
    """A wire length."""
    value = f"<UnitComponent>{unit}</UnitComponent><ValueComponent>{number}</ValueComponent>"
    value = f'<LengthValue id="{id}v">{value}</LengthValue>'
    return f'<WireLength id="{id}"><LengthType>{kind}</LengthType>{value}</WireLength>'


def device(id: str, pins: str, *content: str, kind: str = "EEComponentSpecification") -> str:
    """A component's part: `pins` are housings with their pins, `A: 1 2; B: 1`; the id of a pin is `<id>A1`."""
    housings = ""
    for text in pins.split(";"):
        name, _, numbers = text.partition(":")
        inside = "".join(
            f'<PinComponent id="{id}{name.strip()}{one}"><Identification>{one}</Identification></PinComponent>'
            for one in numbers.split()
        )
        housings += (
            f'<HousingComponent id="{id}{name.strip()}"><Identification>{name.strip()}</Identification>{inside}'
            "</HousingComponent>"
        )
    return specification(kind, id, *content, housings)


def device_use(name: str, part: str, pins: str, kind: str = "EEComponentRole") -> str:
    """A component with the terminal roles `<name>A1` for its pins."""
    housings = ""
    for text in pins.split(";"):
        of_part, _, numbers = text.partition(":")
        of_part = of_part.strip()
        inside = "".join(
            f'<PinComponentRef id="q{name}{of_part}{one}"><PinComponent>{part}{of_part}{one}</PinComponent>'
            f'<TerminalRole xsi:type="vec:PluggableTerminalRole" id="{name}{of_part}{one}"/></PinComponentRef>'
            for one in numbers.split()
        )
        housings += (
            f'<HousingComponentRef id="hr{name}{of_part}"><HousingComponent>{part}{of_part}</HousingComponent>{inside}'
            "</HousingComponentRef>"
        )
    named = f"<EEComponentSpecification>{part}</EEComponentSpecification>"
    return component(name, role(kind, f"r{name}", named, housings))


def coupling(*content: str) -> str:
    """A coupling."""
    return specification("CouplingSpecification", "cs", f'<CouplingPoint id="cp">{"".join(content)}</CouplingPoint>')


def mating(one: str, two: str) -> str:
    """Two terminal roles that are plugged together."""
    ends = f"<FirstTerminalRole>{one}</FirstTerminalRole><SecondTerminalRole>{two}</SecondTerminalRole>"
    return f'<MatingPoint id="mp{one}{two}"><Identification>1</Identification>{ends}</MatingPoint>'


def read(text: str) -> Imported:
    """The file read."""
    return read_vec(text.encode("utf-8"), "test.vec")


def harness(text: str) -> Harness:
    """Its harness, which there has to be."""
    found = read(text).harness
    assert found is not None
    return found


def codes(text: str) -> list[str]:
    """The codes of what was said about the file."""
    return [code for code, _ in read(text).repairs]


def ends(found: Harness) -> dict[str, str]:
    """Where each wire goes, by its id."""
    return {one.id: " ".join(str(end.spot) if end.spot else "?" for end in one.ends) for one in found.wires}
