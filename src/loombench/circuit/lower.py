"""From a vehicle to the network of resistances, laws and variables that is solved.

Every wire end sits in a contact, ground is wired like everything else, and whatever switches is gated on a variable;
what each joint and part becomes stands in `docs/electrics.md`. Unknown numbers count with their nominal value.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field

from loombench.base.outcome import Outcome
from loombench.circuit.fault import Fault
from loombench.circuit.inject import Edit, edit, inject
from loombench.circuit.lowering.builder import Builder, builder
from loombench.circuit.lowering.controls import lower_controls
from loombench.circuit.lowering.laws import HOUSINGS, INNER_LAWS
from loombench.circuit.lowering.modules import lower_module
from loombench.circuit.lowering.sources import engine_gate
from loombench.circuit.lowering.wiring import lower_contacts, lower_links, lower_mating, lower_wire
from loombench.circuit.netlist import Conductor, Netlist
from loombench.vehicle.model import Vehicle
from loombench.vehicle.points import PIN, Point


def lower(vehicle: Vehicle, faults: tuple[Fault, ...] = (), temperature_c: float = 20.0) -> Outcome[Netlist]:
    """The netlist of a vehicle with faults in it, conductors at `temperature_c`.

    A fault whose target the vehicle does not have is left out and reported as a problem with the nearest names.

    Raises:
        ValueError: the temperature is so low that the conductor formula gives no resistance.
    """
    return inject(sound(vehicle, temperature_c), faults)


@dataclass(frozen=True)
class LoweringOf:
    """`lower` for one vehicle and many faults: the sound netlist is made once and the faults put into it."""

    vehicle: Vehicle
    temperature_c: float = 20.0
    netlist: Netlist = field(init=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "netlist", sound(self.vehicle, self.temperature_c))

    def __call__(self, vehicle: Vehicle, faults: tuple[Fault, ...] = ()) -> Outcome[Netlist]:
        """The same as `lower(vehicle, faults, temperature_c)`, for another vehicle too."""
        if vehicle is not self.vehicle:
            return lower(vehicle, faults, self.temperature_c)
        return inject(self.netlist, faults)

    def edit(self, faults: tuple[Fault, ...]) -> Outcome[Edit]:
        """What faults change in the sound netlist."""
        return edit(self.netlist, faults)


def sound(vehicle: Vehicle, temperature_c: float = 20.0) -> Netlist:
    """The netlist of a vehicle without faults. Raises as `lower`."""
    b = builder(vehicle, temperature_c)
    engine_gate(b)
    for part in vehicle.parts.values():
        HOUSINGS.get(part.kind, lower_contacts)(b, part)
    for wire in vehicle.wires:
        lower_wire(b, wire)
    for part in vehicle.parts.values():
        if part.kind != "strap":
            lower_links(b, part)
            for inner in part.elements:
                law = INNER_LAWS.get(inner.kind)
                if law is not None:
                    law(b, part, inner)
        lower_controls(b, part)
        lower_module(b, part)
    for mating in vehicle.matings:
        lower_mating(b, mating)
    reference = _reference(b)
    return b.finish(reference, _bodies(b, reference), _plus(b))


def _reference(b: Builder) -> int:
    """The minus post of the first battery, else of the first alternator, else the first body, else any node."""
    for kind in ("battery", "alternator"):
        for part in b.vehicle.parts.values():
            for inner in part.elements:
                if inner.kind == kind and len(inner.pins) > 1:
                    return b.node(Point(part.id, inner.pins[1], layer=PIN))
    bodies = [Point(part.id) for part in b.vehicle.parts.values() if part.kind == "body"]
    if bodies:
        return b.node(bodies[0])
    return 0 if b.names else b.fresh()


def _bodies(b: Builder, reference: int) -> tuple[int, ...]:
    nodes = [b.node(Point(part.id)) for part in b.vehicle.parts.values() if part.kind == "body"]
    linked = _linked(b, reference)
    return tuple(sorted(dict.fromkeys(nodes), key=lambda node: node not in linked))


def _plus(b: Builder) -> tuple[int, ...]:
    posts = [
        [b.node(Point(part.id, pin, layer=PIN)) for pin in inner.pins[:2]]
        for part in b.vehicle.parts.values()
        for inner in part.elements
        if inner.kind == "battery" and len(inner.pins) > 1
    ]
    minus = {one for _, one in posts}
    return tuple(sorted(dict.fromkeys(one for one, _ in posts), key=lambda node: bool(_linked(b, node) & minus)))


def _linked(b: Builder, reference: int) -> set[int]:
    """The nodes that wires and joints which nothing opens tie to the reference; plugs count as in."""
    near: dict[int, list[int]] = {}
    for element in b.elements.values():
        if isinstance(element, Conductor) and not _switched(element.gates) and element.resistance_ohm < GROUND_WAY_OHM:
            near.setdefault(element.a, []).append(element.b)
            near.setdefault(element.b, []).append(element.a)
    found, waiting = {reference}, [reference]
    while waiting:
        for node in near.get(waiting.pop(), ()):
            if node not in found:
                found.add(node)
                waiting.append(node)
    return found


GROUND_WAY_OHM = 0.1
"""A way to ground of single elements above this is a load and no ground lead; an estimate."""


def _switched(gates: Sequence[object]) -> bool:
    return any(not str(getattr(gate, "variable", "")).startswith(("plug:", "seat:")) for gate in gates)
