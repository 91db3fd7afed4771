"""A store that keeps nothing: what is tried with it never happened."""

from loombench.base.outcome import Outcome
from loombench.evidence.envelope import Envelope


class TrialStore:
    """Takes every event and forgets it."""

    def append(self, event: Envelope) -> None:
        """Nothing is kept."""

    def read(self, case: str) -> Outcome[tuple[Envelope, ...]]:
        """Nothing was kept."""
        del case
        return Outcome(())

    def next_number(self, case: str) -> int:
        """No case has begun."""
        del case
        return 1

    def cases(self) -> tuple[str, ...]:
        """None."""
        return ()
