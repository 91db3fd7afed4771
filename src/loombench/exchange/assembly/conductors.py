"""The wires of a harness as wires of the vehicle: colours in one system, taps, bridges, open ends, cables."""

import re
from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field, replace
from itertools import pairwise

from loombench.base.band import Band
from loombench.base.problems import Level
from loombench.base.wording import catalogue
from loombench.exchange.assembly.couplings import MAIN
from loombench.exchange.assembly.names import RESERVED_IN_LINES, near_name, unique
from loombench.exchange.assembly.plan import Plan
from loombench.exchange.assembly.points import Points
from loombench.exchange.assembly.sheet import PartText, PlaceText
from loombench.exchange.colours import meaning
from loombench.exchange.harness import BOX, CONNECTOR, DEVICE, SPLICE, ColourText, Harness, Holder, Segment, Spot, Wire
from loombench.exchange.report import Notes
from loombench.facts.colour import SYSTEMS, write_colour
from loombench.facts.typical import typical
from loombench.vehicle import model
from loombench.vehicle.points import Point

BRIDGE_M, LEAST_M, MOST_M = 0.01, 0.001, 500.0
"""A bridge within a connector is written with this length: short, since a length of nothing is none."""
LEAST_MM2, MOST_MM2 = 0.01, 500.0
_AWG = re.compile(r"(\d(?:/0)|\d{1,2})\s*AWG", re.IGNORECASE)
_ODD = re.compile(r"[\s()|=:\"“”„‟«»″,#]+")
_QUOTES = str.maketrans(dict.fromkeys('“”„‟«»″"', "'"))
_LONGEST = 80
UNCOLOURED = model.Colour()


def say(key: str, **facts: object) -> str:
    """The words of a label that the files have not."""
    return catalogue().say(f"import.label.{key}", **facts)


def plain_text(text: str, most: int = _LONGEST) -> str:
    """A text as a label may hold it: one line, no quotes, no control characters."""
    kept = text.translate(_QUOTES)
    if not kept.isprintable():
        kept = "".join(mark if mark.isprintable() else " " for mark in kept)
    return " ".join(kept.split())[:most].rstrip()


def colour_system(harness: Harness) -> str:
    """The system most colours of a harness are in."""
    counts = Counter(one.colour.system for one in harness.wires if one.colour.system in SYSTEMS)
    return max(counts, key=lambda name: (counts[name], -SYSTEMS.index(name)), default=SYSTEMS[0])


@dataclass
class Conductors:
    """Makes the wires of one assembly; local to it. `cables` and `places` are what the wires made so far need."""

    harness: Harness
    plan: Plan
    points: Points
    notes: Notes
    system: str
    cables: dict[str, tuple[str, bool]] = field(default_factory=dict)
    places: dict[str, PlaceText] = field(default_factory=dict)
    _used_places: dict[str, int] = field(default_factory=dict)
    _segments: dict[str, Segment] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self._segments = {one.id: one for one in self.harness.segments}

    def wires(self) -> Iterator[model.Wire]:
        """All wires, those of each loom together, then the bridges."""
        by_loom: dict[str, list[Wire]] = {}
        for one in self.harness.wires:
            by_loom.setdefault(one.loom, []).append(one)
        for ones in by_loom.values():
            for one in ones:
                yield from self._of(one)
        yield from self._bridges()

    def loom(self, name: str) -> str:
        """The name of a loom as the notation takes it."""
        return self.plan.looms.get(name) or self.plan.looms.get("") or MAIN

    def place(self, text: str) -> str:
        """The place of that name, made with it; empty for an empty text."""
        said = plain_text(text)
        return self._place(said, said, said) if said else ""

    def _place(self, key: str, name: str, note: str) -> str:
        if key not in self.places:
            own = unique(near_name(name, "P", RESERVED_IN_LINES), self._used_places)
            self.places[key] = PlaceText(own, note if note != own else "")
        return self.places[key].id

    def _of(self, one: Wire) -> Iterator[model.Wire]:
        loom = self.loom(one.loom)
        ends = [self._end(one, index) for index in range(len(one.ends))]
        if len(ends) < 2:
            ends += [self._open(one, index) for index in range(len(ends), 2)]
        stretches = list(pairwise(ends))
        tapped = len(stretches) > 1
        colour, colour_label = self._colour(one.colour)
        length_m = None if tapped else one.length_m
        labels = [one.signal or one.clamp, "" if one.remark == one.signal else one.remark]
        labels += [say("colour", text=colour_label)] if colour_label else []
        labels += [say("shield")] if one.shield else []
        if tapped:
            labels.append(say("tapped-of", length=f"{one.length_m:g}") if one.length_m else say("tapped"))
        for a, b in stretches:
            if a == b:
                self.notes.add("import-wire-loop", Level.WARNING, one.span, wire=one.number or one.id, point=a)
                continue
            if a.half and b.half and a.half != b.half:
                self.notes.add("import-wire-looms", Level.WARNING, one.span, wire=one.number or one.id, one=a, two=b)
                continue
            area, length = _band(one.area_mm2, LEAST_MM2, MOST_MM2), _length(length_m)
            unknown = tuple(name for name, band in (("size", area), ("length", length)) if band is None)
            nothing = Band(1.0, 1.0, 1.0)
            yield model.Wire(
                "", a, b, colour, area or nothing, length or nothing, _size_text(one.size_text),
                _ODD.sub("-", one.number).strip("-")[:_LONGEST], a.half or b.half or loom,
                tuple(self._via(name) for name in one.segments), self._cable(one), unknown,
                plain_text(", ".join(text for text in labels if text)), one.span,
            )  # fmt: skip

    def _end(self, one: Wire, index: int) -> Point:
        spot = one.ends[index].spot
        if spot is None:
            return self._open(one, index)
        point = self.points.at(spot)
        return replace(point, half=self.loom(one.loom)) if spot.holder in self.plan.two_sided else point

    def _open(self, one: Wire, index: int) -> Point:
        name = one.number or one.id
        return self.points.open_end(f"{name}{'' if index else 'a'}", say("open-end-of", wire=name))

    def _colour(self, said: ColourText) -> tuple[model.Colour, str]:
        """The colour where it is certain and the sheet's system has letters for it, else none and what to label."""
        found = meaning(said)
        if found is None:
            return UNCOLOURED, "/".join(said.parts)
        if write_colour(self.system, found.main, found.stripes) is None:
            return UNCOLOURED, str(found)
        return model.Colour((found.main, *found.stripes)), ""

    def _via(self, name: str) -> str:
        known = self.places.get(f"segment {name}")
        if known is not None:
            return known.id
        segment = self._segments.get(name)
        if segment is None:
            return self._place(f"segment {name}", name, "")
        ends = say("segment", start=segment.start, end=segment.end) if segment.start and segment.end else ""
        words = [ends, segment.protection, f"{segment.length_m:g} m" if segment.length_m else ""]
        return self._place(f"segment {name}", name, plain_text(", ".join(word for word in words if word)))

    def _cable(self, one: Wire) -> str:
        name = one.cable or one.twist
        if not name:
            return ""
        if name not in self.cables:
            self.cables[name] = (self.plan.names.give(name, "cable", "C"), False)
        own, twisted = self.cables[name]
        self.cables[name] = (own, twisted or bool(one.twist))
        return own

    def cable_parts(self) -> Iterator[PartText]:
        """The cables that the wires made so far are in."""
        for own, twisted in self.cables.values():
            yield PartText("cable", own, "twisted" if twisted else "")

    def _bridges(self) -> Iterator[model.Wire]:
        """Terminals in several cavities, and cavities joined inside a connector, as short wires."""
        kinds = {item.id: item for item in self.harness.holders}
        together: list[tuple[Holder, tuple[str, ...], str]] = [
            (kinds[one.holder], one.cavities, say("bridge")) for one in self.harness.contacts
            if len(one.cavities) > 1 and one.holder in kinds
        ]  # fmt: skip
        for item in self.harness.holders:
            if item.kind not in (BOX, SPLICE):
                together.extend((item, group, say("joined")) for group in item.joined)
        for item, cavities, label in together:
            spots = [Spot(item.id, cavity) for cavity in cavities]
            points = list(dict.fromkeys(self._halved(spot) for spot in spots if spot in self.plan.spots))
            loom = self.loom(item.looms[0] if item.looms else "")
            yield from (_bridge(points[0], other, other.half or loom, label) for other in points[1:])
        for spot, point in self.points.apart:
            yield _bridge(self.points.at(spot), point, self.loom(""), say("joined"))

    def _halved(self, spot: Spot) -> Point:
        """A spot's point; where two looms meet in it, in the half of the first."""
        point = self.points.at(spot)
        return replace(point, half=self.plan.two_sided[spot.holder]) if spot.holder in self.plan.two_sided else point


def _bridge(one: Point, other: Point, loom: str, label: str) -> model.Wire:
    short = Band(BRIDGE_M, BRIDGE_M, BRIDGE_M)
    return model.Wire("", one, other, UNCOLOURED, short, short, loom=loom, assumed=("size",), label=label)


def battery_cable(minus: Point, ring: Point) -> model.Wire:
    """The wire from a battery's minus to its stud, which is in no harness file: sizes and lengths in use."""
    length, area = typical("assumed", "wire.battery-minus.length_m"), typical("assumed", "wire.battery-minus.area_mm2")
    return model.Wire(
        "", minus, ring, UNCOLOURED, Band(area.value, area.low, area.high), Band(length.value, length.low, length.high),
        label=say("assumed"),
    )  # fmt: skip


def _band(value: float | None, least: float, most: float) -> Band | None:
    if value is None or not least <= value <= most:
        return None
    rounded = round(value, 6)
    return Band(rounded, rounded, rounded)


def _length(length_m: float | None) -> Band | None:
    """A length of nothing is a jumper within a connector."""
    return _band(BRIDGE_M if length_m == 0 else length_m, LEAST_M, MOST_M)


def _size_text(text: str) -> str:
    found = _AWG.fullmatch(text.strip())
    return f"{found[1]}AWG" if found else ""


def not_held(harness: Harness) -> Iterable[tuple[str, int]]:
    """What the notation has no place for, with how often it is there."""
    counts = Counter[str]()
    used: set[str] = {mating.a for mating in harness.matings} | {mating.b for mating in harness.matings}
    for wire in harness.wires:
        counts["wire types"] += bool(wire.type)
        used.update(end.spot.holder for end in wire.ends if end.spot is not None)
    for contact in harness.contacts:
        counts["terminals"] += bool(contact.terminal)
        counts["seals"] += bool(contact.seal)
    for holder in harness.holders:
        counts["part numbers"] += bool(holder.part_number)
        counts["connectors without wires"] += holder.kind in (CONNECTOR, DEVICE) and holder.id not in used
    return tuple((name, number) for name, number in sorted(counts.items()) if number)
