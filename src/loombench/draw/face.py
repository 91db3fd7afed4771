"""The face of a plug, drawn from the side somebody looks at, with what is known of how it opens in words below it."""

from collections.abc import Iterator
from dataclasses import dataclass

from loombench.base.wording import Catalogue, catalogue
from loombench.draw.cavities import cavities_of, face_of, spots
from loombench.draw.facewords import caution, face_words, is_blind
from loombench.draw.pinout import PinRow, pin_rows
from loombench.draw.shapes import (
    LABEL,
    MIDDLE,
    NAME,
    NOTE,
    PIN_NAME,
    THICK,
    THIN,
    Circle,
    Line,
    Polyline,
    Rect,
    Shape,
    Text,
    moved,
)
from loombench.draw.shapesvg import page_svg, shape_svg, shapes_svg
from loombench.draw.textwidth import fitted, text_width_mm, wrapped
from loombench.draw.wirecolours import disc_svg
from loombench.vehicle.face import Face
from loombench.vehicle.model import Vehicle

CELL_MM, ROW_MM, ROUND_MM = 12.0, 17.0, 17.0
MARGIN_MM, PAD_MM, TAB_MM = 6.0, 4.0, 4.0
LEAST_MM = 130.0
TEXT_MM = 3.0
LINE_MM = 4.2
LETTERS_MM = 2.6
_HOLE_MM = 3.2
_DISC_MM = 2.6


@dataclass(frozen=True)
class FaceAsked:
    """Which face: of `part`, of its plug or of one half; the `cavity` wanted; from where it is looked at."""

    part: str
    plug: str = ""
    half: str = ""
    cavity: str = ""
    seen_from: str = "wires"


def face_svg(vehicle: Vehicle, asked: FaceAsked, language: str = "en") -> str:
    """The face as an SVG page; what is not known is said on it.

    Raises:
        KeyError: there is no such part; whoever asks looks it up first.
    """
    words = catalogue(language)
    part = vehicle.parts[asked.part]
    face, other = face_of(vehicle, part, asked.plug, asked.half)
    cavities = cavities_of(part, asked.plug)
    rows = pin_rows(vehicle, part, asked.plug, asked.half)
    seen = spots(face, cavities, asked.seen_from, other)
    letters = {row.cavity: _letters(words, row, is_blind(face, row)) for row in rows}
    cell = max([CELL_MM, *(text_width_mm(text, LETTERS_MM) + 1.2 for text in letters.values())])
    scale = (max(ROUND_MM, cell), max(ROUND_MM, cell)) if seen.round else (cell, ROW_MM)
    inner = (seen.columns * scale[0], seen.rows * scale[1])
    width = max(LEAST_MM, inner[0] + 2 * (MARGIN_MM + PAD_MM + TAB_MM))
    title = _title(words, asked)
    side = words.say(f"face.side-{asked.seen_from}")
    shapes, y = _head(title, side, caution(words, title, rows), width)
    shapes += [moved(shape, width - MARGIN_MM - 46.0, MARGIN_MM + 6.0) for shape in _eye(words, asked.seen_from)]
    y += TAB_MM + 4.0
    x = (width - inner[0]) / 2.0
    shapes += _housing(
        face, asked.seen_from, other, (x - PAD_MM, y - PAD_MM, inner[0] + 2 * PAD_MM, inner[1] + 2 * PAD_MM)
    )
    drawn = shapes_svg(shapes)
    by_cavity = {row.cavity: row for row in rows}
    for name, column, row in seen.at:
        at = (x + (column + 0.5) * scale[0], y + (row + 0.5) * scale[1])
        drawn += _cavity(asked, face, by_cavity[name], letters[name], at, first=name == cavities[0])
    y += inner[1] + PAD_MM + TAB_MM + 3.0
    for said in face_words(words, asked.cavity, face, seen, rows, asked.seen_from, other):
        for line in wrapped(said, width - 2 * MARGIN_MM, TEXT_MM, 3):
            y += LINE_MM
            drawn += shape_svg(Text(MARGIN_MM, y, line, TEXT_MM, role=LABEL))
        y += 0.6
    facts = {"name": title, "ways": str(len(cavities)), "side": side}
    return page_svg(drawn, width, y + MARGIN_MM, title, words.say("face.description", **facts))


def _head(title: str, side: str, care: str, width: float) -> tuple[list[Shape], float]:
    """Title, side, and the caution in a frame before everything else; and how far down they reach."""
    room = width - 2 * MARGIN_MM
    shapes: list[Shape] = [
        Text(MARGIN_MM, MARGIN_MM + 5.0, fitted(title, room, 5.0, True), 5.0, role=NAME),
        Text(MARGIN_MM, MARGIN_MM + 11.0, side, 4.0, role=LABEL),
    ]
    lines = wrapped(care, room - 4.0, TEXT_MM, 4, bold=True)
    top = MARGIN_MM + 20.0
    for at, line in enumerate(lines):
        shapes.append(Text(MARGIN_MM + 2.0, top + LINE_MM * (at + 1), line, TEXT_MM, role=NAME))
    if not lines:
        return shapes, MARGIN_MM + 15.0
    height = LINE_MM * len(lines) + 2.0
    shapes.append(Rect(MARGIN_MM, top, room, height))
    return shapes, top + height + 1.0


def _title(words: Catalogue, asked: FaceAsked) -> str:
    name = f"{asked.part}.{asked.plug}" if asked.plug else asked.part
    return (
        words.say("face.title-half", name=name, loom=asked.half) if asked.half else words.say("face.title", name=name)
    )


def _eye(words: Catalogue, seen_from: str) -> Iterator[Shape]:
    """A plug from the side, wires left, contacts right, and an eye at the side that is looked at."""
    yield Rect(16.0, 0.0, 14.0, 8.0, corner_mm=1.0)
    for y in (2.0, 4.0, 6.0):
        yield Line(9.0, y, 16.0, y)
        yield Line(30.0, y, 31.6, y)
        yield Line(31.6, y - 0.7, 31.6, y + 0.7)
    x = 4.0 if seen_from == "wires" else 40.0
    ahead = 1.0 if seen_from == "wires" else -1.0
    yield Circle(x, 4.0, 1.8)
    yield Circle(x + 0.6 * ahead, 4.0, 0.7, filled=True)
    yield Line(x + 2.2 * ahead, 4.0, x + 4.2 * ahead, 4.0, THIN)
    yield Polyline(((x + 5.2 * ahead, 4.0), (x + 4.0 * ahead, 3.2), (x + 4.0 * ahead, 4.8)), THIN, filled=True)
    yield Text(23.0, 11.6, words.say("face.eye"), 2.6, MIDDLE, NOTE)


def _housing(face: Face, seen_from: str, other: bool, box: tuple[float, float, float, float]) -> Iterator[Shape]:
    """The outline with its latch or lever at the edge where it is seen."""
    x, y, width, height = box
    yield Rect(x, y, width, height, corner_mm=2.0)
    edge = face.latch
    if (bool(face.seen_from) and face.seen_from != seen_from) is not other:
        edge = {"left": "right", "right": "left"}.get(edge, edge)
    if not edge:
        return
    long = 0.7 if face.lever else 0.3
    if edge in ("above", "below"):
        size = (max(10.0, long * width), TAB_MM - 1.0)
        at = (x + (width - size[0]) / 2.0, y - size[1] if edge == "above" else y + height)
    else:
        size = (TAB_MM - 1.0, max(10.0, long * height))
        at = (x - size[0] if edge == "left" else x + width, y + (height - size[1]) / 2.0)
    yield Rect(*at, *size)
    if face.lever:
        yield Circle(at[0] + 1.5, at[1] + 1.5, 0.8, filled=True)
    else:
        middle = (at[0] + size[0] / 2.0, at[1] + size[1] / 2.0)
        wide = size[0] > size[1]
        for step in (-1.5, 0.0, 1.5):
            dx, dy = (step, 0.9) if wide else (0.9, step)
            yield Line(
                middle[0] + (dx if wide else -dx),
                middle[1] - (dy if wide else -dy),
                middle[0] + dx,
                middle[1] + dy,
                THIN,
            )


def _cavity(asked: FaceAsked, face: Face, row: PinRow, letters: str, at: tuple[float, float], first: bool) -> str:
    """One cavity: its number above, the wire or the contact in it, the colour letters below."""
    x, y = at
    blind = is_blind(face, row)
    wanted = row.cavity == asked.cavity
    shapes: list[Shape] = [Rect(x - _HOLE_MM, y - _HOLE_MM, 2 * _HOLE_MM, 2 * _HOLE_MM, corner_mm=0.8)]
    shapes.append(Text(x, y - _HOLE_MM - 1.3, row.cavity, 3.2, MIDDLE, NAME if wanted or first else PIN_NAME))
    if first:
        left = x - _HOLE_MM - 0.3
        shapes.append(Polyline(((left, y), (left - 1.6, y - 1.0), (left - 1.6, y + 1.0)), THIN, filled=True))
    drawn = ""
    if blind:
        shapes += [Line(x - 2.2, y - 2.2, x + 2.2, y + 2.2), Line(x - 2.2, y + 2.2, x + 2.2, y - 2.2)]
    elif row.wires and asked.seen_from == "wires":
        drawn = disc_svg(row.wires[0].colour.words, x, y, _DISC_MM)
    elif row.wires:
        shapes.append(Rect(x - 0.5, y - 1.8, 1.0, 3.6, filled=True))
    shapes.append(Text(x, y + _HOLE_MM + 3.2, letters, LETTERS_MM, MIDDLE, LABEL))
    width = max(11.0, text_width_mm(letters, LETTERS_MM) + 1.4)
    ring = Rect(x - width / 2.0, y - 8.2, width, 16.0, THICK, 2.0)
    return f"{shapes_svg(shapes)}{drawn}{shape_svg(ring) if wanted else ''}"


def _letters(words: Catalogue, row: PinRow, blind: bool) -> str:
    if blind:
        return words.say("face.plugged")
    if not row.wires:
        return "–"
    more = f" +{len(row.wires) - 1}" if len(row.wires) > 1 else ""
    return f"{row.wires[0].colour}{more}"
