"""VEC files that hold a circuit and no harness, and circuits that say what is inside a component."""

import pytest

from loombench.exchange.harness import Mating, Spot
from loombench.exchange.netcount import count
from tests.exchange.vec.files import (
    codes,
    composition,
    contacting,
    device,
    device_use,
    ends,
    file,
    harness,
    point,
    specification,
    terminal,
    wire,
)


def node(name: str, kind: str, ports: str, *inside: str, tag: str = "ComponentNode") -> str:
    """A node: `ports` are connectors with their ports, `A: 1 2; B: 1`; the id of a port is `<name>.A.1`."""
    connectors = ""
    for text in ports.split(";"):
        plug, _, numbers = text.partition(":")
        plug = plug.strip()
        each = "".join(
            f'<ComponentPort id="{name}.{plug}.{one}"><Identification>{one}</Identification></ComponentPort>'
            for one in numbers.split()
        )
        connectors += (
            f'<ComponentConnector id="{name}.{plug}"><Identification>{plug}</Identification>{each}</ComponentConnector>'
        )
    said = f"<Identification>{name}</Identification><ComponentNodeType>{kind}</ComponentNodeType>"
    return f'<{tag} id="n{name}">{said}{"".join(inside)}{connectors}</{tag}>'


def connection(name: str, *ports: str, external: str = "true", more: str = "") -> str:
    tips = "".join(
        f'<ConnectionEnd id="x{name}{number}"><Identification>{number}</Identification><IsExternalEnd>{external}'
        f"</IsExternalEnd><ConnectedComponentPort>{port}</ConnectedComponentPort></ConnectionEnd>"
        for number, port in enumerate(ports)
    )
    return f'<Connection id="c{name}"><Identification>{name}</Identification>{more}{tips}</Connection>'


def circuit(*content: str) -> str:
    return specification("ConnectionSpecification", "cs", *content)


WORK_LAMP = circuit(
    node("G1", "EnergyStorage", "A: plus minus"),
    node("F1", "Fuse", "A: 1 2"),
    node("S4", "Switch", "A: 1 2"),
    node("P1", "PotentialDistributor", "A: 1 2 3"),
    node("E7", "Lamp", "A: 1 2"),
    node("E8", "Lamp", "X1: 1; X2: 1"),
    node("W1", "Ground", "A: 1"),
    node("X9", "CouplingDevice", "A: 1 2"),
    connection("30", "G1.A.plus", "F1.A.1"),
    connection("30-F1", "F1.A.2", "S4.A.1", more="<Signal>sg</Signal>"),
    connection("58", "S4.A.2", "P1.A.1"),
    connection("58a", "P1.A.2", "E7.A.1"),
    connection("58b", "P1.A.3", "E8.X1.1"),
    connection("31", "E7.A.2", "E8.X2.1", "W1.A.1", "X9.A.1"),
)
SIGNALS = specification(
    "SignalSpecification", "ss",
    '<Signal id="sg"><Identification>30-F1</Identification><ClampName>30</ClampName>'
    "<NominalVoltage>12V</NominalVoltage></Signal>",
)  # fmt: skip


def test_a_circuit_alone_is_a_netlist() -> None:
    found = harness(file(WORK_LAMP, SIGNALS))
    assert {one.id: one.kind for one in found.holders} == {
        "G1": "device", "F1": "box", "S4": "device", "P1": "splice", "E7": "device", "E8-X1": "device",
        "E8-X2": "device", "W1": "ring", "X9": "connector",
    }  # fmt: skip
    assert ends(found) == {
        "30": "G1.plus F1.1", "30-F1": "F1.2 S4.1", "58": "S4.2 P1.1", "58a": "P1.2 E7.1", "58b": "P1.3 E8-X1.1",
        "31": "E7.2 E8-X2.1 W1.1 X9.1",
    }  # fmt: skip
    assert [(one.id, one.kind, one.slot, one.spots) for one in found.fitted] == [
        ("F1", "fuse", "F1", (Spot("F1", "1"), Spot("F1", "2"))),
    ]  # fmt: skip
    assert {one.id: one.stud for one in found.holders if one.stud} == {"W1": "W1"}
    assert (found.wires[1].signal, found.wires[1].clamp, found.voltage_v) == ("", "30", 12.0)
    assert all(one.length_m is None and one.area_mm2 is None for one in found.wires)
    assert codes(file(WORK_LAMP, SIGNALS)) == ["vec-circuit"]
    assert (count(found).nets, count(found).largest_net) == (4, 4)


def test_a_circuit_beside_a_harness_gives_names_only() -> None:
    text = file(
        WORK_LAMP,
        composition(wire("3", "<Connection>c58</Connection>"), terminal("S1", "SpliceTerminalRole"),
                    terminal("G5", "RingTerminalRole")),
        contacting(point("S1", "3a", "tS1"), point("G5", "3b", "tG5")),
    )  # fmt: skip
    found = harness(text)
    assert ends(found) == {"3": "S1.1 G5.1"}
    assert [one.id for one in found.holders] == ["S1", "G5"]
    assert found.wires[0].signal == "58"


def test_what_is_inside_a_node_are_bars_and_links() -> None:
    inner = node("K1", "Relay", "A: 30 87", tag="ChildNode")
    text = file(
        circuit(
            node("FB", "PowerDistribution", "A: 1 2 3", inner),
            node("W1", "Ground", "A: 1"),
            connection("bar", "FB.A.1", "FB.A.2", external="false"),
            connection("link", "FB.A.3", "K1.A.30", external="false"),
            connection("31", "FB.A.1", "W1.A.1"),
        )
    )
    found = harness(text)
    assert found.holders[0].joined == (("1", "2"),)
    assert found.matings == (Mating("FB", "K1", (("3", "30"),)),)
    assert ends(found) == {"31": "FB.1 W1.1"}
    assert [(one.id, one.kind, one.pins) for one in found.fitted] == [("K1", "relay", ("30", "87"))]


def test_an_inner_connection_of_two_components_is_a_wire_all_the_same() -> None:
    text = file(circuit(node("E7", "Lamp", "A: 1 2"), node("W1", "Ground", "A: 1"),
                        connection("31", "E7.A.2", "W1.A.1", external="false")))  # fmt: skip
    assert ends(harness(text)) == {"31": "E7.2 W1.1"}
    assert codes(text) == ["vec-circuit", "vec-inside"]


@pytest.mark.parametrize("switched", [False, True])
def test_the_bars_of_a_box_said_as_a_circuit(switched: bool) -> None:
    """The box's own node: 1 and 3 meet at a node inside it; what a switching state makes joins nothing."""
    ports = "".join(
        f'<PinComponent id="b{n}"><Identification>{n}</Identification>'
        f"<ComponentPort>FB.A.{n}</ComponentPort></PinComponent>"
        for n in (1, 2, 3)
    )
    state = (
        '<States id="st"><Identification>on</Identification><SwitchedLogicalConnections>ca</SwitchedLogicalConnections>'
        "</States>"
    )
    housing = f'<HousingComponent id="bA"><Identification>A</Identification>{ports}</HousingComponent>'
    part = specification("EEComponentSpecification", "b", "<ComponentNode>nFB</ComponentNode>", housing,
                         state if switched else "")  # fmt: skip
    text = file(
        part,
        circuit(
            node("FB", "PowerDistribution", "A: 1 2 3", node("P", "PotentialDistributor", "A: x", tag="ChildNode")),
            connection("a", "FB.A.1", "P.A.x", external="false"), connection("b", "P.A.x", "FB.A.3", external="false"),
        ),
        composition(device_use("FB", "b", ""), wire("3"), terminal("G5", "RingTerminalRole")),
        contacting(point("G5", "3a", "tG5")),
    )  # fmt: skip
    assert harness(text).holders[0].joined == (() if switched else (("1", "3"),))


def test_a_potential_distributor_without_bars_is_one_node_and_it_is_said() -> None:
    text = file(
        device("pd", "A: 1 2 3", kind="PotentialDistributorSpecification"), composition(device_use("P1", "pd", ""))
    )
    found = harness(text)
    assert (found.holders[0].kind, found.holders[0].joined) == ("box", (("1", "2", "3"),))
    assert codes(text) == ["vec-distributor"]
