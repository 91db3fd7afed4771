"""Drawn pages held against the vehicle: what they join that its wires do not, what they leave apart, what they lack.

Names are those of `data-pin`; the names of wires that a page claims (`data-wire`) are only held against what was
rebuilt from its lines. All wires of the vehicle count, those of other pages too: two pins of the function may be joined
by one of them.
"""

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence

from benchmarks.drawnnets import Rebuilt, rebuilt
from benchmarks.drawnpage import Page, whole
from loombench.vehicle.graph import links
from loombench.vehicle.model import Vehicle, Wire
from loombench.vehicle.points import Point

JOIN = "join:"
MANY_SPOTS = ("splice", "stud", "body", "battery")
"""Kinds that may be shown more than once on a page: the name says that it is one point."""


def names_of(point: Point) -> tuple[str, ...]:
    """The names a page may give the point where a wire ends, the most exact first."""
    exact = str(Point(point.part, point.pin, point.half, ring=point.ring))
    merged = str(Point(point.part, point.pin, ring=point.ring))
    plain = str(Point(point.part, point.pin))
    return tuple(dict.fromkeys((exact, merged, plain, *((point.part,) if point.ring else ()))))


def drawn_name(point: Point, drawn: frozenset[str]) -> str:
    """The name by which a wire's end is on the pages; its exact name where it is not."""
    names = names_of(point)
    return next((name for name in names if name in drawn), names[0])


def mismatches(vehicle: Vehicle, pages: Sequence[Page]) -> tuple[str, ...]:
    """One line for each difference between the nets that were drawn and those of the vehicle's wires.

    Lines that stand for inner joints may join what the vehicle's boxes, studs and plugged halves join, wires only what
    its wires do.
    """
    built = rebuilt([whole(page) for page in pages])
    drawn = frozenset(pin.name for page in pages for pin in page.pins)
    given = {wire.id: (drawn_name(wire.a, drawn), drawn_name(wire.b, drawn)) for wire in vehicle.wires}
    return (
        *_unknown(vehicle, drawn),
        *_false(rebuilt(pages), given.values()),
        *_false(built, (*given.values(), *_joints(vehicle))),
        *_missing(built.net_of(), given, drawn),
        *_claims(pages, built, given),
        *_repeated(vehicle, pages),
    )


def _joints(vehicle: Vehicle) -> Iterator[tuple[str, str]]:
    """Names of points that are one without a wire."""
    for link in links(vehicle):
        if link.kind == "joint" and not link.one_way:
            yield str(link.a), str(link.b)
    for part in vehicle.parts.values():
        for pin in part.pins:
            yield from ((str(Point(part.id, pin)), str(Point(part.id, pin, half))) for half in part.halves)


def _unknown(vehicle: Vehicle, drawn: frozenset[str]) -> Iterator[str]:
    known = {Point(part.id, pin) for part in vehicle.parts.values() for pin in ("", *part.pins)}
    known |= {Point(part.id, pin, ring=True) for part in vehicle.parts.values() for pin in part.pins}
    ends = {end for wire in vehicle.wires for end in (wire.a, wire.b)}
    names = {str(point) for point in known} | {name for end in ends for name in names_of(end)}
    for part in vehicle.parts.values():
        names |= {str(Point(part.id, pin, half)) for half in part.halves for pin in part.pins}
    for name in sorted(drawn):
        if name not in names and not name.startswith(JOIN):
            yield f"pin {name} is on a page and not in the vehicle"


def _false(built: Rebuilt, given: Iterable[tuple[str, str]]) -> Iterator[str]:
    root: dict[str, str] = {}

    def find(one: str) -> str:
        root.setdefault(one, one)
        while root[one] != one:
            root[one] = root[root[one]]
            one = root[one]
        return one

    for one, two in given:
        root[find(one)] = find(two)
    for names in built.nets:
        real = sorted(name for name in names if not name.startswith(JOIN))
        sets = {find(name): name for name in reversed(real)}
        if len(sets) > 1:
            yield f"drawn as one net, and no wires join them: {', '.join(sorted(sets.values()))}"


def _missing(net: Mapping[str, int], given: Mapping[str, tuple[str, str]], drawn: frozenset[str]) -> Iterator[str]:
    for wire, (one, two) in given.items():
        if one in drawn and two in drawn and net[one] != net[two]:
            yield f"wire {wire}: {one} and {two} are drawn and not joined"


def _claims(pages: Sequence[Page], built: Rebuilt, given: Mapping[str, tuple[str, str]]) -> Iterator[str]:
    net = built.net_of()
    for number, page in enumerate(pages):
        for place, wire in enumerate(page.wires):
            if wire.claims not in given:
                yield f"page {number + 1}: a line is called wire '{wire.claims}', and the vehicle has none"
                continue
            for end in given[wire.claims]:
                if net.get(end, built.of_wire[number][place]) != built.of_wire[number][place]:
                    yield f"page {number + 1}: a line called wire {wire.claims} does not lead to {end}"
    counted = Counter(wire.claims for page in pages for wire in page.wires)
    ends: dict[frozenset[str], list[str]] = {}
    for name, pair in given.items():
        ends.setdefault(frozenset(pair), []).append(name)
    for pair, names in ends.items():
        if len(names) > 1 and any(counted[name] for name in names) and not all(counted[name] for name in names):
            yield f"of the wires between {' and '.join(sorted(pair))} only some are drawn"


def _repeated(vehicle: Vehicle, pages: Sequence[Page]) -> Iterator[str]:
    """Contacts shown twice on a page; a fuse box may name the contacts that its bars lead to."""
    many = {name for name, part in vehicle.parts.items() if part.kind in MANY_SPOTS}
    bars = {name for name, part in vehicle.parts.items() if part.kind == "carrier"}
    for number, page in enumerate(pages):
        own = [pin.name for pin in page.pins if pin.part not in bars and not pin.name.startswith(JOIN)]
        for name, times in Counter(own).items():
            if times > 1 and name not in many and name.partition("/")[0].partition(".")[0] not in many:
                yield f"page {number + 1}: pin {name} is there {times} times"


def lacking(
    wanted_wires: Sequence[Wire], wanted_parts: Sequence[str], pages: Sequence[Page], built: Rebuilt
) -> tuple[str, ...]:
    """What takes part in the function and is on none of its pages."""
    drawn = frozenset(pin.name for page in pages for pin in page.pins)
    shown = {part for page in pages for part, _ in page.parts} | {pin.part for page in pages for pin in page.pins}
    net = built.net_of()
    found = [f"part {part} is on no page" for part in wanted_parts if part not in shown]
    for wire in wanted_wires:
        one, two = drawn_name(wire.a, drawn), drawn_name(wire.b, drawn)
        lost = [end for end in (one, two) if end not in drawn]
        if lost:
            found.append(f"wire {wire.id} is on no page: no {' and no '.join(lost)}")
        elif net[one] != net[two]:
            found.append(f"wire {wire.id} is on no page")
    claimed = {wire.claims for page in pages for wire in page.wires}
    found += [f"wire {wire.id} is on no page by its name" for wire in wanted_wires if wire.id not in claimed]
    return tuple(found)
