"""Which arrangement of a plan goes on which sheet, asking the engine only where one may fit."""

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import groupby
from types import MappingProxyType

from loombench.draw.layout.arrange import NARROW, STRAIGHT, Layouts, Placed, Spacing, Spot, arrange
from loombench.draw.layout.items import Plan
from loombench.draw.papers import Sheet

PLAIN = Spacing()
AS_WANTED, CLOSER = "as wanted", "closer"
LEAST: Mapping[tuple[str, str], Spot] = MappingProxyType(
    {
        (AS_WANTED, NARROW): (0.6, 0.93),
        (CLOSER, STRAIGHT): (0.94, 0.9),
        (CLOSER, NARROW): (0.6, 0.89),
    }
)
"""So much of the width and height of a straight arrangement others of the same have at least, by the room between
things: measured on the examples, where they have 0.64 and 0.94, 0.96 and 0.92, 0.62 and 0.91."""
NEARLY: Spot = (1.02, 1.06)
"""So much wider and higher than a sheet a straight arrangement is brought onto it by less room between things, most
often: there it has 0.98 of the width and 0.93 of the height then."""
LIKELY: Spot = (0.8, 0.97)
"""So much of the width and height of a straight arrangement a narrow one may well have; 0.92 and 1.00 as a rule."""
LINE_MM2 = 210.0
"""What a line takes on a page, as a rule."""
MOST_COVERED = 0.32
"""What stands on a page covers up to 0.30 of it, its lines taken so."""


@dataclass(frozen=True)
class Laid:
    """An arrangement, how it was made, and the first sheet that holds it, None where none does."""

    placed: Placed
    spacing: Spacing
    manner: str
    sheet: Sheet | None


def laid_on(plan: Plan, layouts: Layouts, sheets: tuple[Sheet, ...], spacing: Spacing) -> Laid:
    """The arrangement for the first of the sheets that holds one, a straight one before a narrow one; with less room
    between things where that brings it onto a sheet; straight where nothing does."""
    straight = arrange(plan, layouts, spacing)
    held_larger = any(sheet.holds(straight) for sheet in sheets)
    for _, group in groupby(sheets, lambda sheet: sheet.name):
        some = tuple(group)
        held = next((sheet for sheet in some if sheet.holds(straight)), None)
        if held is not None:
            return Laid(straight, spacing, STRAIGHT, held)
        # Where larger paper holds it as it is, only what is likely to fit is tried on smaller paper.
        ways = [(spacing.closer(), STRAIGHT)] if any(_nearly(straight, sheet) for sheet in some) else []
        ways += [(spacing, NARROW)] if not held_larger or any(_likely(straight, sheet) for sheet in some) else []
        for way in ways:
            found = _first(plan, layouts, some, straight, way)
            if found is not None:
                return found
    for way in ((spacing.closer(), STRAIGHT), (spacing.closer(), NARROW)):
        found = _first(plan, layouts, sheets, straight, way)
        if found is not None:
            return found
    return Laid(straight, spacing, STRAIGHT, None)


def _nearly(placed: Placed, sheet: Sheet) -> bool:
    """Whether a sheet holds an arrangement but for a little."""
    return placed.width_mm <= NEARLY[0] * sheet.room[0] and placed.height_mm <= NEARLY[1] * sheet.room[1]


def _likely(straight: Placed, sheet: Sheet) -> bool:
    """Whether a sheet may well hold a narrow arrangement of what a straight one shows."""
    return straight.width_mm * LIKELY[0] <= sheet.room[0] and straight.height_mm * LIKELY[1] <= sheet.room[1]


def _first(
    plan: Plan, layouts: Layouts, sheets: tuple[Sheet, ...], straight: Placed, way: tuple[Spacing, str]
) -> Laid | None:
    """The arrangement made that way on the first sheet that holds it; the engine is asked where one of them may."""
    least_wide, least_high = LEAST[_room_of(way[0]), way[1]]
    wide, high = straight.width_mm * least_wide, straight.height_mm * least_high
    if all(wide > sheet.room[0] or high > sheet.room[1] for sheet in sheets):
        return None
    placed = arrange(plan, layouts, *way)
    return next((Laid(placed, *way, sheet) for sheet in sheets if sheet.holds(placed)), None)


def _room_of(spacing: Spacing) -> str:
    return AS_WANTED if spacing == PLAIN else CLOSER


def too_large(plan: Plan, sheets: tuple[Sheet, ...]) -> bool:
    """Whether what is in a plan would cover so much of every sheet that there is no use in trying to arrange it."""
    covered = sum(item.width_mm * item.height_mm for item in plan.items.values()) + LINE_MM2 * len(plan.runs)
    return all(covered > MOST_COVERED * sheet.room[0] * sheet.room[1] for sheet in sheets)
