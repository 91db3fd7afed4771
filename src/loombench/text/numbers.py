"""Numbers with their unit as bands: `12V`, `0,75 mm²`, `?m`, and ranges `2..5m`, `2..3..5m` (low, nominal, high)."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from types import MappingProxyType

from loombench.base.band import Band
from loombench.base.quantity import NotAQuantity, Quantity, read_quantity

UNITS = frozenset(
    {"V", "mV", "A", "mA", "W", "kW", "ohm", "mohm", "kohm", "Mohm", "Ω", "kΩ", "MΩ", "m", "cm", "mm", "mm2", "mm²",
     "AWG", "Ah", "s", "ms", "min", "h", "%", "way", "Hz", "°C"}
)  # fmt: skip
"""Unit words that may stand apart from their number (`12 V`); those that are also names of pins are not among them."""

BOUNDS: Mapping[str, tuple[float, float]] = MappingProxyType(
    {"V": (0.01, 1500.0), "A": (1e-6, 5000.0), "W": (1e-3, 1e5), "ohm": (1e-6, 1e9), "m": (0.001, 500.0),
     "mm2": (0.01, 500.0), "AWG": (-3.0, 40.0), "Ah": (0.1, 5000.0), "s": (0.0, 1e6), "C": (-60.0, 1000.0),
     "/min": (0.1, 1e7), "%": (0.0, 1.0), "way": (1.0, 1e9)}
)  # fmt: skip
"""What is taken for possible on a vehicle, by unit: wide, to catch slips of the finger and not opinions."""


@dataclass(frozen=True)
class Number:
    """A number as written: its band, None where it is `?`, and its unit ("" for a bare one)."""

    band: Band | None
    unit: str


@lru_cache(maxsize=4096)
def read_number(text: str) -> Number | NotAQuantity:
    """The number a word spells, or why it is none. Reason `bounds`: outside of what a vehicle has.

    Kept by text, since a file says the same few sizes and ratings over and over.
    """
    parts = text.split("..")
    if len(parts) > 3 or any(not part for part in parts):
        return NotAQuantity("number", 0, text[:40])
    last = read_quantity(parts[-1])
    if isinstance(last, NotAQuantity):
        return last
    if last.value is None:
        return Number(None, last.unit) if len(parts) == 1 else NotAQuantity("number", 0, text[:40])
    scale = _scale(parts[-1], last)
    values: list[float] = []
    for part in parts[:-1]:
        item = read_quantity(part)
        if isinstance(item, NotAQuantity) or item.value is None or item.unit not in ("", last.unit):
            return NotAQuantity("number", 0, text[:40])
        values.append(item.value * scale if not item.unit else item.value)
    values.append(last.value)
    if values != sorted(values):
        return NotAQuantity("bounds", 0, text[:40])
    low, high = BOUNDS.get(last.unit, (float("-inf"), float("inf")))
    if not (low <= values[0] and values[-1] <= high):
        return NotAQuantity("bounds", 0, text[:40])
    nominal = (values[0] + values[-1]) / 2 if len(values) == 2 else values[len(values) // 2]
    return Number(Band(nominal, values[0], values[-1]), last.unit)


def _scale(text: str, read: Quantity) -> float:
    """What one of the written unit is in the unit of the dimension: `3..5mA` counts both in mA."""
    unit = text.lstrip("+-0123456789.,").strip()
    one = read_quantity(f"1{unit}") if unit and read.unit not in ("", "AWG") else None
    return one.value if isinstance(one, Quantity) and one.value is not None else 1.0


def write_number(band: Band | None, unit: str) -> str:
    """The number as it is written, so that reading it gives the same band."""
    if band is None:
        return f"?{unit}"
    if unit == "%":
        band = Band(*(round(value * 100, 10) for value in (band.nominal, band.low, band.high)))
    if unit == "AWG" and band.known and band.nominal < 1:
        return f"{1 - round(band.nominal)}/0AWG"
    if band.known:
        return f"{plain_number(band.nominal)}{unit}"
    low, high = plain_number(band.low), plain_number(band.high)
    if band.nominal == (band.low + band.high) / 2:
        return f"{low}..{high}{unit}"
    return f"{low}..{plain_number(band.nominal)}..{high}{unit}"


def plain_number(value: float) -> str:
    """The shortest text that reads back as the same number."""
    return repr(value).removesuffix(".0")
