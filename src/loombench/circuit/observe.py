"""What one sees and hears in a condition: which loads work and how well, what pulses, which fuses are blown."""

from collections.abc import Sequence
from dataclasses import dataclass

from loombench.circuit.fault import Fault
from loombench.circuit.finding import FuseMayHold
from loombench.circuit.netlist import Filament, Netlist
from loombench.circuit.operate import operate
from loombench.circuit.point import OperatingPoint, Settled
from loombench.circuit.predict import Cases, Lowering
from loombench.vehicle.condition import Condition
from loombench.vehicle.model import Inner, Part, Vehicle
from loombench.vehicle.trace import ACTING

FULL_SHARE, DEAD_SHARE = 0.85, 0.3
"""Full from this share of what it is made for, dead below that one. Estimates: a lamp at 0.3 of its volts gives less
than 2 % of its light (`facts.filament.flux_share`, outside the range it is good for), a motor hardly turns."""


@dataclass(frozen=True)
class LoadSight:
    """One load. `share` is its volts over the rated ones (its current's share where that is what it works by), the
    greatest of a rhythm; `least_share` the least. `light` is full, dim or dead, for a motor meaning its speed."""

    id: str
    kind: str
    share: float
    least_share: float
    current_a: float
    light: str
    pulsing: bool


@dataclass(frozen=True)
class Observed:
    """All loads, the fuses and breakers that are open, and those that may be. None of it where `known` is False."""

    loads: tuple[LoadSight, ...]
    blown: tuple[str, ...]
    may_blow: tuple[str, ...]
    known: bool = True


@dataclass(frozen=True)
class Load:
    """A load by name, with the elements it is made of and what it is made for."""

    id: str
    kind: str
    elements: tuple[str, ...]
    rated_v: float
    rated_a: float | None


def observe(
    vehicle: Vehicle, condition: Condition, faults: Sequence[tuple[Fault, ...]], lowering: Lowering | None = None
) -> tuple[Observed, ...]:
    """What is seen in a condition under each set of faults, (): none.

    Raises:
        KeyError: the condition names something that the vehicle does not have.
    """
    cases = Cases(vehicle, lowering)
    found = []
    for some in faults:
        case = cases.case(some, condition.aids)
        if case is None:
            found.append(Observed((), (), (), known=False))
            continue
        settled = operate(case[0], condition.plain, case[1]).settled
        found.append(seen(vehicle, case[0].p.netlist, settled))
    return tuple(found)


def seen(vehicle: Vehicle, netlist: Netlist, settled: Settled) -> Observed:
    """What is seen where a netlist of a vehicle has settled."""
    state = settled.point.state
    blown = tuple(
        name.partition(":")[2]
        for name, value in state.items()
        if name.startswith(("fuse:", "breaker:")) and value in {"blown", "tripped"}
    )
    may_blow = tuple(f.variable.partition(":")[2] for f in settled.findings if isinstance(f, FuseMayHold))
    return Observed(tuple(_sight(netlist, settled, load) for load in loads_of(vehicle, netlist)), blown, may_blow)


def loads_of(vehicle: Vehicle, netlist: Netlist) -> list[Load]:
    """The loads of a vehicle, in file order."""
    return [
        _load(vehicle, netlist, part, inner)
        for part in vehicle.parts.values()
        for inner in part.elements
        if inner.kind in ACTING
    ]


def _load(vehicle: Vehicle, netlist: Netlist, part: Part, inner: Inner) -> Load:
    single = len(part.elements) == 1 and part.kind != "unit"
    name = part.id if single else f"{part.id}.{inner.name or inner.kind}"

    def number(of: str) -> float | None:
        band = inner.params.get(of) or part.params.get(of)
        return band.nominal if band is not None and band.nominal > 0.0 else None

    rated_v, rated_w, ohm = number("rated_v") or vehicle.nominal_v, number("rated_w"), number("resistance_ohm")
    rated_a = number("rated_a") or (rated_w / rated_v if rated_w else rated_v / ohm if ohm else None)
    return Load(name, inner.kind, tuple(netlist.element_of.get(name, ())), rated_v, rated_a)


def _sight(netlist: Netlist, settled: Settled, load: Load) -> LoadSight:
    shares = [_share(netlist, phase.point, load) for phase in settled.all_phases]
    currents = [_current(phase.point, load) for phase in settled.all_phases]
    most = max(shares)
    light = "full" if most >= FULL_SHARE else "dim" if most >= DEAD_SHARE else "dead"
    pulsing = light != "dead" and min(shares) < 0.5 * most
    return LoadSight(load.id, load.kind, most, min(shares), max(currents), light, pulsing)


def _current(point: OperatingPoint, load: Load) -> float:
    return max((abs(point.current_a(name)) for name in load.elements), default=0.0)


def _share(netlist: Netlist, point: OperatingPoint, load: Load) -> float:
    """By volts for a filament, which says nothing by its current; else by current, which also a burnt coil has not."""
    for name in load.elements:
        element = netlist.element_by_id.get(name)
        if isinstance(element, Filament) and point.current_a(name) != 0.0:
            return abs(point.across_v(element.a, element.b) or 0.0) / element.law.rated_v
    if load.kind == "lamp":
        return 0.0
    current = _current(point, load)
    if load.rated_a is not None:
        return current / load.rated_a
    across = [
        abs(point.across_v(element.a, element.b) or 0.0)
        for name in load.elements
        if (element := netlist.element_by_id.get(name)) is not None and current > 0.0
    ]
    return max(across, default=0.0) / load.rated_v
