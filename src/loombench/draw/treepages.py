"""Power tree and ground tree as A4 pages: a line a part, deeper ones further in, amperes and reserve beside it."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from loombench.base.ink import LINE
from loombench.base.wording import Catalogue, catalogue
from loombench.draw.shapes import END, LABEL, NAME, NOTE, THICK, THIN, Circle, Line, Rect, Shape, Text
from loombench.draw.shapesvg import number, page_svg, shapes_svg
from loombench.draw.symbols.ratings import part_rating
from loombench.draw.textwidth import fitted, text_width_mm, wrapped
from loombench.draw.trees import Branch, ground_tree, power_tree
from loombench.vehicle.model import Part, Vehicle

PAGE_MM, MARGIN_MM = (210.0, 297.0), 14.0
ROW_MM, LOAD_MM, STEP_MM = 5.4, 3.6, 6.0
TEXT_MM, SMALL_MM = 3.0, 2.6
TOP_MM = 40.0
_RATING_X, _NOW_X, _RESERVE_X, _BAR_X, _BAR_MM = 128.0, 144.0, 162.0, 166.0, 30.0
_TEXT_END = 112.0


@dataclass(frozen=True)
class Load:
    """What flows through a part: `amperes`, and `rated_a` where it has a rating, None where that is not known."""

    amperes: float | None = None
    rated_a: float | None = None


@dataclass(frozen=True)
class _Row:
    depth: int
    part: str
    label: str
    rating: str
    load: Load
    loads: tuple[str, ...]

    @property
    def height_mm(self) -> float:
        return ROW_MM + LOAD_MM * len(self.loads)


def power_pages(
    vehicle: Vehicle, through: Mapping[str, Load], state: str = "", language: str = "en"
) -> tuple[str, ...]:
    """The power tree. `through` says what flows through each part by id, `state` in which state that is."""
    words = catalogue(language)
    return _pages(words, vehicle, power_tree(vehicle), through, state, "power")


def ground_pages(
    vehicle: Vehicle, through: Mapping[str, Load], state: str = "", language: str = "en"
) -> tuple[str, ...]:
    """The ground tree; a stud, body or strap has no rating, so no reserve is told of it."""
    words = catalogue(language)
    return _pages(words, vehicle, ground_tree(vehicle), through, state, "ground")


def _pages(
    words: Catalogue, vehicle: Vehicle, tree: Branch, through: Mapping[str, Load], state: str, kind: str
) -> tuple[str, ...]:
    title = words.say(f"trees.{kind}", vehicle=vehicle.name)
    described = words.say(f"trees.{kind}-description", vehicle=vehicle.name, state=state or "–")
    said = {"power": "trees.state", "ground": "trees.state-ground"}[kind] if state else "trees.stateless"
    rows = list(_rows(words, vehicle, tree, through, 0, kind))
    pages: list[str] = []
    body = _head(words, title, words.say(said, state=state), kind)
    y = TOP_MM
    open_at: dict[int, float] = {}
    for row in rows:
        if y + row.height_mm > PAGE_MM[1] - MARGIN_MM:
            pages.append(page_svg(body, *PAGE_MM, title, described))
            body, y, open_at = _head(words, title, words.say("trees.goes-on"), kind), TOP_MM, {}
        above = open_at.get(row.depth - 1, TOP_MM - 1.0) if row.depth else 0.0
        body += _drawn(words, row, y, above)
        open_at = {depth: at for depth, at in open_at.items() if depth < row.depth} | {row.depth: y + 2.6}
        y += row.height_mm
    pages.append(page_svg(body, *PAGE_MM, title, described))
    return tuple(pages)


def _rows(
    words: Catalogue, vehicle: Vehicle, branch: Branch, through: Mapping[str, Load], depth: int, kind: str
) -> Iterator[_Row]:
    """The branches below one, each followed by its own; the strongest current first where it is known."""

    def weight(below: Branch) -> float:
        return -abs(through.get(below.part, Load()).amperes or 0.0)

    for below in sorted(branch.branches.values(), key=weight):
        part = vehicle.parts[below.part]
        loads = ", ".join(dict.fromkeys(_load_name(vehicle, via) for via in below.loads))
        room = _TEXT_END - MARGIN_MM - STEP_MM * (depth + 1)
        lead = words.say("trees.loads" if kind == "power" else "trees.returns")
        lines = wrapped(f"{lead}: {loads}", max(40.0, room), SMALL_MM, 20) if loads else ()
        rating = part_rating(part) if kind == "power" or part.kind == "strap" else ""
        yield _Row(depth, below.part, _label(part), rating, through.get(below.part, Load()), lines)
        yield from _rows(words, vehicle, below, through, depth + 1, kind)


def _label(part: Part) -> str:
    return " · ".join(text for text in (part.label, part.place) if text)


def _load_name(vehicle: Vehicle, via: str) -> str:
    """`E31 brake lamp`: the part with what it, or its element, is called."""
    name, _, element = via.partition(".")
    part = vehicle.parts[name]
    inner = next((one.label for one in part.elements if one.name == element and one.label), "")
    return f"{name} {inner or part.label}".strip()


def _head(words: Catalogue, title: str, said: str, kind: str) -> str:
    shapes: list[Shape] = [
        Text(MARGIN_MM, MARGIN_MM + 5.0, fitted(title, 180.0, 5.0, True), 5.0, role=NAME),
        Text(MARGIN_MM, MARGIN_MM + 11.0, fitted(said, 180.0, SMALL_MM), SMALL_MM, role=NOTE),
        Text(_NOW_X, TOP_MM - 5.0, words.say("trees.amperes"), SMALL_MM, END, NOTE),
    ]
    if kind == "power":
        shapes.append(Text(_RATING_X, TOP_MM - 5.0, words.say("trees.rating"), SMALL_MM, END, NOTE))
        shapes.append(Text(_RESERVE_X, TOP_MM - 5.0, words.say("trees.reserve"), SMALL_MM, END, NOTE))
    return shapes_svg(shapes)


def _drawn(words: Catalogue, row: _Row, y: float, above: float) -> str:
    x = MARGIN_MM + STEP_MM * row.depth
    base = y + 3.6
    shapes: list[Shape] = [Circle(x, y + 2.6, 0.7, filled=True)]
    if row.depth:
        shapes += [Line(x - STEP_MM, above, x - STEP_MM, y + 2.6), Line(x - STEP_MM, y + 2.6, x, y + 2.6)]
    shapes.append(Text(x + 2.0, base, fitted(row.part, 30.0, TEXT_MM, True), TEXT_MM, role=NAME))
    start = x + 3.6 + text_width_mm(fitted(row.part, 30.0, TEXT_MM, True), TEXT_MM, True)
    shapes.append(Text(start, base, fitted(row.label, max(0.0, _TEXT_END - start), SMALL_MM), SMALL_MM, role=LABEL))
    shapes += [
        Text(x + STEP_MM, base + LOAD_MM * (at + 1), line, SMALL_MM, role=NOTE) for at, line in enumerate(row.loads)
    ]
    shapes += _figures(words, row, base)
    way = f"M{number(x)} {number(y + row.height_mm)}H{number(PAGE_MM[0] - MARGIN_MM)}"
    return f'<path d="{way}" stroke="{LINE}" stroke-width="0.15"/>{shapes_svg(shapes)}'


def _figures(words: Catalogue, row: _Row, base: float) -> Iterator[Shape]:
    """Rating, amperes now and what is left, as numbers and as a bar; over the rating in words and in a thick frame."""
    now, rated = row.load.amperes, row.load.rated_a
    if row.rating:
        yield Text(_RATING_X, base, row.rating, SMALL_MM, END, LABEL)
    if now is not None:
        yield Text(_NOW_X, base, _amperes(abs(now)), SMALL_MM, END, LABEL)
    if now is None or not rated:
        return
    left = rated - abs(now)
    if left >= 0.0:
        yield Text(_RESERVE_X, base, _amperes(left), SMALL_MM, END, LABEL)
        yield Rect(_BAR_X, base - 2.3, _BAR_MM, 2.6, THIN)
        yield Rect(_BAR_X, base - 2.3, max(0.0, _BAR_MM * abs(now) / rated), 2.6, THIN, filled=True)
    else:
        yield Rect(_BAR_X, base - 2.8, _BAR_MM, 3.8, THICK)
        yield Text(_BAR_X + 1.2, base, words.say("trees.over", amperes=_amperes(-left)), SMALL_MM, role=NAME)


def _amperes(value: float) -> str:
    return "0 A" if value < 0.0005 else f"{value:.3g} A"
