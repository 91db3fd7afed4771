"""The netlist of drawn pages, rebuilt from where lines end, meet and carry dots: what a reader takes the page to say.

Two wires are one net where an end of one is at an end of the other, where an end lies on the other under a dot, or
where a dot sits on their crossing (which is a fault besides). An end at a pin is joined to it. Pins of one name are one
point, on all pages of a function. Everything a reader could take two ways is a fault.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations, pairwise

from benchmarks.drawnpage import Drawn, Page, Spot

EXACT_MM = 0.01
"""Within this two ends are at one place."""
NEAR_MM = 0.5
"""Closer than this, a reader takes what does not touch for touching."""

Segment = tuple[Spot, Spot]


@dataclass(frozen=True)
class Rebuilt:
    """`nets` are sets of pin names; `of_wire` gives for each page the net (an index) of each wire, in page order.

    `faults` are those of the drawing itself, each with its page.
    """

    nets: tuple[frozenset[str], ...]
    of_wire: tuple[tuple[int, ...], ...]
    faults: tuple[str, ...]

    def net_of(self) -> Mapping[str, int]:
        """The net of each pin, by name."""
        return {name: number for number, names in enumerate(self.nets) for name in names}


class _Sets:
    """Things and which of them are one."""

    def __init__(self) -> None:
        self.root: dict[object, object] = {}

    def find(self, one: object) -> object:
        self.root.setdefault(one, one)
        while self.root[one] != one:
            self.root[one] = self.root[self.root[one]]
            one = self.root[one]
        return one

    def join(self, one: object, two: object) -> None:
        self.root[self.find(one)] = self.find(two)


def rebuilt(pages: Sequence[Page]) -> Rebuilt:
    """The nets of the pages taken together."""
    sets = _Sets()
    faults: list[str] = []
    for number, page in enumerate(pages):
        for pin in page.pins:
            sets.find(("pin", pin.name))
        for place in range(len(page.wires)):
            sets.find(("wire", number, place))
        faults += [f"page {number + 1}: {said}" for said in (*page.faults, *_joined(page, number, sets))]
    roots: dict[object, int] = {}
    members: list[set[str]] = []
    for one in list(sets.root):
        root = sets.find(one)
        if root not in roots:
            roots[root] = len(members)
            members.append(set())
        if isinstance(one, tuple) and one[0] == "pin":
            members[roots[root]].add(one[1])
    of_wire = tuple(
        tuple(roots[sets.find(("wire", number, place))] for place in range(len(page.wires)))
        for number, page in enumerate(pages)
    )
    return Rebuilt(tuple(frozenset(names) for names in members), of_wire, tuple(faults))


def crossings(page: Page) -> int:
    """How often two wires of a page cross."""
    return sum(
        1
        for one, two in combinations(page.wires, 2)
        for a in segments(one)
        for b in segments(two)
        if crossing(a, b) is not None
    )


def bends(page: Page) -> int:
    """How many corners the wires of a page have."""
    return sum(len(wire.points) - 2 for wire in page.wires)


def segments(wire: Drawn) -> tuple[Segment, ...]:
    """The straight pieces of a wire."""
    return tuple(pairwise(wire.points))


def crossing(a: Segment, b: Segment) -> Spot | None:
    """Where two pieces cross inside of both; None where they do not, or only touch."""
    (ax, ay), (bx, by) = a
    (cx, cy), (dx, dy) = b
    across = (bx - ax) * (dy - cy) - (by - ay) * (dx - cx)
    if abs(across) < 1e-9:
        return None
    t = ((cx - ax) * (dy - cy) - (cy - ay) * (dx - cx)) / across
    u = ((cx - ax) * (by - ay) - (cy - ay) * (bx - ax)) / across
    spot = (ax + t * (bx - ax), ay + t * (by - ay))
    inside = 0 < t < 1 and 0 < u < 1 and min(far(spot, end) for end in (*a, *b)) > EXACT_MM
    return spot if inside else None


def far(one: Spot, two: Spot) -> float:
    """How far two spots are from each other, in mm."""
    return float(((one[0] - two[0]) ** 2 + (one[1] - two[1]) ** 2) ** 0.5)


def off(spot: Spot, piece: Segment) -> float:
    """How far a spot is from a straight piece, in mm."""
    (ax, ay), (bx, by) = piece
    square = (bx - ax) ** 2 + (by - ay) ** 2
    along = 0.0 if square == 0 else ((spot[0] - ax) * (bx - ax) + (spot[1] - ay) * (by - ay)) / square
    along = min(1.0, max(0.0, along))
    return far(spot, (ax + along * (bx - ax), ay + along * (by - ay)))


def _joined(page: Page, number: int, sets: _Sets) -> Iterator[str]:
    """Join what is joined on a page; tell its faults."""
    yield from _pins(page, number, sets)
    for a, b in combinations(range(len(page.wires)), 2):
        yield from _two_wires(page, a, b, number, sets)
    for place, wire in enumerate(page.wires):
        yield from _one_wire(page, place, wire)
    yield from _dots(page, number, sets)
    drawn = {wire.points for wire in page.wires}
    for line in page.second_lines:
        if not any(_same_line(line, wire) for wire in drawn):
            yield f"an outline or stripe from {_said(line[0])} to {_said(line[-1])} lies on no wire"


def _same_line(one: tuple[Spot, ...], two: tuple[Spot, ...]) -> bool:
    return len(one) == len(two) and all(far(a, b) <= EXACT_MM for a, b in zip(one, two, strict=True))


def _pins(page: Page, number: int, sets: _Sets) -> Iterator[str]:
    for one, two in combinations(page.pins, 2):
        if far(one.at, two.at) <= EXACT_MM:
            sets.join(("pin", one.name), ("pin", two.name))
    for pin in page.pins:
        for place, wire in enumerate(page.wires):
            ends = [far(pin.at, end) for end in (wire.points[0], wire.points[-1])]
            if min(ends) <= EXACT_MM:
                sets.join(("pin", pin.name), ("wire", number, place))
            elif min(off(pin.at, piece) for piece in segments(wire)) <= EXACT_MM:
                yield f"wire {wire.claims} passes over pin {pin.name} and does not end there"


def _two_wires(page: Page, a: int, b: int, number: int, sets: _Sets) -> Iterator[str]:
    one, two = page.wires[a], page.wires[b]
    names = f"wires {one.claims} and {two.claims}"
    for first, second in ((one, two), (two, one)):
        for end in (first.points[0], first.points[-1]):
            at_end = min(far(end, other) for other in (second.points[0], second.points[-1])) <= EXACT_MM
            on = min(off(end, piece) for piece in segments(second)) <= EXACT_MM
            dotted = any(far(end, joint) <= EXACT_MM for joint in page.joints)
            if at_end or (on and dotted):
                sets.join(("wire", number, a), ("wire", number, b))
            elif on:
                yield f"wire {first.claims} ends on wire {second.claims} at {_said(end)} without a dot"
        for corner in first.points[1:-1]:
            branches = any(far(corner, end) <= EXACT_MM for end in (second.points[0], second.points[-1]))
            dotted = any(far(corner, joint) <= EXACT_MM for joint in page.joints)
            if min(off(corner, piece) for piece in segments(second)) <= EXACT_MM and not (branches and dotted):
                yield f"{names} touch at a corner, {_said(corner)}"
    upon = sum(_shared(p, q) for p in segments(one) for q in segments(two))
    if upon > EXACT_MM:
        yield f"{names} lie on each other for {upon:.2f} mm"


def _shared(a: Segment, b: Segment) -> float:
    """How long two pieces run on each other, in mm."""
    long = far(*a)
    if long == 0 or max(off_line(end, a) for end in b) > EXACT_MM:
        return 0.0
    (ax, ay), (bx, by) = a
    along = sorted(((end[0] - ax) * (bx - ax) + (end[1] - ay) * (by - ay)) / long for end in b)
    return max(0.0, min(long, along[1]) - max(0.0, along[0]))


def off_line(spot: Spot, piece: Segment) -> float:
    """How far a spot is from the straight line through a piece, in mm."""
    (ax, ay), (bx, by) = piece
    return float(abs((bx - ax) * (spot[1] - ay) - (by - ay) * (spot[0] - ax)) / far(*piece))


def _one_wire(page: Page, place: int, wire: Drawn) -> Iterator[str]:
    for a, b in segments(wire):
        if min(abs(a[0] - b[0]), abs(a[1] - b[1])) > EXACT_MM:
            yield f"wire {wire.claims} runs aslant from {_said(a)} to {_said(b)}"
    own = segments(wire)
    for (i, one), (j, two) in combinations(enumerate(own), 2):
        if (
            crossing(one, two)
            or _shared(one, two) > EXACT_MM
            or (j > i + 1 and min(off(e, one) for e in two) < EXACT_MM)
        ):
            yield f"wire {wire.claims} crosses or touches itself"
    for end in (wire.points[0], wire.points[-1]):
        others = [other for k, other in enumerate(page.wires) if k != place]
        gap = min([far(end, pin.at) for pin in page.pins] + [NEAR_MM * 100])
        met = min([off(end, piece) for other in others for piece in segments(other)] + [NEAR_MM * 100])
        if min(gap, met) > EXACT_MM:
            near = f", {min(gap, met):.2f} mm short of something" if min(gap, met) <= NEAR_MM else ""
            yield f"wire {wire.claims} ends in the open at {_said(end)}{near}"


def _dots(page: Page, number: int, sets: _Sets) -> Iterator[str]:
    for joint in page.joints:
        ending, passing = [], []
        for place, wire in enumerate(page.wires):
            ends = sum(far(joint, end) <= EXACT_MM for end in (wire.points[0], wire.points[-1]))
            if ends:
                ending += [place] * ends
            elif min(off(joint, piece) for piece in segments(wire)) <= EXACT_MM:
                passing.append(place)
        for one, two in pairwise([*ending, *passing]):
            sets.join(("wire", number, one), ("wire", number, two))
        for pin in page.pins:
            if far(pin.at, joint) <= EXACT_MM:
                for one in passing:
                    sets.join(("pin", pin.name), ("wire", number, one))
        if len(passing) > 1 and not ending:
            yield f"a dot on a crossing at {_said(joint)}"
        elif not ending and not any(far(pin.at, joint) <= EXACT_MM for pin in page.pins):
            yield f"a dot at {_said(joint)} joins nothing"
    spots = [end for wire in page.wires for end in (wire.points[0], wire.points[-1])]
    told: list[Spot] = []
    for spot in spots:
        meeting = sum(far(spot, other) <= EXACT_MM for other in spots)
        pinned = any(far(pin.at, spot) <= EXACT_MM for pin in page.pins)
        dotted = any(far(joint, spot) <= EXACT_MM for joint in page.joints)
        if meeting > 2 and not pinned and not dotted and spot not in told:
            told.append(spot)
            yield f"{meeting} wires meet without a dot at {_said(spot)}"


def _said(spot: Spot) -> str:
    return f"({spot[0]:.2f}, {spot[1]:.2f})"
