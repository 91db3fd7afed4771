"""Numbers with their units, texts with their language, and colours of a VEC file."""

import math
import re

from loombench.base.problems import Level
from loombench.exchange.colours import system_named
from loombench.exchange.harness import ColourText
from loombench.exchange.vec.content import Content, Thing, ending
from loombench.facts.conductor import awg_area_mm2

# Powers of ten of the SI prefixes (SI brochure, table 7).
_PREFIXES = (
    ("Yotta", 24), ("Zetta", 21), ("Exa", 18), ("Peta", 15), ("Tera", 12), ("Giga", 9), ("Mega", 6), ("Kilo", 3),
    ("Hecto", 2), ("Deca", 1), ("", 0), ("Deci", -1), ("Centi", -2), ("Milli", -3), ("Micro", -6), ("Nano", -9),
    ("Pico", -12), ("Femto", -15), ("Atto", -18), ("Zepto", -21), ("Yocto", -24),
)  # fmt: skip
# Imperial lengths in metres (international yard and pound agreement of 1959).
_METRES = (("Thou", 0.0000254), ("Inch", 0.0254), ("Foot", 0.3048), ("Yard", 0.9144), ("Mile", 1609.344))
# Units that a program names itself, as met in lists of the trade (common practice).
_OWN = (
    (re.compile(r"mm(2|²|\^2)|sq ?mm|qmm", re.I), "Metre", 2, 1e-6), (re.compile(r"mm", re.I), "Metre", 1, 1e-3),
    (re.compile(r"cm", re.I), "Metre", 1, 1e-2), (re.compile(r"m|met(re|er)", re.I), "Metre", 1, 1.0),
    (re.compile(r"a|amp(ere)?", re.I), "Ampere", 1, 1.0), (re.compile(r"v|volt", re.I), "Volt", 1, 1.0),
)  # fmt: skip
_LANGUAGES = ("en", "de")


def length_m(content: Content, value: Thing | None) -> float | None:
    """A length in metres; None if there is none, or in no unit of length."""
    return _measured(content, value, "Metre", 1)


def area_mm2(content: Content, value: Thing | None) -> float | None:
    """A cross-section in mm2; None if there is none, zero, or in no unit of area or gauge."""
    if value is None:
        return None
    unit = content.follow(value, "UnitComponent", ending("Unit"))
    if unit is not None and unit.kind == "USUnit" and unit.say("UsUnitName") == "AWG":
        number = _number(value)
        return awg_area_mm2(int(number)) if number is not None and number == int(number) and abs(number) < 60 else None
    area_m2 = _measured(content, value, "Metre", 2)
    return round(area_m2 * 1e6, 9) if area_m2 else None


def current_a(content: Content, value: Thing | None) -> float | None:
    """A current in ampere; None if there is none, or in no unit of current."""
    return _measured(content, value, "Ampere", 1)


def _number(value: Thing) -> float | None:
    try:
        number = float(value.say("ValueComponent"))
    except ValueError:
        return None
    return number if math.isfinite(number) else None


def _measured(content: Content, value: Thing | None, base: str, exponent: int) -> float | None:
    if value is None:
        return None
    number = _number(value)
    unit = content.follow(value, "UnitComponent", ending("Unit"))
    factor = _factor(unit, base, exponent) if unit is not None else None
    if number is None or factor is None:
        content.notes.add(
            "vec-unit", Level.WARNING, content.span(value), content.span(unit) if unit is not None else None,
            field=value.tag, value=value.say("ValueComponent")[:40], unit=_unit_name(unit),
        )  # fmt: skip
        return None
    # The factor is a power of ten but for the imperial units: dividing by a whole number keeps 0.35 what it was.
    found = (
        number / round(1 / factor)
        if 0 < factor < 1 and math.isclose(1 / factor, round(1 / factor))
        else number * factor
    )
    return found if math.isfinite(found) else None


def _factor(unit: Thing, base: str, exponent: int) -> float | None:
    """What one such unit is in SI units; None where it measures something else."""
    power = unit.say("Exponent") or "1"
    if unit.kind == "SIUnit":
        prefix = dict(_PREFIXES).get(unit.say("SiPrefix"))
        fits = unit.say("SiUnitName") == base and power == str(exponent) and prefix is not None
        return float(f"1e{prefix * exponent}") if fits and prefix is not None else None
    if unit.kind in ("ImperialUnit", "USUnit"):
        metres = dict(_METRES).get(unit.say("ImperialUnitName") or unit.say("UsUnitName"))
        return metres**exponent if metres is not None and base == "Metre" and power == str(exponent) else None
    if unit.kind == "CustomUnit":
        for pattern, of_base, of_exponent, factor in _OWN:
            if (of_base, of_exponent) == (base, exponent) and pattern.fullmatch(unit.say("Identification").strip()):
                return factor
    return None


def _unit_name(unit: Thing | None) -> str:
    if unit is None:
        return "?"
    said = ("SiPrefix", "SiUnitName", "ImperialUnitName", "UsUnitName", "OtherUnitName", "Identification", "Exponent")
    return " ".join(unit.say(tag) for tag in said if unit.say(tag))[:60] or unit.kind


def worded(content: Content, thing: Thing, *tags: str) -> str:
    """The first of some texts that says anything; of several languages English, else German, else the first."""
    return next((found for tag in tags if (found := content.cleaner.words(_worded(thing, tag), thing.line))), "")


def _worded(thing: Thing, tag: str) -> str:
    texts = {child.say("LanguageCode").lower()[:2]: child.say("Value") for child in reversed(thing.all(tag))}
    chosen = next((texts[code] for code in _LANGUAGES if texts.get(code)), next(reversed(texts.values()), ""))
    return chosen or thing.say(tag)


def colour(insulation: Thing | None) -> ColourText:
    """The colours of an insulation: base, then first and second identification, all in one system where that can be.

    A colour may be said in several systems side by side; the letters of IEC 60757 are taken before any other. Where
    there is an identification colour and no base, the first of them is the main colour.
    """
    if insulation is None:
        return ColourText()
    said = [
        {child.say("ReferenceSystem").strip(): child.say("Key").strip() for child in reversed(insulation.all(tag))}
        for tag in ("BaseColor", "FirstIdentificationColor", "SecondIdentificationColor")
    ]
    said = [keys for keys in said if any(keys.values())]
    if not said:
        return ColourText()
    shared = [system for system in reversed(said[0]) if all(keys.get(system) for keys in said)]
    system = next((one for one in shared if "60757" in one), shared[0] if shared else "")
    if shared:
        return ColourText(tuple(keys[system] for keys in said), system_named(system) or system)
    return ColourText(tuple(next(reversed(keys.values())) for keys in said), "")
