"""Which events of a case count, once those taken back are left out."""

from collections.abc import Iterable

from loombench.evidence.envelope import Envelope
from loombench.evidence.events import Undone


def effective(events: Iterable[Envelope]) -> tuple[Envelope, ...]:
    """The events in force, in their order, without `Undone` themselves.

    The last word counts: an `Undone` that was itself taken back does nothing. One that names no earlier event does
    nothing either.
    """
    given = tuple(events)
    gone: set[int] = set()
    for event in sorted(given, key=lambda one: one.number, reverse=True):
        if isinstance(event.payload, Undone) and event.number not in gone and event.payload.event < event.number:
            gone.add(event.payload.event)
    return tuple(one for one in given if one.number not in gone and not isinstance(one.payload, Undone))
