"""Short circuits: what heats a conductor to its limit, and what melts it. Estimates for fusible links and for fires.

Adiabatic formulas hold to about 5 s; beyond that heat escapes and they err on the safe side. A melting current is
never a permitted one.
"""

import math

from loombench.facts.conductor import cmil_from_mm2
from loombench.facts.table import load_table

COPPER_MELTS_C = 1083.0
PREECE_A_PER_MM15 = 80.0
"""Preece's constant for copper, ampere per mm^1.5, from memory."""


def adiabatic_k(metal: str, initial_c: float, final_c: float) -> float:
    """k in A s^0.5 / mm2 of `copper`, `aluminium` or `steel`: K sqrt(ln((beta + Tf)/(beta + Ti))).

    K and beta: IEC 60949, from memory.

    Raises:
        ValueError: another metal, or temperatures not rising.
    """
    if final_c < initial_c:
        raise ValueError(f"from {initial_c} to {final_c} C nothing heats")
    for row in load_table("adiabatic_k"):
        if row.text("metal") == metal:
            beta_c = row.number("beta_c")
            return row.number("constant_k") * math.sqrt(math.log((beta_c + final_c) / (beta_c + initial_c)))
    raise ValueError(f"no constants for {metal!r}")


def adiabatic_area_mm2(current_a: float, time_s: float, k: float) -> float:
    """Least area that stands a short-circuit current for a time: I sqrt(t) / k. IEC 60364-5-54, from memory."""
    return current_a * math.sqrt(time_s) / k


def adiabatic_time_s(area_mm2: float, current_a: float, k: float) -> float:
    """Time a conductor stands a short-circuit current: (k S / I)^2."""
    return (k * area_mm2 / current_a) ** 2


def _onderdonk(ambient_c: float, melting_c: float) -> float:
    return math.log10(1.0 + (melting_c - ambient_c) / (234.0 + ambient_c)) / 33.0


def onderdonk_current_a(
    area_mm2: float, time_s: float, ambient_c: float = 25.0, melting_c: float = COPPER_MELTS_C
) -> float:
    """Current that melts a copper conductor in a time: A sqrt(log10(1 + (Tm - Ta)/(234 + Ta)) / (33 t)), A in cmil.

    Adiabatic, up to some seconds. Onderdonk's equation, from memory (233 is printed too; below 0.3 % apart).
    """
    return cmil_from_mm2(area_mm2) * math.sqrt(_onderdonk(ambient_c, melting_c) / time_s)


def onderdonk_time_s(area_mm2: float, current_a: float, ambient_c: float = 25.0) -> float:
    """Least time in which a current melts a copper conductor, no heat escaping: Onderdonk's equation turned round."""
    return _onderdonk(ambient_c, COPPER_MELTS_C) * (cmil_from_mm2(area_mm2) / current_a) ** 2


def preece_current_a(diameter_mm: float) -> float:
    """Steady current that melts a round copper wire in free air: 80 d^1.5, d in mm. Preece, from memory."""
    return PREECE_A_PER_MM15 * math.pow(diameter_mm, 1.5)


def link_opening_time_s(area_mm2: float, current_a: float, ambient_c: float = 25.0) -> tuple[float, float]:
    """Least and greatest melting time of a bare piece of copper wire, as a stand-in for a fusible link of that area.

    Below Preece's current it holds: (inf, inf). Above, no sooner than Onderdonk's time; how long at most is not known:
    (t_min, inf). Both formulas from memory; the insulation of a real link makes it slower.

    Raises:
        ValueError: the area is not above zero.
    """
    if not area_mm2 > 0.0:
        raise ValueError(f"area {area_mm2} is not above zero")
    current = abs(current_a)
    if current <= preece_current_a(math.sqrt(4.0 * area_mm2 / math.pi)):
        return math.inf, math.inf
    return onderdonk_time_s(area_mm2, current, ambient_c), math.inf
