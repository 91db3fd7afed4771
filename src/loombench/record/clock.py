"""A clock that was put back: events keep the order of their numbers, and it is said where their times do not."""

from collections.abc import Sequence
from datetime import datetime
from itertools import pairwise

from loombench.base.problems import Problem, Span, warning
from loombench.evidence.envelope import Envelope

LEAST_S = 60.0
"""Clocks that are set by the network step back by less."""


def clock_warnings(events: Sequence[Envelope], file: str) -> tuple[Problem, ...]:
    """One warning for the first event whose time lies before the one of the event before it, with how many there are.
    `file` is what the events are read from, the event's number its line."""
    back = [
        (before, after)
        for before, after in pairwise(events)
        if (datetime.fromisoformat(before.time) - datetime.fromisoformat(after.time)).total_seconds() > LEAST_S
    ]
    if not back:
        return ()
    before, after = back[0]
    facts = {"number": after.number, "time": after.time, "before": before.time, "count": len(back)}
    return (warning("record-clock", Span(file, after.number), **facts),)
