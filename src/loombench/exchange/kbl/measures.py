"""Numbers of a KBL file in our units: lengths, cross-sections, currents, and which of several lengths is the wire's.

What is mended or assumed is said: a decimal comma, a unit that is missing or of another dimension (common practice is
mm, mm2 and A), a number that can be no length or size. Factors of inch, foot and yard: international yard of 1959.
"""

import math
import re
from collections.abc import Mapping, Sequence
from types import MappingProxyType

from loombench.base.problems import Level
from loombench.exchange.kbl.raw import Raw, UnitKind, Value
from loombench.facts.conductor import awg_area_mm2

_PREFIXES = MappingProxyType({"": 0, "milli": -3, "centi": -2, "micro": -6, "kilo": 3, "deci": -1})
_METRES: Mapping[str, float] = MappingProxyType({
    "mm": 1e-3, "millimetre": 1e-3, "millimeter": 1e-3, "cm": 1e-2, "centimetre": 1e-2, "centimeter": 1e-2, "dm": 0.1,
    "m": 1.0, "metre": 1.0, "meter": 1.0, "km": 1e3, "in": 0.0254, "inch": 0.0254, "inches": 0.0254, '"': 0.0254,
    "zoll": 0.0254, "ft": 0.3048, "foot": 0.3048, "feet": 0.3048, "yd": 0.9144, "yard": 0.9144,
    "µm": 1e-6, "um": 1e-6, "micrometre": 1e-6,
})  # fmt: skip
_AREA = re.compile(r"(?:square|quadrat|sq\.?|q)[ -]?(.+)|(.+?) ?(?:\^?2|²|-?sq|squared|square)", re.IGNORECASE)
_AMPERES: Mapping[str, float] = MappingProxyType({
    "a": 1.0, "amp": 1.0, "amps": 1.0, "ampere": 1.0, "amperes": 1.0, "ma": 1e-3, "milliampere": 1e-3, "ka": 1e3,
})  # fmt: skip
_GAUGE = frozenset({"awg", "gauge", "ga"})
_NUMBER = re.compile(r"[+-]?(?:\d+(?:[.,]\d*)?|[.,]\d+)(?:[eE][+-]?\d{1,3})?")
LONGEST_M = 1_000.0
LARGEST_MM2 = 1_000.0
SMALLEST_MM2 = 0.01
LARGEST_A = 10_000.0

# How far each kind of length is trusted, lowest first (exchange practice); an add-on is no length by itself.
_RANKS: tuple[tuple[re.Pattern[str], int], ...] = (
    (re.compile(r"supplement|zuschlag|zugabe|add.?on|allowance", re.IGNORECASE), -1),
    (re.compile(r"production|produktion|fertigung|cut", re.IGNORECASE), 0),
    (re.compile(r"drawing|zeichnung", re.IGNORECASE), 1),
    (re.compile(r"contract", re.IGNORECASE), 2),
    (re.compile(r"calc|berechnet", re.IGNORECASE), 3),
    (re.compile(r"dmu|virtual|3d|cad", re.IGNORECASE), 4),
)
_DMU, _OTHER = 4, 5


def number(raw: Raw, value: Value) -> float | None:
    """The number of a value, decimal commas read; None where it is none."""
    text = value.number.strip()
    found = _NUMBER.fullmatch(text)
    result = float(text.replace(",", ".")) if found else math.nan
    if not math.isfinite(result):
        raw.notes.add("number-unread", Level.WARNING, raw.span(value.line), text=text[:40])
        return None
    if "," in text:
        raw.notes.add("number-comma", Level.NOTE, raw.span(value.line), text=text[:40], read=f"{result:g}")
    return result


def length_m(raw: Raw, value: Value) -> float | None:
    """A length in metres; None where it is unknown: no number, none that a length can be, or not routed yet (-1)."""
    said = number(raw, value)
    if said is None:
        return None
    if said == -1:
        raw.notes.add("length-unrouted", Level.NOTE, raw.span(value.line))
        return None
    unit = raw.units.get(value.unit)
    factor = _metres(unit, 1) if unit is not None else None
    if factor is None:
        _assumed(raw, value, unit, "mm")
        factor = 1e-3
    return _sane(raw, value, _times(said, factor), 0.0, LONGEST_M, "m")


def area_mm2(raw: Raw, value: Value) -> float | None:
    """A cross-section in mm2; None where it is unknown: no number, none that a wire can have, or 0."""
    said = number(raw, value)
    if not said:
        return None
    unit = raw.units.get(value.unit)
    if unit is not None and unit.name.casefold() in _GAUGE:
        gauge = int(said) if said == int(said) and -3 <= said <= 40 else None
        return awg_area_mm2(gauge) if gauge is not None else _sane(raw, value, math.inf, 0.0, 0.0, "AWG")
    factor = _metres(unit, 2) if unit is not None else None
    if factor is None:
        _assumed(raw, value, unit, "mm2")
        factor = 1e-6
    area_mm2 = said if math.isclose(factor, 1e-6) else _times(said, factor * 1e6)
    return _sane(raw, value, area_mm2, SMALLEST_MM2, LARGEST_MM2, "mm2")


def current_a(raw: Raw, value: Value) -> float | None:
    """A current in ampere; None where it is unknown or 0."""
    said = number(raw, value)
    if not said:
        return None
    unit = raw.units.get(value.unit)
    factor = _AMPERES.get(unit.name.casefold()) if unit is not None else None
    if unit is not None and factor is None and unit.si_name.casefold() == "ampere" and not unit.dimension:
        factor = _power(_PREFIXES.get(unit.prefix.casefold()))
    if factor is None:
        _assumed(raw, value, unit, "A")
        factor = 1.0
    return _sane(raw, value, _times(said, factor), 0.0, LARGEST_A, "A")


def wire_length_m(raw: Raw, lengths: Sequence[tuple[str, Value]]) -> float | None:
    """The length of a wire out of those given: production, drawing, contract, calculated, else DMU with its supplement.

    A 0 is given back as such; what it means depends on where the ends are.
    """
    ranked: list[tuple[int, Value, str]] = []
    for kind, value in lengths:
        rank = next((rank for pattern, rank in _RANKS if pattern.search(kind)), _OTHER)
        ranked.append((rank, value, kind))
    added = 0.0
    for rank, value, kind in sorted((one for one in ranked if one[0] >= 0), key=lambda one: one[0]):
        found = length_m(raw, value)
        if found is None:
            continue
        if rank == _OTHER:
            raw.notes.add("length-type", Level.NOTE, raw.span(value.line), type=kind[:40])
        if rank == _DMU and found:
            added = sum(length_m(raw, extra) or 0.0 for less, extra, _kind in ranked if less < 0)
        return round(found + added, 9)
    return None


def _metres(unit: UnitKind, power: int) -> float | None:
    """What one such unit is in metres to a power; None where it measures something else."""
    if unit.si_name.casefold() in ("metre", "meter"):
        prefix = _power(_PREFIXES.get(unit.prefix.casefold()))
        dimension = {"": 1, "square": 2, "cubic": 3}.get(unit.dimension.casefold())
        return prefix**power if prefix is not None and dimension == power else None
    text = unit.name.strip().casefold().rstrip(".")
    if power == 2:
        found = _AREA.fullmatch(text)
        text = (found[1] or found[2]).strip() if found else ""
    factor = _METRES.get(text)
    return factor**power if factor is not None else None


def _power(exponent: int | None) -> float | None:
    return float(f"1e{exponent}") if exponent is not None else None


def _times(number: float, factor: float) -> float:
    """Their product; a division where that keeps a decimal number what it was."""
    inverse = round(1 / factor) if 0 < factor < 1 else 0
    return number / inverse if inverse and math.isclose(1 / factor, inverse) else number * factor


def _assumed(raw: Raw, value: Value, unit: UnitKind | None, taken: str) -> None:
    seen = " ".join(word for word in unit if word)[:40] if unit is not None else ""
    raw.notes.add(
        "unit-assumed", Level.WARNING, raw.span(value.line), number=value.number[:40], unit=seen or "?", taken=taken
    )


def _sane(raw: Raw, value: Value, found: float, least: float, most: float, unit: str) -> float | None:
    if least <= found <= most:
        return found
    raw.notes.add(
        "value-absurd", Level.WARNING, raw.span(value.line),
        number=value.number[:40], least=f"{least:g}", most=f"{most:g}", unit=unit,
    )  # fmt: skip
    return None
