"""Reading and printing quantities as a workshop spells them: `0,75 mm²`, `4k7`, `12V`, `0.3ohm`, `18AWG`, `?m`.

One reader for all text that people type. Values come out in the unit of their dimension: volt, ampere, watt, ohm,
metre, second, ampere-hour, degree Celsius, per minute (1/min), per cent as a share; conductor size stays in mm2,
since it is the name of a size and not an area that is computed with; AWG stays the printed number (1/0 is 0, 2/0 -1).
"""

import math
import re
from dataclasses import dataclass
from types import MappingProxyType

LARGEST = 1e12
NOTHING = 5e-7
"""Volts, amperes and watts below this print as 0: no workshop meter shows them."""

_UNITS = MappingProxyType(
    {
        "V": ("V", 1.0), "mV": ("V", 1e-3), "kV": ("V", 1e3),
        "A": ("A", 1.0), "mA": ("A", 1e-3), "uA": ("A", 1e-6),
        "W": ("W", 1.0), "mW": ("W", 1e-3), "kW": ("W", 1e3),
        "ohm": ("ohm", 1.0), "mohm": ("ohm", 1e-3), "kohm": ("ohm", 1e3), "Mohm": ("ohm", 1e6),
        "m": ("m", 1.0), "cm": ("m", 1e-2), "mm": ("m", 1e-3), "ft": ("m", 0.3048), "in": ("m", 0.0254),
        "mm2": ("mm2", 1.0),
        "AWG": ("AWG", 1.0),
        "Ah": ("Ah", 1.0),
        "s": ("s", 1.0), "ms": ("s", 1e-3), "min": ("s", 60.0), "h": ("s", 3600.0),
        "C": ("C", 1.0),
        "/min": ("/min", 1.0),
        "Hz": ("/min", 60.0),
        "%": ("%", 0.01),
        "way": ("way", 1.0),
    }
)  # fmt: skip

_SPELLINGS = MappingProxyType(
    {
        "ohms": "ohm", "Ohm": "ohm", "OHM": "ohm", "\u2126": "ohm", "\u03a9": "ohm", "R": "ohm",
        "m\u03a9": "mohm", "k\u03a9": "kohm", "M\u03a9": "Mohm", "mOhm": "mohm", "kOhm": "kohm", "MOhm": "Mohm",
        "k": "kohm",
        "mm²": "mm2", "mm^2": "mm2", "qmm": "mm2", "sqmm": "mm2",
        "\u00b5A": "uA", "\u03bcA": "uA", "v": "V", "a": "A", "w": "W", "awg": "AWG", "ga": "AWG", "AH": "Ah",
        "ah": "Ah",
        "°C": "C", "℃": "C", "sec": "s", "volt": "V", "volts": "V", "amp": "A", "amps": "A",
        "watt": "W", "watts": "W", "ways": "way", "pin": "way",
    }
)  # fmt: skip

_NUMBER = re.compile(r"(?P<sign>[+−–—-]?)(?P<number>\d+(?:[.,]\d+)?(?:[eE][+-]?\d+)?)\s*(?P<unit>.*)", re.S)
_INFIX = re.compile(r"(?P<whole>\d+)(?P<prefix>[kMR])(?P<rest>\d+)(?:ohm|Ω)?")
_ZEROS = re.compile(r"(?P<zeros>[1-4])/0\s*(?:AWG|awg)?|(?P<named>0{1,4})\s*AWG")


@dataclass(frozen=True)
class Quantity:
    """A number in the unit of its dimension; `value` is None where the text had `?`."""

    value: float | None
    unit: str


@dataclass(frozen=True)
class NotAQuantity:
    """Why a text is no quantity: `reason` is number, unit or size; `offset` is where in the text."""

    reason: str
    offset: int
    text: str


def read_quantity(text: str) -> Quantity | NotAQuantity:
    """The quantity a text spells, in the unit of its dimension, or why it is none. Never raises."""
    word = text.strip()
    if word.startswith("?"):
        unit = _unit(word[1:].strip())
        return Quantity(None, unit[0]) if unit else NotAQuantity("unit", 1, word)
    infix = _INFIX.fullmatch(word)
    if infix:
        scale = {"k": 1e3, "M": 1e6, "R": 1.0}[infix["prefix"]]
        return Quantity(float(f"{infix['whole']}.{infix['rest']}") * scale, "ohm")
    zeros = _ZEROS.fullmatch(word)
    if zeros:
        count = int(zeros["zeros"]) if zeros["zeros"] else len(zeros["named"])
        return Quantity(float(1 - count), "AWG")
    match = _NUMBER.fullmatch(word)
    if not match:
        return NotAQuantity("number", 0, word)
    if len(match["number"]) > 40:
        return NotAQuantity("size", 0, word[:40])
    value = float(match["number"].replace(",", "."))
    if match["sign"] and match["sign"] != "+":
        value = -value
    unit = _unit(match["unit"].strip())
    if unit is None:
        return NotAQuantity("unit", match.start("unit"), match["unit"].strip()[:40])
    value *= unit[1]
    if not math.isfinite(value) or abs(value) > LARGEST:
        return NotAQuantity("size", 0, word[:40])
    return Quantity(value, unit[0])


def _unit(word: str) -> tuple[str, float] | None:
    if not word:
        return "", 1.0
    return _UNITS.get(_SPELLINGS.get(word, word))


def print_quantity(value: float, unit: str, digits: int = 4) -> str:
    """A value in its unit, as a person reads it: `12.4 V`, `3.2 mV`, `0.14 A`, `470 kohm`; no connection is `OL`."""
    if unit == "ohm" and math.isinf(value):
        return "OL"
    if unit in ("V", "A", "W") and abs(value) < NOTHING:
        return f"0 {unit}"
    if unit in ("V", "A", "W") and abs(value) < 0.1:
        return f"{_trim(value * 1e3, digits)} m{unit}"
    if unit == "ohm" and value:
        for limit, prefix, scale in ((0.1, "m", 1e3), (1e3, "", 1.0), (1e6, "k", 1e-3)):
            if abs(value) < limit:
                return f"{_trim(value * scale, digits)} {prefix}ohm"
        return f"{_trim(value * 1e-6, digits)} Mohm"
    if unit == "%":
        return f"{_trim(value * 100, digits)} %"
    return f"{_trim(value, digits)} {unit}".rstrip()


def _trim(value: float, digits: int) -> str:
    text = f"{value:.{digits}g}"
    if "e" in text and abs(value) < LARGEST:
        text = f"{value:.0f}" if abs(value) >= 1 else f"{value:.6f}"
    return text
