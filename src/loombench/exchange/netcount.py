"""How much there is in a harness, and its nets: what hangs together over wires, contacts and matings alone.

The bars and fuses of a box are left out, so the figures are those of the loom and not of the circuit.
"""

from collections import Counter
from dataclasses import dataclass

from loombench.exchange.harness import BOX, CONNECTOR, OPEN_END, RING, SPLICE, Harness, Spot


@dataclass(frozen=True)
class Counts:
    """Figures of a harness. `connectors` counts splices, rings and open ends too, as files hold them alike.

    Attributes:
        connections: conductors: wires and cores.
        carriers: fuse boxes and relay carriers.
        nets: groups of pins that wires, contacts and matings keep at one potential, each with a wire.
        largest_net: the pins of the largest of them.
    """

    connections: int
    connectors: int
    splices: int
    rings: int
    carriers: int
    fuses: int
    segments: int
    nets: int
    largest_net: int


class Nodes:
    """Things joined to groups, by union and find; local to one count."""

    def __init__(self) -> None:
        self._over: dict[object, object] = {}

    def find(self, one: object) -> object:
        """What stands for the group of `one`."""
        over = self._over
        root = one
        while (above := over.setdefault(root, root)) != root:
            root = above
        while one != root:
            over[one], one = root, over[one]
        return root

    def join(self, one: object, other: object) -> None:
        """Make the two groups one."""
        self._over[self.find(one)] = self.find(other)


def count(harness: Harness) -> Counts:
    """The figures of a harness, whatever is missing in it."""
    kinds = Counter(holder.kind for holder in harness.holders)
    sizes = Counter(_net_of_each_pin(harness).values())
    return Counts(
        connections=len(harness.wires),
        connectors=sum(kinds[kind] for kind in (CONNECTOR, SPLICE, RING, OPEN_END)),
        splices=kinds[SPLICE],
        rings=kinds[RING],
        carriers=kinds[BOX],
        fuses=sum(1 for one in harness.fitted if one.kind == "fuse"),
        segments=len(harness.segments),
        nets=len(sizes),
        largest_net=max(sizes.values(), default=0),
    )


def _net_of_each_pin(harness: Harness) -> dict[Spot, object]:
    """What stands for the net of each pin that hangs on a wire.

    The cavities of a splice, and of a ring, are one pin; an open end is a pin of its own.
    """
    single = {holder.id for holder in harness.holders if holder.kind in (SPLICE, RING)}

    def pin(spot: Spot) -> Spot:
        return Spot(spot.holder, "") if spot.holder in single else spot

    nodes, pins = Nodes(), dict[Spot, None]()
    for contact in harness.contacts:
        bridged = [pin(Spot(contact.holder, cavity)) for cavity in contact.cavities]
        for other in bridged[1:]:
            nodes.join(bridged[0], other)
        pins.update(dict.fromkeys(bridged))
    for mating in harness.matings:
        for cavity, opposite in mating.pairs:
            nodes.join(Spot(mating.a, cavity), Spot(mating.b, opposite))
    wired: list[object] = []
    for wire in harness.wires:
        ends = [
            pin(end.spot) if end.spot is not None else Spot(f"open end {number} of {wire.id}", "")
            for number, end in enumerate(wire.ends)
        ]
        pins.update(dict.fromkeys(ends))
        for end in ends:
            nodes.join(wire.id, end)
        wired.extend(ends[:1])
    live = {nodes.find(one) for one in wired}
    return {one: net for one in pins if (net := nodes.find(one)) in live}
