"""What a symbol is made of, before anything knows where on a page it stands or how it is written out.

Lengths are millimetres at the size of an A4 page. x runs to the right, y downwards, from the upper left corner of the
symbol. Pins lie on the edge of the symbol's box, on a raster of `RASTER_MM` counted from that corner; all texts of a
symbol lie inside the box too, so that boxes that do not overlap are texts that do not overlap.

`draw.symbol.symbol_of` gives the symbol of a part, `draw.shapesvg` writes shapes out.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from types import MappingProxyType

RASTER_MM = 2.5
TOP, BOTTOM, LEFT, RIGHT = "top", "bottom", "left", "right"

PLAIN, THIN, THICK, DASHED, FRAME, FAINT = "plain", "thin", "thick", "dashed", "frame", "faint"
"""Stroke roles: the outline of a symbol; leads and hatching; bars and plates; a mechanical link or a screen; a housing
around several elements; what is there but not in force (the other positions of a switch)."""

START, MIDDLE, END = "start", "middle", "end"
NAME, LABEL, PIN_NAME, NOTE = "name", "label", "pin-name", "note"
"""Text roles: the part's id; its label and rating; a terminal's name; the rule, the place and other small print."""


@dataclass(frozen=True)
class Line:
    """A straight line."""

    x1_mm: float
    y1_mm: float
    x2_mm: float
    y2_mm: float
    role: str = PLAIN


@dataclass(frozen=True)
class Polyline:
    """A line through several points; `filled` closes it and fills it with ink, `closed` only closes it."""

    points: tuple[tuple[float, float], ...]
    role: str = PLAIN
    closed: bool = False
    filled: bool = False


@dataclass(frozen=True)
class Circle:
    """A circle; `filled` with ink, else with paper where `cover`, else open."""

    x_mm: float
    y_mm: float
    r_mm: float
    role: str = PLAIN
    filled: bool = False
    cover: bool = False


@dataclass(frozen=True)
class Arc:
    """A part of a circle, clockwise on the page from `start_deg` to `end_deg`; 0 points right, 90 down."""

    x_mm: float
    y_mm: float
    r_mm: float
    start_deg: float
    end_deg: float
    role: str = PLAIN


@dataclass(frozen=True)
class Rect:
    """A rectangle; `cover` fills it with paper, `filled` with ink."""

    x_mm: float
    y_mm: float
    width_mm: float
    height_mm: float
    role: str = PLAIN
    corner_mm: float = 0.0
    filled: bool = False
    cover: bool = False


@dataclass(frozen=True)
class Text:
    """A text on its baseline. `size_mm` is the font size; `anchor` says which end of it stands at x."""

    x_mm: float
    y_mm: float
    text: str
    size_mm: float = 2.5
    anchor: str = START
    role: str = LABEL


@dataclass(frozen=True)
class Body:
    """Where the body of a load is in its symbol, by its middle: nothing to see, but what is laid over needs it.
    `load` is its name as a function names its loads (`E7`, `M5.53-31`), `kind` that of the element."""

    x_mm: float
    y_mm: float
    load: str
    kind: str


Shape = Line | Polyline | Circle | Arc | Rect | Text | Body


@dataclass(frozen=True)
class Pin:
    """A contact where wires meet the symbol. `name` is the point's name in the model (`E7.1`, `X12.3@boom`, `SP7`)."""

    name: str
    x_mm: float
    y_mm: float
    side: str


@dataclass(frozen=True)
class Symbol:
    """A part as drawn. Pins of a side stand in the order of their place on it. A splice has one point at two pins."""

    part: str
    kind: str
    width_mm: float
    height_mm: float
    pins: tuple[Pin, ...]
    shapes: tuple[Shape, ...]


@dataclass(frozen=True)
class Wanted:
    """What of a part is drawn, and how.

    `positions` are those of controls by their id (`S4`, `M5.cam`), of a relay or a timer by the part's id (`pulled`);
    what is not in it is at rest. `pins` are the names of the points that are needed, None for all: a module, unit,
    carrier, connector or relay is drawn with these only. `upward` are the points that lead to the supply and should
    leave at the top; without any the kind's usual way holds. `language` is that of the words in it.
    """

    positions: Mapping[str, str] = field(default_factory=lambda: MappingProxyType({}))
    pins: frozenset[str] | None = None
    upward: frozenset[str] = frozenset()
    language: str = "en"

    def takes(self, name: str) -> bool:
        """Whether a point is drawn."""
        return self.pins is None or name in self.pins


PULLED = "pulled"


def moved(shape: Shape, dx_mm: float, dy_mm: float) -> Shape:
    """The shape elsewhere."""
    match shape:
        case Line():
            x1, y1, x2, y2 = shape.x1_mm + dx_mm, shape.y1_mm + dy_mm, shape.x2_mm + dx_mm, shape.y2_mm + dy_mm
            return replace(shape, x1_mm=x1, y1_mm=y1, x2_mm=x2, y2_mm=y2)
        case Polyline():
            return replace(shape, points=tuple((x + dx_mm, y + dy_mm) for x, y in shape.points))
        case _:
            return replace(shape, x_mm=shape.x_mm + dx_mm, y_mm=shape.y_mm + dy_mm)
