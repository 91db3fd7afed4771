"""Readings taken again and again at one point with one set-up: how they went over the time of a job, as of a battery
that is left alone, or of a drain while modules fall asleep."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from operator import itemgetter

from loombench.app.eventwords import value_text
from loombench.app.spoken import plain_setup
from loombench.base.wording import Catalogue
from loombench.evidence.envelope import Envelope
from loombench.evidence.events import ReadingTaken
from loombench.vehicle.condition import Setup

FEWEST = 3
"""Two are a before and an after; more are a course."""


@dataclass(frozen=True)
class Course:
    """The readings of one set-up in the order of their times, `times_s` since the first. `values` are in `unit`; `said`
    are the same as (time of day, reading)."""

    setup: str
    unit: str
    times_s: tuple[float, ...]
    values: tuple[float, ...]
    said: tuple[tuple[str, str], ...]

    @property
    def least(self) -> str:
        """The smallest one."""
        return value_text(min(self.values), self.unit)

    @property
    def most(self) -> str:
        """The largest one."""
        return value_text(max(self.values), self.unit)


def courses(events: Sequence[Envelope], words: Catalogue) -> tuple[Course, ...]:
    """What was read at least `FEWEST` times with the same set-up, in the order of the first readings. A display that
    shows no number has no place in a course."""
    taken: dict[tuple[Setup, str], list[tuple[datetime, float]]] = {}
    for one in events:
        payload = one.payload
        if isinstance(payload, ReadingTaken) and math.isfinite(payload.value):
            read = datetime.fromisoformat(one.time), payload.value
            taken.setdefault((payload.setup, payload.unit), []).append(read)
    return tuple(
        _course(setup, unit, sorted(some, key=itemgetter(0)), words)
        for (setup, unit), some in taken.items()
        if len(some) >= FEWEST
    )


def _course(setup: Setup, unit: str, some: Sequence[tuple[datetime, float]], words: Catalogue) -> Course:
    first = some[0][0]
    return Course(
        plain_setup(setup, words),
        unit,
        tuple((at - first).total_seconds() for at, _ in some),
        tuple(value for _, value in some),
        tuple((at.strftime("%H:%M:%S"), value_text(value, unit)) for at, value in some),
    )
