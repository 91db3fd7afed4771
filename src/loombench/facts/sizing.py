"""Choosing a conductor by voltage drop and by current: the formulas and tables a handbook prints.

The two criteria are separate and the larger size wins. Lengths say what they are: `length_m` of one conductor,
`loop_length_m` there and back; printed charts differ in this and are misread for it. Local codes, the maker's limits
and licensed practice come first.
"""

import math
from collections.abc import Callable

from loombench.facts.conductor import temperature_factor
from loombench.facts.table import load_table
from loombench.facts.typical import typical

METRES_PER_FOOT = 0.3048
ABYC_OHM_CMIL_PER_FT = 10.75
"""K of the ABYC E-11 formula, from memory: copper at about 29 C."""
USUAL_SIZES = (18, 16, 14, 12, 10, 8, 6, 4, 2, 1, 0, -1, -2, -3)
"""Size numbers of the SAE and ABYC tables, small to large; 1/0 is 0, 4/0 is -3."""


def conductor_resistance_ohm(resistivity_ohm_mm2_per_m: float, length_m: float, area_mm2: float) -> float:
    """R = rho L / A of one conductor; area above zero."""
    return resistivity_ohm_mm2_per_m * length_m / area_mm2


def area_for_resistance_mm2(resistivity_ohm_mm2_per_m: float, length_m: float, resistance_ohm: float) -> float:
    """Area that gives one conductor of that length a resistance: A = rho L / R; resistance above zero."""
    return resistivity_ohm_mm2_per_m * length_m / resistance_ohm


def voltage_drop_v(resistance_ohm_per_m: float, length_m: float, current_a: float) -> float:
    """Drop along a conductor: resistance per metre x length x current. For a loop give its whole length."""
    return resistance_ohm_per_m * length_m * current_a


def resistance_at_ohm(resistance_ohm: float, from_c: float, to_c: float, alpha_per_k: float | None = None) -> float:
    """Resistance of a conductor known at one temperature, at another; copper of IEC 60028 (from memory) unless given.

    Raises:
        ValueError: a temperature outside the range of the formula.
    """
    return resistance_ohm * temperature_factor(to_c, alpha_per_k) / temperature_factor(from_c, alpha_per_k)


def length_at_temperature_m(length_20c_m: float, conductor_c: float) -> float:
    """Copper length with the same drop in a conductor of that temperature: 254.5 L1 / (234.5 + T2).

    Source: FAA AC 43.13-1B chapter 11 (public domain); T2 above -234.5 C.
    """
    return 254.5 * length_20c_m / (234.5 + conductor_c)


def abyc_area_cmil(current_a: float, loop_length_m: float, drop_v: float) -> float:
    """Circular mils for a drop over a length there and back: K I L / E with L in feet. ABYC E-11, from memory."""
    return ABYC_OHM_CMIL_PER_FT * current_a * (loop_length_m / METRES_PER_FOOT) / drop_v


def least_size(area_cmil: float, table: str = "SAE") -> int | None:
    """Smallest cable of `USUAL_SIZES` with at least that area, by the table `SAE` or `AWG`; None above 4/0.

    The two tables are never mixed: an SAE cable has 3 to 11 % less copper than AWG of the same number.
    AWG areas count as the table of ABYC E-11 prints them, rounded to 10 cmil (from memory, as the SAE areas are).

    Raises:
        ValueError: another table.
    """
    columns = {"SAE": "sae_min_cmil", "AWG": "awg_cmil"}
    if table not in columns:
        raise ValueError(f"the table is SAE or AWG, not {table!r}")
    fits = (row for row in load_table("conductor_sae_area") if row.number(columns[table]) >= area_cmil)
    return next((int(row.number("size")) for row in fits), None)


def size_name(size: int) -> str:
    """A size number as it is printed: 18, 1/0 for 0, 4/0 for -3."""
    return str(size) if size > 0 else f"{1 - size}/0"


def abyc_ampacity_a(size: int, in_engine_space: bool = False) -> float | None:
    """Ampacity of one cable with 105 C insulation, None outside the table. ABYC E-11, from memory."""
    return _lookup("ampacity_abyc", size, "inside_engine_space_a" if in_engine_space else "outside_engine_space_a")


def free_air_ampacity_a(size: int, insulation_c: int = 90) -> float | None:
    """Ampacity of copper in free air at 30 C for insulation of 60, 75 or 90 C, None outside the table.

    Source: Lessons In Electric Circuits vol. V ch. 3 (printed; sizes 20 to 16 marked there as estimated).
    """
    return _lookup("ampacity_free_air", size, f"current_{insulation_c}c_a") if insulation_c in (60, 75, 90) else None


def bundle_ampacity_a(size: int, insulation_c: int = 105) -> float | None:
    """Ampacity in a large bundle at 70 C ambient, insulation 105, 150 or 200 C, None outside the table.

    Source: FAA AC 43.13-1B table 11-9 (printed): 33 or more wires (24 to 10) or 9 (8 and up), at most 20 % loaded.
    """
    known = insulation_c in (105, 150, 200)
    return _lookup("ampacity_faa_bundle", size, f"current_{insulation_c}c_a") if known else None


def _lookup(table: str, size: int, column: str) -> float | None:
    for row in load_table(table):
        if row.number("awg") == size:
            return row.number_or_none(column)
    return None


def least_size_for_current(current_a: float, ampacity: Callable[[int], float | None] = abyc_ampacity_a) -> int | None:
    """Smallest of `USUAL_SIZES` that carries a current by an ampacity table (ABYC outside engine spaces unless given).

    None where none does.
    """
    return next((size for size in USUAL_SIZES if (ampacity(size) or 0.0) >= current_a), None)


def bundle_factor(conductors: int, rule: str = "ABYC") -> float:
    """Factor on the ampacity of one cable among that many carrying current, by `ABYC` or `NEC`; 1 up to three.

    Source: ABYC E-11 and NFPA 70 310.15(C)(1), from memory.

    Raises:
        ValueError: another rule.
    """
    column = {"ABYC": "abyc_factor", "NEC": "nec_factor"}.get(rule)
    if column is None:
        raise ValueError(f"the rule is ABYC or NEC, not {rule!r}")
    rows = [row for row in load_table("bundle_derating") if row.number("conductors_from") <= conductors]
    return rows[-1].number(column) if rows else 1.0


def space_bundle_factor(wires: int) -> float:
    """Factor on one wire's current in a bundle: (29 - N)/28 up to 15 wires, 0.5 above. MIL-STD-975, from memory."""
    return (29 - max(wires, 1)) / 28 if wires <= 15 else 0.5


def faa_conductor_temperature_c(ambient_c: float, rated_c: float, current_a: float, greatest_a: float) -> float:
    """Conservative conductor temperature: T1 + (TR - T1) sqrt(I2/Imax).

    Source: FAA AC 43.13-1B p. 11-23 (symbols printed there, formula from memory); a physical model goes with the
    square of the current.
    """
    return ambient_c + (rated_c - ambient_c) * math.sqrt(current_a / greatest_a)


def link_size(wire_size: int) -> int:
    """AWG number of a fusible link for a wire: four numbers smaller wire. Common practice, no source."""
    return wire_size + int(typical("fuse_rule", "link-below-wire").value)
