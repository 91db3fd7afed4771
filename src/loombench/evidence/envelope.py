"""The envelope every event travels in."""

from dataclasses import dataclass

from loombench.evidence.events import Payload

FORMAT = 1
"""The version of the stored form that this program writes."""


@dataclass(frozen=True)
class Envelope:
    """One event of a case.

    `number` counts the events of a case from 1. `time` is ISO text with its zone, handed in by the caller: nothing here
    has a clock. `author` says who did it. `kind` is the name of the payload's class.

    Raises:
        ValueError: kind and payload differ, or the number is below 1.
    """

    format: int
    number: int
    time: str
    case: str
    author: str
    kind: str
    payload: Payload

    def __post_init__(self) -> None:
        if self.kind != type(self.payload).__name__:
            raise ValueError(f"kind {self.kind} with a payload {type(self.payload).__name__}")
        if self.number < 1:
            raise ValueError(f"events count from 1, not from {self.number}")


def envelope(number: int, time: str, case: str, author: str, payload: Payload) -> Envelope:
    """An envelope of the format this program writes."""
    return Envelope(FORMAT, number, time, case, author, type(payload).__name__, payload)
