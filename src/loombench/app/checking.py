"""Checking a vehicle that was opened: the rules over what could be understood."""

from collections.abc import Iterable

from loombench.app.vehicles import Opened
from loombench.base.problems import Level, Problem, as_json, note
from loombench.base.wording import Catalogue, catalogue
from loombench.check.run import check

COMPLETENESS = frozenset(
    {
        "no-source", "battery-minus-open", "battery-not-grounded", "body-without-strap", "load-no-feed",
        "load-no-return", "load-no-state", "part-unwired", "module-no-supply", "module-no-ground", "module-undeclared",
        "dead-end", "cavity-one-sided", "half-not-drawn", "control-unused",
    }
)  # fmt: skip
"""Checks of what is not there. While a line could not be read they would mostly report that line's absence."""
NOTHING_LOST = frozenset(
    {
        "class-unknown", "colour-system-unknown", "colour-unknown", "indent-missing", "indent-unexpected",
        "number-bare", "number-range", "number-unit", "size-as-length",
    }
)  # fmt: skip
"""Errors of reading that leave every part and wire where it is."""


def check_vehicle(opened: Opened) -> tuple[Problem, ...]:
    """What the rules find in a vehicle, beside the problems met when it was read.

    Where a part or a wire could not be read, checks of completeness wait, and one note says so.
    """
    found = check(opened.vehicle)
    lost = any(item.level is Level.ERROR and item.code not in NOTHING_LOST for item in opened.problems)
    held = [item.code for item in found if item.code in COMPLETENESS] if lost else []
    if not held:
        return found
    said = note("check-waits", count=len(held), codes=", ".join(sorted(set(held))))
    return (*(item for item in found if item.code not in COMPLETENESS), said)


def problems_json(problems: Iterable[Problem], words: Catalogue | None = None) -> list[dict[str, object]]:
    """Problems for machines, worst first: code, level, spans, facts and the sentences of the catalogue."""
    words, order = words or catalogue(), [Level.ERROR, Level.WARNING, Level.NOTE]
    ranked = sorted(problems, key=lambda item: order.index(item.level))
    return [as_json(item, words) for item in ranked]
