"""The paper that circuit pages are drawn on."""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from loombench.draw.layout.arrange import Placed


@dataclass(frozen=True)
class Sheet:
    """Paper: its size, the margin all round, and what the head and foot take. All in mm."""

    name: str
    width_mm: float
    height_mm: float
    margin_mm: float = 10.0
    head_mm: float = 13.0
    foot_mm: float = 6.0

    @property
    def room(self) -> tuple[float, float]:
        """Width and height that is left for the drawing."""
        return (
            self.width_mm - 2 * self.margin_mm,
            self.height_mm - 2 * self.margin_mm - self.head_mm - self.foot_mm,
        )

    def holds(self, placed: Placed) -> bool:
        """Whether an arrangement fits at full size."""
        return placed.width_mm <= self.room[0] and placed.height_mm <= self.room[1]


A4 = (Sheet("A4", 210.0, 297.0), Sheet("A4", 297.0, 210.0))
A3 = (Sheet("A3", 297.0, 420.0), Sheet("A3", 420.0, 297.0))
PAPERS: Mapping[str, tuple[Sheet, ...]] = MappingProxyType({"auto": (*A4, *A3), "A4": A4, "A3": A3})
"""Sheets by the word for them, those tried first in front: `auto` takes A3 for what A4 does not hold."""
