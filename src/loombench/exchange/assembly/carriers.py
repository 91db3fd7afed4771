"""Boxes as carriers: their bars and joins, fuses and relays in their slots; an empty slot is an open circuit."""

import re
from collections.abc import Mapping, Sequence

from loombench.exchange.assembly.meanings import terminals
from loombench.exchange.assembly.names import near_pin
from loombench.exchange.assembly.plan import Device, Plan
from loombench.exchange.assembly.points import Points
from loombench.exchange.assembly.sheet import PartText
from loombench.exchange.harness import Fitted, Holder, Spot
from loombench.exchange.missing import RATING, Answer, Key
from loombench.vehicle.points import Point

FUSE = "fuse"
_RATING = re.compile(r"\d{1,4}(?:[.,]\d+)?\s*A|\?A", re.IGNORECASE)
_IN, _OUT = "in", "out"


def is_rating(text: str) -> bool:
    """Whether an answer is a number of amperes, or leaves it open."""
    return _RATING.fullmatch(text.strip()) is not None


def fit(device: Device, one: Fitted, answers: Mapping[Key, Answer], points: Points) -> PartText | None:
    """A fuse that is fitted, its cavities taken as its pins; None for what is no fuse of one or two contacts."""
    if one.kind != FUSE or len(one.spots) > 2:
        return None
    sides = (_OUT,) if len(one.spots) == 1 else (_IN, _OUT)
    for spot, side in zip(one.spots, sides, strict=False):
        points.fit(spot, Point(device.id, side), one.spots[0].holder)
    rating = answers.get((RATING, one.id))
    rating = rating if rating is not None and is_rating(rating.text) else None
    words = rating.text if rating is not None else "?A" if one.rating_a is None else f"{one.rating_a:g}A"
    label = one.description or (one.id if one.id != device.id else "")
    return PartText(FUSE, device.id, words, (), rating.place if rating else "", rating.label if rating and rating.label
                    else label, rating.span if rating else None)  # fmt: skip


def box_part(box: Holder, own: str, plan: Plan, points: Points, feeds: Sequence[tuple[str, str]]) -> PartText | None:
    """The carrier of a box; None where it has neither a bar nor a cavity of its own, so that its fuses stand alone.

    `feeds` are cavities that are told to feed a fuse, with the fuse's name.
    """
    rows: dict[str, None] = {}
    joined: set[str] = set()
    for number, group in enumerate(box.joined, 1):
        named = list(dict.fromkeys(_inside(points.at(Spot(box.id, cavity)), own) for cavity in group))
        named.sort(key=lambda name: "/" not in name)
        joined.update(named if len(named) > 1 else ())
        if len(named) == 2:
            rows[f"{named[0]} = {named[1]}"] = None
        elif len(named) > 2:
            rows[f"bar {_bar(box, group, plan, number)} from {named[0]} : {' '.join(named[1:])}"] = None
    for cavity, fuse in feeds:
        at = _inside(points.at(Spot(box.id, cavity)), own)
        rows[f"{at} = {fuse}.{_IN}"] = None
        joined.add(at)
    apart = [spot.cavity for spot, _ in points.apart if spot.holder == box.id]
    for cavity in (*plan.used.get(box.id, ()), *apart):
        point = points.at(Spot(box.id, cavity))
        if point.part == own and point.pin not in joined:
            rows[f"{point.pin} = {point.pin}"] = None
    if not rows:
        return None
    label = box.description or (box.name or box.id if (box.name or box.id) != own else "")
    return PartText("carrier", own, "", tuple(rows), box.place, label)


def _inside(point: Point, own: str) -> str:
    return point.pin if point.part == own else f"{point.part}.{point.pin}" if point.pin else point.part


def _bar(box: Holder, group: tuple[str, ...], plan: Plan, number: int) -> str:
    """What a bar is called: by the terminal number of a signal on it, else by its number in the box."""
    for cavity in group:
        for signal in plan.spots.get(Spot(box.id, cavity), ()):
            for field in terminals(signal)[:1]:
                return near_pin(field)
    return f"b{number}"
