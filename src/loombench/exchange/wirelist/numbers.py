"""Sizes and lengths in the cells of a list: a number, its unit, and what may be assumed of bare ones.

`1,5` and `1.5` are one and a half. `1,200` can be read in two ways, and is read only where other cells of the list show
which mark its decimals have. A bare size with decimals is in mm2, a bare even whole number from 10 to 26 an AWG size
(common practice); where a column has both, none of its bare sizes is taken.
"""

import re
from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache
from types import MappingProxyType

from loombench.facts.conductor import LARGEST_AWG, SMALLEST_AWG, awg_area_mm2

MM2, AWG = "mm2", "awg"
LENGTH_M = MappingProxyType({"mm": 1e-3, "cm": 1e-2, "m": 1.0, "in": 0.0254, "ft": 0.3048})
_UNITS = MappingProxyType({
    "mm2": MM2, "mm²": MM2, "mm^2": MM2, "qmm": MM2, "mmq": MM2, "sqmm": MM2, "sq": MM2, "awg": AWG, "ga": AWG,
    "gauge": AWG, "#": AWG, "mm": "mm", "cm": "cm", "m": "m", "in": "in", "inch": "in", "inches": "in", '"': "in",
    "ft": "ft", "feet": "ft", "'": "ft",
})  # fmt: skip
_BOTH_WAYS = re.compile(r"[1-9]\d{0,2}[.,]\d{3}")
_GROUPED = re.compile(r"\d{1,3}(?:([.,' ])\d{3})(?:\1\d{3})*(?:([.,])\d+)?")
_PLAIN = re.compile(r"\d*[.,]\d+|\d+")
_OUGHT = re.compile(r"([1-4])/0|0{2,4}")
_NUMBER, _AFTER, _BEFORE = r"([\d.,' /]*\d)", r"\s*([a-z\"'²^#]+2?)?\.?", r"(?:(awg|ga|#)\s*)?"
_CELL = re.compile(_BEFORE + _NUMBER + _AFTER, re.IGNORECASE)
_LARGEST_MM2, _LONGEST_M = 500.0, 1000.0


@dataclass(frozen=True)
class Amount:
    """A cell as number and unit; `value` is None where the number cannot be read, `text` its own text.

    `unit` is empty for a bare number. `ought` is an AWG size written `2/0` or `00`: -1 for that one, 0 for 1/0.
    """

    text: str
    value: float | None
    unit: str
    ought: int | None = None
    unclear: bool = False


def decimal_mark(texts: Iterable[str]) -> str:
    """The mark of decimals that the numbers of a list show, empty where none or both do."""
    met = {mark for text in texts for mark in _shown(text)}
    return met.pop() if len(met) == 1 else ""


def _shown(text: str) -> Iterable[str]:
    for number in re.findall(r"\d*(?:[.,]\d+)+", text):
        marks = re.findall(r"[.,]", number)
        if len(set(marks)) == 2:
            yield marks[-1]
        elif len(marks) == 1 and not _BOTH_WAYS.fullmatch(number):
            yield marks[0]


@lru_cache(maxsize=8192)
def read_amount(text: str, mark: str) -> Amount | None:
    """The number and unit of a cell; None where it is no number with a known unit. `mark` is that of decimals."""
    found = _CELL.fullmatch(text.strip().replace("\u00a0", " ")[:40])
    if found is None:
        return None
    before, number, after = found.groups()
    unit = _UNITS.get((before or after or "").casefold(), None if before or after else "")
    if unit is None or (before and after):
        return None
    number = number.strip()
    ought = _OUGHT.fullmatch(number)
    if ought is not None and unit in ("", AWG):
        return Amount(text, None, unit, 1 - (int(ought[1]) if ought[1] else len(number)))
    value = _value(number, mark)
    if value is None and not _BOTH_WAYS.fullmatch(number):
        return None
    return Amount(text, value, unit, unclear=value is None)


def _value(number: str, mark: str) -> float | None:
    if _BOTH_WAYS.fullmatch(number):
        if not mark:
            return None
        return float(number.replace(",", ".") if mark in number else re.sub(r"[.,]", "", number))
    if _PLAIN.fullmatch(number):
        return float(number.replace(",", "."))
    grouped = _GROUPED.fullmatch(number)
    if grouped is None or grouped[1] == grouped[2]:
        return None
    whole, _, rest = number.rpartition(grouped[2]) if grouped[2] else (number, "", "")
    return float(re.sub(r"\D", "", whole) + ("." + rest if rest else ""))


def suggests(amount: Amount) -> str:
    """The unit that a bare size shows by itself, or that it has; empty where it could be either."""
    if amount.unit in (MM2, AWG):
        return amount.unit
    if amount.ought is not None:
        return AWG
    if amount.value is None:
        return ""
    if re.search(r"[.,]\d", amount.text):
        return MM2
    return AWG if amount.value in range(10, 27, 2) else ""


def area_mm2(amount: Amount, unit: str) -> float | None:
    """The area of a size whose bare numbers are in `unit`; None where it is no size (0 is none either)."""
    unit = amount.unit or unit
    if unit == AWG:
        gauge = amount.ought if amount.ought is not None else amount.value or None
        if gauge is None or gauge != int(gauge) or not LARGEST_AWG <= gauge <= SMALLEST_AWG:
            return None
        return awg_area_mm2(int(gauge))
    if unit != MM2 or amount.value is None or not 0.0 < amount.value <= _LARGEST_MM2:
        return None
    return amount.value


def length_m(amount: Amount, unit: str) -> float | None:
    """A length whose bare numbers are in `unit`; None where it is none, also for 0: that is not known yet."""
    factor = LENGTH_M.get(amount.unit or unit)
    if factor is None or amount.value is None or not 0.0 < amount.value * factor <= _LONGEST_M:
        return None
    return round(amount.value * factor, 9)
