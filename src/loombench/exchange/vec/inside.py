"""Which pins of a component are one node inside: the bars of a box, as its part says.

What a switching state makes and breaks is no bar, nor is what ends at a coil, a switch or a fused output: joining such
pins would short the circuit, so they are left apart and it is said.
"""

from collections.abc import Mapping, Sequence

from loombench.base.problems import Level
from loombench.exchange.harness import Spot
from loombench.exchange.netcount import Nodes
from loombench.exchange.vec.content import Content, Thing, of

_NO_BAR = frozenset({"Coil", "Switch", "PowerDistributionLimited"})
_NODE, _PORT = of("ComponentNode", "ChildNode"), of("ComponentPort")


def connections_at(content: Content) -> dict[str, list[Thing]]:
    """The connections of all circuits of a file, by the ids of the ports they end at."""
    found: dict[str, list[Thing]] = {}
    for circuit in content.all_of(of("ConnectionSpecification")):
        for connection in circuit.all("Connection"):
            for port in dict.fromkeys(_ports(connection)):
                found.setdefault(port, []).append(connection)
    return found


def inner_groups(
    content: Content, specification: Thing | None, spots: dict[str, Spot], at_port: Mapping[str, Sequence[Thing]]
) -> list[list[Spot]]:
    """Groups of two or more spots of one holder; `spots` by the id of the pin, `at_port` from `connections_at`."""
    if specification is None:
        return []
    groups = [*_connected(content, specification, spots), *_by_circuit(content, specification, spots, at_port)]
    if not groups and specification.kind == "PotentialDistributorSpecification" and len(spots) > 1:
        groups = [list(spots.values())]
        content.notes.add("vec-distributor", Level.NOTE, content.span(specification), pins=len(spots))
    return [
        same
        for group in groups
        for holder in dict.fromkeys(spot.holder for spot in group)
        if len(same := [spot for spot in group if spot.holder == holder]) > 1
    ]


def _connected(content: Content, specification: Thing, spots: dict[str, Spot]) -> list[list[Spot]]:
    switched = {ref for state in specification.all("States") for ref in state.refs("SwitchedConnections")}
    groups: list[list[Spot]] = []
    for connection in specification.all("Connections"):
        pins = content.follow_all(connection, "Pins", of("PinComponent"))
        kinds = {pin.say("PinComponentType") for pin in pins} & _NO_BAR
        if connection.id in switched or kinds:
            why = ", ".join(sorted(kinds)) or "SwitchingState"
            name = connection.say("Identification")[:80]
            content.notes.add("vec-no-bar", Level.NOTE, content.span(connection), name=name, why=why)
        else:
            groups.append([spots[pin.id] for pin in pins if pin.id in spots])
    return groups


def _by_circuit(
    content: Content, specification: Thing, spots: dict[str, Spot], at_port: Mapping[str, Sequence[Thing]]
) -> list[list[Spot]]:
    """The same said as a circuit: connections between ports of the component's own node and of nodes within it."""
    node = content.follow(specification, "ComponentNode", _NODE)
    if node is None:
        return []
    inner = {port.id: None for port in ports_of(node, deep=True)}
    switched = {ref for state in specification.all("States") for ref in state.refs("SwitchedLogicalConnections")}
    nodes = Nodes()
    for connection in {id(one): one for port in inner for one in at_port.get(port, ())}.values():
        ends = _ports(connection)
        if connection.id not in switched and inner.keys() >= set(ends):
            for end in ends[1:]:
                nodes.join(ends[0], end)
    groups: dict[object, list[Spot]] = {}
    for housing in specification.all("HousingComponent"):
        for pin in housing.all("PinComponent"):
            port = content.follow(pin, "ComponentPort", _PORT)
            if port is not None and pin.id in spots:
                groups.setdefault(nodes.find(port.id), []).append(spots[pin.id])
    return [group for group in groups.values() if len(group) > 1]


def ports_of(node: Thing, deep: bool = False) -> list[Thing]:
    """The ports of a node, with those of the nodes inside it if `deep`."""
    found = [port for connector in node.all("ComponentConnector") for port in connector.all("ComponentPort")]
    if deep:
        found += [port for child in node.all("ChildNode") for port in ports_of(child, deep=True)]
    return found


def _ports(connection: Thing) -> list[str]:
    return [ref for end in connection.all("ConnectionEnd") for ref in end.refs("ConnectedComponentPort")]
