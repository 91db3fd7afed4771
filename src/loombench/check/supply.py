"""Rules about supply and ground: loads and modules that get no current, batteries and bodies without ground."""

from collections import deque
from collections.abc import Callable, Iterator

from loombench.base.problems import Problem, error, note, warning
from loombench.check.view import View, some, spans
from loombench.vehicle.graph import Link
from loombench.vehicle.model import Part, Wire
from loombench.vehicle.points import Point

DATA_KINDS = ("bus-node", "terminator")
"""Loads between two data wires: neither end is a supply."""


def without_supply(view: View) -> Iterator[Problem]:
    """A file with nothing in it that gives current, such as a trailer's: its feeds cannot be traced."""
    if not view.mains and any(link.kind == "load" for link in view.links):
        yield note("no-source", view.vehicle.wires[0].span if view.vehicle.wires else None, name=view.vehicle.name)


def batteries(view: View) -> Iterator[Problem]:
    """A battery whose minus goes nowhere (an error), or to no body although there are some (a warning)."""
    bodies = [part for part in view.vehicle.parts.values() if part.kind == "body"]
    metal = {view.net(Point(part.id)) for part in bodies}
    plus = {view.net(link.a) for link in view.sources}
    for link in view.mains:
        part = view.vehicle.parts[link.a.part]
        if not view.wired(link.b):
            if view.wired(link.a):
                yield error("battery-minus-open", part.span, battery=part.id, point=link.b)
        elif bodies and view.net(link.b) not in plus and not _grounded(view, link.b, metal):
            yield warning("battery-not-grounded", part.span, battery=part.id, bodies=some(body.id for body in bodies))


def _grounded(view: View, point: Point, metal: set[int | None]) -> bool:
    """Straps and battery switches count as a way."""
    return _leads(view, point, (), lambda at: view.net(at) in metal, lambda at: view.nets.strictest(at) == "power")


def bodies(view: View) -> Iterator[Problem]:
    """Bodies with something on them but no strap or wire to a battery's minus: what returns by them is dead."""
    for part, stranded in lost_bodies(view):
        names = some(link.via for link in stranded)
        span = spans((part, *(view.part(link.a) for link in stranded)))
        level = error if stranded else warning
        yield level("body-without-strap", *span, body=part.id, loads=names or "-")


def lost_bodies(view: View) -> list[tuple[Part, list[Link]]]:
    """The bodies that no way leads from to a battery's minus, and the loads that end on them."""
    if not view.mains or not any(view.wired(link.b) for link in view.mains):
        return []
    found = []
    for part in view.vehicle.parts.values():
        point = Point(part.id)
        if part.kind != "body" or not view.wired(point) or has_return(view, point):
            continue
        net = view.net(point)
        found.append((part, [link for link in view.links if link.kind == "load" and net in _nets(view, link)]))
    return found


def _nets(view: View, link: Link) -> tuple[int | None, int | None]:
    return view.net(link.a), view.net(link.b)


def loads(view: View) -> Iterator[Problem]:
    """Loads that no way leads to from a supply, or none leads back from: they cannot work."""
    if not view.mains or not any(view.wired(link.b) for link in view.mains):
        return
    known = {link for _, stranded in lost_bodies(view) for link in stranded}
    undrawn: dict[str, Part] = {}
    for run in view.runs:
        load = run.load
        part = view.vehicle.parts[load.a.part]
        if (run.feed and run.back) or part.kind in DATA_KINDS or part.module or load in known:
            continue
        ends = (load.a, load.b)
        if not any(view.wired(end) for end in ends) and not _joined_inside(view, load):
            undrawn[part.id] = part
            continue
        fed = [end for end in ends if has_feed(view, end, (load,))]
        back = [end for end in ends if has_return(view, end, (load,))]
        if any(end != other for end in fed for other in back):
            continue
        span = spans((part, *_wires(view, load)))
        if not fed:
            open_ends = [end for end in ends if end not in back] or list(ends)
            yield error("load-no-feed", *span, load=load.via, point=_unwired_first(view, open_ends))
        else:
            open_ends = [end for end in ends if end not in fed] or list(ends)
            yield error("load-no-return", *span, load=load.via, point=_unwired_first(view, open_ends))
    if undrawn:
        yield warning("part-unwired", *spans(undrawn.values()), parts=some(undrawn), count=len(undrawn))


def _joined_inside(view: View, load: Link) -> bool:
    """Whether an end of the load goes on within its own part, as in a resistor pack."""
    return any(link != load for end in (load.a, load.b) for link in view.table.get(end, ()))


def _unwired_first(view: View, ends: list[Point]) -> Point:
    return next((end for end in ends if not view.wired(end)), ends[0])


def _wires(view: View, load: Link) -> list[Wire]:
    vias = [link.via for end in (load.a, load.b) for link in view.table.get(end, ()) if link.kind == "wire"]
    return [view.vehicle.wire_by_id[via] for via in vias[:2]]


def modules(view: View) -> Iterator[Problem]:
    """Modules without a supply or a ground: none declared (a warning), or one that nothing leads to (an error)."""
    for part in view.vehicle.parts.values():
        spec = part.module
        if spec is None:
            continue
        missing = [what for what, pins in (("supply", spec.supplies), ("ground", spec.grounds)) if not pins]
        if missing:
            yield warning("module-undeclared", part.span, module=part.id, missing=", ".join(missing))
        if not view.mains or not any(view.wired(link.b) for link in view.mains):
            continue
        inside = tuple(link for link in view.links if link.a.part == link.b.part == part.id)
        for supply in spec.supplies:
            if not has_feed(view, Point(part.id, supply.pin), inside):
                yield error(
                    "module-no-supply",
                    part.span,
                    module=part.id,
                    pin=f"{part.id}.{supply.pin}",
                    label=supply.label or "supply",
                )
        points = [Point(part.id, pin) for pin in spec.grounds]
        if points and not any(has_return(view, point, inside) for point in points):
            yield error("module-no-ground", part.span, module=part.id, pins=some(points))


def has_feed(view: View, point: Point, own: tuple[Link, ...] = ()) -> bool:
    """Whether a way, also through other loads, leads from a point to the plus of a supply and not over ground."""
    plus = {link.a for link in view.sources}
    return _leads(view, point, own, lambda at: at in plus, view.on_ground)


def has_return(view: View, point: Point, own: tuple[Link, ...] = ()) -> bool:
    """Whether a way, also through other loads, leads from a point to the minus of a supply.

    Not by what is fed itself: two lamps that have lost their common ground would else have one over their common feed
    and a third lamp. A resistor is asked less, since a resistor pack that is switched at plus has fed taps.
    """
    minus = {link.b for link in view.sources}
    if own and _is_resistor(view, own[0]):
        return _leads(view, point, own, lambda at: at in minus, lambda at: "power" in view.nets.classes_of(at))
    return _leads(view, point, own, lambda at: at in minus, lambda at: at != point and at in view.fed)


def _is_resistor(view: View, load: Link) -> bool:
    ends = {load.a.pin, load.b.pin}
    return any(e.kind == "resistor" and set(e.pins[:2]) == ends for e in view.vehicle.parts[load.a.part].elements)


def _leads(
    view: View, start: Point, own: tuple[Link, ...], there: Callable[[Point], bool], barred: Callable[[Point], bool]
) -> bool:
    """Breadth first over all but sources and `own`; what a file need not say of a module's inside may lead on."""
    seen, waiting = {start}, deque([start])
    while waiting:
        at = waiting.popleft()
        if there(at) or (at != start and _unsaid(view, at)):
            return True
        if barred(at):
            continue
        for link in view.table.get(at, ()):
            end = link.other(at)
            if link.kind != "source" and link not in own and end not in seen:
                seen.add(end)
                waiting.append(end)
    return False


def _unsaid(view: View, point: Point) -> bool:
    """A contact behind which something is that the file does not draw: a pin of a module, a fourth contact."""
    part = view.part(point)
    if part is None:
        return False
    spec = part.module
    if spec is not None:
        # Outputs and contacts are links of their own; an input without a pull-up or pull-down gives and takes nothing.
        said = {supply.pin for supply in spec.supplies} | {output.pin for output in spec.outputs} | set(spec.grounds)
        said |= {pin for contact in spec.contacts for pair in contact.rest + contact.tick for pin in pair}
        return point.pin not in said | {entry.pin for entry in spec.inputs if entry.pull == "none"}
    if part.kind == "flasher":
        return all(point.pin not in element.pins[:3] for element in part.elements)
    mated = any(point.part in (mating.plug, mating.socket) for mating in view.vehicle.matings)
    if part.kind == "alternator":
        return all(point.pin not in element.pins[:2] for element in part.elements)
    return part.kind in ("sensor", "generic") or (part.kind == "plug" and not mated)
