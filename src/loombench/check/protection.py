"""Which fuse limits the current in each wire, and rules about it.

A wire is limited by the greatest current that any way from a battery lets through, and a way by its smallest fuse. A
way through a control holds its positions: two pins are only joined if one position joins them, and it does not go
through the same part twice running.
"""

import heapq
import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from types import MappingProxyType

from loombench.base.problems import Problem, note, warning
from loombench.check.ampacity import ampacity_a, ampacity_source
from loombench.check.view import View, some, spans
from loombench.vehicle.graph import PROTECTION, Link
from loombench.vehicle.model import Part, Wire
from loombench.vehicle.points import Point

LEAST_AREA_MM2 = 0.01
SHORT_M = 0.2
"""A lead of up to this length to the first fuse is taken as protected: 150 to 200 mm is usual, from memory."""


@dataclass(frozen=True)
class Limit:
    """What limits a wire: the rating and the fuse's name; infinite and empty where nothing does."""

    rated_a: float
    fuse: str


def rating_a(view: View, link: Link) -> float | None:
    """The rating of a fuse, link, breaker or cut-out; None where it is not known."""
    part = view.vehicle.parts[link.a.part]
    pins = {link.a.pin, link.b.pin}
    for element in part.elements:
        if set(element.pins[:2]) == pins:
            band = element.params.get("rated_a") or part.params.get("rated_a")
            return band.nominal if band is not None and band.known and band.nominal > 0.0 else None
    return None


def limits(view: View) -> Mapping[str, Limit]:
    """The limit of each wire that a way from a battery's plus leads over; wires of the ground side are not in it."""
    best: dict[tuple[Point, str], float] = {}
    found: dict[str, Limit] = {}
    queue: list[tuple[float, int, Point, str, str, Link | None]] = []
    for count, source in enumerate(view.mains):
        heapq.heappush(queue, (-math.inf, count, source.a, "", "", None))
    count = len(queue)
    while queue:
        negative, _, point, last, fuse, by = heapq.heappop(queue)
        if (point, last) in best:
            continue
        best[point, last] = -negative
        for link in view.table.get(point, ()):
            end = link.other(point)
            # Back by the same wire would make a control forget where it was entered.
            if (
                link is by
                or link.kind in ("load", "source")
                or view.on_ground(end)
                or (link.one_way and link.a != point)
            ):
                continue
            part = link.a.part if link.kind == "switch" else ""
            if part and part == last:
                continue
            through, name = -negative, fuse
            if link.kind == "wire":
                found.setdefault(link.via, Limit(through, fuse))
            elif link.kind == "protection":
                # A fuse of unknown rating protects somehow; it is not judged.
                rated = rating_a(view, link)
                if rated is None or rated < through:
                    through, name = (-1.0 if rated is None else rated), link.via
            for stop in (end, *_same_position(view, link, point, end)):
                if (stop, part) not in best and not view.on_ground(stop):
                    count += 1
                    heapq.heappush(queue, (-through, count, stop, part, name, link))
    return MappingProxyType(found)


def _same_position(view: View, link: Link, start: Point, end: Point) -> list[Point]:
    """Pins that a position of the link's control joins with both ends, besides these."""
    control = view.vehicle.controls.get(link.via) if link.kind == "switch" else None
    found: dict[Point, None] = {}
    for position in control.positions if control else ():
        joined = {start.pin}
        if (start.pin, end.pin) not in position.pairs and (end.pin, start.pin) not in position.pairs:
            continue
        for _ in position.pairs:
            joined |= {pin for pair in position.pairs if joined & set(pair) for pin in pair}
        found.update(dict.fromkeys(Point(start.part, pin) for pin in sorted(joined - {start.pin, end.pin})))
    return list(found)


def fuse_above_wire(view: View) -> Iterator[Problem]:
    """Fuses rated above what the smallest wire behind them carries: the wire burns before the fuse opens."""
    worst: dict[str, tuple[float, Wire, Limit]] = {}
    for via, limit in limits(view).items():
        wire = view.vehicle.wire_by_id[via]
        if not (0.0 < limit.rated_a < math.inf) or not wire.area_mm2.known:
            continue
        carries = ampacity_a(max(wire.area_mm2.nominal, LEAST_AREA_MM2))
        if limit.rated_a > carries and (limit.fuse not in worst or carries < worst[limit.fuse][0]):
            worst[limit.fuse] = (carries, wire, limit)
    for fuse, (carries, wire, limit) in worst.items():
        yield warning(
            "fuse-above-wire", *spans((_part_of(view, fuse), wire)),
            fuse=fuse, rating=f"{limit.rated_a:g} A", wire=wire.id,
            size=wire.size_text or f"{wire.area_mm2.nominal:g} mm2", carries=f"{carries:.3g} A",
            source=ampacity_source(),
        )  # fmt: skip


def unprotected(view: View) -> Iterator[Problem]:
    """One note with the wires between a battery's plus and the first fuse, but for a short lead to a fuse."""
    found = [view.vehicle.wire_by_id[via] for via, limit in limits(view).items() if limit.rated_a == math.inf]
    wires = [wire for wire in found if not _short_to_fuse(view, wire)]
    if wires:
        yield note(
            "wire-unprotected", *spans(wires), wires=some(wire.id for wire in wires), count=len(wires),
            length=f"{SHORT_M:g} m",
        )  # fmt: skip


def _short_to_fuse(view: View, wire: Wire) -> bool:
    parts = [view.part(wire.a), view.part(wire.b)]
    near = any(part is not None and part.kind in PROTECTION for part in parts)
    return near and wire.length_m.high <= SHORT_M


def _part_of(view: View, name: str) -> Part | None:
    return view.vehicle.parts.get(name) or view.vehicle.parts.get(name.rpartition(".")[0])
