"""Circuit breakers: what the three types of SAE J553 do after they have opened. From memory.

Their operating times are the series `breaker` of `loombench.facts.fuse.opening_time_s`, an estimate.
"""

from dataclasses import dataclass
from functools import cache

from loombench.facts.table import Provenance, load_table
from loombench.facts.typical import Typical, typical


@dataclass(frozen=True)
class BreakerType:
    """What a breaker does after it has opened. Types 1, 2 and 3 of SAE J553, from memory."""

    type: int
    resets: str
    recloses_under_load: bool
    recloses_when_unpowered: bool
    note: str
    provenance: Provenance


@cache
def breaker_types() -> tuple[BreakerType, ...]:
    """The three breaker types of SAE J553 (from memory)."""
    return tuple(
        BreakerType(
            int(row.number("type")),
            row.text("resets"),
            row.text("recloses_under_load") == "yes",
            row.text("recloses_when_unpowered") == "yes",
            row.text("note"),
            row.provenance,
        )
        for row in load_table("breaker_type")
    )


def reclose_time() -> Typical:
    """Seconds until a cycling breaker (type 1) recloses: an estimate."""
    return typical("fuse_rule", "breaker-reclose")


def weak_share() -> Typical:
    """Share of its rating that stands for a breaker worn by many trips: an estimate."""
    return typical("fuse_rule", "breaker-weak-share")


def cooling_time() -> Typical:
    """Seconds without power until a breaker that stays open (type 2) has cooled and closes again: common practice."""
    return typical("fuse_rule", "breaker-cools")
