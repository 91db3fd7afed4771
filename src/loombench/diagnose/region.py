"""The part of a vehicle a complaint is about: the load's way from the battery and back, the ways of what switches it,
and the other loads that share a piece of these ways."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType

from loombench.vehicle.condition import Condition, Operation
from loombench.vehicle.graph import Link
from loombench.vehicle.model import Vehicle
from loombench.vehicle.module import named_in
from loombench.vehicle.points import Point
from loombench.vehicle.trace import Run, inputs, runs


@dataclass(frozen=True)
class Region:
    """`runs` first the complained load's, then those of coils and modules that switch it, and of the inputs that these
    modules ask about (`load` of kind `input`); `neighbours` the runs of
    loads that share wires or parts with these, most shared first. `points` in the order a person would meet them."""

    runs: tuple[Run, ...]
    neighbours: tuple[Run, ...]
    points: tuple[Point, ...]
    controls: tuple[str, ...]
    protection: tuple[str, ...]
    connectors: tuple[str, ...]

    @property
    def loads(self) -> tuple[str, ...]:
        """The loads of the region's own runs."""
        return tuple(run.load.via for run in self.runs if run.load.kind == "load")


def region(vehicle: Vehicle, targets: tuple[str, ...]) -> Region:
    """The region of some loads (`E7`, `E31.1-6`, or a part with several), or of all that a fuse feeds (`F12`)."""
    everything = runs(_battery_only(vehicle))
    own = [run for run in everything if any(_is(run, target) for target in targets)]
    commands = inputs(vehicle)
    seen = {run.load.via for run in own}
    grown = True
    while grown:
        grown = False
        deciding = {part for run in own for part in _deciders(vehicle, run)}
        for run in everything:
            if run.load.via not in seen and _part(run.load) in deciding:
                own.append(run)
                seen.add(run.load.via)
                grown = True
        asked = {name for run in own for name in _asked(vehicle, run)}
        for run in commands:
            if run.load.via in asked and run.load.via not in seen:
                own.append(run)
                seen.add(run.load.via)
                grown = True
    used = {link.via for run in own for link in _links(run)}
    others = [(len({link.via for link in _links(run)} & used), run) for run in everything if run.load.via not in seen]
    near = tuple(run for shared, run in sorted(others, key=lambda pair: -pair[0]) if shared > 0)
    links = tuple(dict.fromkeys(link for run in own for link in _links(run)))
    return Region(
        tuple(own),
        near,
        _points(vehicle, own, links),
        tuple(dict.fromkeys(link.via for link in links if link.via in vehicle.controls)),
        tuple(dict.fromkeys(link.via for link in links if link.kind == "protection")),
        _connectors(vehicle, links),
    )


def _battery_only(vehicle: Vehicle) -> Vehicle:
    """Without alternators, so that ways begin at the battery: it feeds with the engine off, which is how one tests."""
    parts = {name: part for name, part in vehicle.parts.items() if part.kind != "alternator"}
    return replace(vehicle, parts=MappingProxyType(parts))


def _is(run: Run, target: str) -> bool:
    fed = any(step.link.kind == "protection" and step.link.via == target for step in run.feed)
    return fed or run.load.via == target or _part(run.load) == target


def _part(link: Link) -> str:
    return link.a.part


def _links(run: Run) -> tuple[Link, ...]:
    return tuple(step.link for step in (*run.feed, *run.back))


def _deciders(vehicle: Vehicle, run: Run) -> set[str]:
    """Parts on the way whose own supply decides whether it is joined: relays, modules, flashers, timers."""
    names = {link.a.part for link in _links(run) if link.kind in ("switch", "output")}
    return {name for name in names if name in vehicle.parts and not vehicle.parts[name].controls}


def _asked(vehicle: Vehicle, run: Run) -> Iterator[str]:
    """The inputs, as `PART.PIN`, that the rules of module outputs on the way of a run ask about."""
    for link in _links(run):
        spec = vehicle.parts[link.a.part].module if link.kind == "output" and link.a.part in vehicle.parts else None
        for rule in spec.rules if spec is not None else ():
            if link.via.removeprefix(f"{link.a.part}.") in rule.targets or link.b.pin in rule.targets:
                yield from (f"{link.a.part}.{name}" for name in named_in(rule.rule))


def _points(vehicle: Vehicle, own: list[Run], links: tuple[Link, ...]) -> tuple[Point, ...]:
    """Wire ends as they are in the file; a fuse is touched on its own blades, in its socket."""
    found: dict[Point, None] = {}
    for link in links:
        if link.kind == "wire":
            wire = vehicle.wire_by_id[link.via]
            found.update(dict.fromkeys((wire.a, wire.b)))
        elif link.kind == "protection":
            found.update(dict.fromkeys((link.a.at("pin"), link.b.at("pin"))))
        elif link.kind == "joint" and link.a.ring:
            found[link.b] = None
        elif link.kind == "joint" and link.via in vehicle.parts and vehicle.parts[link.via].kind == "strap":
            found.update((Point(link.via, pin), None) for pin in vehicle.parts[link.via].pins)
    for run in own:
        for point in (run.load.a, run.load.b):
            found.update(dict.fromkeys(end for wire in vehicle.wires_at.get(point, ()) for end in (wire.a, wire.b)))
    return tuple(found)


def _connectors(vehicle: Vehicle, links: tuple[Link, ...]) -> tuple[str, ...]:
    names = (point.part for link in links if link.kind == "wire" for point in (link.a, link.b))
    return tuple(dict.fromkeys(name for name in names if name in vehicle.parts and vehicle.parts[name].halves))


def switched_on(vehicle: Vehicle, run: Run, base: Condition) -> Condition:
    """`base` with the driver's controls on the way of a run set so that they join it; unchanged where they do."""
    condition = base
    for link in _links(run):
        control = vehicle.controls.get(link.via)
        if control is None or control.by != "driver":
            continue
        wanted = {link.a.pin, link.b.pin}
        now = setting(condition).get(control.id, control.rest)
        joins = [p.name for p in control.positions if any(set(pair) == wanted for pair in p.pairs)]
        if joins and now not in joins:
            condition = condition.then(Operation("set", control.id, joins[0]))
    return condition


def setting(condition: Condition) -> Mapping[str, str]:
    """Where a condition leaves each control it sets."""
    return {operation.target: operation.value for operation in condition.operations if operation.verb == "set"}


def works_when(vehicle: Vehicle, load: str) -> Condition:
    """The driver's controls set, from rest, so that a load should work: on its own way and its switches' ways."""
    condition = Condition()
    for run in region(vehicle, (load,)).runs:
        condition = switched_on(vehicle, run, condition)
    return condition
