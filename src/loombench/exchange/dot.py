"""A graph of pins as DOT, to be drawn: a box round each part, wires labelled, supply above and ground below."""

import re
from collections.abc import Iterator, Mapping
from types import MappingProxyType

from loombench.exchange.graph import Graph, Node

_RAILS: Mapping[tuple[str, str], str] = MappingProxyType({("battery", "power"): "source", ("body", "ground"): "sink"})
_WITHIN = frozenset({"joint", "switch", "load", "source", "output", "protection"})


def write_dot(graph: Graph) -> str:
    """The text of the file; every id is quoted."""
    return "\n".join(_lines(graph)) + "\n"


def _lines(graph: Graph) -> Iterator[str]:
    yield f"graph {_quoted(graph.name or 'vehicle')} {{"
    yield "  node [shape=box fontsize=10];"
    yield "  edge [fontsize=9];"
    parts: dict[str, list[Node]] = {}
    rails: dict[str, list[Node]] = {}
    for node in graph.nodes:
        said = dict(node.attributes)
        rail = _RAILS.get((str(said.get("part_kind", "")), str(said.get("class", ""))), "")
        (rails.setdefault(rail, []) if rail else parts.setdefault(str(said["part"]), [])).append(node)
    for rank, nodes in rails.items():
        named = " ".join(f"{_quoted(node.id)};" for node in nodes)
        yield f"  {{ rank={rank}; {named} }}"
    for number, (part, nodes) in enumerate(parts.items()):
        label = dict(nodes[0].attributes).get("label", "")
        yield f"  subgraph cluster_{number} {{"
        yield f"    label={_quoted(f'{part} {label}'.strip())};"
        yield from (f"    {_quoted(node.id)} [label={_quoted(_short(node))}];" for node in nodes)
        yield "  }"
    for edge in graph.edges:
        said = dict(edge.attributes)
        if edge.kind == "wire":
            size = f"{said['size_mm2']:g} mm2" if "size_mm2" in said else ""
            colour = "/".join(str(said[key]) for key in ("colour_base", "colour_stripe") if key in said)
            words = " ".join(word for word in (str(said.get("number", "")), size, colour) if word)
            style = f"label={_quoted(words)}"
        else:
            style = f"style={'dashed' if edge.kind in _WITHIN else 'dotted'} tooltip={_quoted(edge.kind)}"
        yield f"  {_quoted(edge.a)} -- {_quoted(edge.b)} [{style}];"
    yield "}"


def _short(node: Node) -> str:
    said = dict(node.attributes)
    return " ".join(str(said[key]) for key in ("cavity", "half") if key in said) or str(said.get("part", node.id))


def _quoted(text: str) -> str:
    """A quoted id: quotes and backslashes escaped, control characters as blanks."""
    plain = "".join(mark if mark.isprintable() else " " for mark in text)
    return '"' + re.sub(r'(["\\])', r"\\\1", plain) + '"'
