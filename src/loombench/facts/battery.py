"""Lead-acid batteries: volts at rest, internal resistance, load test, what a draw costs.

Batteries give off hydrogen and very large currents; the maker's procedure for charging and testing comes first.
"""

import math

from loombench.facts.interpolate import linear
from loombench.facts.table import load_table
from loombench.facts.typical import typical

CELL_BLOCK_V = 12.0


def blocks(system_v: float) -> int:
    """12 V batteries in series: two above 18 V, else one."""
    return 2 if system_v > 18 else 1


def rest_emf_v(system_v: float = 12, state_of_charge: float = 1.0) -> float:
    """Open-circuit volts at rest of a flooded battery: 12.65 V full, 25.3 V in a 24 V system.

    Straight lines between the points of `battery_rest.csv`, list BCI (from memory; within 0.2 V of the printed list
    TM), state of charge 0 to 1, held constant past the ends.
    """
    points = [
        (row.number("state_of_charge"), row.number("rest_v"))
        for row in load_table("battery_rest")
        if row.text("list") == "BCI"
    ]
    return linear(sorted(points), state_of_charge) * blocks(system_v)


def internal_resistance_ohm(capacity_ah: float, system_v: float = 12) -> float:
    """Internal resistance of a healthy, charged starter battery at 20 C: 0.45 ohm Ah over capacity, per 12 V block.

    An estimate: it puts 45 to 150 Ah at 10 to 3 mohm, the range met (from memory). In a 24 V system two blocks of
    that capacity are in series.

    Raises:
        ValueError: the capacity is not above zero.
    """
    if not (capacity_ah > 0.0 and math.isfinite(capacity_ah)):
        raise ValueError(f"battery capacity {capacity_ah} Ah is not above zero")
    return typical("battery_typical", "internal-ohm-ah").value / capacity_ah * blocks(system_v)


def charging_resistance_ohm(capacity_ah: float, system_v: float = 12) -> float:
    """What a full battery shows to a charging current, ohm: 50 ohm Ah over capacity, per 12 V block.

    An estimate, so chosen that a full battery at 14.4 V takes a few amperes, as is common practice. Straight through
    the open-circuit volts: right for a full battery only, since a flat one takes far more.

    Raises:
        ValueError: the capacity is not above zero.
    """
    if not (capacity_ah > 0.0 and math.isfinite(capacity_ah)):
        raise ValueError(f"battery capacity {capacity_ah} Ah is not above zero")
    return typical("battery_typical", "charging-ohm-ah").value / capacity_ah * blocks(system_v)


def cold_cranking_bound_ohm(cold_cranking_a: float) -> float:
    """Upper bound of the internal resistance at -18 C: (12.0 - 7.2) V over the cold cranking current.

    7.2 V after 30 s: SAE J537, from memory.
    """
    return (CELL_BLOCK_V - typical("battery_typical", "cold-cranking-end").value) / cold_cranking_a


def current_to_end_voltage_a(internal_ohm: float, emf_v: float = CELL_BLOCK_V) -> float:
    """Current of an ideal source that pulls its terminals down to 7.2 V (SAE J537, from memory)."""
    return (emf_v - typical("battery_typical", "cold-cranking-end").value) / internal_ohm


def least_load_test_v(temperature_c: float) -> float:
    """Least volts of a 12 V battery after 15 s at half its cold cranking current, -18 to 20 C.

    9.6 V at 20 C: US Army TM 9-6115-730-24 (printed); colder: common practice. Held constant past the ends.
    """
    rows = load_table("battery_load_test")
    return linear(sorted((row.number("temperature_c"), row.number("least_v")) for row in rows), temperature_c)


def days_to_discharge(capacity_ah: float, usable_share: float, draw_a: float) -> float:
    """Days until a steady draw has used a share of the capacity; inf at no draw. Arithmetic, no self-discharge."""
    return math.inf if draw_a <= 0.0 else capacity_ah * usable_share / draw_a / 24.0


def sleep_draw_limit_a(reserve_capacity_min: float) -> float:
    """Sleep current limit by reserve capacity in minutes: a quarter of it in mA. Common practice, no source.

    Limits differ by maker: the maker's figure wins.
    """
    return reserve_capacity_min / typical("battery_typical", "reserve-minutes-per-ma").value / 1e3
