"""Electronic modules seen from their pins: supply limits, output leak, inputs, sleep.

Typical values from memory or estimates (see `module.csv`); the data sheet of the part wins.
"""

from dataclasses import dataclass
from functools import cache

from loombench.facts.table import Provenance, load_table
from loombench.facts.typical import Typical, typical, typical_values

_TABLE = "module"


@dataclass(frozen=True)
class SupplyRange:
    """Supply range of a code letter of ISO 16750-2."""

    system_v: int
    code: str
    least_v: float
    greatest_v: float
    provenance: Provenance


@cache
def supply_ranges() -> tuple[SupplyRange, ...]:
    """Codes A to D (12 V) and E to H (24 V) of ISO 16750-2:2010 (from memory)."""
    return tuple(
        SupplyRange(
            int(row.number("system_v")),
            row.text("code"),
            row.number("least_v"),
            row.number("greatest_v"),
            row.provenance,
        )
        for row in load_table("supply_range")
    )


def module_value(name: str) -> Typical:
    """A figure of `module.csv` with its range and provenance. Raises KeyError where there is none of that name."""
    return typical(_TABLE, name)


def module_values() -> tuple[Typical, ...]:
    """All figures of `module.csv`."""
    return typical_values(_TABLE)


def resets_below_v(system_v: float = 12) -> float:
    """Supply volts below which a module resets: 6 V, or 10 V at 24 V (ISO 16750-2 codes A and E, from memory)."""
    return module_value("resets-below-24v" if system_v > 18 else "resets-below-12v").value


def starts_from_v(system_v: float = 12) -> float:
    """Supply volts from which a module that has reset starts again, above `resets_below_v`. An estimate."""
    return module_value("starts-from-24v" if system_v > 18 else "starts-from-12v").value


def off_leak_a() -> float:
    """Current that leaves a high-side output while it is off, no open-load test. From memory."""
    return module_value("off-leak").value


def input_pull_ohm() -> float:
    """Pull resistor of an input that reads a switch. Common practice: 1 kohm."""
    return module_value("input-pull").value


def output_on_ohm() -> float:
    """Resistance of a high-side output that is on. From memory: 20 mohm."""
    return module_value("output-on").value
