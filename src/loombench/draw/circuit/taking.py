"""What takes part in some loads: their ways to supply and ground, and those of what switches them, and so on."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from loombench.draw.circuit.ways import Net, joined
from loombench.vehicle.graph import Link
from loombench.vehicle.model import Part, Vehicle
from loombench.vehicle.module import All, Any, Not, Rule, Test
from loombench.vehicle.points import Point

BUS = ("bus-node", "terminator")


@dataclass(frozen=True)
class Taking:
    """The links that take part, in the vehicle's order, and pins that are shown although nothing leads there."""

    links: tuple[Link, ...]
    loose: tuple[Point, ...] = ()


def taking_part(vehicle: Vehicle, net: Net, loads: Iterable[str]) -> Taking:
    """All that takes part in the loads, given by the names links have (`E7`, `M5.53-31`, a module `A6`)."""
    wanted = list(loads)
    chosen: dict[int, Link] = {}
    loose: dict[Point, None] = {}
    seen: set[Point] = set()
    names: set[str] = set()
    while wanted:
        name = wanted.pop(0)
        if name in names:
            continue
        names.add(name)
        acting = [link for link in net.of_name.get(name, ()) if _acts(link)]
        points = [point for link in acting for point in (link.a, link.b)]
        chosen.update((id(link), link) for link in acting)
        for point in (*points, *_pins(vehicle, name)):
            if point in seen:
                continue
            seen.add(point)
            found = net.ways(point) or joined(net, point)
            if not found:
                loose[point] = None
            for link in found:
                if id(link) not in chosen:
                    chosen[id(link)] = link
                    wanted.extend((*_movers(vehicle, link), *_sensors(vehicle, link)))
    return Taking(tuple(link for link in net.links if id(link) in chosen), tuple(loose))


def _acts(link: Link) -> bool:
    return link.kind in ("load", "source")


def _sensors(vehicle: Vehicle, link: Link) -> Iterator[str]:
    """The sensors and converters that a wire ends on: without its other pins neither means anything."""
    for point in (link.a, link.b):
        part = vehicle.parts.get(point.part)
        if part is not None and part.kind in ("sensor", "converter"):
            yield from ((part.id,) if len(part.elements) == 1 else (f"{part.id}.{one.name}" for one in part.elements))


def _movers(vehicle: Vehicle, link: Link) -> Iterator[str]:
    """The names of what moves a switch or decides an output: a coil, an output of a module (`A6>1`), a timer."""
    part = vehicle.parts.get(link.a.part)
    if part is None or link.kind not in ("switch", "output"):
        return
    if part.module is not None:
        yield f"{part.id}>{link.via.removeprefix(f'{part.id}.')}"
    elif part.kind == "relay":
        yield f"{part.id}.coil"
    elif link.kind == "output":
        yield f"{part.id}>"


def _pins(vehicle: Vehicle, name: str) -> tuple[Point, ...]:
    """The pins whose ways are wanted besides the two ends of a load."""
    if name in vehicle.parts:
        part = vehicle.parts[name]
        if part.module is not None:
            outputs = {output.pin for output in part.module.outputs}
            # A plug of a hundred cavities would make a page as wide as all of them, most of them empty.
            used = {end.pin for wire in vehicle.wires for end in (wire.a, wire.b) if end.part == name}
            used |= {read.pin for read in part.module.inputs}
            return _module_pins(part, [pin for pin in part.pins if pin in used - outputs])
        return tuple(Point(part.id, pin) for pin in part.pins) if part.kind in ("sensor", "timer", "flasher") else ()
    owner, _, target = name.partition(">")
    part_found = vehicle.parts.get(owner)
    if ">" not in name or part_found is None:
        return ()
    if part_found.module is None:
        return tuple(Point(owner, pin) for pin in part_found.pins)
    rules = [rule.rule for rule in part_found.module.rules if target in rule.targets]
    read = dict.fromkeys(word for rule in rules for word in _words(rule))
    return _module_pins(part_found, [pin.pin for pin in part_found.module.inputs if pin.pin in read])


def _module_pins(part: Part, inputs: list[str]) -> tuple[Point, ...]:
    assert part.module is not None
    supplies = [supply.pin for supply in part.module.supplies]
    return tuple(Point(part.id, pin) for pin in dict.fromkeys((*supplies, *part.module.grounds, *inputs)))


def _words(rule: Rule) -> Iterator[str]:
    match rule:
        case Test(name=name):
            yield name
        case Not(rule=inner):
            yield from _words(inner)
        case All(rules=rules) | Any(rules=rules):
            for one in rules:
                yield from _words(one)
