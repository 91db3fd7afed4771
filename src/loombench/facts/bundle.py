"""Diameter of a bundle of wires, for sleeves and grommets, and copper area by strands."""

import math
from collections.abc import Iterable

from loombench.facts.table import load_table

BUNDLE_FACTOR = 1.2
"""Common practice, no source: D = 1.2 sqrt(sum n d^2). 15 % low for two wires, 4 % low for three."""


def bundle_diameter_mm(wires: Iterable[tuple[int, float]]) -> float:
    """Diameter of a bundle of `(number, diameter_mm)`: 1.2 times the root of the summed squares. Common practice.

    For two or three wires use `packed_diameter_mm`: the rule is too small there.
    """
    return BUNDLE_FACTOR * math.sqrt(sum(number * diameter_mm**2 for number, diameter_mm in wires))


def packed_diameter_mm(number: int, diameter_mm: float) -> float | None:
    """Least circle round that many equal wires, None outside the table. Equal circles in a circle, computed."""
    for row in load_table("bundle_packing"):
        if row.number("wires") == number:
            return row.number("packing_over_diameter") * diameter_mm
    return None


def strand_area_mm2(strands: int, strand_diameter_mm: float) -> float:
    """Copper area of a stranded conductor."""
    return strands * math.pi / 4 * strand_diameter_mm**2
