"""A store in memory, for practice vehicles and trials: it keeps the contract of a store except that nothing lasts."""

from loombench.base.outcome import Outcome
from loombench.evidence.codec import decode_line, encode_line
from loombench.evidence.envelope import Envelope
from loombench.record.clock import clock_warnings
from loombench.record.names import checked_name
from loombench.record.refusal import not_next, understood


class MemoryStore:
    """Cases in memory; gone with the program."""

    def __init__(self) -> None:
        self._lines: dict[str, list[str]] = {}

    def append(self, event: Envelope) -> None:
        """Keep an event until the program ends. Raises `NotKept` as every store does."""
        checked_name(event.case)
        line = encode_line(event)
        understood(line)
        if event.number != self.next_number(event.case):
            raise not_next(event, self.next_number(event.case))
        self._lines.setdefault(event.case, []).append(line)

    def read(self, case: str) -> Outcome[tuple[Envelope, ...]]:
        """The events of a case."""
        found = (decode_line(line).value for line in self._lines.get(case, ()))
        events = tuple(event for event in found if event is not None)
        return Outcome(events, clock_warnings(events, case))

    def next_number(self, case: str) -> int:
        """The number the next event of the case must have."""
        return len(self._lines.get(case, ())) + 1

    def cases(self) -> tuple[str, ...]:
        """The names of all cases."""
        return tuple(sorted(self._lines))
