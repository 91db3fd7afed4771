"""The plan of a vehicle: its outline from above, a numbered mark for each place, the looms between them, and a list of
how to get there, how long that takes and what is there."""

from collections.abc import Iterator
from dataclasses import dataclass

from loombench.base.ink import QUIET
from loombench.base.wording import Catalogue, catalogue
from loombench.draw.loomways import LoomWay, loom_ways, loom_ways_svg
from loombench.draw.outlines import OUTLINES, Outline, form_of
from loombench.draw.placing import Field, held, loom_places, placed, said
from loombench.draw.shapes import LABEL, MIDDLE, NAME, NOTE, THICK, THIN, Circle, Line, Polyline, Rect, Shape, Text
from loombench.draw.shapesvg import number, page_svg, shapes_svg
from loombench.draw.textwidth import fitted, text_width_mm, wrapped
from loombench.vehicle.model import Place, Vehicle

PAGE_MM = (210.0, 297.0)
MARGIN_MM = 14.0
PLAN_TOP_MM, PLAN_WIDTH_MM = 38.0, 52.0
TRAILER_GAP_MM = 6.0
MARK_R_MM = 2.6
TEXT_MM, LINE_MM = 2.7, 3.7
_PREFIX = "::"


@dataclass(frozen=True)
class _Row:
    """A row of the list: its height follows from its lines."""

    number: str
    name: str
    minutes: str
    lines: tuple[tuple[str, str], ...]

    @property
    def height_mm(self) -> float:
        return LINE_MM * max(1, len(self.lines)) + 1.3


def places_svg(vehicle: Vehicle, wanted: frozenset[str] = frozenset(), language: str = "en") -> tuple[str, ...]:
    """The plan as A4 pages, the list going on where it is long; `wanted` places are ringed."""
    words = catalogue(language)
    fields = _fields(vehicle)
    known = [place for place in vehicle.places.values() if said(place)]
    numbers = {place.id: str(at) for at, place in enumerate(known, 1)}
    marks = placed((place.id, fields[_stem(place.id)].spot(place)) for place in known)
    plan, y = _plan(words, vehicle, fields, marks, numbers, wanted)
    here = held(vehicle)
    rows = [_row(words, place, numbers[place.id], here.get(place.id, ())) for place in known]
    away = [_row(words, place, "–", here.get(place.id, ())) for place in _unsaid(vehicle)]
    title = words.say("places.title", vehicle=vehicle.name)
    facts = {"vehicle": vehicle.name, "count": str(len(known))}
    description = words.say("places.description", **facts)
    pages: list[str] = []
    body = plan
    lines: list[_Row | str] = list(rows)
    if away:
        lines += [words.say("places.unsaid"), *away]
    for line in lines:
        height = LINE_MM + 2.0 if isinstance(line, str) else line.height_mm
        if y + height > PAGE_MM[1] - MARGIN_MM:
            pages.append(page_svg(body, *PAGE_MM, title, description))
            body, y = _heading(title), MARGIN_MM + 12.0
        body += _line_svg(line, y, wanted)
        y += height
    pages.append(page_svg(body, *PAGE_MM, title, description))
    return tuple(pages)


def _stem(name: str) -> str:
    """The vehicle a name is of: empty for the first, the file's name of one that is plugged in."""
    return name.partition(_PREFIX)[0] if _PREFIX in name else ""


def _unsaid(vehicle: Vehicle) -> list[Place]:
    return [place for place in vehicle.places.values() if not said(place)]


def _fields(vehicle: Vehicle) -> dict[str, Field]:
    """Where the vehicle and those plugged in lie, one behind the other."""
    stems = list(dict.fromkeys(["", *(_stem(name) for name in vehicle.places)]))
    room = PAGE_MM[0] - 2 * MARGIN_MM - TRAILER_GAP_MM * (len(stems) - 1)
    share = room / (1.0 + 0.45 * (len(stems) - 1))
    found: dict[str, Field] = {}
    x = MARGIN_MM
    for stem in stems:
        length = share if not stem else 0.45 * share
        found[stem] = Field(x, PLAN_TOP_MM, length, PLAN_WIDTH_MM)
        x += length + TRAILER_GAP_MM
    return found


def _heading(title: str) -> str:
    return shapes_svg([Text(MARGIN_MM, MARGIN_MM + 5.0, fitted(title, 180.0, 5.0, True), 5.0, role=NAME)])


def _plan(
    words: Catalogue,
    vehicle: Vehicle,
    fields: dict[str, Field],
    marks: dict[str, tuple[float, float]],
    numbers: dict[str, str],
    wanted: frozenset[str],
) -> tuple[str, float]:
    """The upper part of the first page, and where it ends."""
    form, assumed = form_of(vehicle)
    shapes: list[Shape] = []
    for stem, field in fields.items():
        shapes += _outline(OUTLINES["trailer" if stem else form], field)
        if stem:
            text = words.say("places.trailer", name=stem)
            shapes.append(Text(field.x_mm, PLAN_TOP_MM + PLAN_WIDTH_MM + 5.0, text, TEXT_MM, role=NOTE))
    middle = MARGIN_MM + 20.0
    shapes.append(Text(MARGIN_MM, PLAN_TOP_MM - 2.4, words.say("places.front"), TEXT_MM, role=NOTE))
    shapes.append(Text(middle, PLAN_TOP_MM - 2.4, words.say("places.right"), TEXT_MM, role=NOTE))
    shapes.append(Text(middle, PLAN_TOP_MM + PLAN_WIDTH_MM + 5.0, words.say("places.left"), TEXT_MM, role=NOTE))
    note = words.say("places.form-assumed" if assumed else "places.form-said")
    intro = [*wrapped(words.say("places.legend"), 182.0, TEXT_MM, 2), *wrapped(note, 182.0, TEXT_MM, 1)]
    for at, line in enumerate(intro):
        shapes.append(Text(MARGIN_MM, MARGIN_MM + 10.0 + LINE_MM * at, line, TEXT_MM, role=NOTE))
    coming = {loom: [marks[name] for name in names if name in marks] for loom, names in loom_places(vehicle).items()}
    ways = loom_ways(coming)
    body = (
        _heading(words.say("places.title", vehicle=vehicle.name))
        + shapes_svg(shapes)
        + loom_ways_svg(ways, tuple(marks.values()))
    )
    here = held(vehicle)
    for name, (x, y) in marks.items():
        body += shapes_svg(_mark(vehicle, here.get(name, ()), numbers[name], x, y, name in wanted))
    y = PLAN_TOP_MM + PLAN_WIDTH_MM + 9.0
    drawn, y = _loom_list(words, ways, y)
    return body + drawn, y


def _outline(outline: Outline, field: Field) -> Iterator[Shape]:
    middle, half = field.y_mm + field.width_mm / 2.0, field.width_mm / 2.0 * min(1.0, outline.slim)

    def at(point: tuple[float, float]) -> tuple[float, float]:
        return field.x_mm + point[0] * field.length_mm, middle + point[1] * half

    for along, across, size in outline.wheels:
        x, y = at((along - size / 2.0, across))
        yield Rect(x, y - 2.6, size * field.length_mm, 5.2, THIN, 1.0)
    yield Polyline(tuple(at(point) for point in outline.body), closed=True)
    for line in outline.lines:
        yield Polyline(tuple(at(point) for point in line), THIN)


def _mark(vehicle: Vehicle, names: tuple[str, ...], shown: str, x: float, y: float, wanted: bool) -> Iterator[Shape]:
    kinds = {vehicle.parts[name].kind for name in names if name in vehicle.parts}
    if wanted:
        yield Circle(x, y, MARK_R_MM + 1.1, THICK, cover=True)
    yield Circle(x, y, MARK_R_MM, cover=True)
    yield Text(x, y + 0.95, shown, 2.6, MIDDLE, NAME)
    if "stud" in kinds:
        yield Line(x - 1.6, y + MARK_R_MM + 0.3, x + 1.6, y + MARK_R_MM + 0.3)
        for dx in (-1.2, -0.2, 0.8):
            yield Line(x + dx, y + MARK_R_MM + 0.3, x + dx - 0.5, y + MARK_R_MM + 1.0, THIN)
    if "connector" in kinds:
        yield Rect(x + MARK_R_MM - 0.9, y - MARK_R_MM - 0.5, 1.5, 1.5, THIN, filled=True)


def _loom_list(words: Catalogue, ways: tuple[LoomWay, ...], y: float) -> tuple[str, float]:
    """Letter, line and name of each loom drawn, side by side."""
    if not ways:
        return "", y + 2.0
    drawn = shapes_svg([Text(MARGIN_MM, y + LINE_MM, words.say("places.looms"), TEXT_MM, role=NAME)])
    x = MARGIN_MM + 14.0
    y += LINE_MM
    for way in ways:
        name = fitted(way.name, 40.0, TEXT_MM)
        width = 15.0 + text_width_mm(name, TEXT_MM)
        if x + width > PAGE_MM[0] - MARGIN_MM:
            x, y = MARGIN_MM + 14.0, y + LINE_MM
        drawn += f'<path d="M{number(x + 3.4)} {number(y - 0.9)}h7" {way.stroke}/>'
        drawn += shapes_svg([Text(x, y, way.letter, TEXT_MM), Text(x + 11.2, y, name, TEXT_MM)])
        x += width
    return drawn, y + 4.0


def _row(words: Catalogue, place: Place, shown: str, things: tuple[str, ...]) -> _Row:
    minutes = words.say("places.minutes", minutes=f"{place.reach_s / 60.0:.2g}")
    level = [words.say(f"places.{place.level}")] if place.level else []
    level = [text for text in level if text not in place.note]
    careful = (words.say("places.fuel"),) if {"fuel", "gas"} & set(place.surroundings) else ()
    opens = (words.say("places.opens", opens=", ".join(place.opens)),) if place.opens else ()
    way = "; ".join([*careful, *((place.note,) if place.note else ()), *opens, *level, *place.surroundings])
    lines = [(line, LABEL) for line in wrapped(way, 116.0, TEXT_MM, 2)]
    lines += [(line, NOTE) for line in wrapped(" ".join(things), 116.0, TEXT_MM, 6)]
    return _Row(shown, place.id, minutes, tuple(lines))


def _line_svg(line: _Row | str, y: float, wanted: frozenset[str]) -> str:
    if isinstance(line, str):
        return shapes_svg([Text(MARGIN_MM, y + LINE_MM + 1.0, line, TEXT_MM, role=NAME)])
    first = y + LINE_MM
    role = NAME if line.name in wanted else LABEL
    shapes: list[Shape] = [
        Text(MARGIN_MM + 5.0, first, line.number, TEXT_MM, "end", NAME),
        Text(MARGIN_MM + 8.0, first, fitted(line.name, 34.0, TEXT_MM), TEXT_MM, role=role),
        Text(MARGIN_MM + 56.0, first, line.minutes, TEXT_MM, "end"),
    ]
    shapes += [
        Text(MARGIN_MM + 60.0, first + LINE_MM * at, text, TEXT_MM, role=style)
        for at, (text, style) in enumerate(line.lines)
    ]
    base = y + line.height_mm - 0.1
    way = f"M{number(MARGIN_MM)} {number(base)}H{number(PAGE_MM[0] - MARGIN_MM)}"
    return shapes_svg(shapes) + f'<path d="{way}" stroke="{QUIET}" stroke-width="0.1"/>'
