"""Resistance of conductors. Three families of cable, three tables, never mixed: ISO 6722 (metric vehicle cable),
IEC 60228 (installation cable), AWG and SAE sizes.

The ISO 6722 values and the SAE areas are from memory (see the rows); AWG is computed from ASTM B258.
"""

import math
from bisect import bisect_left
from dataclasses import dataclass
from functools import cache, lru_cache

from loombench.facts.interpolate import linear
from loombench.facts.table import Provenance, load_table

MM2_PER_CMIL = 5.067075e-4
"""Square millimetres in a circular mil: pi/4 x (0.0254 mm)^2."""
REFERENCE_TEMPERATURE_C = 20.0
LARGEST_AWG, SMALLEST_AWG = -3, 40
"""4/0 and 40: the range of ASTM B258 sizes met in vehicles."""


@dataclass(frozen=True)
class Material:
    """A conductor metal; `alpha_per_k` at 20 C. `source_list` tells the IEC values from a textbook's."""

    name: str
    source_list: str
    resistivity_ohm_mm2_per_m: float
    alpha_per_k: float
    provenance: Provenance


@dataclass(frozen=True)
class ConductorSize:
    """A size of a conductor table: greatest resistance at 20 C."""

    area_mm2: float
    resistance_ohm_per_m: float
    provenance: Provenance


@cache
def materials() -> tuple[Material, ...]:
    """Copper and aluminium by IEC, copper also by the textbook whose examples are checked."""
    return tuple(
        Material(
            row.text("material"),
            row.text("list"),
            row.number("resistivity_ohm_mm2_per_km") / 1e3,
            row.number("alpha_per_k"),
            row.provenance,
        )
        for row in load_table("conductor_material")
    )


@cache
def material(name: str, source_list: str = "IEC") -> Material:
    """A metal by name. Raises KeyError where the list has none of that name."""
    for entry in materials():
        if (entry.name, entry.source_list) == (name, source_list):
            return entry
    raise KeyError(f"no {name} in the list {source_list}")


def temperature_factor(temperature_c: float, alpha_per_k: float | None = None) -> float:
    """Resistance at a temperature over that at 20 C: 1 + alpha (T - 20), copper of IEC 60028 unless given.

    Good from about -60 to 200 C. Source: IEC 60028, from memory.

    Raises:
        ValueError: so cold that the straight line gives no resistance.
    """
    alpha = material("copper").alpha_per_k if alpha_per_k is None else alpha_per_k
    factor = 1.0 + alpha * (temperature_c - REFERENCE_TEMPERATURE_C)
    if not factor > 0.0:
        raise ValueError(f"{temperature_c} C is outside the range of the temperature formula")
    return factor


@cache
def iso6722_sizes() -> tuple[ConductorSize, ...]:
    """The sizes of ISO 6722 from small to large, bare copper (from memory)."""
    return tuple(
        ConductorSize(row.number("area_mm2"), row.number("resistance_max_mohm_per_m") / 1e3, row.provenance)
        for row in load_table("conductor_iso6722")
    )


@cache
def _lay_factors() -> tuple[tuple[float, float], ...]:
    rho = material("copper").resistivity_ohm_mm2_per_m
    return tuple((math.log(s.area_mm2), s.resistance_ohm_per_m * s.area_mm2 / rho) for s in iso6722_sizes())


@lru_cache(maxsize=4096)
def resistance_ohm_per_m(area_mm2: float, temperature_c: float = 20.0) -> float:
    """Greatest resistance of a metric vehicle cable, ohm per metre.

    A size of ISO 6722 gives the table's own value. Between two sizes the factor R A / 17.241 (stranding, lay, metal)
    is interpolated over log A; outside the table (0.13 to 120 mm2) the factor of the nearest size is kept. Falls with
    area, rises with temperature. Source: ISO 6722-1, from memory; copper coefficient IEC 60028, from memory.

    Raises:
        ValueError: the area is not above zero, or the temperature is outside the formula's range.
    """
    _wants_above_zero(area_mm2, "area")
    sizes = iso6722_sizes()
    index = bisect_left(sizes, area_mm2, key=lambda size: size.area_mm2)
    if index < len(sizes) and sizes[index].area_mm2 == area_mm2:
        at_20c = sizes[index].resistance_ohm_per_m
    else:
        at_20c = linear(_lay_factors(), math.log(area_mm2)) * material("copper").resistivity_ohm_mm2_per_m / area_mm2
    return at_20c * temperature_factor(temperature_c)


_IEC60228_COLUMNS = (
    ("copper", "1/2", "copper_class_1_2_mohm_per_m"),
    ("copper", "5/6", "copper_class_5_6_mohm_per_m"),
    ("tinned copper", "5/6", "tinned_class_5_6_mohm_per_m"),
    ("aluminium", "1/2", "aluminium_class_1_2_mohm_per_m"),
)


def iec60228_resistance_ohm_per_m(area_mm2: float, metal: str = "copper", strand_class: str = "5/6") -> float | None:
    """Greatest resistance at 20 C of an installation cable by IEC 60228:2004, ohm per metre.

    `metal` is copper, tinned copper or aluminium; `strand_class` is 1/2 or 5/6. None where the table has no value:
    IEC 60228 is not interpolated, and not a substitute for the vehicle cable table.
    """
    for name, strand, column in _IEC60228_COLUMNS:
        if (name, strand) == (metal, strand_class):
            for row in load_table("conductor_iec60228"):
                if row.number("area_mm2") == area_mm2:
                    value = row.number_or_none(column)
                    return None if value is None else value / 1e3
    return None


def awg_diameter_mm(awg: int) -> float:
    """Diameter of a solid AWG conductor in mm: 0.127 x 92^((36 - n)/39); 1/0 is 0, 2/0 -1, 3/0 -2, 4/0 -3.

    Source: ASTM B258, from memory. Raises ValueError outside 4/0 to 40.
    """
    if not LARGEST_AWG <= awg <= SMALLEST_AWG:
        raise ValueError(f"AWG {awg} is outside 4/0 (-3) to {SMALLEST_AWG}")
    return 0.127 * math.pow(92.0, (36 - awg) / 39)


def awg_area_mm2(awg: int) -> float:
    """Area of a solid AWG conductor in mm2. Source: ASTM B258, from memory. Raises ValueError outside 4/0 to 40."""
    return math.pi / 4 * awg_diameter_mm(awg) ** 2


def awg_resistance_ohm_per_m(awg: int, temperature_c: float = 20.0) -> float:
    """Resistance of a solid copper AWG conductor, ohm per metre: resistivity over area; stranding adds about 2 %.

    Source: ASTM B258 and IEC 60028, from memory. Raises ValueError outside 4/0 to 40.
    """
    rho = material("copper").resistivity_ohm_mm2_per_m
    return rho / awg_area_mm2(awg) * temperature_factor(temperature_c)


def sae_area_mm2(size: int) -> float | None:
    """Least copper area of an SAE cable of that size number, 3 to 11 % below AWG of the same number.

    None where the table has no such size. Source: SAE J378, J1127, J1128 as in ABYC E-11, from memory.
    """
    for row in load_table("conductor_sae_area"):
        if row.number("size") == size:
            return row.number("sae_min_cmil") * MM2_PER_CMIL
    return None


def sae_resistance_ohm_per_m(size: int, temperature_c: float = 20.0) -> float | None:
    """Resistance of an SAE cable of least area, ohm per metre, None where the table has no such size (from memory)."""
    area_mm2 = sae_area_mm2(size)
    if area_mm2 is None:
        return None
    return material("copper").resistivity_ohm_mm2_per_m / area_mm2 * temperature_factor(temperature_c)


def cmil_from_mm2(area_mm2: float) -> float:
    """Circular mils of an area in mm2."""
    return area_mm2 / MM2_PER_CMIL


def mm2_from_cmil(area_cmil: float) -> float:
    """Area in mm2 of circular mils."""
    return area_cmil * MM2_PER_CMIL


def _wants_above_zero(value: float, what: str) -> None:
    if not (value > 0.0 and math.isfinite(value)):
        raise ValueError(f"{what} {value} is not above zero")
