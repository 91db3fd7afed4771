"""Look something up in a vehicle: a pin, part, plug, place, colour, printed number, function, or words of a label.

found = look_up(vehicle, drawings, "X12.3", words)
found.value[0]                                  what it is, where, its wires, its face, the pages it is drawn on
"""

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from loombench.app.drawing import Drawings, function_title
from loombench.base.nearest import nearest
from loombench.base.outcome import Outcome
from loombench.base.problems import Problem, error
from loombench.base.wording import Catalogue
from loombench.diagnose.place import place_of_part, place_of_point
from loombench.diagnose.safety import touchable
from loombench.draw.cavities import cavities_of
from loombench.draw.face import FaceAsked, face_svg
from loombench.draw.wirecolours import disc_svg
from loombench.text.colour import reading
from loombench.text.names import find_point
from loombench.text.tokens import plain
from loombench.vehicle.model import Part, Place, Vehicle, Wire
from loombench.vehicle.nets import Nets, nets
from loombench.vehicle.points import Point

LONGEST = 120
MOST_FOUND, MOST_WIRES, MOST_PAGES, MOST_MEMBERS = 12, 60, 8, 60
SECONDS_A_MINUTE = 60.0
_COLOUR = re.compile(r"[A-Za-z]{1,4}(?:[/-][A-Za-z]{1,4}){0,3}")
_FACELESS = ("splice", "stud", "body", "strap", "cable")


@dataclass(frozen=True)
class WireLine:
    """A wire: a disc of its colour as SVG, the letters, size and length as in the file, printed number, loom, what is
    written on it, and both ends with their places."""

    disc: str
    colour: str
    size: str
    length: str
    number: str
    loom: str
    label: str
    ends: tuple[tuple[str, str], tuple[str, str]]


@dataclass(frozen=True)
class Found:
    """One thing that is meant.

    Attributes:
        sort: pin, part, place, colour, number or function.
        name, label: what addresses it, and what is written on it or what a place's note says.
        kind: the part's kind, empty for what is no part.
        place, note, reach_min: where it is and how to get there.
        kept_off: nobody may measure on some of it.
        wires: those at it, of it or in it; `more` is how many are left out.
        members: names of parts at a place, of pins of a part.
        pages: functions it is drawn in, (key, title).
        face: the plug as SVG, with the pin marked where one is meant.
    """

    sort: str
    name: str
    label: str = ""
    kind: str = ""
    place: str = ""
    note: str = ""
    reach_min: float | None = None
    kept_off: bool = False
    wires: tuple[WireLine, ...] = ()
    more: int = 0
    members: tuple[str, ...] = ()
    pages: tuple[tuple[str, str], ...] = ()
    face: str = ""


def look_up(vehicle: Vehicle, drawings: Drawings, text: str, words: Catalogue) -> Outcome[tuple[Found, ...]]:
    """What a text can mean, the exact names first; with the nearest name where it means nothing."""
    said = plain(text).strip()[:LONGEST]
    if not said:
        return Outcome(())
    look = _Look(vehicle, drawings, words, nets(vehicle))
    exact = [*look.pins(said), *look.parts(said), *look.places(said), *look.numbers(said), *look.colours(said)]
    loose = [] if exact else [*look.functions(said), *look.labelled(said)]
    found = tuple(exact or loose)[:MOST_FOUND]
    return Outcome(found, () if found else (_nothing(vehicle, said),))


def asks_which(vehicle: Vehicle, text: str) -> tuple[str, str] | None:
    """The place or part and the colour where a text names both (`dash GY/RD`): it asks which wire that is."""
    pieces = plain(text).strip()[:LONGEST].split()
    known = {name.casefold(): name for name in (*vehicle.parts, *vehicle.places)}
    where = [known[piece.casefold()] for piece in pieces if piece.casefold() in known]
    colours = [piece for piece in pieces if piece.casefold() not in known and _is_colour(vehicle, piece)]
    return (where[0], ",".join(colours)) if len(where) == 1 and colours and len(pieces) == 1 + len(colours) else None


def _is_colour(vehicle: Vehicle, text: str) -> bool:
    return bool(_COLOUR.fullmatch(text)) and bool(reading(vehicle.colours, text.upper()).candidates)


def _nothing(vehicle: Vehicle, said: str) -> Problem:
    known = dict.fromkeys(
        (*vehicle.parts, *vehicle.places, *(one.label for one in vehicle.parts.values() if one.label))
    )
    return error("look-up-nothing", text=said[:60], nearest=nearest(said, known))


@dataclass(frozen=True)
class _Look:
    """A vehicle that is looked through."""

    vehicle: Vehicle
    drawings: Drawings
    words: Catalogue
    nets: Nets

    def pins(self, said: str) -> Iterator[Found]:
        """The pin of that name; of a connector's cavity both halves that have wires."""
        name, mark, rest = said.partition(".") if "." in said else said.partition("/")
        part = self._part(name)
        if part is None or not mark:
            return
        halves = [half for half in part.halves if f"@{half}" in said] or list(part.halves) or [""]
        for half in halves:
            pin = rest.partition("@")[0]
            asked = f"{part.id}{mark}{pin}@{half}" if half else f"{part.id}{mark}{pin}"
            point = find_point(self.vehicle, asked).value
            if point is not None:
                yield self._pin(part, point)

    def parts(self, said: str) -> Iterator[Found]:
        """The part of that name."""
        part = self._part(said)
        if part is not None:
            yield self._whole(part)

    def places(self, said: str) -> Iterator[Found]:
        """The place of that name."""
        place = next((one for one in self.vehicle.places.values() if one.id.casefold() == said.casefold()), None)
        if place is not None:
            yield self._place(place)

    def numbers(self, said: str) -> Iterator[Found]:
        """Wires with that number printed on them."""
        wanted = said.removeprefix("#").casefold()
        wires = [wire for wire in self.vehicle.wires if wire.number and wire.number.casefold() == wanted]
        if wires:
            yield self._found("number", f"#{wires[0].number}", wires)

    def colours(self, said: str) -> Iterator[Found]:
        """Wires of that colour."""
        if not _is_colour(self.vehicle, said):
            return
        meant = {(one.main, *one.stripes) for one in reading(self.vehicle.colours, said.upper()).candidates}
        wires = [wire for wire in self.vehicle.wires if wire.colour.words in meant]
        if wires:
            yield self._found("colour", said.upper(), wires, label=" / ".join(wires[0].colour.words))

    def functions(self, said: str) -> Iterator[Found]:
        """Functions whose name holds the words."""
        for one in self.drawings.functions:
            title = function_title(one, self.words)
            if _holds(title, said):
                label = ", ".join(one.loads)
                yield Found("function", title, label, members=one.parts[:MOST_MEMBERS], pages=((one.key, title),))

    def labelled(self, said: str) -> Iterator[Found]:
        """Parts and places on which the words are written."""
        for part in self.vehicle.parts.values():
            if _holds(f"{part.label} {' '.join(inner.label for inner in part.elements)}", said):
                yield self._whole(part)
        for place in self.vehicle.places.values():
            if _holds(f"{place.id} {place.note}", said):
                yield self._place(place)

    def _part(self, name: str) -> Part | None:
        wanted = name.casefold()
        return self.vehicle.parts.get(name) or next(
            (part for part in self.vehicle.parts.values() if part.id.casefold() == wanted), None
        )

    def _pin(self, part: Part, point: Point) -> Found:
        wires = self.vehicle.wires_at.get(point, ())
        plug, mark, cavity = point.pin.rpartition("/")
        face = self._face(part, plug if mark else "", point.half, cavity if mark else point.pin)
        touched = [point]
        return self._found("pin", str(point), wires, part=part, face=face, touched=touched)

    def _whole(self, part: Part) -> Found:
        wires = [wire for wire in self.vehicle.wires if part.id in (wire.a.part, wire.b.part)]
        ends = [end for wire in wires for end in (wire.a, wire.b) if end.part == part.id]
        plugs = [plug for plug in part.plugs if plug]
        face = self._face(part, plugs[0] if len(plugs) == 1 else "", part.halves[0] if part.halves else "", "")
        # The pins of a part with several plugs are better looked up one by one.
        members = tuple(dict.fromkeys(f"{end}" for end in ends))[:MOST_MEMBERS]
        return self._found("part", part.id, wires, part=part, face=face, touched=ends, members=members)

    def _place(self, place: Place) -> Found:
        there = [part.id for part in self.vehicle.parts.values() if place_of_part(self.vehicle, part.id) == place.id]
        wires = [
            wire
            for wire in self.vehicle.wires
            if place.id in (*wire.via, place_of_point(self.vehicle, wire.a), place_of_point(self.vehicle, wire.b))
        ]
        return self._found("place", place.id, wires, members=tuple(there[:MOST_MEMBERS]), where=place.id)

    def _face(self, part: Part, plug: str, half: str, cavity: str) -> str:
        cavities = cavities_of(part, plug)
        if part.kind in _FACELESS or part.holder or not cavities or (cavity and cavity not in cavities):
            return ""
        return face_svg(self.vehicle, FaceAsked(part.id, plug, half, cavity), self.words.language)

    def _found(
        self,
        sort: str,
        name: str,
        wires: Sequence[Wire],
        *,
        part: Part | None = None,
        label: str = "",
        face: str = "",
        touched: Iterable[Point] = (),
        members: tuple[str, ...] = (),
        where: str = "",
    ) -> Found:
        where = where or (place_of_part(self.vehicle, part.id) if part is not None else "")
        place = self.vehicle.places.get(where)
        points = [*touched, *(end for wire in wires for end in (wire.a, wire.b))]
        return Found(
            sort, name, (part.label if part is not None else label), part.kind if part is not None else "", where,
            place.note if place is not None else "", place.reach_s / SECONDS_A_MINUTE if place is not None else None,
            not all(touchable(self.vehicle, self.nets, point) for point in dict.fromkeys(points)),
            tuple(self._line(wire) for wire in wires[:MOST_WIRES]), max(0, len(wires) - MOST_WIRES), members,
            self._pages(wires, part), face,
        )  # fmt: skip

    def _line(self, wire: Wire) -> WireLine:
        known = (wire.size_text or f"{wire.area_mm2.nominal:g} mm2").replace("mm2", " mm²")
        size = "?" if "size" in wire.assumed else " ".join(known.split())
        length = f"{wire.length_m.nominal:g} m" if wire.length_m.known else "?"
        one, two = ((str(end), place_of_point(self.vehicle, end)) for end in (wire.a, wire.b))
        disc = disc_svg(wire.colour.words, 2.5, 2.5, 2.2)
        return WireLine(disc, str(wire.colour), size, length, wire.number, wire.loom, wire.label, (one, two))

    def _pages(self, wires: Sequence[Wire], part: Part | None) -> tuple[tuple[str, str], ...]:
        named = {one.key: one for wire in wires for one in self.drawings.of_wire.get(wire.id, ())}
        if not named and part is not None:
            named = {one.key: one for one in self.drawings.functions if part.id in one.parts}
        nearest_first = sorted(named.values(), key=lambda one: (len(one.parts), one.key))
        return tuple((one.key, function_title(one, self.words)) for one in nearest_first[:MOST_PAGES])


def _holds(text: str, said: str) -> bool:
    known = _pieces(text)
    return all(any(name.startswith(piece) for name in known) for piece in _pieces(said)) and bool(_pieces(said))


def _pieces(text: str) -> tuple[str, ...]:
    return tuple(word.removesuffix("s") for word in re.findall(r"[^\W_]+", text.casefold()))
