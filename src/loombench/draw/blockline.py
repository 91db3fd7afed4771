"""The line of blocks beside a circuit: source, protection, control, load, return, with what stands in each."""

from loombench.base.wording import catalogue
from loombench.draw.shapes import NAME, NOTE, START, THIN, Line, Polyline, Rect, Shape, Text
from loombench.draw.textwidth import wrapped
from loombench.draw.trees import blocks
from loombench.vehicle.model import Vehicle

HEADS = ("source", "protection", "control", "load", "return")
MOST_NAMES = 6
TEXT_MM, LINE_MM, ARROW_MM = 2.5, 3.4, 5.0


def block_line(
    vehicle: Vehicle, loads: tuple[str, ...], width_mm: float, language: str = "en"
) -> tuple[tuple[Shape, ...], float]:
    """The shapes of the line in a width, from its own corner, and its height in millimetres; none where nothing stands
    on the ways of the loads."""
    words = catalogue(language)
    columns = blocks(vehicle, loads).columns
    if not any(columns):
        return (), 0.0
    box = (width_mm - ARROW_MM * (len(columns) - 1)) / len(columns)
    lines = [_lines(vehicle, names, words.sentences["blocks.more"], box - 2.0) for names in columns]
    height = 4.6 + LINE_MM * max(len(one) for one in lines) + 1.0
    shapes: list[Shape] = []
    for at, (head, texts) in enumerate(zip(HEADS, lines, strict=True)):
        x = at * (box + ARROW_MM)
        shapes += [Rect(x, 0.0, box, height), Line(x, 4.4, x + box, 4.4, THIN)]
        shapes.append(Text(x + 1.2, 3.2, words.say(f"blocks.{head}"), TEXT_MM, START, NOTE))
        for row, text in enumerate(texts):
            shapes.append(Text(x + 1.2, 7.4 + LINE_MM * row, text, TEXT_MM, START, NAME))
        if at:
            y = height / 2.0
            shapes.append(Line(x - ARROW_MM, y, x - 1.4, y))
            shapes.append(Polyline(((x, y), (x - 1.6, y - 0.9), (x - 1.6, y + 0.9)), THIN, filled=True))
    return tuple(shapes), height


def _lines(vehicle: Vehicle, names: tuple[str, ...], more: str, width_mm: float) -> tuple[str, ...]:
    shown = [_named(vehicle, name) for name in names[:MOST_NAMES]] or ["–"]
    if len(names) > MOST_NAMES:
        shown[-1] = more.format(count=len(names) - MOST_NAMES + 1)
    # Left and right often stand last, so a name is not cut at the end of its first line.
    return tuple(line for name in shown for line in wrapped(name, width_mm, TEXT_MM, 2, True))


def _named(vehicle: Vehicle, via: str) -> str:
    name, _, element = via.partition(".")
    part = vehicle.parts[name]
    inner = next((one.label for one in part.elements if one.name == element and one.label), "")
    return f"{name} {inner or part.label}".strip()
