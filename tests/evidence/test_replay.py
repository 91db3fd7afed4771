"""Taking back: against a plain model that keeps a switch for each event."""

from hypothesis import given
from hypothesis import strategies as st

from loombench.evidence.envelope import Envelope, envelope
from loombench.evidence.events import Note, Undone
from loombench.evidence.replay import effective

TIME = "2026-03-02T14:05:00+01:00"


def case(*undone: int | None) -> tuple[Envelope, ...]:
    """A note for None, else the taking back of the event of that number."""
    payloads = [Note("n") if target is None else Undone(target) for target in undone]
    return tuple(envelope(number, TIME, "a", "b", payload) for number, payload in enumerate(payloads, 1))


def left(*undone: int | None) -> list[int]:
    return [event.number for event in effective(case(*undone))]


def test_an_event_taken_back_is_gone() -> None:
    assert left(None, None, 1) == [2]


def test_taking_back_the_taking_back_brings_it_again() -> None:
    assert left(None, None, 1, 3) == [1, 2]
    assert left(None, None, 1, 3, 4) == [2]


def test_what_names_nothing_earlier_does_nothing() -> None:
    assert left(None, 7, 3, None) == [1, 4]


def test_twice_is_as_once() -> None:
    assert left(None, 1, 1) == []
    assert left(None, 1, 1, 2) == []


def switched(undone: list[int | None]) -> list[int]:
    """Reference: an event is in force unless some later taking back that is itself in force names it."""

    def in_force(number: int) -> bool:
        return not any(undone[later - 1] == number and in_force(later) for later in range(number + 1, len(undone) + 1))

    return [number for number in range(1, len(undone) + 1) if undone[number - 1] is None and in_force(number)]


@given(st.lists(st.none() | st.integers(1, 10), max_size=10))
def test_against_the_definition(undone: list[int | None]) -> None:
    assert left(*undone) == switched(undone)
