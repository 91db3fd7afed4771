"""What every store of events must do. A store's test class inherits `StoreContract` and makes a store.

`again` opens the same place anew, as after a restart; a store that keeps nothing gives the one it has.
"""

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from loombench.evidence.envelope import Envelope, envelope
from loombench.evidence.events import Note, Payload
from loombench.evidence.fields import LONGEST_TEXT
from loombench.record.store import EventStore, NotKept
from tests.evidence.strategies import payloads
from tests.record.samples import event

NAMES = ("2026-014", "..", "CON", "a/b\\c", "käse 100%", "*[?]", "a" * 180, "A", "a", "\n", "случай", "🚒")


def refusal(store: EventStore, one: Envelope) -> str:
    """The code with which an event is refused."""
    with pytest.raises(NotKept) as caught:
        store.append(one)
    assert str(caught.value)
    return caught.value.problem.code


class StoreContract:
    """The tests; `store` and `again` are to be given by the class that inherits."""

    def store(self) -> EventStore:
        raise NotImplementedError

    def again(self, store: EventStore) -> EventStore:
        return store

    def test_a_case_nobody_has_heard_of_is_empty(self) -> None:
        store = self.store()
        assert store.read("2026-014").value == ()
        assert store.read("2026-014").problems == ()
        assert store.next_number("2026-014") == 1
        assert store.cases() == ()

    @settings(suppress_health_check=[HealthCheck.differing_executors], max_examples=40)
    @given(st.lists(payloads, max_size=6))
    def test_what_was_kept_is_read_in_order(self, given_payloads: list[Payload]) -> None:
        store = self.store()
        events = tuple(event(number, "c", payload) for number, payload in enumerate(given_payloads, 1))
        for one in events:
            store.append(one)
        for seen in (store, self.again(store)):
            assert seen.read("c").value == events
            assert seen.read("c").problems == ()
            assert seen.next_number("c") == len(events) + 1

    @pytest.mark.parametrize("number", [1, 3, 4, 10**9])
    def test_only_the_next_number_is_kept(self, number: int) -> None:
        store = self.store()
        store.append(event(1))
        store.append(event(2))
        for seen in (store, self.again(store)):
            if number != 3:
                assert refusal(seen, event(number)) == "record-next"
        assert self.again(store).read("2026-014").value == (event(1), event(2))

    def test_cases_do_not_mix_whatever_they_are_called(self) -> None:
        store = self.store()
        for number in (1, 2):
            for name in NAMES:
                store.append(event(number, name))
        store = self.again(store)
        assert store.cases() == tuple(sorted(NAMES))
        for name in NAMES:
            assert store.read(name).value == (event(1, name), event(2, name))

    @pytest.mark.parametrize("name", ["", "x" * 181, "\ud800", "🚒" * 16])
    def test_a_case_that_can_have_no_file_is_refused(self, name: str) -> None:
        store = self.store()
        assert refusal(store, event(1, name)) == "record-case-name"
        assert store.read(name).value == ()
        assert store.cases() == ()

    def test_what_could_not_be_read_again_is_not_kept(self) -> None:
        store = self.store()
        assert refusal(store, event(1, payload=Note("x" * (LONGEST_TEXT + 1)))) == "event-field-wrong"
        assert refusal(store, envelope(1, "noon", "2026-014", "", Note(""))) == "event-field-wrong"
        store.append(event(1))
        assert self.again(store).read("2026-014").value == (event(1),)

    def test_a_clock_that_was_put_back_is_said_and_alters_no_order(self) -> None:
        store = self.store()
        times = (
            "2026-03-02T14:05:00+01:00",
            "2026-03-02T14:04:30+01:00",
            "2026-03-02T13:05:00+00:00",
            "2020-01-01T00:00:00Z",
        )
        events = tuple(envelope(n, time, "c", "", Note(str(n))) for n, time in enumerate(times, 1))
        for one in events:
            store.append(one)
        seen = self.again(store).read("c")
        assert seen.value == events
        assert [(one.code, one.fact("number"), one.fact("count")) for one in seen.problems] == [
            ("record-clock", "4", "1")
        ]
