"""Path tracing: from the battery through protection and control to a load, and from the load back to the battery."""

from collections import deque
from collections.abc import Mapping
from dataclasses import dataclass

from loombench.vehicle.graph import Link, by_point, links
from loombench.vehicle.model import Vehicle
from loombench.vehicle.points import Point

ACTING = ("lamp", "led", "motor", "heater", "solenoid", "horn")
"""Kinds of element that give light, heat, sound or motion: what a person sees work, or not."""


@dataclass(frozen=True)
class Step:
    """One stretch of a run: the link walked, from one point to the next."""

    link: Link
    start: Point
    end: Point


@dataclass(frozen=True)
class Run:
    """A load with its way: `feed` from a battery's plus to the load, `back` from the load to that battery's minus.

    Either is empty where there is no way.
    """

    load: Link
    feed: tuple[Step, ...]
    back: tuple[Step, ...]


def loads(vehicle: Vehicle) -> tuple[Link, ...]:
    """The loads: every element that uses what it is fed, in file order."""
    return tuple(link for link in links(vehicle) if link.kind == "load")


def runs(vehicle: Vehicle) -> tuple[Run, ...]:
    """A run for each load, each the way with the fewest links."""
    everything, feeds, returns = _reached(vehicle)
    found: list[Run] = []
    for load in everything:
        if load.kind != "load":
            continue
        straight = (_walk(feeds, load.a), _walk(returns, load.b))
        turned = (_walk(feeds, load.b), _walk(returns, load.a))
        feed, back = max(
            straight, turned, key=lambda pair: (bool(pair[0]) + bool(pair[1]), -len(pair[0]) - len(pair[1]))
        )
        found.append(Run(load, feed, tuple(Step(step.link, step.end, step.start) for step in reversed(back))))
    return tuple(found)


def inputs(vehicle: Vehicle) -> tuple[Run, ...]:
    """A run for each input of a module that something outside of it switches: the way from a battery's plus to the pin
    where the input is on when high, from the pin back to minus where it is on when low. `load` is of kind `input`, by
    the name `PART.PIN`, from the pin to the module's first ground."""
    _, feeds, returns = _reached(vehicle)
    found: list[Run] = []
    for part in vehicle.parts.values():
        for item in part.module.inputs if part.module is not None else ():
            grounds = part.module.grounds if part.module is not None else ()
            pin = Point(part.id, item.pin)
            load = Link(pin, Point(part.id, grounds[0]) if grounds else pin, f"{part.id}.{item.pin}", "input")
            feed = _walk(feeds, pin) if item.on_when == "high" else ()
            back = _walk(returns, pin) if item.on_when == "low" else ()
            if feed or back:
                found.append(Run(load, feed, tuple(Step(one.link, one.end, one.start) for one in reversed(back))))
    return tuple(found)


def _reached(
    vehicle: Vehicle,
) -> tuple[tuple[Link, ...], Mapping[Point, Step | None], Mapping[Point, Step | None]]:
    """All links, and the steps by which points are reached from the plus and from the minus of the batteries, of all
    sources where there is no battery."""
    everything = links(vehicle)
    table = by_point(everything)
    sources = [link for link in everything if link.kind == "source"]
    batteries = [link for link in sources if vehicle.parts[link.a.part].kind == "battery"]
    plus = tuple(link.a for link in batteries or sources)
    minus = tuple(link.b for link in batteries or sources)
    return everything, _reach(plus, table, forward=True), _reach(minus, table, forward=False)


def _reach(
    starts: tuple[Point, ...], table: Mapping[Point, tuple[Link, ...]], forward: bool
) -> Mapping[Point, Step | None]:
    """Breadth first from `starts` over all but loads and sources: the step each point was first reached by."""
    reached: dict[Point, Step | None] = dict.fromkeys(starts)
    queue = deque(starts)
    while queue:
        point = queue.popleft()
        for link in table.get(point, ()):
            if link.kind in ("load", "source") or (link.one_way and (link.a == point) is not forward):
                continue
            end = link.other(point)
            if end not in reached:
                reached[end] = Step(link, point, end)
                queue.append(end)
    return reached


def _walk(reached: Mapping[Point, Step | None], point: Point) -> tuple[Step, ...]:
    steps: list[Step] = []
    step = reached.get(point)
    while step is not None:
        steps.append(step)
        step = reached[step.start]
    return tuple(reversed(steps))
