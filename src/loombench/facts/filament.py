"""The current of a filament lamp at any voltage, and the lamp categories of UN Regulation No. 37.

A hot filament draws I ~ V^0.55 (from memory; power law with 0 < p < 1 printed in Martinez & Krug 2013); a cold one is
a small resistance. The law used joins the two:

    i(v) = g v (1 + (v/u)^2)^((p-1)/2)

with p = 0.55, g = k I0/V0 (k = hot over cold resistance, 12, common practice: 10 to 15) and u chosen so that
i(V0) = I0 = W0/V0 exactly. It is odd, smooth and strictly increasing, i'(0) = g = 1/R cold, and above some hundred
millivolts it is the power law within 1e-4. As a behavioural source of ngspice, between the nodes a and b, with the
numbers g, u and h = (p-1)/2 = -0.225 written in:

    B1 a b I={g}*V(a,b)*(1+(V(a,b)/{u})*(V(a,b)/{u}))^({h})
"""

import math
from dataclasses import dataclass
from functools import cache, lru_cache

from loombench.facts.interpolate import linear
from loombench.facts.table import Provenance, load_table
from loombench.facts.typical import typical


@dataclass(frozen=True)
class Filament:
    """The numbers of the law above: `cold_s` is g (siemens), `knee_v` is u, `exponent` is p."""

    rated_v: float
    rated_w: float
    cold_s: float
    knee_v: float
    exponent: float

    @property
    def cold_ohm(self) -> float:
        """Resistance of the cold filament."""
        return 1.0 / self.cold_s

    @property
    def hot_ohm(self) -> float:
        """Resistance at the rated voltage."""
        return self.rated_v**2 / self.rated_w

    def current_a(self, voltage_v: float) -> float:
        """Current at a voltage."""
        x = voltage_v / self.knee_v
        return self.cold_s * voltage_v * math.pow(1.0 + x * x, (self.exponent - 1.0) / 2.0)

    def slope_s(self, voltage_v: float) -> float:
        """Slope di/dv at a voltage, above zero everywhere."""
        x2 = (voltage_v / self.knee_v) ** 2
        return self.cold_s * (1.0 + self.exponent * x2) * math.pow(1.0 + x2, (self.exponent - 3.0) / 2.0)


@lru_cache(maxsize=1024)
def filament(rated_v: float, rated_w: float) -> Filament:
    """The law of a lamp with that rating.

    Raises:
        ValueError: volts or watts are not above zero.
    """
    if not (0.0 < rated_v < math.inf and 0.0 < rated_w < math.inf):
        raise ValueError(f"a lamp of {rated_v} V {rated_w} W is none")
    exponent = typical("filament", "current-exponent").value
    ratio = typical("filament", "hot-over-cold").value
    knee_v = rated_v / math.sqrt(math.pow(ratio, 2.0 / (1.0 - exponent)) - 1.0)
    return Filament(rated_v, rated_w, ratio * rated_w / rated_v**2, knee_v, exponent)


def filament_current_a(voltage_v: float, rated_v: float, rated_w: float) -> float:
    """Current in ampere of a lamp at a voltage; the rating gives its volts and watts. Raises as `filament`."""
    return filament(rated_v, rated_w).current_a(voltage_v)


def filament_slope_s(voltage_v: float, rated_v: float, rated_w: float) -> float:
    """Slope di/dv in siemens of a lamp at a voltage; 1/R cold at 0 V. Raises as `filament`."""
    return filament(rated_v, rated_w).slope_s(voltage_v)


def power_law_current_a(voltage_v: float, known_v: float, known_a: float) -> float:
    """Current of a hot lamp from a known point, by I ~ V^0.55 (exponent from memory); voltages above zero.

    Good from about a tenth of the rated voltage up.
    """
    return known_a * math.pow(voltage_v / known_v, typical("filament", "current-exponent").value)


def flux_share(voltage_share: float) -> float:
    """Light at a share of the rated voltage, as a share of the rated light: V^3.4 (from memory), near 1 only."""
    return math.pow(voltage_share, typical("filament", "flux-exponent").value)


def resistance_at_ohm(resistance_20c_ohm: float, temperature_c: float, alpha_per_k: float = 0.0045) -> float:
    """Filament resistance by the straight line R20 (1 + alpha (T - 20)), rough for tungsten.

    Source of the coefficient: OpenStax College Physics section 20.3, from memory.
    """
    return resistance_20c_ohm * (1.0 + alpha_per_k * (temperature_c - 20.0))


def tungsten_ratio(temperature_k: float) -> float:
    """Resistance of tungsten over that at 300 K, 300 to 3000 K, straight lines between the points of the table.

    Source: Jones 1926, Jones & Langmuir 1927, from memory. Held constant past the ends.
    """
    rows = load_table("tungsten")
    return linear([(row.number("temperature_k"), row.number("resistance_over_300k")) for row in rows], temperature_k)


@dataclass(frozen=True)
class LampCategory:
    """A 12 V lamp category; the minor filament is None where there is only one."""

    category: str
    rated_w: float
    rated_minor_w: float | None
    test_v: float
    objective_max_w: float
    objective_minor_max_w: float | None
    provenance: Provenance


@cache
def lamp_categories() -> tuple[LampCategory, ...]:
    """All 12 V categories at hand. Source: UN Regulation No. 37, all but PY21/5W from memory."""
    return tuple(
        LampCategory(
            row.text("category"),
            row.number("rated_w"),
            row.number_or_none("rated_minor_w"),
            row.number("test_v"),
            row.number("objective_max_w"),
            row.number_or_none("objective_minor_max_w"),
            row.provenance,
        )
        for row in load_table("lamp_r37")
    )


def lamp_category(text: str) -> LampCategory | None:
    """The lamp category a text names (`P21W`, `p21/5w`), None where there is none of that name."""
    wanted = text.strip().upper()
    return next((lamp for lamp in lamp_categories() if lamp.category.upper() == wanted), None)
