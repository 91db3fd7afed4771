"""The graph of pins: what hangs together in it is what hangs together in the vehicle, and both files hold all of it."""

import re
from xml.etree import ElementTree

import pytest

from loombench.exchange.dot import write_dot
from loombench.exchange.graph import Edge, Graph, Node, graph_of
from loombench.exchange.graphml import NAMESPACE, write_graphml
from loombench.facts.conductor import resistance_ohm_per_m
from loombench.vehicle.nets import nets
from loombench.vehicle.points import Point, read_point
from tests.exchange.out.vehicles import FILES, example, small

CLOSED = ("wire", "joint", "mated")
AWKWARD = Graph(
    'a "b" \\ c', (Node("x\n", (("part", 'p"q\\'),)), Node("y", (("part", "&<"),))), (Edge("e", "x\n", "y", "joint"),)
)


def pieces(nodes: list[str], pairs: list[tuple[str, str]]) -> dict[str, int]:
    """The piece that each node is in, by walking the pairs."""
    beside: dict[str, list[str]] = {node: [] for node in nodes}
    for a, b in pairs:
        beside[a].append(b)
        beside[b].append(a)
    found: dict[str, int] = {}
    for number, start in enumerate(nodes):
        waiting = [] if start in found else [start]
        while waiting:
            node = waiting.pop()
            if node not in found:
                found[node] = number
                waiting.extend(beside[node])
    return found


@pytest.mark.parametrize("name", FILES)
def test_what_wires_joints_and_mated_pairs_join_is_one_net_of_the_vehicle(name: str) -> None:
    vehicle = example(name)
    graph = graph_of(vehicle)
    assert len({edge.id for edge in graph.edges}) == len(graph.edges)
    closed = [
        (edge.a, edge.b) for edge in graph.edges if edge.kind in CLOSED and ("one_way", "yes") not in edge.attributes
    ]
    piece = pieces([node.id for node in graph.nodes], closed)
    net = nets(vehicle).net
    pairs = set()
    for node in graph.nodes:
        point = read_point(node.id)
        assert point is not None
        place = Point(point.part, point.pin, ring=point.ring)
        if place in net:
            pairs.add((piece[node.id], net[place]))
    assert len(pairs) == len({one for one, _ in pairs}) == len({other for _, other in pairs})
    assert sum(1 for edge in graph.edges if edge.kind == "wire") == len(vehicle.wires)


def test_a_wire_says_its_colour_size_length_and_resistance() -> None:
    edge = next(edge for edge in graph_of(small()).edges if edge.id == "K4.87~X12.1")
    said = dict(edge.attributes)
    assert (edge.a, edge.b, edge.kind) == ("K4.87", "X12.1@chassis", "wire")
    assert (said["number"], said["colour_base"], said["colour_stripe"]) == ("214", "red", "white")
    assert (said["size_mm2"], said["length_mm"], said["harness"]) == (2.5, 2400.0, "chassis")
    assert said["resistance_ohm"] == pytest.approx(2.4 * resistance_ohm_per_m(2.5), rel=1e-12)
    unknown = dict(next(edge for edge in graph_of(small()).edges if edge.id == "K4.85~S4.1").attributes)
    assert not {"size_mm2", "length_mm", "resistance_ohm"} & set(unknown)


@pytest.mark.parametrize("graph", [graph_of(small()), AWKWARD], ids=["vehicle", "awkward"])
def test_graphml_holds_every_node_and_edge_with_declared_attributes(graph: Graph) -> None:
    root = ElementTree.fromstring(write_graphml(graph))
    space = f"{{{NAMESPACE}}}"
    keys = {key.attrib["id"]: key.attrib for key in root.iter(f"{space}key")}
    names = {}
    for node in root.iter(f"{space}node"):
        data = {keys[one.attrib["key"]]["attr.name"]: one.text for one in node.iter(f"{space}data")}
        names[node.attrib["id"]] = data["name"]
    assert list(names.values()) == [node.id.replace("\n", " ") for node in graph.nodes]
    edges = list(root.iter(f"{space}edge"))
    assert len(edges) == len(graph.edges)
    for found, edge in zip(edges, graph.edges, strict=True):
        assert names[found.attrib["source"]] == edge.a.replace("\n", " ")
        data = {keys[one.attrib["key"]]["attr.name"]: one for one in found.iter(f"{space}data")}
        for name, value in edge.attributes:
            kind = keys[data[name].attrib["key"]]["attr.type"]
            text = data[name].text or ""
            assert (float(text) if kind == "double" else text) == value


@pytest.mark.parametrize("graph", [graph_of(small()), AWKWARD], ids=["vehicle", "awkward"])
def test_dot_quotes_every_id_and_holds_every_edge_once(graph: Graph) -> None:
    text = write_dot(graph)
    quoted = re.compile(r'"((?:[^"\\]|\\.)*)"')
    bare = quoted.sub("Q", text)
    assert '"' not in bare
    assert bare.count("{") == bare.count("}")
    assert len(re.findall(r"^  Q -- Q \[", bare, re.M)) == len(graph.edges)
    named = [
        quoted.match(line.strip())
        for line in text.splitlines()
        if line.startswith("    ") and "label=" not in line.split("[")[0]
    ]
    clustered = {re.sub(r"\\(.)", r"\1", found[1]) for found in named if found}
    rails = {name for line in text.splitlines() if "rank=" in line for name in quoted.findall(line)}
    assert clustered | rails == {node.id.replace("\n", " ") for node in graph.nodes}
    assert not clustered & rails
