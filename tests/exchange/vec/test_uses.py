"""Other ways a VEC file says the same: usages instead of parts, housings of boxes, inserts, twisted groups, choices."""

from tests.exchange.vec.files import (
    codes,
    component,
    composition,
    contacting,
    element,
    ends,
    file,
    harness,
    housing,
    point,
    role,
    specification,
    terminal,
    wire,
)

TWO = (terminal("S1", "SpliceTerminalRole"), terminal("G5", "RingTerminalRole"))
AT_TWO = (point("S1", "3a", "tS1"), point("G5", "3b", "tG5"))


def test_usages_without_parts_are_read_like_components() -> None:
    parts = (wire("3"), *TWO)
    usages = "".join(one.replace("<Component", "<PartUsage").replace("</Component", "</PartUsage") for one in parts)
    text = file(specification("PartUsageSpecification", "us", usages), contacting(*AT_TWO))
    assert ends(harness(text)) == {"3": "S1.1 G5.1"}
    assert [one.kind for one in harness(text).holders] == ["splice", "ring"]


def test_a_usage_that_a_component_realizes_is_counted_once() -> None:
    usage = wire("9").replace("<Component", "<PartUsage").replace("</Component", "</PartUsage")
    text = file(
        specification("PartUsageSpecification", "us", usage),
        composition(wire("3", outside="<RealizedPartUsage>W9</RealizedPartUsage>"), *TWO),
        contacting(*AT_TWO),
    )
    assert list(ends(harness(text))) == ["3"]


def test_a_second_choice_is_left_out_and_said() -> None:
    second = wire("9", outside="<IsSecondaryAlternative>true</IsSecondaryAlternative>")
    text = file(composition(wire("3"), second, *TWO), contacting(*AT_TWO))
    assert list(ends(harness(text))) == ["3"]
    assert codes(text) == ["vec-alternative"]


def test_wires_in_the_housing_of_a_box_are_at_its_pins() -> None:
    """The pins name the cavities they sit in, or are known by the same number."""
    for linked in (True, False):
        pins = "".join(
            f'<PinComponent id="b{n}"><Identification>{n}</Identification>'
            + (f"<ReferencedCavity>hc{n}</ReferencedCavity>" if linked else "")
            + "</PinComponent>"
            for n in (1, 2)
        )
        other = '<HousingComponent id="bF"><Identification>F1</Identification></HousingComponent>'
        slot = (
            '<SlotReference xsi:type="vec:SlotReference" id="rs"><ReferencedSlot>hs</ReferencedSlot>'
            '<CavityReference id="r1"><ReferencedCavity>hc1</ReferencedCavity></CavityReference>'
            '<CavityReference id="r2"><ReferencedCavity>hc2</ReferencedCavity></CavityReference></SlotReference>'
        )
        references = "".join(
            f'<PinComponentRef id="q{n}"><PinComponent>b{n}</PinComponent></PinComponentRef>' for n in (1, 2)
        )
        use = (
            "<EEComponentSpecification>b</EEComponentSpecification>"
            '<HousingComponentRef id="hr"><HousingComponent>bA</HousingComponent>'
            f'<ConnectorHousingRole id="cr"><ConnectorHousingSpecification>h</ConnectorHousingSpecification>{slot}'
            f"</ConnectorHousingRole>{references}</HousingComponentRef>"
        )
        text = file(
            housing(),
            specification(
                "EEComponentSpecification",
                "b",
                f'<Connections id="x"><Pins>b1 b2</Pins></Connections><HousingComponent id="bA"><Identification>A'
                f"</Identification>{pins}</HousingComponent>{other}",
            ),
            composition(component("FB", role("EEComponentRole", "fr", use)), wire("3"), TWO[1]),
            contacting(point("in", "3a", "", "r2"), AT_TWO[1]),
        )
        found = harness(text)
        assert ends(found) == {"3": "FB.2 G5.1"}
        assert found.holders[0].joined == (("1", "2"),)
        assert found.holders[0].cavities == ("1", "2")


def test_a_terminal_built_into_a_cavity_is_at_that_cavity() -> None:
    slot = (
        '<SlotReference xsi:type="vec:SlotReference" id="rs"><ReferencedSlot>hs</ReferencedSlot>'
        '<CavityReference id="r2"><ReferencedCavity>hc2</ReferencedCavity>'
        '<IntegratedTerminalRole xsi:type="vec:PluggableTerminalRole" id="it"/>'
        "</CavityReference></SlotReference>"
    )
    named = "<ConnectorHousingSpecification>h</ConnectorHousingSpecification>"
    text = file(
        housing(),
        composition(component("X1", role("ConnectorHousingRole", "xr", named, slot)), wire("3"), TWO[1]),
        contacting(point("in", "3a", "it"), AT_TWO[1]),
    )
    assert ends(harness(text)) == {"3": "X1.2 G5.1"}


def test_two_slots_with_the_same_numbers_are_told_apart() -> None:
    slots = "".join(
        f'<Slot xsi:type="vec:Slot" id="s{name}"><SlotNumber>{name}</SlotNumber><Cavity id="c{name}"><CavityNumber>1'
        "</CavityNumber></Cavity></Slot>"
        for name in "AB"
    )
    references = "".join(
        f'<SlotReference xsi:type="vec:SlotReference" id="rs{name}"><ReferencedSlot>s{name}</ReferencedSlot>'
        f'<CavityReference id="r{name}"><ReferencedCavity>c{name}</ReferencedCavity></CavityReference></SlotReference>'
        for name in "AB"
    )
    named = "<ConnectorHousingSpecification>h</ConnectorHousingSpecification>"
    text = file(
        specification("ConnectorHousingSpecification", "h", slots),
        composition(component("X1", role("ConnectorHousingRole", "xr", named, references)), wire("3")),
        contacting(point("a", "3a", "", "rA"), point("b", "3b", "", "rB")),
    )
    found = harness(text)
    assert found.holders[0].cavities == ("A.1", "B.1")
    assert ends(found) == {"3": "X1.A.1 X1.B.1"}


def test_a_twisted_pair_is_a_group_as_bought_or_as_laid() -> None:
    group = specification("WireGroupSpecification", "wg", "<GroupType>Twisted</GroupType>")
    grouping = (
        '<WireGrouping id="gr"><Identification>CAN</Identification><RelatedWireElementReference>e3 e4'
        "</RelatedWireElementReference><WireGroupSpecification>wg</WireGroupSpecification></WireGrouping>"
    )
    laid = file(
        group,
        specification("WireGroupingSpecification", "gs", grouping),
        composition(wire("3"), wire("4"), wire("5"), *TWO),
        contacting(point("S1", "3a 4a 5a", "tS1"), point("G5", "3b 4b 5b", "tG5")),
    )
    assert {one.id: one.twist for one in harness(laid).wires} == {"3": "CAN", "4": "CAN", "5": ""}
    subs = "".join(
        f'<SubWireElement id="sub{n}"><Identification>{n}</Identification><WireElementSpecification>es1'
        "</WireElementSpecification></SubWireElement>"
        for n in (1, 2)
    )
    uses = "".join(
        element(number, f"<ReferencedWireElement>sub{n}</ReferencedWireElement>") for n, number in ((1, "3"), (2, "4"))
    )
    bought = file(
        group,
        specification("CoreSpecification", "co"),
        specification("WireElementSpecification", "es0", "<WireGroupSpecification>wg</WireGroupSpecification>"),
        specification("WireElementSpecification", "es1", "<ConductorSpecification>co</ConductorSpecification>"),
        specification(
            "WireSpecification",
            "ws",
            f'<WireElement id="root"><Identification>pair</Identification><WireElementSpecification>es0'
            f"</WireElementSpecification>{subs}</WireElement>",
        ),
        composition(component("W7", role("WireRole", "r7", uses)), *TWO),
        contacting(point("S1", "3a 4a", "tS1"), point("G5", "3b 4b", "tG5")),
    )
    assert {(one.cable, one.twist) for one in harness(bought).wires} == {("W7", "W7.pair")}


def test_a_contact_in_one_of_two_housings_by_variant_makes_a_wire_for_each() -> None:
    def half(name: str, option: str) -> str:
        slot = (
            f'<SlotReference xsi:type="vec:SlotReference" id="rs{name}"><ReferencedSlot>hs</ReferencedSlot>'
            f'<CavityReference id="{name}.1"><ReferencedCavity>hc1</ReferencedCavity></CavityReference></SlotReference>'
        )
        named = "<ConnectorHousingSpecification>h</ConnectorHousingSpecification>"
        return component(
            name, f"<ConfigInfo>{option}</ConfigInfo>", role("ConnectorHousingRole", f"r{name}", named, slot)
        )

    configurations = "".join(
        f'<VariantConfiguration id="v{code}"><LogisticControlString>{code}</LogisticControlString>'
        "</VariantConfiguration>"
        for code in ("A1", "B2")
    )
    text = file(
        housing(),
        specification("VariantConfigurationSpecification", "vs", configurations),
        composition(half("X1", "vA1"), half("X2", "vB2"), terminal("T1"), wire("3"), TWO[1]),
        contacting(point("in", "3a", "tT1", "X1.1 | X2.1"), AT_TWO[1]),
    )
    found = harness(text)
    assert ends(found) == {"3": "X1.1 G5.1", "3~2": "X2.1 G5.1"}
    assert [one.options for one in found.wires] == [("A1",), ("B2",)]
    assert [(one.holder, one.options) for one in found.contacts[:2]] == [("X1", ("A1",)), ("X2", ("B2",))]
