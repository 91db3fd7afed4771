"""How often things fail: starting weights by kind of thing and mode, and what surroundings make of them.

The weights are relative and are estimates (see `fault_weight.csv` for each row's source): no published count of wiring
faults by place was found. So they only say where to begin; readings decide, and no weight is zero.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType

from loombench.facts.table import Provenance, TableError, load_table

ANYTHING = "anything"


@dataclass(frozen=True)
class Weight:
    """A relative frequency above zero, with where it comes from."""

    what: str
    mode: str
    weight: float
    provenance: Provenance


@cache
def _weights() -> Mapping[tuple[str, str], Weight]:
    found: dict[tuple[str, str], Weight] = {}
    for row in load_table("fault_weight"):
        entry = Weight(row.text("what"), row.text("mode"), row.number("weight"), row.provenance)
        if entry.weight <= 0.0:
            raise TableError(row.file, row.line, f"a weight of {entry.weight:g}; nothing is impossible")
        if (entry.what, entry.mode) in found:
            raise TableError(row.file, row.line, f"{entry.what} {entry.mode} is there twice")
        found[entry.what, entry.mode] = entry
    return MappingProxyType(found)


@cache
def _factors() -> Mapping[tuple[str, str], float]:
    rows = load_table("fault_surroundings")
    return MappingProxyType({(row.text("word"), row.text("what")): row.number("factor") for row in rows})


def fault_weight(what: str, mode: str) -> Weight:
    """The weight of a mode of a kind of thing; of `anything` where the table has no row for it.

    Raises:
        KeyError: there is no such mode.
    """
    table = _weights()
    return table.get((what, mode)) or table[ANYTHING, mode]


def surroundings_factor(what: str, surroundings: tuple[str, ...]) -> float:
    """What surroundings such as wet or flexing multiply the weight by; words the table lacks count 1."""
    factor = 1.0
    for word in dict.fromkeys(surroundings):
        factor *= _factors().get((word, what), 1.0)
    return factor
