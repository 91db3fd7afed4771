"""Where the wires of a KBL file run: nodes as places, segments, and the path of each connection."""

from dataclasses import dataclass, field

from loombench.exchange.harness import Segment
from loombench.exchange.kbl.holdersin import Draft, Places
from loombench.exchange.kbl.measures import length_m
from loombench.exchange.kbl.naming import Names
from loombench.exchange.kbl.raw import Raw, SegmentUse


@dataclass
class Topology:
    """Segments in order, and the segments each connection (or wire) runs through, by the ids of the file."""

    raw: Raw
    segments: tuple[Segment, ...] = ()
    by_key: dict[str, Segment] = field(default_factory=dict)
    routes: dict[str, tuple[str, ...]] = field(default_factory=dict)

    def path(self, *keys: str) -> tuple[str, ...]:
        """The names of the segments that the first of these with a routing runs through."""
        for key in keys:
            if key in self.routes:
                return tuple(self.by_key[one].id for one in self.routes[key])
        return ()

    def length_m(self, key: str) -> float | None:
        """The sum of the segments of a connection, None unless all of them are known."""
        lengths = [self.by_key[one].length_m for one in self.routes.get(key, ())]
        known = [length for length in lengths if length is not None]
        return round(sum(known), 9) if known and len(known) == len(lengths) else None


def read_topology(raw: Raw, places: Places) -> Topology:
    """The topology of a file; holders get the name of the node they are at as their place."""
    topology, names = Topology(raw), dict[str, str]()
    called = {draft.use.name: draft for draft in reversed(places.drafts.values()) if draft.use.name}
    for key, (name, refs) in raw.nodes.items():
        names[key] = name or key
        for ref in refs:
            _place(raw, places, called, ref, names[key])
    free = Names()
    for key, use in raw.segments.items():
        name = free.free(use.name or raw.own(key, use.line))
        topology.by_key[key] = _segment(raw, use, name, names)
    topology.segments = tuple(topology.by_key.values())
    for wire, segments, line in raw.routes:
        known = tuple(one for one in segments if one in topology.by_key)
        if len(known) < len(segments):
            for one in segments:
                if one not in topology.by_key:
                    raw.missing(line, wire, "Segments", one)
        if wire not in raw.connections and wire not in raw.wires:
            raw.missing(line, "Routing", "Routed_wire", wire)
        if known:
            topology.routes[wire] = (*topology.routes.get(wire, ()), *known)
    return topology


def _segment(raw: Raw, use: SegmentUse, name: str, names: dict[str, str]) -> Segment:
    ends = []
    for field_, ref in (("Start_node", use.start), ("End_node", use.end)):
        if ref not in names:
            raw.missing(use.line, name, field_, ref)
        ends.append(names.get(ref, ref))
    found = (length_m(raw, value) for value in use.lengths)
    length = next((one for one in found if one is not None), None)
    said = (raw.coverings.get(raw.covering_uses.get(ref, ""), "") for ref in use.protections)
    return Segment(
        name, ends[0], ends[1], length, ", ".join(dict.fromkeys(one for one in said if one)), raw.span(use.line)
    )


def _place(raw: Raw, places: Places, called: dict[str, Draft], ref: str, name: str) -> None:
    """Put what a node refers to there; a node also names terminals, fixings and more, which are no holders."""
    draft = places.drafts.get(ref) or (places.cavities.get(ref) or places.slots.get(ref) or (None,))[0]
    if draft is None and ref in raw.part_uses and raw.part_uses[ref].special:
        draft = called.get(raw.part_uses[ref].name)
    if draft is not None and not draft.place:
        draft.place = name
