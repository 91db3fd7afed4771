"""Harness files made up by a seed: KBL, VEC and a wire list of one plan, with the figures an import must find.

    python benchmarks/harnessfiles.py FORMAT WIRES FILE

writes one and prints the figures. The plan is drawn like a modular vehicle's: most wires between plugs of many ways,
some through splices, to ring terminals and to fuse boxes, every fifth under an option, laid through stretches of loom.
"""

import json
import random
import sys
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from types import MappingProxyType

WAYS = (2, 2, 3, 4, 4, 6, 8, 12, 16, 24, 32, 54)
COLOURS = ("BK", "BN", "RD", "OG", "YE", "GN", "BU", "VT", "GY", "WH", "PK")
AREAS = ("0.35", "0.5", "0.75", "1.0", "1.5", "2.5", "4.0", "6.0")
HEAD = '<?xml version="1.0" encoding="UTF-8"?>\n'
KBL_SPACE = "http://www.prostep.org/Car_electric_container/KBL2.3/KBLSchema"
VEC_SPACE = "http://www.prostep.org/ecad-if/2011/vec"
XSI = "http://www.w3.org/2001/XMLSchema-instance"
OPTIONS = tuple(f"L{n}{letter}" for n in range(10) for letter in "ABC")
FUSES = 20


@dataclass(frozen=True)
class Plan:
    """What is drawn.

    `holders`: name, kind (plug, splice, ring, box) and ways; `wires`: two ends, type, length in mm, signal, option.
    """

    holders: tuple[tuple[str, str, int], ...]
    wires: tuple[tuple[tuple[int, int], tuple[int, int], int, int, str, str], ...]
    types: tuple[tuple[str, str, str], ...]
    stretches: int
    routes: tuple[tuple[int, ...], ...] = field(repr=False)


def plan(wires: int, seed: int = 7) -> Plan:
    """So many wires; every cavity of a plug is used once, a splice by three wires, a ring by up to five."""
    chance = random.Random(seed)
    types = tuple(
        (area, main, stripe)
        for area in AREAS
        for main in COLOURS
        for stripe in ("", *(chance.sample(COLOURS, 2)))
        if stripe != main
    )
    holders: list[tuple[str, str, int]] = []
    free: list[tuple[int, int]] = []

    def more() -> None:
        at, draw = len(holders), chance.random()
        if draw < 0.03:
            holders.append((f"FB{at}", "box", FUSES))
            free.extend((at, way) for way in range(FUSES))
        elif draw < 0.2:
            holders.append((f"SP{at}", "splice", 1))
            free.extend([(at, 0)] * 3)
        elif draw < 0.27:
            holders.append((f"M{at}", "ring", 1))
            free.extend([(at, 0)] * 5)
        else:
            ways = chance.choice(WAYS)
            holders.append((f"X{at}", "plug", ways))
            free.extend((at, way) for way in range(ways))

    laid = []
    while len(laid) < wires:
        while len(free) < 400:
            more()
        a, b = free.pop(chance.randrange(len(free))), free.pop(chance.randrange(len(free)))
        if a[0] == b[0]:
            free += [a, b]
            more()
            continue
        option = chance.choice(OPTIONS) if chance.random() < 0.2 else ""
        laid.append((a, b, chance.randrange(len(types)), chance.randrange(60, 7000), f"S{len(laid) // 3}", option))
    stretches = max(20, wires // 20)
    routes = tuple(
        tuple(range(start, min(start + chance.randrange(1, 9), stretches)))
        for start in (chance.randrange(stretches) for _ in laid)
    )
    return Plan(tuple(holders), tuple(laid), types, stretches, routes)


def figures(made: Plan) -> dict[str, int]:
    """What an import with all options must count."""
    kinds = [kind for _, kind, _ in made.holders]
    over: dict[tuple[int, int], tuple[int, int]] = {}

    def root(pin: tuple[int, int]) -> tuple[int, int]:
        while over.setdefault(pin, pin) != pin:
            pin = over[pin]
        return pin

    for a, b, *_ in made.wires:
        over[root(a)] = root(b)
    sizes: dict[tuple[int, int], int] = {}
    for pin in list(over):
        sizes[root(pin)] = sizes.get(root(pin), 0) + 1
    return {
        "connections": len(made.wires),
        "connectors": len(kinds) - kinds.count("box"),
        "splices": kinds.count("splice"),
        "rings": kinds.count("ring"),
        "carriers": kinds.count("box"),
        "fuses": kinds.count("box") * FUSES,
        "segments": made.stretches,
        "nets": len(sizes),
        "largest_net": max(sizes.values()),
    }


def kbl(made: Plan) -> Iterator[str]:
    """The plan as KBL 2.4 SR-1, piece by piece."""
    yield f'{HEAD}<kbl:KBL_container xmlns:kbl="{KBL_SPACE}" xmlns:xsi="{XSI}" id="root" version_id="2.4 SR-1">\n'
    yield '  <Cartesian_point id="pt"><Coordinates>0</Coordinates><Coordinates>0</Coordinates></Cartesian_point>\n'
    yield f'  <Component xsi:type="kbl:Fuse" id="fuse">\n{_part("FUSE-15", "Blade fuse 15 A")}'
    yield f'    <Nominal_current id="fusea">{_value("ua", "15")}</Nominal_current>\n  </Component>\n'
    yield from _kbl_box()
    for ways in sorted({ways for _, kind, ways in made.holders if kind != "box"}):
        holes = "".join(
            f'      <Cavities id="h{ways}c{n}"><Cavity_number>{n + 1}</Cavity_number></Cavities>\n' for n in range(ways)
        )
        yield f'  <Connector_housing id="h{ways}">\n{_part(f"HOUSING-{ways}", f"{ways}-way housing")}'
        yield f'    <Slots id="h{ways}s">\n      <Number_of_cavities>{ways}</Number_of_cavities>\n{holes}    </Slots>\n'
        yield "  </Connector_housing>\n"
    yield f'  <General_terminal id="term">\n{_part("TERM-2.8", "receptacle 2.8 mm")}  </General_terminal>\n'
    for n, (area, main, stripe) in enumerate(made.types):
        second = _kbl_colour(n, 1, "first identification", stripe) if stripe else ""
        yield f'  <General_wire id="g{n}">\n{_part(f"WIRE-{area}-{main}{stripe}", "low-voltage cable")}'
        yield f'    <Wire_type>FLRY-B</Wire_type>\n    <Cross_section_area id="g{n}a">{_value("umm2", area)}'
        yield f"</Cross_section_area>\n{_kbl_colour(n, 0, 'base colour', main)}{second}  </General_wire>\n"
    yield f'  <Harness id="hrn">\n{_part("HARNESS", "made-up harness")}    <Car_classification_level_2>/NULL'
    yield "</Car_classification_level_2>\n    <Model_year>2024</Model_year>\n"
    yield "    <Content>harness complete set</Content>\n"
    yield from _kbl_uses(made)
    yield "  </Harness>\n"
    for n in range(made.stretches + 1):
        yield f'  <Node id="n{n}"><Id>N{n}</Id><Cartesian_point>pt</Cartesian_point></Node>\n'
    for n, route in enumerate(made.routes):
        through = " ".join(f"s{one}" for one in route)
        yield f'  <Routing id="r{n}"><Routed_wire>c{n}</Routed_wire><Segments>{through}</Segments></Routing>\n'
    for n in range(made.stretches):
        yield f'  <Segment id="s{n}"><Id>SEG{n}</Id><Virtual_length id="s{n}v">{_value("umm", "250")}</Virtual_length>'
        yield f"<End_node>n{n + 1}</End_node><Start_node>n{n}</Start_node></Segment>\n"
    yield '  <Unit id="umm"><Si_unit_name>metre</Si_unit_name><Si_prefix>milli</Si_prefix></Unit>\n'
    yield '  <Unit id="umm2"><Si_unit_name>metre</Si_unit_name><Si_prefix>milli</Si_prefix>'
    yield "<Si_dimension>square</Si_dimension></Unit>\n"
    yield '  <Unit id="ua"><Unit_name>Ampere</Unit_name></Unit>\n</kbl:KBL_container>\n'


def vec(made: Plan) -> Iterator[str]:
    """The plan as VEC 1.1.3; its boxes are plain connectors there and options are left out."""
    yield f'{HEAD}<vec:VecContent xmlns:vec="{VEC_SPACE}" xmlns:xsi="{XSI}" id="c0">\n<VecVersion>1.1.3</VecVersion>\n'
    yield _vec_document("dP", "PARTS", "PartMaster")
    for ways in sorted({ways for _, _, ways in made.holders}):
        holes = "".join(f'<Cavity id="h{ways}c{n}"><CavityNumber>{n + 1}</CavityNumber></Cavity>' for n in range(ways))
        slot = f'<Slot xsi:type="vec:Slot" id="h{ways}s"><SlotNumber>A</SlotNumber>{holes}</Slot>'
        yield _vec_spec("ConnectorHousingSpecification", f"h{ways}", slot)
    for kind in ("Pluggable", "Splice", "Ring"):
        yield _vec_spec(f"{kind}TerminalSpecification", f"t{kind}", "")
    for n, (area, main, stripe) in enumerate(made.types):
        cut = f"<UnitComponent>umm2</UnitComponent><ValueComponent>{area}</ValueComponent>"
        yield _vec_spec("CoreSpecification", f"g{n}k", f'<CrossSectionArea id="g{n}ka">{cut}</CrossSectionArea>')
        colours = _vec_colour("BaseColor", f"g{n}b", main)
        colours += _vec_colour("FirstIdentificationColor", f"g{n}f", stripe) if stripe else ""
        yield _vec_spec("InsulationSpecification", f"g{n}i", colours)
        of = f"<ConductorSpecification>g{n}k</ConductorSpecification>"
        of += f"<InsulationSpecification>g{n}i</InsulationSpecification>"
        yield _vec_spec("WireElementSpecification", f"g{n}e", of)
        element = f"<WireElementSpecification>g{n}e</WireElementSpecification>"
        inside = f'{element}<WireElement id="g{n}w"><Identification>1</Identification>{element}</WireElement>'
        yield _vec_spec("WireSpecification", f"g{n}", inside)
    yield "</DocumentVersion>\n" + _vec_document("dH", "HARNESS", "HarnessDescription")
    yield '<Specification xsi:type="vec:CompositionSpecification" id="comp"><Identification>H</Identification>\n'
    yield from _vec_uses(made)
    yield "</Specification>\n"
    yield '<Specification xsi:type="vec:ContactingSpecification" id="cont"><Identification>H</Identification>\n'
    at: dict[tuple[int, int], list[str]] = {}
    for n, (a, b, *_) in enumerate(made.wires):
        at.setdefault(a, []).append(f"w{n}a")
        at.setdefault(b, []).append(f"w{n}b")
    for (holder, way), ends in at.items():
        single = made.holders[holder][1] in ("splice", "ring")
        hole = "" if single else f"<EquippedCavityRef>o{holder}c{way}</EquippedCavityRef>"
        mount = "" if single else f'<CavityMounting id="p{holder}c{way}m">{hole}</CavityMounting>'
        wires = "".join(
            f'<WireMounting id="{end}m"><ReferencedWireEnd>{end}</ReferencedWireEnd></WireMounting>' for end in ends
        )
        yield f'<ContactPoint id="p{holder}c{way}"><Identification>{made.holders[holder][0]}-{way + 1}</Identification>'
        yield f"<MountedTerminal>t{holder}c{way}</MountedTerminal>{mount}{wires}</ContactPoint>\n"
    yield "</Specification>\n</DocumentVersion>\n"
    yield '<Unit xsi:type="vec:SIUnit" id="umm"><SiUnitName>Metre</SiUnitName><SiPrefix>Milli</SiPrefix></Unit>\n'
    yield '<Unit xsi:type="vec:SIUnit" id="umm2"><Exponent>2</Exponent><SiUnitName>Metre</SiUnitName>'
    yield "<SiPrefix>Milli</SiPrefix></Unit>\n</vec:VecContent>\n"


def wirelist(made: Plan) -> Iterator[str]:
    """The plan as a wire list; options are left out."""
    yield "harness,wire_no,signal,from_conn,from_cavity,to_conn,to_cavity,colour,colour_system,size,size_unit,length,"
    yield "length_unit,wire_type\n"
    for n, (a, b, kind, length, signal, _) in enumerate(made.wires):
        area, main, stripe = made.types[kind]
        colour = f"{main}/{stripe}" if stripe else main
        ends = ",".join(f"{made.holders[at][0]},{way + 1}" for at, way in (a, b))
        yield f"MAIN,{n + 1},{signal},{ends},{colour},IEC60757,{area},mm2,{length},mm,FLRY-B\n"


def _part(number: str, words: str) -> str:
    return (
        f"    <Part_number>{number}</Part_number>\n    <Company_name>Demo</Company_name>\n    <Version>1</Version>\n"
        f"    <Abbreviation>/NULL</Abbreviation>\n    <Description>{words}</Description>\n"
    )


def _value(unit: str, value: str) -> str:
    return f"<Unit_component>{unit}</Unit_component><Value_component>{value}</Value_component>"


def _kbl_colour(n: int, place: int, kind: str, letters: str) -> str:
    return (
        f'    <Cover_colour id="g{n}k{place}"><Colour_type>{kind}</Colour_type>'
        f"<Colour_value>{letters}</Colour_value></Cover_colour>\n"
    )


def _kbl_box() -> Iterator[str]:
    yield f'  <Component_box id="box">\n{_part("BOX", "fuse box")}    <Component_box_connectors id="boxA"><Id>A</Id>\n'
    yield f'      <Integrated_slots xsi:type="kbl:Slot" id="boxAs"><Number_of_cavities>{FUSES}</Number_of_cavities>\n'
    for n in range(FUSES):
        yield f'        <Cavities id="boxc{n}"><Cavity_number>{n + 1}</Cavity_number></Cavities>\n'
    yield "      </Integrated_slots>\n    </Component_box_connectors>\n"
    for n in range(FUSES):
        yield f'    <Component_slots id="boxf{n}"><Id>F{n + 1}</Id>'
        yield f'<Component_cavities id="boxf{n}i"><Cavity_number>1</Cavity_number></Component_cavities>'
        yield f'<Component_cavities id="boxf{n}o"><Cavity_number>2</Cavity_number></Component_cavities>'
        yield "</Component_slots>\n"
    feeds = " ".join(f"boxf{n}i" for n in range(FUSES))
    yield f'    <Connections id="boxb"><Id>feed</Id><Component_cavities>{feeds}</Component_cavities></Connections>\n'
    for n in range(FUSES):
        yield f'    <Connections id="boxb{n}"><Id>{n + 1}</Id><Cavities>boxc{n}</Cavities>'
        yield f"<Component_cavities>boxf{n}o</Component_cavities></Connections>\n"
    yield "  </Component_box>\n"


def _kbl_uses(made: Plan) -> Iterator[str]:
    boxes = [n for n, (_, kind, _) in enumerate(made.holders) if kind == "box"]
    for n in boxes:
        yield from _kbl_box_use(n, made.holders[n][0])
    for n in boxes:
        for slot in range(FUSES):
            yield f'    <Component_occurrence id="o{n}u{slot}"><Id>F{slot + 1}</Id>'
            yield f"<Mounting>o{n} o{n}f{slot} o{n}f{slot}i o{n}f{slot}o</Mounting>"
            yield "<Part>fuse</Part></Component_occurrence>\n"
    for n, (a, b, _, _, signal, _) in enumerate(made.wires):
        yield f'    <Connection id="c{n}">\n      <Id>C{n}</Id>\n      <Signal_name>{signal}</Signal_name>\n'
        yield f"      <Wire>w{n}</Wire>\n"
        for side, (at, way) in enumerate((a, b)):
            yield f'      <Extremities id="c{n}e{side}"><Position_on_wire>{side}</Position_on_wire>'
            yield f"<Contact_point>o{at}p{way}</Contact_point></Extremities>\n"
        yield "    </Connection>\n"
    for n, (name, kind, ways) in enumerate(made.holders):
        if kind != "box":
            usage = {"splice": "<Usage>splice</Usage>", "ring": "<Usage>ring terminal</Usage>"}.get(kind, "")
            yield f'    <Connector_occurrence id="o{n}">\n      <Id>{name}</Id>{usage}<Part>h{ways}</Part>\n'
            for way in range(ways):
                yield f'      <Contact_points id="o{n}p{way}"><Id>{name}-{way + 1}</Id><Associated_parts>o{n}t{way}'
                yield f"</Associated_parts><Contacted_cavity>o{n}c{way}</Contacted_cavity></Contact_points>\n"
            yield f'      <Slots id="o{n}s"><Part>h{ways}s</Part>\n'
            for way in range(ways):
                yield f'        <Cavities id="o{n}c{way}"><Part>h{ways}c{way}</Part></Cavities>\n'
            yield "      </Slots>\n    </Connector_occurrence>\n"
    for n, (_, _, kind, length, _, _) in enumerate(made.wires):
        yield f'    <General_wire_occurrence xsi:type="kbl:Wire_occurrence" id="w{n}">\n      <Part>g{kind}</Part>\n'
        for place, words in enumerate(("DMU", "Production")):
            yield f'      <Length_information id="w{n}l{place}"><Length_type>{words}</Length_type>'
            yield f'<Length_value id="w{n}v{place}">{_value("umm", str(length))}</Length_value></Length_information>\n'
        yield f"      <Wire_number>{n + 1}</Wire_number>\n    </General_wire_occurrence>\n"
    for n, (_, kind, ways) in enumerate(made.holders):
        for way in range(ways if kind != "box" else 0):
            yield f'    <Terminal_occurrence id="o{n}t{way}"><Part>term</Part></Terminal_occurrence>\n'
    for code in OPTIONS:
        under = [n for n, one in enumerate(made.wires) if one[5] == code]
        held = " ".join(f"c{n} w{n}" for n in under)
        if not held:
            continue
        yield f'    <Module id="m{code}">\n{_part(f"MODULE-{code}", code)}      <Car_classification_level_2>/NULL'
        yield "</Car_classification_level_2>\n      <Model_year>2024</Model_year>\n      <Content>module</Content>\n"
        yield f'      <Module_configuration id="m{code}c"><Logistic_control_information>{code}'
        yield "</Logistic_control_information><Configuration_type>option code</Configuration_type>"
        yield f"<Controlled_components>{held}</Controlled_components></Module_configuration>\n    </Module>\n"


def _kbl_box_use(n: int, name: str) -> Iterator[str]:
    yield f'    <Component_box_occurrence id="o{n}"><Id>{name}</Id><Part>box</Part>\n'
    yield f'      <Component_box_connectors id="o{n}A"><Part>boxA</Part>'
    yield f'<Slots xsi:type="kbl:Slot_occurrence" id="o{n}s"><Part>boxAs</Part>\n'
    for way in range(FUSES):
        yield f'        <Cavities id="o{n}c{way}"><Part>boxc{way}</Part></Cavities>\n'
    yield "      </Slots></Component_box_connectors>\n"
    for slot in range(FUSES):
        yield f'      <Component_slots id="o{n}f{slot}"><Part>boxf{slot}</Part>'
        yield f'<Component_cavities id="o{n}f{slot}i"><Part>boxf{slot}i</Part></Component_cavities>'
        yield f'<Component_cavities id="o{n}f{slot}o"><Part>boxf{slot}o</Part></Component_cavities></Component_slots>\n'
    for way in range(FUSES):
        yield f'      <Contact_points id="o{n}p{way}"><Id>{name}-{way + 1}</Id>'
        yield f"<Contacted_cavity>o{n}c{way}</Contacted_cavity></Contact_points>\n"
    yield "    </Component_box_occurrence>\n"


def _vec_document(i: str, number: str, kind: str) -> str:
    return (
        f'<DocumentVersion id="{i}"><CompanyName>Demo</CompanyName><DocumentNumber>{number}</DocumentNumber>'
        f"<DocumentType>{kind}</DocumentType><DocumentVersion>1</DocumentVersion>\n"
    )


def _vec_spec(kind: str, i: str, inside: str) -> str:
    return (
        f'<Specification xsi:type="vec:{kind}" id="{i}"><Identification>{i}</Identification>{inside}</Specification>\n'
    )


def _vec_colour(tag: str, i: str, letters: str) -> str:
    return f'<{tag} id="{i}"><Key>{letters}</Key><ReferenceSystem>IEC 60757</ReferenceSystem></{tag}>'


def _vec_component(i: str, name: str, role: str, inside: str) -> str:
    return (
        f'<Component id="{i}"><Identification>{name}</Identification><Role xsi:type="vec:{role}" id="{i}r">'
        f"<Identification>{name}</Identification>{inside}</Role></Component>\n"
    )


def _vec_terminal(holder: int, way: int, name: str, kind: str, inside: str) -> str:
    return (
        f'<Component id="q{holder}c{way}"><Identification>{name}</Identification>'
        f'<Role xsi:type="vec:{kind}TerminalRole" id="t{holder}c{way}">'
        f"<Identification>{name}</Identification>{inside}</Role></Component>\n"
    )


def _vec_uses(made: Plan) -> Iterator[str]:
    used = {pin for a, b, *_ in made.wires for pin in (a, b)}
    for n, (name, kind, ways) in enumerate(made.holders):
        if kind in ("splice", "ring"):
            if (n, 0) in used:
                of = f"<TerminalSpecification>t{kind.capitalize()}</TerminalSpecification>"
                yield _vec_terminal(n, 0, name, kind.capitalize(), of)
            continue
        holes = "".join(
            f'<CavityReference id="o{n}c{way}"><Identification>{way + 1}</Identification>'
            f"<ReferencedCavity>h{ways}c{way}</ReferencedCavity></CavityReference>"
            for way in range(ways)
        )
        slot = f'<SlotReference xsi:type="vec:SlotReference" id="o{n}s"><Identification>A</Identification>'
        of = f"<ConnectorHousingSpecification>h{ways}</ConnectorHousingSpecification>{slot}"
        of += f"<ReferencedSlot>h{ways}s</ReferencedSlot>{holes}</SlotReference>"
        yield _vec_component(f"o{n}", name, "ConnectorHousingRole", of)
        for way in range(ways):
            if (n, way) in used:
                of = "<TerminalSpecification>tPluggable</TerminalSpecification>"
                yield _vec_terminal(n, way, f"{name}-{way + 1}", "Pluggable", of)
    for n, (_, _, kind, length, _, _) in enumerate(made.wires):
        ends = "".join(
            f'<WireEnd id="w{n}{side}"><PositionOnWire>{at}</PositionOnWire></WireEnd>' for at, side in enumerate("ab")
        )
        long = f"<UnitComponent>umm</UnitComponent><ValueComponent>{length}</ValueComponent>"
        of = f'<WireSpecification>g{kind}</WireSpecification><WireElementReference id="w{n}e"><Identification>{n + 1}'
        of += f"</Identification><ReferencedWireElement>g{kind}w</ReferencedWireElement>{ends}"
        of += f'<WireLength id="w{n}l"><LengthType>Production</LengthType><LengthValue id="w{n}v">{long}</LengthValue>'
        of += "</WireLength></WireElementReference>"
        yield _vec_component(f"w{n}", f"W{n + 1}", "WireRole", of)


FORMATS: Mapping[str, Callable[[Plan], Iterator[str]]] = MappingProxyType({"kbl": kbl, "vec": vec, "csv": wirelist})


def main() -> None:
    """Write a file and print its figures."""
    name, count, path = sys.argv[1:]
    made = plan(int(count))
    with Path(path).open("w", encoding="utf-8") as file:
        file.writelines(FORMATS[name](made))
    print(json.dumps(figures(made)))


if __name__ == "__main__":
    main()
