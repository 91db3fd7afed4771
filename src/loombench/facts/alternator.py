"""Alternators: regulated volts by temperature, output resistance, current limit. The plate and the maker decide."""

from loombench.facts.battery import blocks
from loombench.facts.interpolate import linear
from loombench.facts.table import load_table
from loombench.facts.typical import typical

_TABLE = "alternator_typical"


def set_point_v(temperature_c: float = 20.0, system_v: float = 12) -> float:
    """Regulated volts: 14.4 V at 20 C, less 0.1 V per 10 C; twice that in a 24 V system. Common practice, no source.

    Good from -20 to 60 C; makers differ by 0.3 V, and a smart alternator follows its own program. A printed 24 V table
    (`printed_band_v`) is lower in heat.
    """
    at_20c_v, slope = typical(_TABLE, "set-point-12v").value, typical(_TABLE, "slope-12v").value
    return (at_20c_v + slope * (temperature_c - 20.0)) * blocks(system_v)


def printed_band_v(temperature_c: float) -> tuple[float, float]:
    """Least and greatest regulated volts of a 24 V system by ambient temperature, -18 to 49 C.

    Source: US Army TM 9-6115-464-12 table 4-5 (printed), straight lines between its points.
    """
    ambient_f = temperature_c * 9.0 / 5.0 + 32.0
    rows = load_table("alternator_setpoint")
    least = [(row.number("ambient_f"), row.number("least_24v_system_v")) for row in rows]
    most = [(row.number("ambient_f"), row.number("greatest_24v_system_v")) for row in rows]
    return linear(least, ambient_f), linear(most, ambient_f)


def output_resistance_ohm(system_v: float = 12) -> float:
    """Fall of the regulated volts with load, ohm: 5 mohm, twice that in a 24 V system. An estimate."""
    return typical(_TABLE, "output-ohm-12v").value * blocks(system_v)


def current_limit_a(system_v: float = 12) -> float:
    """Greatest output current where the plate is not known: 90 A at 12 V, 80 A at 24 V. An estimate."""
    return typical(_TABLE, "limit-24v" if blocks(system_v) == 2 else "limit-12v").value


def idle_share() -> float:
    """Share of the rated current an alternator gives at engine idle. An estimate."""
    return typical(_TABLE, "idle-share").value
