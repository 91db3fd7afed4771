"""Faults: what can be wrong with a vehicle, as values with a text form.

open S4.2~X12.3                    a wire broken
open contact X12.3@chassis         a terminal pushed back or its joint open (between wire side and mate)
open F12                           an inner element open: a blown lamp, a burnt coil (`R5.5-4`, `K3.coil`)
resistance 0.5ohm S4.2~X12.3       series resistance in a wire, a contact or an element
short X12.3@chassis to ground      a point chafed through to the nearest body (or `to A` another point; `0.05ohm`)
stuck S4 off                       a control that stays in a position whatever is asked
stuck K3 pulled                    a relay held or welded: pulled | released
blown F12
position S44 out                   not broken: the control is in another position than believed
"""

import re
from dataclasses import dataclass

from loombench.base.quantity import Quantity, read_quantity

MODES = ("open", "resistance", "short", "stuck", "blown", "position")


@dataclass(frozen=True, order=True)
class Fault:
    """One thing wrong. `target` is a model id (wire, `contact POINT`, part, `PART.ELEMENT`, control, point).

    `to` is where a short goes (`ground` or a point) or the position for stuck and position. `ohm` is the series
    resistance or that of a short.
    """

    mode: str
    target: str
    to: str = ""
    ohm: float = 0.0

    def __str__(self) -> str:
        match self.mode:
            case "resistance":
                return f"resistance {self.ohm:g}ohm {self.target}"
            case "short":
                return f"short {self.target} to {self.to}" + (f" {self.ohm:g}ohm" if self.ohm else "")
            case "stuck" | "position":
                return f"{self.mode} {self.target} {self.to}"
        return f"{self.mode} {self.target}"


_PLAIN = re.compile(r"(?P<mode>open|blown)\s+(?P<target>(?:contact\s+)?\S+)")
_SERIES = re.compile(r"resistance\s+(?P<ohm>\S+)\s+(?P<target>(?:contact\s+)?\S+)")
_SHORT = re.compile(r"short\s+(?P<target>\S+)\s+to\s+(?P<to>\S+)(?:\s+(?P<ohm>\S+))?")
_HELD = re.compile(r"(?P<mode>stuck|position)\s+(?P<target>\S+)\s+(?P<to>\S+)")


def read_fault(text: str) -> Fault | None:
    """The fault a text spells, names not looked up; None where it spells none."""
    word = " ".join(text.split())
    if match := _PLAIN.fullmatch(word):
        return Fault(match["mode"], match["target"])
    if match := _SERIES.fullmatch(word):
        ohm = _ohm(match["ohm"])
        return None if ohm is None else Fault("resistance", match["target"], "", ohm)
    if match := _SHORT.fullmatch(word):
        ohm = _ohm(match["ohm"]) if match["ohm"] else 0.0
        return None if ohm is None else Fault("short", match["target"], match["to"], ohm)
    if match := _HELD.fullmatch(word):
        return Fault(match["mode"], match["target"], match["to"])
    return None


def _ohm(text: str) -> float | None:
    amount = read_quantity(text)
    if isinstance(amount, Quantity) and amount.unit == "ohm" and amount.value is not None and amount.value >= 0.0:
        return amount.value
    return None
