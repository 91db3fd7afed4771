"""A graph of pins as GraphML 1.0, undirected; attributes are declared with their types."""

from loombench.exchange.graph import Graph, Value
from loombench.exchange.xmlout import Tag, document, tag

NAMESPACE = "http://graphml.graphdrawing.org/xmlns"
NAME, KIND, ID = "name", "kind", "id"


def write_graphml(graph: Graph) -> str:
    """The text of the file. Nodes are `n0`, `n1` ... with the point's name as `name`; edges `e0` ... with `id`."""
    keys: dict[tuple[str, str], tuple[str, str]] = {}

    def data(of: str, name: str, value: Value) -> Tag:
        kind = "string" if isinstance(value, str) else "double"
        own, _ = keys.setdefault((of, name), (f"{of[0]}_{name}", kind))
        return tag("data", value if isinstance(value, str) else repr(float(value)), key=own)

    numbers = {node.id: f"n{number}" for number, node in enumerate(graph.nodes)}
    inside = [
        tag("node", data("node", NAME, node.id), *(data("node", name, value) for name, value in node.attributes),
            id=numbers[node.id])
        for node in graph.nodes
    ]  # fmt: skip
    inside += [
        tag("edge", data("edge", ID, edge.id), data("edge", KIND, edge.kind),
            *(data("edge", name, value) for name, value in edge.attributes),
            id=f"e{number}", source=numbers[edge.a], target=numbers[edge.b])
        for number, edge in enumerate(graph.edges)
    ]  # fmt: skip
    declared = [
        tag("key", **{"id": own, "for": of, "attr.name": name, "attr.type": kind})
        for (of, name), (own, kind) in keys.items()
    ]
    made = tag("graph", tag("desc", graph.name), *inside, id="G", edgedefault="undirected")
    return document(tag("graphml", *declared, made, xmlns=NAMESPACE))
