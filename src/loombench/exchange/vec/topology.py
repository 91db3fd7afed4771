"""The stretches of a harness, what runs through them, and what is put around them."""

from collections.abc import Mapping

from loombench.exchange.harness import Segment
from loombench.exchange.vec.conditions import Conditions
from loombench.exchange.vec.content import Content, Thing, of, owner
from loombench.exchange.vec.places import unused
from loombench.exchange.vec.values import length_m, worded
from loombench.exchange.vec.wires import Run

# What was measured or made counts before what was drawn (the words are the standard's, from memory).
_LENGTHS = ("production", "contract", "drawing", "dmu")
_NODE = of("TopologyNode")


def read_segments(content: Content) -> dict[str, Segment]:
    """The segments by their id in the file, in order."""
    protections = _protections(content)
    found: dict[str, Segment] = {}
    taken: dict[str, int] = {}
    for specification in content.all_of(of("TopologySpecification")):
        for segment in specification.all("TopologySegment"):
            ends = [content.follow(segment, tag, _NODE) for tag in ("StartNode", "EndNode")]
            names = [content.name(node, "Identification") if node is not None else "" for node in ends]
            name = unused(content.name(segment, "Identification") or segment.id[:80], taken)
            found[segment.id] = Segment(
                name, names[0], names[1], _length_m(content, segment), protections.get(segment.id, ""),
                content.span(segment),
            )  # fmt: skip
    return found


def _length_m(content: Content, segment: Thing) -> float | None:
    said: dict[str, Thing] = {}
    for length in segment.all("LengthInformation"):
        said.setdefault(length.say("Classification").strip().lower(), length)
    for kind in (*_LENGTHS, *(kind for kind in said if kind not in _LENGTHS)):
        value = length_m(content, said[kind].first("Length")) if kind in said else None
        if value is not None and value >= 0:
            return value
    return None


def _protections(content: Content) -> dict[str, str]:
    """What is put along each segment, in words, by the segment's id."""
    found: dict[str, dict[str, None]] = {}
    for placement in _placements(content, "OnWayPlacement"):
        words: list[str] = []
        for role in content.follow_all(placement, "PlacedElement", lambda _kind: True):
            occurrence = owner(role, "Component") or owner(role, "PartUsage")
            if role.kind == "WireProtectionRole" and occurrence is not None:
                words.append(worded(content, occurrence, "Description", "Abbreviation", "Identification"))
        for path in placement.all("Path"):
            for ref in path.refs("Segment"):
                found.setdefault(ref, {}).update(dict.fromkeys(word for word in words if word))
    return {ref: ", ".join(words) for ref, words in found.items()}


def _placements(content: Content, kind: str) -> list[Thing]:
    return [
        one
        for specification in content.all_of(of("PlacementSpecification"))
        for one in specification.all("Placement")
        if one.kind == kind
    ]


def node_places(content: Content) -> dict[str, str]:
    """The topology node at which occurrences are placed: its name by the occurrence's id."""
    found: dict[str, str] = {}
    for placement in _placements(content, "OnPointPlacement"):
        for location in placement.all("Location"):
            node = content.follow(location, "ReferencedNode", _NODE)
            if node is None:
                continue
            for role in content.follow_all(placement, "PlacedElement", lambda _kind: True):
                occurrence = owner(role, "Component") or owner(role, "PartUsage")
                if occurrence is not None:
                    found.setdefault(occurrence.id, content.name(node, "Identification"))
    return found


def read_runs(content: Content, conditions: Conditions, segments: Mapping[str, Segment]) -> dict[str, Run]:
    """What runs where: by the id of the routed wire element or connection. Of variants the first without condition."""
    found: dict[str, Run] = {}
    sure = set[str]()
    for specification in content.all_of(of("RoutingSpecification")):
        for routing in specification.all("Routing"):
            refs = [ref for path in routing.all("Path") for ref in path.refs("Segment")]
            for path in routing.all("Path"):
                content.follow_all(path, "Segment", of("TopologySegment"))
            through = [segments[ref] for ref in refs if ref in segments]
            lengths = [one.length_m for one in through]
            total = sum(one for one in lengths if one is not None)
            whole = bool(refs) and len(through) == len(refs) and None not in lengths
            run = Run(tuple(one.id for one in through), total if whole else None)
            for routed in content.follow_all(routing, "RoutedElement", of("WireElementReference", "Connection")):
                fixed = not conditions.of(routing)
                if routed.id not in found or (fixed and routed.id not in sure):
                    found[routed.id] = run
                if fixed:
                    sure.add(routed.id)
    return found
