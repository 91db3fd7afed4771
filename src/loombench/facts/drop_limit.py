"""Flat voltage-drop limits as manuals and the trade state them.

They contradict each other and mislead: a long thin ground may drop more and be sound, a bad joint at a small current
less. Show them as a reference beside the computed healthy drop, never as the verdict.
"""

from dataclasses import dataclass
from functools import cache

from loombench.facts.table import Provenance, load_table


@dataclass(frozen=True)
class DropLimit:
    """A limit, or a range of it, in `unit`: V, V/A (per ampere) or a share `of supply`."""

    item: str
    low: float
    high: float
    unit: str
    provenance: Provenance


@cache
def drop_limits() -> tuple[DropLimit, ...]:
    """All limits of the table: US Army manuals and a relay data sheet printed, the rest from memory or practice."""
    return tuple(
        DropLimit(row.text("item"), row.number("limit_low"), row.number("limit_high"), row.text("unit"), row.provenance)
        for row in load_table("voltage_drop_limit")
    )
