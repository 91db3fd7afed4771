"""Faults: what can be wrong with a vehicle, as values with a text form.

open S4.2~X12.3                    a wire broken
open contact X12.3@chassis         a terminal pushed back or its joint open (between wire side and mate)
open F12                           an inner element open: a blown lamp, a burnt coil (`R5.5-4`, `K3.coil`)
resistance 0.5ohm S4.2~X12.3       series resistance in a wire, a contact or an element
moving contact X12.3@chassis       now there, now not: open, or with `5ohm` resistive, only while it is disturbed
short X12.3@chassis to ground      a point chafed through to the nearest body; `0.05ohm` behind it, if not nearly none
short X12.3@chassis to supply      chafed through to a wire at battery plus
short X12.3 to X12.4               bridged to another point or wire
leak X12.3 to X12.4 4700ohm        a wet connector: the same with the ohms of the wet
swapped X12.3@chassis with X12.4@chassis    the wires of two contacts have changed places
blown F12
wrong F12 5A                       another one fitted than drawn: a fuse's amperes, a lamp's watts (`wrong E7 5W`),
                                   a relay of the other kind (`wrong K3 break`, `wrong K3 make`)
stuck S4 off                       a control that stays in a position whatever is asked
stuck K3 pulled                    a relay welded or seized: pulled | released
held K3                            a relay that pulls in, but does not let go
dragging M3 200%                   a motor that takes so much of its sound current
weak Q1 40%                        a breaker that trips as one of that share of its rating would
position S44 out                   not broken: the control is in another position than believed
position S44 undrawn               in one that the drawing lacks, which joins nothing
"""

import re
from dataclasses import dataclass

from loombench.base.quantity import Quantity, read_quantity

MODES = (
    "open", "resistance", "moving", "short", "leak", "swapped", "blown", "wrong", "stuck", "held", "dragging",
    "weak", "position",
)  # fmt: skip
GROUND, SUPPLY = "ground", "supply"
UNDRAWN = "undrawn"
"""A position that the drawing lacks."""
WRONG_UNITS = ("A", "W")
WRONG_WORDS = ("make", "break")


@dataclass(frozen=True, order=True)
class Fault:
    """One thing wrong. `target` is a model id (wire, `contact POINT`, part, `PART.ELEMENT`, control, point).

    `to` is where a short or leak goes (`ground`, `supply`, a point or wire), the contact swapped with, the position for
    stuck and position, what was fitted for wrong (`5A`, `5W`, `make`, `break`), the share of the sound current for
    dragging (`200%`), that of the rating for weak (`40%`). `ohm` is the series resistance, or that of a short or leak.
    """

    mode: str
    target: str
    to: str = ""
    ohm: float = 0.0

    def __str__(self) -> str:
        match self.mode:
            case "resistance" | "moving" if self.ohm:
                return f"{self.mode} {self.ohm:g}ohm {self.target}"
            case "resistance":
                return f"resistance 0ohm {self.target}"
            case "short" | "leak":
                return f"{self.mode} {self.target} to {self.to}" + (f" {self.ohm:g}ohm" if self.ohm else "")
            case "swapped":
                return f"swapped {self.target} with {self.to}"
            case "stuck" | "position" | "wrong" | "dragging" | "weak":
                return f"{self.mode} {self.target} {self.to}"
        return f"{self.mode} {self.target}"


_PLAIN = re.compile(r"(?P<mode>open|blown|moving|held)\s+(?P<target>(?:contact\s+)?\S+)")
_SERIES = re.compile(r"(?P<mode>resistance|moving)\s+(?P<ohm>\S+)\s+(?P<target>(?:contact\s+)?\S+)")
_ACROSS = re.compile(r"(?P<mode>short|leak)\s+(?P<target>\S+)\s+to\s+(?P<to>\S+)(?:\s+(?P<ohm>\S+))?")
_SWAPPED = re.compile(r"swapped\s+(?P<target>\S+)\s+with\s+(?P<to>\S+)")
_OTHER = re.compile(r"(?P<mode>stuck|position|wrong|dragging|weak)\s+(?P<target>\S+)\s+(?P<to>\S+)")


def read_fault(text: str) -> Fault | None:
    """The fault a text spells, names not looked up; None where it spells none."""
    word = " ".join(text.split())
    if match := _PLAIN.fullmatch(word):
        return Fault(match["mode"], match["target"])
    if match := _SERIES.fullmatch(word):
        ohm = _ohm(match["ohm"])
        return None if ohm is None else Fault(match["mode"], match["target"], "", ohm)
    if match := _ACROSS.fullmatch(word):
        ohm = _ohm(match["ohm"]) if match["ohm"] else 0.0
        # How much leaks is the whole point of a leak.
        unread = ohm is None or (match["mode"] == "leak" and ohm <= 0.0)
        return None if unread else Fault(match["mode"], match["target"], match["to"], ohm or 0.0)
    if match := _SWAPPED.fullmatch(word):
        return Fault("swapped", match["target"], match["to"])
    if match := _OTHER.fullmatch(word):
        to = {"wrong": _fitted, "dragging": _share, "weak": _share}.get(match["mode"], str)(match["to"])
        return None if to is None else Fault(match["mode"], match["target"], to)
    return None


def _ohm(text: str) -> float | None:
    amount = read_quantity(text)
    if isinstance(amount, Quantity) and amount.unit == "ohm" and amount.value is not None and amount.value >= 0.0:
        return amount.value
    return None


def _fitted(text: str) -> str | None:
    if text in WRONG_WORDS:
        return text
    amount = read_quantity(text)
    if isinstance(amount, Quantity) and amount.unit in WRONG_UNITS and amount.value is not None and amount.value > 0.0:
        return f"{amount.value:g}{amount.unit}"
    return None


def _share(text: str) -> str | None:
    amount = read_quantity(text)
    if isinstance(amount, Quantity) and amount.unit == "%" and amount.value is not None and amount.value > 0.0:
        return f"{amount.value * 100.0:g}%"
    return None
