"""Loads that do something: rays about what gives light, heat or sound, arrows round what turns; a disc of the colour of
live wires below. Weak work has short rays, or one arrow, and no disc, so that a grey copy tells them apart."""

import math
from collections.abc import Iterator, Mapping

from loombench.base.ink import INK
from loombench.draw.itemsvg import line_svg
from loombench.draw.layout.arrange import Spot
from loombench.draw.overlay import Work
from loombench.draw.piece import Piece
from loombench.draw.shapes import Body
from loombench.draw.shapesvg import escaped, number

RADIUS_MM, FROM_MM, LONG_MM, SHORT_MM = 4.6, 4.5, 6.0, 5.2
DIAGONALS = (45.0, 135.0, 225.0, 315.0)
"""Where rays go: leads are above and below, names at the sides."""
ARC_MM, ARC_DEG = 4.6, 34.0
TURNING = ("motor",)


def discs_svg(piece: Piece, works: Mapping[str, Work], dx_mm: float, dy_mm: float, fill: str) -> Iterator[str]:
    """What lies below the loads that work fully."""
    for body, x, y in bodies(piece, works):
        if works[body.load].full:
            at = f'cx="{number(x + dx_mm)}" cy="{number(y + dy_mm)}" r="{RADIUS_MM}"'
            yield f'<circle class="working" {at} fill="{fill}"/>'


def working_svg(piece: Piece, works: Mapping[str, Work], dx_mm: float, dy_mm: float) -> Iterator[str]:
    """Rays and arrows."""
    for body, x, y in bodies(piece, works):
        work = works[body.load]
        yield f'<g class="works" data-load="{escaped(body.load)}">'
        if body.kind in TURNING:
            for middle in (DIAGONALS[3], DIAGONALS[1]) if work.full else (DIAGONALS[3],):
                yield _turn(x + dx_mm, y + dy_mm, middle, work.way or 1)
        else:
            for angle in DIAGONALS:
                yield _ray(x + dx_mm, y + dy_mm, angle, LONG_MM if work.full else SHORT_MM)
        yield "</g>"


def bodies(piece: Piece, works: Mapping[str, Work]) -> Iterator[tuple[Body, float, float]]:
    """The bodies of loads that do something, with their places on the piece."""
    for item in piece.plan.items.values():
        x, y = piece.placed.corners[item.key]
        inside = [(symbol, x + left, y + top) for symbol, left, top in item.inside]
        for symbol, left, top in [(item.symbol, x, y), *inside] if item.symbol else inside:
            for shape in symbol.shapes:
                if isinstance(shape, Body) and shape.load in works:
                    yield shape, left + shape.x_mm, top + shape.y_mm


def _at(x: float, y: float, angle_deg: float, far: float) -> Spot:
    turn = math.radians(angle_deg)
    return x + far * math.cos(turn), y + far * math.sin(turn)


def _ray(x: float, y: float, angle_deg: float, far: float) -> str:
    return line_svg(*_at(x, y, angle_deg, FROM_MM), *_at(x, y, angle_deg, far), 0.5)


def _turn(x: float, y: float, middle_deg: float, way: int) -> str:
    """An arrow along a circle; clockwise on the page for 1."""
    start, end = (middle_deg - way * ARC_DEG / 2, middle_deg + way * ARC_DEG / 2)
    (x1, y1), (x2, y2) = _at(x, y, start, ARC_MM), _at(x, y, end, ARC_MM)
    sweep = 1 if way > 0 else 0
    n = number
    path = f"M{n(x1)} {n(y1)}A{ARC_MM} {ARC_MM} 0 0 {sweep} {n(x2)} {n(y2)}"
    tip = _at(x, y, end + way * 14.0, ARC_MM)
    back = (_at(x, y, end, ARC_MM - 0.8), _at(x, y, end, ARC_MM + 0.8))
    points = " ".join(f"{n(px)},{n(py)}" for px, py in (tip, *back))
    return f'<path d="{path}" fill="none" stroke="{INK}" stroke-width="0.5"/><polygon points="{points}" fill="{INK}"/>'
