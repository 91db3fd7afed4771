"""Looms on the plan of a vehicle: each a backbone with a branch to every place it comes to, told apart by its letter,
and by how its line is dashed and how thick it is."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from loombench.base.ink import INK, PAPER
from loombench.draw.shapes import LABEL, MIDDLE, Text
from loombench.draw.shapesvg import escaped, number, shapes_svg
from loombench.draw.textwidth import text_width_mm

APART_MM = 3.0
"""The distance of two backbones: a letter fits between them."""
BELOW_MM = 3.3
LETTER_MM = 2.5
_DASHES = ("", "3 1", "1.2 0.8", "4 0.8 0.8 0.8", "0.5 0.9", "6 1.4", "2 0.6 0.6 0.6 0.6 0.6")
_THICK_MM = (0.6, 1.1, 0.35)
Spot = tuple[float, float]


@dataclass(frozen=True)
class LoomWay:
    """A loom as drawn: where its backbone lies, from where to where, and the places it comes to."""

    letter: str
    name: str
    stroke: str
    y_mm: float
    left_mm: float
    right_mm: float
    spots: tuple[Spot, ...]


def loom_ways(looms: Mapping[str, Sequence[Spot]]) -> tuple[LoomWay, ...]:
    """The ways of the looms that come to more than one place, in order."""
    found: list[LoomWay] = []
    for loom, spots in looms.items():
        if len(set(spots)) < 2:
            continue
        at = len(found)
        aside = 0.8 * (at % 5 - 2)
        own = tuple((x + aside, y) for x, y in spots)
        xs, ys = sorted(x for x, _ in own), sorted(y for _, y in own)
        y = _free(ys[len(ys) // 2] + BELOW_MM, [one.y_mm for one in found])
        found.append(LoomWay(_letter(at), loom, stroke(at), y, xs[0], xs[-1], own))
    return tuple(found)


def loom_ways_svg(ways: Sequence[LoomWay], marks: Sequence[Spot]) -> str:
    """The lines, and over them the letters, away from the marks and from each other."""
    lines = "".join(
        f'<path class="loom" data-loom="{escaped(way.name)}" d="{_way(way)}" fill="none" {way.stroke}/>' for way in ways
    )
    letters = ""
    taken = list(marks)
    for way in ways:
        x = _clear(way, taken)
        taken.append((x, way.y_mm))
        letters += _letter_svg(way.letter, x, way.y_mm)
    return lines + letters


def stroke(number_of: int) -> str:
    """How the line of the loom of that number looks: first all dashes, then the same thicker, then thinner."""
    dash = _DASHES[number_of % len(_DASHES)]
    thick = _THICK_MM[number_of // len(_DASHES) % len(_THICK_MM)]
    return f'stroke="{INK}" stroke-width="{thick}"' + (f' stroke-dasharray="{dash}"' if dash else "")


def _way(way: LoomWay) -> str:
    backbone = f"M{number(way.left_mm)} {number(way.y_mm)}H{number(way.right_mm)}"
    return backbone + "".join(f"M{number(x)} {number(way.y_mm)}V{number(y)}" for x, y in way.spots)


def _free(wanted: float, used: list[float]) -> float:
    """The height nearest to the wanted one that keeps apart from the backbones there are."""
    steps = [0.0] + [sign * 0.8 * at for at in range(1, 60) for sign in (1.0, -1.0)]
    free = (wanted + step for step in steps if all(abs(wanted + step - y) >= APART_MM for y in used))
    return next(free, wanted)


def _clear(way: LoomWay, taken: Sequence[Spot]) -> float:
    """Where on a backbone a letter is farthest from what is there already."""
    along = [way.left_mm + (way.right_mm - way.left_mm) * at / 16.0 for at in range(1, 16)]
    return max(along, key=lambda x: round(min((math.dist((x, way.y_mm), one) for one in taken), default=0.0), 3))


def _letter(number_of: int) -> str:
    letters = "abcdefghijklmnopqrstuvwxyz"
    return letters[number_of % 26] + (str(number_of // 26 + 1) if number_of >= 26 else "")


def _letter_svg(letter: str, x: float, y: float) -> str:
    width = text_width_mm(letter, LETTER_MM) + 0.8
    box = f'x="{number(x - width / 2)}" y="{number(y - 1.4)}" width="{number(width)}" height="2.8"'
    return f'<rect {box} fill="{PAPER}"/>' + shapes_svg([Text(x, y + 0.8, letter, LETTER_MM, MIDDLE, LABEL)])
