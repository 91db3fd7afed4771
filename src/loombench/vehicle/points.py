"""Points: where a wire can end or a probe can touch. Their names are the identity everything hangs on.

    E7.1               a part's pin, on the wire side of its plug: the crimped terminal, what a back-probe touches
    E7.1:face          the same terminal, seen from the mating face: reachable with the plug off
    E7.1:pin           the part's own pin behind the mating contact
    X12.3@chassis      the half of connector X12 that ends in loom chassis, cavity 3, wire side
    X12.3@chassis:face its mating face
    W1/a               a ring terminal on stud W1;  W1 the stud;  chassis a body
    SP7                a splice
    trailer::E31.2     a part of a second vehicle that is plugged in

A ring and a pin differ in the dot and the stroke only for the reader: both are pins of their part.
"""

import re
from dataclasses import dataclass
from functools import lru_cache

WIRE, FACE, PIN = "wire", "face", "pin"

_POINT = re.compile(
    r"(?P<part>(?:[^\s./@:>]+::)?[^\s./@:>]+)(?:(?P<mark>[./])(?P<pin>[^\s@:>]+))?(?:@(?P<half>(?:[^\s@:>]+::)?[^\s@:>]+))?"
    r"(?::(?P<layer>face|pin))?"
)


@dataclass(frozen=True, order=True)
class Point:
    """One electrical point. `pin` is empty for splices, studs and bodies; `half` names a connector half's loom."""

    part: str
    pin: str = ""
    half: str = ""
    layer: str = WIRE
    ring: bool = False

    def __str__(self) -> str:
        mark = "/" if self.ring else "."
        pin = f"{mark}{self.pin}" if self.pin else ""
        half = f"@{self.half}" if self.half else ""
        layer = f":{self.layer}" if self.layer != WIRE else ""
        return f"{self.part}{pin}{half}{layer}"

    def at(self, layer: str) -> "Point":
        """The same contact seen at another layer (wire, face or pin)."""
        return Point(self.part, self.pin, self.half, layer, self.ring)


@lru_cache(maxsize=8192)
def read_point(text: str) -> Point | None:
    """The point a text names, without looking whether it exists; None where it is no point's name."""
    match = _POINT.fullmatch(text.strip())
    if not match:
        return None
    return Point(match["part"], match["pin"] or "", match["half"] or "", match["layer"] or WIRE, match["mark"] == "/")
