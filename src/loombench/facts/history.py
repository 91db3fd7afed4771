"""What a vehicle's history makes of the weights of faults: rain, repair, accident, long standing.

Factors are estimates (see `fault_history.csv`). They say where to look first and exclude nothing.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType

from loombench.facts.table import Provenance, TableError, load_table

ANYTHING, ANY, SAID = "anything", "any", "said"


@dataclass(frozen=True)
class HistoryFactor:
    """Faults of a kind and mode count `factor` times. `near` is `any`, `said` (only at the place that was named), or
    surroundings parted by spaces: at the place that was named or, if none was, where those are."""

    what: str
    mode: str
    near: str
    factor: float
    provenance: Provenance


@cache
def history_factors() -> Mapping[str, tuple[HistoryFactor, ...]]:
    """The rows of each word.

    Raises:
        TableError: a factor is not above zero; nothing is impossible.
    """
    found: dict[str, list[HistoryFactor]] = {}
    for row in load_table("fault_history"):
        entry = HistoryFactor(
            row.text("what"), row.text("mode"), row.text("near"), row.number("factor"), row.provenance
        )
        if entry.factor <= 0.0:
            raise TableError(row.file, row.line, f"a factor of {entry.factor:g}; nothing is impossible")
        found.setdefault(row.text("word"), []).append(entry)
    return MappingProxyType({word: tuple(entries) for word, entries in found.items()})


def history_factor(word: str, what: str, mode: str, surroundings: tuple[str, ...], near: bool | None) -> float:
    """The factor of a fault: `near` whether it is at the place that was named, None where none was.

    Of several rows that fit the one of its own kind counts, before `anything`. 1 where none fits.
    """
    rows = history_factors().get(word, ())
    own = [row for row in rows if row.what == what and row.mode in (ANY, mode)]
    for row in own or [row for row in rows if row.what == ANYTHING and row.mode in (ANY, mode)]:
        there = near if near is not None else row.near not in (SAID, ANY) and set(row.near.split()) & {*surroundings}
        if row.near == ANY or there:
            return row.factor
    return 1.0
