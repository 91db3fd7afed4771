"""The functions of a vehicle, each a circuit page: loads that the same switch, relay or output turns on are together.

Every wire of the vehicle takes part in one of them at least: what acts on nothing (a module's inputs, a sensor, the
bus) is a function of its own, and the last one is the supply with all that is left.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property
from types import MappingProxyType

from loombench.draw.circuit.taking import BUS, Taking, taking_part
from loombench.draw.circuit.ways import Net, net_of
from loombench.vehicle.graph import Link
from loombench.vehicle.model import Vehicle
from loombench.vehicle.trace import ACTING

SUPPLY, BUS_LINES = "supply", "bus"
"""Keys of the functions that are none of a load's."""
TELL_TALE = "tell-tale"
MOST_NAMED_ALIKE = 10
"""So many loads of one name are drawn together though different switches turn them on."""


@dataclass(frozen=True)
class Function:
    """A circuit to draw. `key` is unique in the vehicle, `name` what is written on its loads (or empty)."""

    key: str
    name: str
    loads: tuple[str, ...]
    taking: Taking

    @cached_property
    def wires(self) -> frozenset[str]:
        """The ids of its wires."""
        return frozenset(link.via for link in self.taking.links if link.kind == "wire")

    @cached_property
    def parts(self) -> tuple[str, ...]:
        """The parts that take part, in the order met."""
        points = [point for link in self.taking.links for point in (link.a, link.b)]
        return tuple(dict.fromkeys(point.part for point in (*points, *self.taking.loose)))


def functions(vehicle: Vehicle, net: Net | None = None) -> tuple[Function, ...]:
    """All functions, acting loads first, in the vehicle's order; `net` is the vehicle's where it is there already."""
    net = net or net_of(vehicle)
    groups = _grouped(vehicle, net)
    found = [Function(loads[0], name, loads, taking_part(vehicle, net, loads)) for name, loads in groups]
    covered = {wire for function in found for wire in function.wires}
    left = [link for link in net.links if link.kind == "load"]
    for link in sorted(left, key=lambda link: vehicle.parts[link.a.part].module is None):
        on_bus = vehicle.parts[link.a.part].kind in BUS
        loads = _bus(vehicle, net) if on_bus else (link.via,)
        name = BUS_LINES if on_bus else label_of(vehicle, link.via)
        made = Function(name if on_bus else loads[0], name, loads, taking_part(vehicle, net, loads))
        if made.wires - covered:
            found.append(made)
            covered |= made.wires
    supply = _supply(vehicle, net, covered)
    return (*found, supply) if supply.taking.links or not found else tuple(found)


def function_of(vehicle: Vehicle, loads: Iterable[str], name: str = "") -> Function:
    """The function of some loads named as links are (`E7`, `M5.53-31`), whatever switches them."""
    chosen = tuple(loads)
    return Function(chosen[0] if chosen else "", name, chosen, taking_part(vehicle, net_of(vehicle), chosen))


def label_of(vehicle: Vehicle, load: str) -> str:
    """What is written on a load up to the first comma, of a tell-tale what it tells; empty where nothing is."""
    part = vehicle.parts.get(load) or vehicle.parts.get(load.rpartition(".")[0])
    if part is None:
        return ""
    inner = next((one.label for one in part.elements if load == f"{part.id}.{one.name}"), "")
    name, _, more = (inner or part.label).partition(",")
    return (more if name.strip() == TELL_TALE and more else name).strip()


def _acting(vehicle: Vehicle, net: Net) -> Mapping[str, Link]:
    """The links of what gives light, heat, sound or motion, by name."""
    kinds = {
        name: inner.kind
        for part in vehicle.parts.values()
        for inner in part.elements
        for name in ((part.id, f"{part.id}.{inner.name}") if len(part.elements) == 1 else (f"{part.id}.{inner.name}",))
    }
    return MappingProxyType(
        {link.via: link for link in net.links if link.kind == "load" and kinds.get(link.via) in ACTING}
    )


def _grouped(vehicle: Vehicle, net: Net) -> list[tuple[str, tuple[str, ...]]]:
    """The acting loads by what turns them on; of one name and kind of gate they go together too."""
    by_gate: dict[frozenset[str], list[str]] = {}
    for name, link in _acting(vehicle, net).items():
        by_gate.setdefault(_gates(net, link), []).append(name)
    named: dict[str, list[list[str]]] = {}
    for loads in by_gate.values():
        same = named.setdefault(_name(vehicle, loads) or loads[0], [[]])
        if same[-1] and len(same[-1]) + len(loads) > MOST_NAMED_ALIKE:
            same.append([])
        same[-1].extend(loads)
    return [(_name(vehicle, loads), tuple(loads)) for groups in named.values() for loads in groups]


def _gates(net: Net, load: Link) -> frozenset[str]:
    """What switches nearest to the load, on either side; its fuses where nothing does; itself without any."""
    found: set[str] = set()
    fuses: set[str] = set()
    for start in (load.a, load.b):
        on_way = {id(link) for link in net.ways(start)}
        reached, waiting = {start}, [start]
        while waiting:
            point = waiting.pop()
            for link in net.at.get(point, ()):
                if id(link) not in on_way or link.other(point) in reached:
                    continue
                if link.kind in ("switch", "output"):
                    found.add(link.via)
                else:
                    fuses |= {link.via} if link.kind == "protection" else set()
                    reached.add(link.other(point))
                    waiting.append(link.other(point))
    return frozenset(found or fuses or {load.via})


def _name(vehicle: Vehicle, loads: Iterable[str]) -> str:
    """The name most loads have; the first one's where they are even."""
    names = [name for name in (label_of(vehicle, load) for load in loads) if name]
    return max(names, key=names.count) if names else ""


def _bus(vehicle: Vehicle, net: Net) -> tuple[str, ...]:
    kept = [link.via for link in net.links if link.kind == "load" and vehicle.parts[link.a.part].kind in BUS]
    return tuple(dict.fromkeys(kept))


def _supply(vehicle: Vehicle, net: Net, covered: set[str]) -> Function:
    """Batteries, alternators, straps, bodies, and all wires that take part in nothing else."""
    roots = ("battery", "alternator", "fuselink", "strap")
    chosen = {
        id(link): link
        for link in net.links
        if (link.kind == "source" and _of(vehicle, link, roots))
        or (link.kind in ("wire", "joint", "protection") and _of(vehicle, link, roots))
        or (link.kind == "wire" and link.via not in covered)
    }
    for link in list(chosen.values()):
        for point in (link.a, link.b):
            if net.settled(point):
                chosen.update((id(one), one) for one in net.ways(point))
    sources = tuple(
        dict.fromkeys(link.via for link in net.links if link.kind == "source" and _of(vehicle, link, roots))
    )
    links = tuple(link for link in net.links if id(link) in chosen)
    return Function(SUPPLY, SUPPLY, sources, Taking(links))


def _of(vehicle: Vehicle, link: Link, kinds: tuple[str, ...]) -> bool:
    parts = (vehicle.parts.get(point.part) for point in (link.a, link.b))
    return any(part is not None and part.kind in kinds for part in parts)
