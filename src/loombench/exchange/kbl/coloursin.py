"""The colours of a KBL file: which value is the base and which the stripe, and the one system all of them are in.

Base and stripe are named in many ways, or stand in one value. `blk` is bare (German "blank") and not black, unless all
other colours of the file are North American; `SRC` is the screen.
"""

import re
from dataclasses import dataclass, field

from loombench.base.problems import Level
from loombench.exchange.colours import choose_system, colour_parts, in_system
from loombench.exchange.harness import ColourText
from loombench.exchange.kbl.raw import Raw, WireKind

BARE, SCREEN = "blk", "src"
_US, _DIN = "North American", "DIN"
_SECOND = re.compile(r"second|zweit|2", re.IGNORECASE)
_STRIPE = re.compile(r"first|kenn|stripe|tracer|second|kfarbe|streifen|2|\bid", re.IGNORECASE)
_BASE = re.compile(r"base|grund|gfarbe|basis|main|haupt", re.IGNORECASE)
_ASIDE = re.compile(r"label|print|beschrift|aufdruck", re.IGNORECASE)


@dataclass
class Colours:
    """The colours of one file; `system` is that of all of them, empty if it is not known."""

    raw: Raw
    system: str
    said: dict[int, int] = field(default_factory=dict)

    def of(self, kind: WireKind) -> tuple[ColourText, bool]:
        """The colour of a wire type, and whether it is a screen."""
        parts = _parts(kind)
        if not parts:
            return ColourText(), False
        if parts[0].casefold() == SCREEN:
            self.raw.notes.add("colour-screen", Level.NOTE, self.raw.span(kind.line))
            return ColourText(parts), True
        if _bare(parts) and self.system != _US:
            self.raw.notes.add("colour-bare", Level.NOTE, self.raw.span(kind.line), text=parts[0])
            return ColourText((BARE,), _DIN), False
        return in_system(parts, self.system), False


def read_colours(raw: Raw, system: str = "") -> Colours:
    """The colours of a file, in the system given or else the only one that fits them all."""
    kinds = (*raw.wire_kinds.values(), *raw.core_kinds.values())
    met: dict[tuple[str, ...], int] = {}
    for kind in kinds:
        parts = _parts(kind)
        if parts and parts[0].casefold() != SCREEN and not _bare(parts):
            met.setdefault(parts, kind.line)
    if system or not met:
        return Colours(raw, system)
    choice = choose_system(met)
    if not choice.system:
        first = choice.differing[0][0] if choice.differing else "/".join(next(iter(met)))
        line = next((line for parts, line in met.items() if "/".join(parts) == first), next(iter(met.values())))
        raw.notes.add(
            "colours-unsure", Level.WARNING, raw.span(line),
            first=first, count=len(met), systems=", ".join(choice.candidates) or "-",
        )  # fmt: skip
    return Colours(raw, choice.system)


def _bare(parts: tuple[str, ...]) -> bool:
    return parts[0].casefold() in (BARE, "blank")


def _parts(kind: WireKind) -> tuple[str, ...]:
    """Main colour, then stripes: by the types of the values, in the file's order where these say nothing."""
    base: list[str] = []
    first: list[str] = []
    second: list[str] = []
    for type_, text in kind.colours:
        if _ASIDE.search(type_):
            continue
        if _BASE.search(type_):
            base.extend(colour_parts(text))
        elif _STRIPE.search(type_):
            (second if _SECOND.search(type_) else first).extend(colour_parts(text))
        else:
            (base if not base else first).extend(colour_parts(text))
    return (*base, *first, *second)
