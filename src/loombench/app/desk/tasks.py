"""All questions a worker answers, by name, and what it does while nobody asks."""

from collections.abc import Callable, Mapping
from types import MappingProxyType

from loombench.app.desk import (
    beginning,
    box,
    cardviews,
    circuit,
    entering,
    finding,
    first,
    importing,
    lookup,
    notation,
    picking,
    practice,
    record,
    sheets,
)
from loombench.app.desk.desk import Desk, Task

TASKS: Mapping[str, Task] = MappingProxyType({
    **first.TASKS, **box.TASKS, **beginning.TASKS, **circuit.TASKS, **notation.TASKS, **lookup.TASKS, **importing.TASKS,
    **picking.TASKS, **entering.TASKS, **finding.TASKS, **record.TASKS, **cardviews.TASKS, **sheets.TASKS,
    **practice.TASKS,
})  # fmt: skip


def ahead(desk: Desk, stopped: Callable[[], bool]) -> None:
    """Work out what would come after each answer to the card that is on show, until somebody asks."""
    finding.work_ahead(desk, stopped)
