"""A VEC file that holds a circuit and no harness: components with ports, and connections between them.

Every node is a holder, every connection a wire without size, colour or length; one with more than two ends is a net,
and the wire has taps. Connections within a node are its bars.
"""

from collections.abc import Iterable, Iterator
from dataclasses import replace

from loombench.base.problems import Level
from loombench.exchange.harness import (
    BOX,
    CONNECTOR,
    DEVICE,
    OPEN_END,
    RING,
    SPLICE,
    End,
    Fitted,
    Mating,
    Slot,
    Spot,
    Wire,
)
from loombench.exchange.vec.conditions import written
from loombench.exchange.vec.content import Content, Thing, of
from loombench.exchange.vec.inside import ports_of
from loombench.exchange.vec.places import ONLY, Places, unused
from loombench.exchange.vec.wires import signal_words

_KINDS = (
    ("Ground", RING), ("PotentialDistributor", SPLICE), ("CouplingDevice", CONNECTOR), ("OpenEnd", OPEN_END),
    ("OpenLink", OPEN_END), ("PowerDistribution", BOX), ("Fuse", BOX), ("Relay", BOX),
)  # fmt: skip
_FITTED = (("Fuse", "fuse"), ("Relay", "relay"))
_PORT = of("ComponentPort")


def read_circuit(places: Places) -> tuple[list[Wire], list[Fitted], list[Mating]]:
    """The wires, fuses and relays, and links within a node's own nodes; holders go into `places`."""
    content = places.content
    ports: dict[str, Spot] = {}
    fitted: list[Fitted] = []
    wires: list[Wire] = []
    links: list[Mating] = []
    taken: dict[str, int] = {}
    nodes: dict[str, Thing] = {}  # the outermost node of each holder
    # What is inside a component as bought is no node of the circuit.
    bought = {ref for specification in content.specifications if "HousingComponent" in {one.tag for one in
              specification.children} for ref in specification.refs("ComponentNode")}  # fmt: skip
    for specification in content.all_of(of("ConnectionSpecification")):
        for top in specification.all("ComponentNode"):
            for node in _nodes([top] if top.id not in bought else ()):
                fitted.extend(_hold(places, node, ports))
                nodes.update((ports[port.id].holder, top) for port in ports_of(node))
    for specification in content.all_of(of("ConnectionSpecification")):
        for connection in specification.all("Connection"):
            ends = connection.all("ConnectionEnd")
            found = [one for end in ends for one in content.follow_all(end, "ConnectedComponentPort", _PORT)]
            spots = [ports[one.id] for one in found if one.id in ports]
            within = _within(ends) and len(spots) > 1
            if within and len({id(nodes[spot.holder]) for spot in spots}) > 1:
                content.notes.add(
                    "vec-inside", Level.WARNING, content.span(connection),
                    name=content.name(connection, "Identification"),
                )  # fmt: skip
                within = False
            if within:
                links.extend(_inside(places, spots))
            elif spots:
                wires.append(_wire(places, connection, spots, taken))
    return wires, fitted, links


def _nodes(top: Iterable[Thing]) -> Iterator[Thing]:
    for node in top:
        yield node
        yield from _nodes(node.all("ChildNode"))


def _hold(places: Places, node: Thing, ports: dict[str, Spot]) -> Iterator[Fitted]:
    """A holder for a node, or for each plug of a device that has several."""
    content = places.content
    said = node.say("ComponentNodeType").strip()
    kind = dict(_KINDS).get(said, DEVICE)
    id = places.name(node)
    connectors = [one for one in node.all("ComponentConnector") if one.all("ComponentPort")]
    apart = kind == DEVICE and len(connectors) > 1
    cavities: dict[str, dict[str, None]] = {}
    for connector in connectors:
        plug = content.name(connector, "Identification")
        for number, port in enumerate(connector.all("ComponentPort"), 1):
            name = content.label(port, "Identification") or str(number)
            within = f"{plug}.{name}" if len(connectors) > 1 else name
            spot = Spot(f"{id}-{plug}", name) if apart else Spot(id, within)
            ports[port.id] = spot
            cavities.setdefault(spot.holder, {})[spot.cavity] = None
    for holder, names in (cavities or {id: {ONLY: None}}).items():
        made = places.hold(node, kind, holder, names)
        if kind == RING:
            places.holders[holder] = replace(made, stud=id)
        if said == "PotentialDistributor" and len(names) > 1:
            places.join(holder, tuple(names))
    fits = dict(_FITTED).get(said)
    if fits is not None:
        own = tuple(cavities.get(id, ()))
        slot = Slot(id, own, fits, content.span(node))
        places.holders[id] = replace(places.holders[id], slots=(slot,))
        spots = tuple(Spot(id, name) for name in own)
        yield Fitted(
            id, fits, spots, own, id, None, places.description(node), "", written(places.conditions.of(node)),
            content.span(node),
        )  # fmt: skip


def _within(ends: Iterable[Thing]) -> bool:
    """Whether a connection is on the inner side of all its ports."""
    return all(end.say("IsExternalEnd").strip().lower() in ("false", "0") for end in ends)


def _inside(places: Places, spots: list[Spot]) -> Iterator[Mating]:
    """A bar of one node, or a link from a node to one inside it."""
    first = spots[0]
    own = tuple(dict.fromkeys(spot.cavity for spot in spots if spot.holder == first.holder))
    if len(own) > 1:
        places.join(first.holder, own)
    for spot in spots[1:]:
        if spot.holder != first.holder:
            yield Mating(first.holder, spot.holder, ((first.cavity, spot.cavity),))


def _wire(places: Places, connection: Thing, spots: list[Spot], taken: dict[str, int]) -> Wire:
    content = places.content
    signal = content.follow(connection, "Signal", of("Signal"))
    name, clamp = signal_words(content, signal)
    number = content.name(connection, "Identification") or connection.id[:80]
    ends = [End(spot) for spot in dict.fromkeys(spots)]
    if len(ends) < 2:
        content.notes.add("vec-open-end", Level.NOTE, content.span(connection), wire=number)
        ends.append(End(None))
    return Wire(
        unused(number, taken), tuple(ends), number=number, loom=places.loom(connection),
        options=written(places.conditions.of(connection)), remark=places.description(connection),
        span=content.span(connection), signal=name, clamp=clamp,
    )  # fmt: skip


def nominal_v(content: Content) -> float | None:
    """The one nominal voltage that all signals agree on; None where none or several are said."""
    said = {
        text
        for specification in content.all_of(of("SignalSpecification"))
        for signal in specification.all("Signal")
        if (text := signal.say("NominalVoltage").strip().upper().removesuffix("V").strip())
    }
    found = said.pop() if len(said) == 1 else ""
    return float(found) if found.isascii() and found.isdigit() and 0 < int(found) < 1000 else None
