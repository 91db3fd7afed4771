"""Typical currents of loads, to fill a gap until the part's own figure is known."""

from dataclasses import dataclass
from functools import cache

from loombench.facts.table import Provenance, load_table


@dataclass(frozen=True)
class LoadCurrent:
    """Least and greatest current usually met."""

    load: str
    system_v: int
    least_a: float
    greatest_a: float
    provenance: Provenance


@cache
def load_currents() -> tuple[LoadCurrent, ...]:
    """All loads of the table; a cable maker's chart (printed), common practice and estimates."""
    return tuple(
        LoadCurrent(
            row.text("load"),
            int(row.number("system_v")),
            row.number("least_a"),
            row.number("greatest_a"),
            row.provenance,
        )
        for row in load_table("load_current")
    )
