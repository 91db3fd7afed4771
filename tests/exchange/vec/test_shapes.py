"""Shapes that a VEC file can have, each a little file: what is one node, what is kept apart, what is unknown."""

import pytest

from loombench.exchange.harness import Mating, Spot
from loombench.exchange.netcount import count
from loombench.exchange.variants import chosen
from tests.exchange.vec.files import (
    codes,
    component,
    composition,
    connector,
    contacting,
    coupling,
    device,
    device_use,
    element,
    ends,
    file,
    harness,
    housing,
    length,
    mating,
    point,
    role,
    specification,
    terminal,
    wire,
)

TWO = (terminal("S1", "SpliceTerminalRole"), terminal("G5", "RingTerminalRole"))
AT_TWO = (point("S1", "3a", "tS1"), point("G5", "3b", "tG5"))


def area(value: str, unit: str = "mm2") -> str:
    inside = f"<UnitComponent>{unit}</UnitComponent><ValueComponent>{value}</ValueComponent>"
    return f'<CrossSectionArea id="a">{inside}</CrossSectionArea>'


def wire_of(core: str, insulation: str = "") -> str:
    """A file of wire 3, whose part has that core and insulation."""
    return file(
        specification("CoreSpecification", "co", core),
        specification("InsulationSpecification", "in", insulation),
        specification(
            "WireElementSpecification",
            "es",
            "<ConductorSpecification>co</ConductorSpecification><InsulationSpecification>in</InsulationSpecification>",
        ),
        specification(
            "WireSpecification",
            "ws",
            '<WireElement id="we"><Identification>1</Identification><WireElementSpecification>es'
            "</WireElementSpecification></WireElement>",
        ),
        composition(wire("3", "<ReferencedWireElement>we</ReferencedWireElement>"), *TWO),
        contacting(*AT_TWO),
        rest=UNITS_OF_ALL_KINDS,
    )


def unit(id: str, kind: str, *fields: str) -> str:
    pairs = (one.split("=") for one in fields)
    return f'<Unit xsi:type="vec:{kind}" id="{id}">' + "".join(f"<{a}>{b}</{a}>" for a, b in pairs) + "</Unit>"


UNITS_OF_ALL_KINDS = "".join((
    unit("mm", "SIUnit", "SiUnitName=Metre", "SiPrefix=Milli"),
    unit("mm2", "SIUnit", "Exponent=2", "SiUnitName=Metre", "SiPrefix=Milli"),
    unit("m", "SIUnit", "SiUnitName=Metre"),
    unit("cm", "SIUnit", "SiUnitName=Metre", "SiPrefix=Centi"),
    unit("km", "SIUnit", "SiUnitName=Metre", "SiPrefix=Kilo"),
    unit("um", "SIUnit", "SiUnitName=Metre", "SiPrefix=Micro"),
    unit("cm2", "SIUnit", "Exponent=2", "SiUnitName=Metre", "SiPrefix=Centi"),
    unit("um2", "SIUnit", "Exponent=2", "SiUnitName=Metre", "SiPrefix=Micro"),
    unit("in", "ImperialUnit", "ImperialUnitName=Inch"),
    unit("ft", "USUnit", "UsUnitName=Foot"),
    unit("awg", "USUnit", "UsUnitName=AWG"),
    unit("own", "CustomUnit", "Identification=mm"),
    unit("own2", "CustomUnit", "Identification=mm²"),
    unit("g", "SIUnit", "SiUnitName=Gram"),
))  # fmt: skip


@pytest.mark.parametrize(
    ("value", "unit", "expected"),
    [("900", "mm", 0.9), ("1.5", "m", 1.5), ("90", "cm", 0.9), ("0.002", "km", 2.0), ("900000", "um", 0.9),
     ("10", "in", 0.254), ("2", "ft", 0.6096), ("900", "own", 0.9), ("0", "mm", 0.0), ("-1", "mm", None),
     ("1e3", "mm", 1.0), ("NaN", "mm", None), ("INF", "mm", None), ("900", "g", None), ("900", "mm2", None),
     ("900", "nowhere", None), ("", "mm", None)],
)  # fmt: skip
def test_lengths_in_all_units(value: str, unit: str, expected: float | None) -> None:
    text = file(composition(wire("3", length(value, unit=unit)), *TWO), contacting(*AT_TWO), rest=UNITS_OF_ALL_KINDS)
    assert harness(text).wires[0].length_m == (None if expected is None else pytest.approx(expected, abs=1e-12))
    assert ("vec-unit" in codes(text)) == (expected is None and value != "-1")


@pytest.mark.parametrize(
    ("value", "unit", "expected"),
    [("0.35", "mm2", 0.35), ("0.025", "cm2", 2.5), ("350000", "um2", 0.35), ("18", "awg", 0.823), ("2.5", "own2", 2.5),
     ("0", "mm2", None), ("2.5", "mm", None)],
)  # fmt: skip
def test_cross_sections_in_all_units(value: str, unit: str, expected: float | None) -> None:
    """AWG 18 is 0.823 mm2 by the formula of ASTM B258."""
    found = harness(wire_of(area(value, unit))).wires[0].area_mm2
    assert found == (None if expected is None else pytest.approx(expected, rel=1e-3))


@pytest.mark.parametrize(
    ("said", "expected"),
    [(("DMU 900", "Production 920"), 0.92), (("Drawing 910", "DMU 900"), 0.91), (("DMU -1",), None),
     (("Production -1", "DMU 900"), 0.9), (("Functional 900",), 0.9), (("Something 880", "DMU 900"), 0.9)],
)  # fmt: skip
def test_of_several_lengths_the_most_final_counts(said: tuple[str, ...], expected: float | None) -> None:
    lengths = [length(one.split()[1], one.split()[0], id=f"l{number}") for number, one in enumerate(said)]
    found = harness(file(composition(wire("3", *lengths), *TWO), contacting(*AT_TWO)))
    assert found.wires[0].length_m == expected


def colour(tag: str, key: str, system: str, id: str) -> str:
    return f'<{tag} id="{id}"><Key>{key}</Key><ReferenceSystem>{system}</ReferenceSystem></{tag}>'


def test_a_colour_in_two_systems_is_read_in_the_one_all_its_parts_have() -> None:
    insulation = (
        colour("BaseColor", "3000", "RAL", "c1")
        + colour("BaseColor", "RD", "IEC 60757", "c2")
        + colour("FirstIdentificationColor", "YE", "IEC 60757", "c3")
    )
    found = harness(wire_of(area("1"), insulation)).wires[0].colour
    assert (found.parts, found.system) == (("RD", "YE"), "IEC")


def test_a_colour_of_a_maker_keeps_its_key_and_system() -> None:
    found = harness(wire_of(area("1"), colour("BaseColor", "B/K", "Acme Inc.", "c1"))).wires[0].colour
    assert (found.parts, found.system) == (("B/K",), "Acme Inc.")


CONNECTORS = (housing(), housing("h2", "1 2 3"))


def test_two_wires_in_one_contact_are_a_double_crimp() -> None:
    text = file(
        *CONNECTORS,
        composition(connector("X1"), terminal("T1"), wire("3"), wire("4"), *TWO),
        contacting(point("X1-1", "3a 4a", "tT1", "X1.1"), point("S1", "3b", "tS1"), point("G5", "4b", "tG5")),
    )
    found = harness(text)
    assert ends(found) == {"3": "X1.1 S1.1", "4": "X1.1 G5.1"}
    assert (found.contacts[0].id, found.contacts[0].cavities) == ("X1-1", ("1",))
    assert (count(found).nets, count(found).largest_net) == (1, 3)


def test_a_bridge_joins_its_cavities_without_a_wire() -> None:
    text = file(
        *CONNECTORS,
        composition(connector("X1", "h2", "1 2 3"), terminal("B1", "BridgeTerminalRole"), wire("3"), *TWO),
        contacting(point("br", "", "tB1", "X1.1|X1.3"), *AT_TWO),
    )
    found = harness(text)
    assert found.holders[0].joined == (("1", "3"),)
    assert found.contacts[0].cavities == ("1", "3")


def shielded(inner: str = "CoreSpecification", outer: str = "ShieldSpecification") -> str:
    """A coax cable W7 whose cores 7 (inner) and 8 (shield) are in one terminal, and end at S1 and G5."""
    elements = (
        "<ReferencedWireElement>root</ReferencedWireElement>",
        "<ReferencedWireElement>sub1</ReferencedWireElement>",
        "<ReferencedWireElement>sub2</ReferencedWireElement>",
    )
    specifications = [
        specification(inner, "co1"), specification(outer, "co2"),
        specification("WireElementSpecification", "es0"),
        specification("WireElementSpecification", "es1", "<ConductorSpecification>co1</ConductorSpecification>"),
        specification("WireElementSpecification", "es2", "<ConductorSpecification>co2</ConductorSpecification>"),
    ]  # fmt: skip
    subs = "".join(
        f'<SubWireElement id="sub{n}"><Identification>{n}</Identification><WireElementSpecification>es{n}'
        "</WireElementSpecification></SubWireElement>"
        for n in (1, 2)
    )
    cable = specification(
        "WireSpecification",
        "ws",
        f'<WireElement id="root"><Identification>0</Identification><WireElementSpecification>es0'
        f"</WireElementSpecification>{subs}</WireElement>",
    )
    uses = element("6", elements[0], ends=0) + element("7", elements[1]) + element("8", elements[2])
    return file(
        housing(), *specifications, cable,
        composition(connector("X1"), terminal("T1"), component("W7", role("WireRole", "r7", uses)), *TWO),
        contacting(point("in", "7a", "tT1", "X1.1"), point("out", "8a", "tT1", "X1.1"), point("S1", "7b", "tS1"),
                   point("G5", "8b", "tG5")),
    )  # fmt: skip


def test_coax_is_not_joined_by_its_terminal() -> None:
    found = harness(shielded())
    assert ends(found) == {"7": "X1.1 S1.1", "8": "X1.1.shield G5.1"}
    assert [(one.cable, one.core, one.shield) for one in found.wires] == [("W7", "1", False), ("W7", "2", True)]
    assert found.holders[0].cavities == ("1", "2", "1.shield")
    assert count(found).nets == 2
    assert codes(shielded()) == ["vec-coax"]


def test_two_cores_in_one_terminal_under_two_contact_points_stay_apart_too() -> None:
    assert ends(harness(shielded(outer="CoreSpecification"))) == {"7": "X1.1 S1.1", "8": "X1.1.2 G5.1"}


def test_the_shield_of_a_coax_contact_sits_where_its_terminal_does() -> None:
    """Its contact point names no cavity: the one of the inner conductor says where the terminal is."""
    text = shielded().replace(
        '<CavityMounting id="cmout0"><EquippedCavityRef>X1.1</EquippedCavityRef></CavityMounting>', ""
    )
    found = harness(text)
    assert ends(found) == {"7": "X1.1 S1.1", "8": "X1.1.shield G5.1"}
    assert [one.id for one in found.holders] == ["X1", "S1", "G5"]


def test_a_loose_terminal_on_a_pin_is_at_the_pin() -> None:
    text = file(
        device("box", "A: 1 2"),
        composition(device_use("FB", "box", "A: 1 2"), terminal("T1"), wire("3"), TWO[1]),
        contacting(point("push-on", "3a", "tT1"), point("G5", "3b", "tG5")),
        coupling(mating("tT1", "FBA1")),
    )
    found = harness(text)
    assert ends(found) == {"3": "FB.1 G5.1"}
    assert [one.id for one in found.holders] == ["FB", "G5"]
    assert found.matings == ()


def test_a_contact_whose_place_leads_nowhere_leaves_its_wire_open() -> None:
    text = file(composition(wire("3"), *TWO), contacting(point("X1-1", "3a", "gone", "nowhere"), AT_TWO[1]))
    assert ends(harness(text)) == {"3": "? G5.1"}
    assert codes(text) == ["vec-open-end", "vec-reference-missing"]


def test_a_splice_with_several_contact_points_is_one_node() -> None:
    text = file(
        composition(wire("3"), wire("4"), *TWO),
        contacting(point("left", "3a", "tS1"), point("right", "4a", "tS1"), point("G5", "3b 4b", "tG5")),
    )
    found = harness(text)
    assert [one.kind for one in found.holders] == ["splice", "ring"]
    assert ends(found) == {"3": "S1.1 G5.1", "4": "S1.1 G5.1"}
    assert codes(text) == []


def test_a_splice_with_two_inner_connections_is_two_nodes() -> None:
    inner = '<InternalTerminalConnection id="i{0}"><Identification>{0}</Identification></InternalTerminalConnection>'
    text = file(
        specification("SpliceTerminalSpecification", "st", inner.format(1), inner.format(2)),
        composition(
            wire("3"),
            wire("4"),
            component("S1", role("SpliceTerminalRole", "tS1", "<TerminalSpecification>st</TerminalSpecification>")),
            TWO[1],
        ),
        contacting(point("left", "3a", "tS1"), point("right", "4a", "tS1"), point("G5", "3b 4b", "tG5")),
    )
    assert ends(harness(text)) == {"3": "S1.1 G5.1", "4": "S1.1.2 G5.1"}


def test_a_weld_without_a_part_is_a_splice_and_a_lone_end_is_open() -> None:
    text = file(
        composition(wire("3"), wire("4")),
        contacting(point("weld", "3a 4a"), point("tape", "3b"), point("tape", "4b")),
    )
    found = harness(text)
    assert [(one.id, one.kind) for one in found.holders] == [
        ("weld", "splice"), ("tape", "open-end"), ("tape~2", "open-end"),
    ]  # fmt: skip


def test_an_end_in_no_contact_is_open_and_said() -> None:
    text = file(composition(wire("3"), *TWO), contacting(AT_TWO[0]))
    assert ends(harness(text)) == {"3": "S1.1 ?"}
    assert codes(text) == ["vec-open-end"]


def test_a_tap_on_the_way_is_a_third_end_in_its_place() -> None:
    text = file(
        composition(wire("3", ends=3), *TWO, terminal("S2", "SpliceTerminalRole")),
        contacting(point("S1", "3b", "tS1"), point("G5", "3c", "tG5"), point("S2", "3a", "tS2")),
    )
    assert ends(harness(text)) == {"3": "S2.1 S1.1 G5.1"}


def test_an_unconnected_core_is_no_wire() -> None:
    text = file(composition(wire("3"), wire("4", "<Unconnected>true</Unconnected>"), *TWO), contacting(*AT_TWO))
    assert list(ends(harness(text))) == ["3"]


def test_connectors_coupled_by_terminals_slots_or_numbers_are_mated_alike() -> None:
    first = contacting(point("X1-1", "3a", "tT1", "X1.1"), point("X2-1", "4a", "tT2", "X2.1"))
    parts = composition(connector("X1"), connector("X2"), terminal("T1"), terminal("T2"), wire("3"), wire("4"))
    slots = "<FirstSlot>X1s</FirstSlot><SecondSlot>X2s</SecondSlot>"
    crossed = "<FirstCavity>X1.1</FirstCavity><SecondCavity>X2.2</SecondCavity>"
    ways = {
        mating("tT1", "tT2"): (("1", "1"),),
        f'<SlotCoupling id="sc">{slots}</SlotCoupling>': (("1", "1"), ("2", "2")),
        f'<SlotCoupling id="sc">{slots}<CavityCoupling id="cc">{crossed}</CavityCoupling></SlotCoupling>': (
            ("1", "2"),
        ),
        "<FirstConnector>rX1</FirstConnector><SecondConnector>rX2</SecondConnector>": (("1", "1"), ("2", "2")),
    }
    for way, pairs in ways.items():
        found = harness(file(housing(), parts, first, coupling(way)))
        assert found.matings == (Mating("X1", "X2", pairs),)


def test_a_connector_on_a_device_and_a_ring_on_a_battery() -> None:
    text = file(
        housing(),
        device("lamp", "A: 1 2"),
        device("bat", "P: +"),
        composition(
            connector("X1"), terminal("T1"), TWO[1], wire("3"), device_use("E12", "lamp", "A: 1 2"),
            device_use("G1", "bat", "P: +"),
        ),
        contacting(point("X1-1", "3a", "tT1", "X1.1"), point("G5", "3b", "tG5")),
        coupling(mating("tT1", "E12A1"), mating("tG5", "G1P+")),
    )  # fmt: skip
    found = harness(text)
    assert {one.id: (one.kind, one.cavities) for one in found.holders} == {
        "X1": ("connector", ("1", "2")),
        "E12": ("device", ("1", "2")),
        "G1": ("device", ("+",)),
        "G5": ("ring", ("1",)),
    }
    assert found.matings == (Mating("X1", "E12", (("1", "1"),)), Mating("G5", "G1", (("1", "+"),)))


def test_a_device_with_several_plugs_is_a_holder_for_each() -> None:
    text = file(
        device("ecu", "X1: 1 2; X3: 1"),
        composition(device_use("A2", "ecu", "X1: 1 2; X3: 1"), wire("3"), *TWO),
        contacting(*AT_TWO),
    )
    assert {one.id: one.cavities for one in harness(text).holders if one.kind == "device"} == {
        "A2-X1": ("1", "2"), "A2-X3": ("1",),
    }  # fmt: skip


def bar(name: str, pins: str) -> str:
    return f'<Connections id="x{name}"><Identification>{name}</Identification><Pins>{pins}</Pins></Connections>'


@pytest.mark.parametrize("kind", ["FuseRole", "EEComponentRole"])
def test_fuses_and_relays_by_old_and_new_roles(kind: str) -> None:
    fuse = '<IMax id="im"><UnitComponent>A</UnitComponent><ValueComponent>15</ValueComponent></IMax>'
    relay = "RelayRole" if kind == "FuseRole" else kind
    text = file(
        device("box", "A: 1 2; F1: 1 2; K1: 30 85 86 87", bar("b", "boxA1 boxF11"), bar("c", "boxF12 boxK130")),
        device("f15", "A: 1 2", fuse, kind="FuseSpecification"),
        device("rel", "A: 30 85 86 87", bar("coil", "relA85 relA86"), kind="RelaySpecification"),
        composition(
            device_use("FB", "box", "A: 1 2; F1: 1 2; K1: 30 85 86 87"),
            device_use("F1", "f15", "A: 1 2", kind), device_use("K1", "rel", "A: 30 85 86 87", relay),
        ),
        coupling(
            mating("F1A1", "FBF11"), mating("FBF12", "F1A2"),
            *(mating(f"FBK1{pin}", f"K1A{pin}") for pin in ("30", "85", "86", "87")),
        ),
    )  # fmt: skip
    found = harness(text)
    assert [one.id for one in found.holders] == ["FB"]
    assert found.holders[0].joined == (("A.1", "F1.1"), ("F1.2", "K1.30"))
    assert [(one.id, one.kind, one.slot, one.rating_a, one.pins, one.spots) for one in found.fitted] == [
        ("F1", "fuse", "F1", 15.0, ("1", "2"), (Spot("FB", "F1.1"), Spot("FB", "F1.2"))),
        ("K1", "relay", "K1", None, ("30", "85", "86", "87"),
         tuple(Spot("FB", f"K1.{pin}") for pin in ("30", "85", "86", "87"))),
    ]  # fmt: skip
    assert found.matings == ()


def test_a_fuse_that_wires_end_at_is_a_box_of_its_own() -> None:
    text = file(
        device("f15", "A: 1 2", kind="FuseSpecification"),
        composition(device_use("F1", "f15", "A: 1 2"), wire("3"), wire("4"), *TWO),
        contacting(
            point("a", "3a", "F1A1"), point("b", "4a", "F1A2"), point("S1", "3b", "tS1"), point("G5", "4b", "tG5")
        ),
    )
    found = harness(text)
    assert ends(found) == {"3": "F1.1 S1.1", "4": "F1.2 G5.1"}
    assert [(one.id, one.kind) for one in found.holders if one.kind == "box"] == [("F1", "box")]
    assert found.fitted[0].spots == (Spot("F1", "1"), Spot("F1", "2"))
    assert codes(text) == []


def test_a_multiple_fuse_is_a_box_with_its_fuses() -> None:
    parts = "".join(
        f'<FuseComponents id="fc{n}"><Identification>{n}</Identification><ConnectedPins>mfA0 mfA{n}</ConnectedPins>'
        f"<FuseSpecification>f{n}</FuseSpecification></FuseComponents>"
        for n in (1, 2)
    )
    rated = '<IMax id="im{0}"><UnitComponent>A</UnitComponent><ValueComponent>{0}0</ValueComponent></IMax>'
    text = file(
        device("mf", "A: 0 1 2", parts, kind="MultiFuseSpecification"),
        specification("FuseSpecification", "f1", rated.format(3)),
        specification("FuseSpecification", "f2", rated.format(5)),
        composition(device_use("FL", "mf", "A: 0 1 2"), wire("3"), *TWO),
        contacting(*AT_TWO),
    )
    found = harness(text)
    box = found.holders[0]
    assert (box.id, box.kind, box.cavities) == ("FL", "box", ("0", "1", "2"))
    assert [(one.id, one.rating_a, one.spots) for one in found.fitted] == [
        ("FL.1", 30.0, (Spot("FL", "0"), Spot("FL", "1"))), ("FL.2", 50.0, (Spot("FL", "0"), Spot("FL", "2"))),
    ]  # fmt: skip


def test_what_a_state_switches_is_no_bar() -> None:
    state = '<States id="st"><Identification>on</Identification><SwitchedConnections>xk</SwitchedConnections></States>'
    text = file(
        device("box", "A: 1 2 3", bar("k", "boxA1 boxA2"), bar("b", "boxA2 boxA3"), state),
        composition(device_use("FB", "box", "A: 1 2 3"), wire("3"), *TWO),
        contacting(*AT_TWO),
    )
    assert harness(text).holders[0].joined == (("2", "3"),)
    assert codes(text) == ["vec-no-bar"]


def test_two_looms_of_one_file_keep_their_names_apart() -> None:
    text = file(
        housing(),
        composition(connector("X1", "h", "1 2"), terminal("T1"), wire("3")),
        specification(
            "CompositionSpecification",
            "L2",
            connector("X1", "h", "1 2").replace('"X1', '"Y1').replace("rX1", "rY1"),
            terminal("T2"),
            wire("4"),
        ),
        contacting(point("a", "3a", "tT1", "X1.1")),
        contacting(point("b", "4a", "tT2", "Y1.1"), id="k2"),
        coupling(mating("tT1", "tT2")),
    )
    found = harness(text)
    assert [(one.id, one.name, one.looms) for one in found.holders] == [
        ("X1@L1", "X1", ("L1",)), ("X1@L2", "X1", ("L2",)),
    ]  # fmt: skip
    assert [(one.id, one.loom) for one in found.wires] == [("3", "L1"), ("4", "L2")]
    assert found.matings == (Mating("X1@L1", "X1@L2", (("1", "1"),)),)


def test_an_assembly_is_counted_once() -> None:
    """The bought cable set has its own composition, of which the harness uses each piece."""
    inner = specification("CompositionSpecification", "asm", wire("1"), terminal("T9", "RingTerminalRole"))
    uses = "<InstanciatedOccurrence>W1</InstanciatedOccurrence>"
    used = "<InstanciatedOccurrence>T9</InstanciatedOccurrence>"
    text = file(
        inner,
        contacting(point("z", "1a", "tT9"), id="k0"),
        composition(wire("3", outside=uses), terminal("G5", "RingTerminalRole", used), TWO[0]),
        contacting(*AT_TWO),
    )
    found = harness(text)
    assert ends(found) == {"3": "S1.1 G5.1"}
    assert [one.id for one in found.contacts] == ["S1", "G5"]


def configuration(id: str, text: str, base: str = "") -> str:
    basis = f"<BaseInclusion>{base}</BaseInclusion>" if base else ""
    said = f"<LogisticControlExpression>{text}</LogisticControlExpression>"
    return f'<VariantConfiguration id="{id}">{said}{basis}</VariantConfiguration>'


def test_an_end_that_hangs_on_options_makes_a_wire_for_each() -> None:
    text = file(
        specification(
            "VariantConfigurationSpecification", "vc", configuration("va", "A1"), configuration("vb", "B2 &amp; !A1")
        ),
        composition(wire("3"), *TWO, terminal("S2", "SpliceTerminalRole")),
        contacting(
            AT_TWO[1],
            point("S1", "3a", "tS1", "", "<ConfigInfo>va</ConfigInfo>"),
            point("S2", "3a", "tS2", "", "<ConfigInfo>vb</ConfigInfo>"),
        ),
    )
    found = harness(text)
    assert ends(found) == {"3": "S1.1 G5.1", "3~2": "S2.1 G5.1"}
    assert [one.options for one in found.wires] == [("A1",), ("B2 & !A1",)]
    for codes_, left in (("A1", {"3": "S1.1 G5.1"}), ("B2", {"3~2": "S2.1 G5.1"})):
        picked = chosen(found, (codes_,)).harness
        assert picked is not None
        assert ends(picked) == left


def test_conditions_add_up_from_base_and_constraint_and_module() -> None:
    constraint = (
        '<ConfigurationConstraint id="cc"><ConfigInfo>vc</ConfigInfo><ConstrainedElements>W3</ConstrainedElements>'
        "</ConfigurationConstraint>"
    )
    text = file(
        specification(
            "VariantConfigurationSpecification",
            "vs",
            configuration("va", "A1"),
            configuration("vb", "B2", "va"),
            configuration("vc", "C3/D4"),
        ),
        composition(wire("3", outside="<ConfigInfo>vb</ConfigInfo>"), wire("4"), *TWO),
        specification("ConfigurationConstraintSpecification", "cs", constraint),
        specification("PartStructureSpecification", "M-1", "<InBillOfMaterial>W3</InBillOfMaterial>"),
        contacting(point("S1", "3a 4a", "tS1"), point("G5", "3b 4b", "tG5")),
    )
    found = harness(text)
    assert {one.id: one.options for one in found.wires} == {"3": ("A1+B2+(C3/D4)+M_1",), "4": ()}
    picked = chosen(found, ("A1", "B2", "D4", "M-1")).harness
    assert picked is not None
    assert list(ends(picked)) == ["3", "4"]


def test_a_module_that_is_a_component_hangs_on_its_own_condition() -> None:
    text = file(
        specification("VariantConfigurationSpecification", "vs", configuration("va", "A1/B2")),
        specification("PartStructureSpecification", "M1", "<InBillOfMaterial>W3</InBillOfMaterial>"),
        composition(
            wire("3"), wire("4"), *TWO,
            component("mod", "<ConfigInfo>va</ConfigInfo>", role("PartWithSubComponentsRole", "rm",
                      "<PartStructureSpecification>M1</PartStructureSpecification>")),
        ),
        contacting(point("S1", "3a 4a", "tS1"), point("G5", "3b 4b", "tG5")),
    )  # fmt: skip
    found = harness(text)
    assert {one.id: one.options for one in found.wires} == {"3": ("A1/B2",), "4": ()}
    assert [(one.code, one.conditions) for one in found.options] == [("M1", ("A1/B2",))]
    assert [list(ends(picked)) for codes_ in (("B2",), ("M1",), ("C3",))
            if (picked := chosen(found, codes_).harness)] == [["3", "4"], ["3", "4"], ["4"]]  # fmt: skip


def test_a_part_structure_of_everything_is_no_option() -> None:
    whole = specification("PartStructureSpecification", "HCS", "<InBillOfMaterial>W3 S1 G5</InBillOfMaterial>")
    found = harness(file(composition(wire("3"), *TWO), whole, contacting(*AT_TWO)))
    assert (found.variants, found.options) == (False, ())


def test_a_signal_gives_its_name_and_terminal_designation() -> None:
    signal = (
        '<Signal id="sg"><Identification>7</Identification><SignalName>work lamp</SignalName>'
        "<ClampName>KL15</ClampName><NominalVoltage>24V</NominalVoltage></Signal>"
    )
    text = file(specification("SignalSpecification", "ss", signal), composition(wire("3", "<Signal>sg</Signal>"), *TWO),
                contacting(*AT_TWO))  # fmt: skip
    found = harness(text)
    assert (found.wires[0].signal, found.wires[0].clamp, found.voltage_v) == ("work lamp", "KL15", 24.0)


def test_a_wire_runs_through_segments_which_say_its_length_and_cover() -> None:
    nodes = "".join(f'<TopologyNode id="n{n}"><Identification>N{n}</Identification></TopologyNode>' for n in (1, 2, 3))
    segments = "".join(
        f'<TopologySegment id="sg{n}"><Identification>SEG{n}</Identification><EndNode>n{n + 1}</EndNode>'
        f'<StartNode>n{n}</StartNode><LengthInformation id="li{n}"><Length id="lv{n}"><UnitComponent>mm</UnitComponent>'
        f"<ValueComponent>{n}00</ValueComponent></Length><Classification>DMU</Classification></LengthInformation>"
        "</TopologySegment>"
        for n in (1, 2)
    )
    routing = (
        '<Routing id="ro"><RoutedElement>e3</RoutedElement><Path id="pa"><Segment>sg1 sg2</Segment></Path></Routing>'
    )
    placed = (
        '<Placement xsi:type="vec:OnWayPlacement" id="pl"><Identification>1</Identification><PlacedElement>rP'
        '</PlacedElement><Path id="pp"><Segment>sg2</Segment></Path></Placement>'
        '<Placement xsi:type="vec:OnPointPlacement" id="po"><Identification>2</Identification><PlacedElement>tS1'
        '</PlacedElement><Location xsi:type="vec:NodeLocation" id="lo"><Identification>1</Identification>'
        "<ReferencedNode>n1</ReferencedNode></Location></Placement>"
    )
    text = file(
        specification("TopologySpecification", "to", nodes, segments),
        specification("RoutingSpecification", "rs", routing),
        specification("PlacementSpecification", "ps", placed),
        composition(wire("3"), *TWO, component("corrugated tube 8", role("WireProtectionRole", "rP"))),
        contacting(*AT_TWO),
    )
    found = harness(text)
    assert [(one.id, one.start, one.end, one.length_m, one.protection) for one in found.segments] == [
        ("SEG1", "N1", "N2", 0.1, ""),
        ("SEG2", "N2", "N3", 0.2, "corrugated tube 8"),
    ]
    assert (found.wires[0].segments, found.wires[0].length_m) == (("SEG1", "SEG2"), pytest.approx(0.3))
    assert {one.id: one.place for one in found.holders} == {"S1": "N1", "G5": ""}
