"""Which nodes elements join in a state, by topology alone."""

from collections.abc import Mapping

from loombench.circuit.netlist import Netlist


def islands(netlist: Netlist, state: Mapping[str, str]) -> tuple[tuple[int, ...], ...]:
    """The nodes that elements join in a state, each group and the groups by rising number."""
    root = list(range(netlist.nodes))

    def top(node: int) -> int:
        while root[node] != node:
            root[node] = root[root[node]]
            node = root[node]
        return node

    for element in netlist.elements:
        if all(state[gate.variable] in gate.closed_in for gate in element.gates):
            one, other = sorted((top(element.a), top(element.b)))
            root[other] = one
    groups: dict[int, list[int]] = {}
    for node in range(netlist.nodes):
        groups.setdefault(top(node), []).append(node)
    return tuple(tuple(group) for group in groups.values())


def floating(netlist: Netlist, state: Mapping[str, str]) -> frozenset[int]:
    """The nodes that nothing joins to the reference in a state of all variables."""
    apart = (island for island in islands(netlist, state) if netlist.reference not in island)
    return frozenset(node for island in apart for node in island)
