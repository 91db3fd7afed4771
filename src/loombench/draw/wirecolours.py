"""The colours of insulation on paper: each canonical colour word, strong enough to tell, outlined where drawn.

The values are our own choice for print and screen; the letters beside a wire say its colour, never these alone.
"""

from collections.abc import Mapping
from types import MappingProxyType

from loombench.base.ink import INK, PAPER

HEX: Mapping[str, str] = MappingProxyType(
    {
        "black": "#1b1b1b", "brown": "#7a4a21", "red": "#d2232a", "orange": "#f07f13", "yellow": "#f7d417",
        "green": "#1d8a3a", "blue": "#1f5fbf", "violet": "#7b3fa0", "grey": "#8c8f93", "white": "#ffffff",
        "pink": "#f29ab7", "turquoise": "#22a7a7", "beige": "#e6d3a8", "tan": "#c9a36a", "gold": "#b8902c",
        "silver": "#c4c8cc", "light green": "#8fcf5a", "light blue": "#7fbfea", "dark green": "#0e5a28",
        "dark blue": "#16357a", "clear": "#f3f3ee", "natural": "#f1ead2", "bare": "#c98a54",
    }
)  # fmt: skip


def colour_hex(words: tuple[str, ...]) -> tuple[str, ...]:
    """The colours to paint for a wire, main first; paper where the colour is not known."""
    return tuple(HEX.get(word, PAPER) for word in words) or (PAPER,)


def disc_svg(words: tuple[str, ...], x_mm: float, y_mm: float, r_mm: float) -> str:
    """A cut wire seen end on: its colour with bands for its stripes, outlined; a paper disc where it is not known."""
    main, *stripes = colour_hex(words)
    at = f'cx="{x_mm:.2f}" cy="{y_mm:.2f}" r="{r_mm:.2f}"'
    bands = "".join(
        f'<line x1="{x_mm - reach:.2f}" y1="{y_mm + dy:.2f}" x2="{x_mm + reach:.2f}" y2="{y_mm + dy:.2f}" '
        f'stroke="{stripe}" stroke-width="{0.55 * r_mm:.2f}"/>'
        for stripe, dy, reach in _bands(stripes, r_mm)
    )
    ring = f'<circle {at} fill="none" stroke="{INK}" stroke-width="0.35"/>'
    return f'<circle {at} fill="{main}"/>{bands}{ring}'


def _bands(stripes: list[str], r_mm: float) -> tuple[tuple[str, float, float], ...]:
    """Each stripe with how far below the middle its band lies and how far it reaches to either side."""
    first = -0.4 * r_mm * (len(stripes) - 1)
    found = []
    for at, stripe in enumerate(stripes[:3]):
        dy = first + 0.8 * r_mm * at
        found.append((stripe, dy, max(0.0, r_mm * r_mm - (abs(dy) + 0.28 * r_mm) ** 2) ** 0.5))
    return tuple(found)
