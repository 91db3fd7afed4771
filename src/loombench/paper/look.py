"""How everything on paper looks: paper and ink. One ink, one grey for what is secondary, lines, room; no decoration.

The same figures serve PDF, browser and drawings. Sizes are in points, lengths in millimetres.
"""

from dataclasses import dataclass, replace

from loombench.base.ink import INK, LINE, PAPER, QUIET

LEAST_PT = 7.0


@dataclass(frozen=True)
class Look:
    """`quiet` is for labels and small print."""

    ink: str = INK
    quiet: str = QUIET
    line: str = LINE
    paper: str = PAPER
    title_pt: float = 17.0
    heading_pt: float = 10.5
    text_pt: float = 9.5
    small_pt: float = 8.0
    thin_pt: float = 0.5
    thick_pt: float = 1.25
    gap_mm: float = 1.5
    margin_mm: float = 15.0
    page_width_mm: float = 210.0
    page_height_mm: float = 297.0
    label_mm: float = 32.0

    @property
    def text_width_mm(self) -> float:
        """What is left between the margins."""
        return self.page_width_mm - 2 * self.margin_mm

    def smaller(self, scale: float) -> "Look":
        """The same with smaller type and less room; the small print stays legible on a copy."""
        return replace(
            self,
            title_pt=self.title_pt * scale,
            heading_pt=self.heading_pt * scale,
            text_pt=self.text_pt * scale,
            small_pt=max(LEAST_PT, self.small_pt * scale),
            gap_mm=self.gap_mm * scale * scale,
            label_mm=self.label_mm * scale,
        )


LOOK = Look()
