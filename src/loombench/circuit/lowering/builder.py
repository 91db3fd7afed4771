"""The netlist while it is being built: nodes by point, elements with unique ids, variables, agents, owners."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

from loombench.base.band import Band
from loombench.circuit.netlist import Agent, Conductor, Element, Gate, Netlist, Variable
from loombench.facts.contact import joint_resistance_ohm
from loombench.facts.typical import typical
from loombench.vehicle.model import Inner, Part, Vehicle
from loombench.vehicle.points import PIN, Point

LEAST_OHM = 1e-7
"""No conductor is less: a resistance of zero has no conductance."""
GREATEST_OHM = 1e12


def limited_ohm(value: float) -> float:
    """A resistance kept within what the network can hold; not a number becomes an open circuit."""
    return min(max(value, LEAST_OHM), GREATEST_OHM) if value == value else GREATEST_OHM  # noqa: PLR0124  (nan)


@dataclass
class Builder:
    """Grows a netlist. The order of calls is the order of its nodes and elements, so it is the order of the file."""

    vehicle: Vehicle
    temperature_c: float = 20.0
    names: list[list[Point]] = field(default_factory=list)
    node_of: dict[Point, int] = field(default_factory=dict)
    elements: dict[str, Element] = field(default_factory=dict)
    variables: dict[str, Variable] = field(default_factory=dict)
    agents: list[Agent] = field(default_factory=list)
    owned: dict[str, list[str]] = field(default_factory=dict)
    wired: Mapping[str, tuple[Point, ...]] = field(default_factory=dict)
    linked: Mapping[str, tuple[Point, ...]] = field(default_factory=dict)
    aliases: dict[str, str] = field(default_factory=dict)
    joints_ohm: dict[str, float] = field(default_factory=dict)

    def node(self, point: Point) -> int:
        """The node of a point, made if it has none."""
        node = self.node_of.get(point)
        if node is None:
            node = self.fresh()
            self.alias(point, node)
        return node

    def fresh(self) -> int:
        """A new node at which there is no point."""
        self.names.append([])
        return len(self.names) - 1

    def alias(self, point: Point, node: int) -> None:
        """Let a point be at a node, unless it has one already."""
        if self.node_of.setdefault(point, node) == node and point not in self.names[node]:
            self.names[node].append(point)

    def pin(self, part: Part, pin: str) -> int:
        """The node of a part's own pin, behind its contact."""
        return self.node(Point(part.id, pin, layer=PIN))

    def unique(self, element_id: str) -> str:
        """The id, with `#2` and so on where it is taken."""
        if element_id not in self.elements:
            return element_id
        count = 2
        while f"{element_id}#{count}" in self.elements:
            count += 1
        return f"{element_id}#{count}"

    def add(self, element: Element, *owners: str) -> str:
        """Add an element that belongs to model ids (its own id if none is given); its id must be unused."""
        self.elements[element.id] = element
        for owner in owners or (element.id,):
            ids = self.owned.setdefault(owner, [])
            if element.id not in ids:
                ids.append(element.id)
        return element.id

    def conductor(
        self, element_id: str, a: int, b: int, ohm: float, gates: tuple[Gate, ...] = (), owners: tuple[str, ...] = ()
    ) -> str:
        """Add a resistance."""
        name = self.unique(element_id)
        return self.add(Conductor(name, a, b, limited_ohm(ohm), gates), *(owners or (name,)))

    def joint(
        self, kind: str, element_id: str, a: int, b: int, gates: tuple[Gate, ...] = (), owners: tuple[str, ...] = ()
    ) -> str:
        """Add a joint of a kind of `facts.contact`."""
        if kind not in self.joints_ohm:
            self.joints_ohm[kind] = joint_resistance_ohm(kind)
        return self.conductor(element_id, a, b, self.joints_ohm[kind], gates, owners)

    def variable(self, name: str, states: tuple[str, ...], rest: str, is_input: bool = False) -> str:
        """Declare a variable, once; its name."""
        self.variables.setdefault(name, Variable(name, states, rest, is_input))
        return name

    def finish(self, reference: int, bodies: tuple[int, ...], plus: tuple[int, ...] = ()) -> Netlist:
        """The netlist."""
        return Netlist(
            nodes=len(self.names),
            names=tuple(tuple(points) for points in self.names),
            elements=tuple(self.elements.values()),
            variables=tuple(self.variables.values()),
            agents=tuple(self.agents),
            reference=reference,
            element_of=MappingProxyType({owner: tuple(ids) for owner, ids in self.owned.items()}),
            nominal_v=self.vehicle.nominal_v,
            bodies=bodies,
            plus=plus,
            controls=frozenset(name for name in self.vehicle.controls if name in self.variables),
            aliases=MappingProxyType(dict(self.aliases)),
        )


def builder(vehicle: Vehicle, temperature_c: float = 20.0) -> Builder:
    """An empty netlist of a vehicle, with the points at which wires and inner links end, by part."""
    wired: dict[str, dict[Point, None]] = {}
    for wire in vehicle.wires:
        for point in (wire.a, wire.b):
            wired.setdefault(point.part, {}).setdefault(point)
    linked: dict[str, dict[Point, None]] = {}
    for part in vehicle.parts.values():
        for link in part.links:
            for point in link:
                linked.setdefault(point.part, {}).setdefault(point)
    return Builder(
        vehicle,
        temperature_c,
        wired={part: tuple(points) for part, points in wired.items()},
        linked={part: tuple(points) for part, points in linked.items()},
    )


def owner(part: Part, inner: Inner) -> str:
    """The model id of an inner element: the part's own where it is the part, else `PART.NAME`.

    In a unit it is always `PART.NAME`, since another element may be added to it.
    """
    if len(part.elements) == 1 and part.kind != "unit":
        return part.id
    return f"{part.id}.{inner.name or inner.kind}"


def owners(part: Part, inner: Inner) -> tuple[str, ...]:
    """All model ids an inner element answers to."""
    named = (f"{part.id}.{inner.name}",) if inner.name else ()
    single = (part.id,) if len(part.elements) == 1 else ()
    return tuple(dict.fromkeys((owner(part, inner), *named, *single)))


@dataclass(frozen=True)
class Numbers:
    """The numbers of an inner element, else of its part; nominal values of bands."""

    part: Part
    inner: Inner
    nominal_v: float

    def band(self, name: str) -> Band | None:
        """The number as it is given, None where it is not."""
        return self.inner.params.get(name) or self.part.params.get(name)

    def get(self, name: str) -> float | None:
        """The nominal value where it is given and above zero."""
        band = self.band(name)
        return band.nominal if band is not None and band.nominal > 0.0 else None

    def either(self, name: str, otherwise: float) -> float:
        """The nominal value, else another one."""
        value = self.get(name)
        return otherwise if value is None else value

    def usual(self, name: str) -> float:
        """The nominal value, else what `assumed.csv` has for this number of this kind of element.

        Raises:
            KeyError: the table has no such number: a mistake of ours.
        """
        value = self.get(name)
        return typical("assumed", f"{self.inner.kind}.{name}").value if value is None else value

    @property
    def rated_v(self) -> float:
        """Rated volts; the vehicle's nominal ones where the part does not say."""
        return self.either("rated_v", self.nominal_v)

    def current_a(self) -> float | None:
        """Rated current: as given, or watts over volts; None where neither is given."""
        amperes, watts = self.get("rated_a"), self.get("rated_w")
        if amperes is not None:
            return amperes
        return None if watts is None else watts / self.rated_v


def numbers(b: Builder, part: Part, inner: Inner) -> Numbers:
    """The numbers of an inner element of a vehicle's part."""
    return Numbers(part, inner, b.vehicle.nominal_v)


def ends(b: Builder, part: Part, inner: Inner) -> tuple[int, int]:
    """The nodes of an element between two pins; a missing pin is a node nothing else is at."""
    nodes = [b.pin(part, pin) for pin in inner.pins[:2]]
    while len(nodes) < 2:
        nodes.append(b.fresh())
    return nodes[0], nodes[1]
