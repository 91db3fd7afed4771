"""Events to keep, without anything that is slow to import: child programs need them too."""

from loombench.evidence.envelope import Envelope, envelope
from loombench.evidence.events import Note, Payload

CASE = "2026-014"
TIME = "2026-03-02T14:05:00+01:00"


def event(number: int, case: str = CASE, payload: Payload | None = None) -> Envelope:
    """An event of a case, a note unless given."""
    return envelope(number, TIME, case, "M. Holm", payload or Note(f"note {number}"))
