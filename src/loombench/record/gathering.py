"""A store in front of a store: what one entry appends is gathered and then kept together, whole or not at all."""

from loombench.base.outcome import Outcome
from loombench.evidence.envelope import Envelope
from loombench.record.sqlite import SqliteStore


class Gathering:
    """Gathers the events of one entry for a store of jobs; nothing is kept before `keep` has returned."""

    def __init__(self, store: SqliteStore) -> None:
        self._store = store
        self._events: list[Envelope] = []

    def append(self, event: Envelope) -> None:
        """One more event of the entry."""
        self._events.append(event)

    def keep(self, called: str) -> bool:
        """Keep what was gathered under the entry's name; False where that entry was kept before. With nothing gathered
        there is nothing to keep.

        Raises:
            NotKept: it could not be kept.
        """
        events, self._events = tuple(self._events), []
        return not events or self._store.append_all(events, called)

    def knows(self, case: str, called: str) -> bool:
        """Whether the entry of that name was kept."""
        return self._store.knows(case, called)

    def forget(self) -> None:
        """Nothing of the entry is to be kept."""
        self._events = []

    def read(self, case: str) -> Outcome[tuple[Envelope, ...]]:
        """The events that the store has."""
        return self._store.read(case)

    def next_number(self, case: str) -> int:
        """The number after what is gathered."""
        return self._store.next_number(case) + len(self._events)

    def cases(self) -> tuple[str, ...]:
        """The names of all cases of the store."""
        return self._store.cases()
