"""What is kept of the last things asked about changes no answer."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import numpy.typing as npt
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from loombench.diagnose.bench import SAID_KEPT, Bench
from loombench.diagnose.forecast import Readings
from loombench.diagnose.observation import LoadSeen, MeterRead, Observation, Told
from loombench.diagnose.recent import KEPT, Recent, kept
from loombench.diagnose.weighing import weighed
from loombench.facts.history import history_factors
from loombench.vehicle.condition import Setup
from tests.diagnose.fakes import ON, Table, at, chain


def test_a_thing_is_known_by_what_it_is_and_numbers_by_their_value() -> None:
    recent: Recent[str, int] = Recent()
    one, like_it = [1], [1]
    recent.of(one, 0.5, "wiggle")["a"] = 1
    assert recent.of(one, float("0.5"), "wiggle") == {"a": 1}
    assert recent.of(like_it, 0.5, "wiggle") == {}
    assert recent.of(one, 0.25, "wiggle") == {}
    assert recent.of(one, 0.5, "warm") == {}


def test_what_was_asked_about_longest_ago_goes_first() -> None:
    recent: Recent[str, int] = Recent()
    things = [[number] for number in range(KEPT + 1)]
    for number, thing in enumerate(things):
        recent.of(thing)["number"] = number
        recent.of(things[0])
    assert recent.of(things[0]) == {"number": 0}
    assert recent.of(things[1]) == {}


observations = st.lists(
    st.one_of(
        st.builds(MeterRead, st.sampled_from([at(f"P{k}") for k in (2, 5, 9)]), st.floats(-1.0, 14.0)),
        st.builds(LoadSeen, st.just("E1"), st.sampled_from(["dead", "dim", "works"]), st.just(ON), st.booleans()),
        st.builds(Told, st.sampled_from(sorted(history_factors()))),
    ),
    min_size=1,
    max_size=6,
)


@settings(max_examples=60, deadline=None)
@given(observations, st.sampled_from([1.0, 4.0, 16.0, np.inf]), st.sampled_from([1.0, 4.0, 16.0, np.inf]))
def test_observations_one_by_one_weigh_what_they_do_all_at_once(
    seen: list[Observation], margin: float, before: float
) -> None:
    """Bit for bit, with whatever margin the ones before were weighed."""
    bench = chain(12)
    for count in range(1, len(seen)):
        weighed(bench, seen[:count], before)
    one_by_one, at_once = (_bits(one, seen, margin) for one in (bench, chain(12)))
    assert one_by_one == at_once


def _bits(bench: Bench, seen: list[Observation], margin: float) -> list[bytes]:
    found = weighed(bench, seen, margin)
    rest: list[npt.NDArray[np.float64]] = [one for one in (found.of_supply,) if one is not None]
    return [one.tobytes() for one in (*found.support, *rest)]


def test_a_fault_that_comes_and_goes_is_weighed_anew() -> None:
    bench = chain(12)
    seen = [MeterRead(at("P5"), 0.0)]
    always, at_times = weighed(bench, seen), weighed(replace(bench, presence=0.5), seen)
    assert not np.array_equal(always.support[0], at_times.support[0])
    np.testing.assert_array_equal(weighed(bench, seen).support[0], always.support[0])


class Mistaken(Table):
    """A table that was wrong at first, and takes it back."""

    wrong: bool = True

    def readings(self, setups: Sequence[Setup], needed: npt.NDArray[np.intp] | None = None) -> Readings:
        found = super().readings(setups, needed)
        return Readings(found.low + 3.0 * self.wrong, found.high + 3.0 * self.wrong)

    def taken_back(self) -> int:
        return int(not self.wrong)


def test_what_a_forecast_takes_back_is_weighed_anew() -> None:
    good = chain(12)
    assert isinstance(good.forecast, Table)
    mistaken = Mistaken(good.forecast.volts, good.forecast.share, good.forecast.blown)
    bench = replace(good, forecast=mistaken, weights=Recent())
    seen = [MeterRead(at("P5"), 0.0)]
    assert not np.array_equal(weighed(bench, seen).support[0], weighed(good, seen).support[0])
    object.__setattr__(mistaken, "wrong", False)
    np.testing.assert_array_equal(weighed(bench, seen).support[0], weighed(good, seen).support[0])


def test_nothing_is_kept_of_hypotheses_that_are_asked_about_once() -> None:
    bench = chain(12)
    seen = [MeterRead(at("P5"), 0.0)]
    weighed(bench, seen)
    there = [table for _, table in bench.weights._known]
    for _ in range(2 * KEPT):
        other = chain(12)
        weighed(bench.of(other.hypotheses, other.forecast), seen)
    assert [table for _, table in bench.weights._known] == there
    assert [*there[0]] == seen


def test_of_too_many_what_was_asked_for_longest_ago_is_let_go() -> None:
    known: dict[str, int] = {}
    for name in "abcab":
        kept(known, name, lambda: ord(name), 2, lambda _: True)  # noqa: B023  (made at once)
    assert known == {"a": ord("a"), "b": ord("b")}
    assert kept(known, "a", lambda: 0, 2, lambda _: True) == ord("a")
    assert [*known] == ["b", "a"]
    assert kept(known, "c", lambda: 3, 2, lambda found: found != 3) == 3
    assert [*known] == ["b", "a"]


def test_what_was_said_is_said_again_of_the_same_observations_alone() -> None:
    bench = chain(12)
    seen = [MeterRead(at("P5"), 0.0)]
    asked = list[int]()

    def said(some: Bench, observations: Sequence[Observation], *about: str) -> int:
        return some.once_said(observations, about, lambda: asked.append(0) or len(asked))

    assert said(bench, seen) == said(bench, [*seen]) == 1
    others = (
        said(bench, [*seen, *seen]),
        said(bench, seen, "elsewhere"),
        said(replace(bench, presence=0.5), seen),
        said(replace(bench, presence=0.5, provoked_by="heat"), seen),
        said(replace(bench, outlier_share=0.5), seen),
    )
    assert others == (2, 3, 4, 5, 6)
    assert said(chain(12), seen) == 7


def test_what_is_said_of_a_large_vehicle_is_not_kept(monkeypatch: pytest.MonkeyPatch) -> None:
    bench = chain(12)
    monkeypatch.setattr("loombench.diagnose.bench.FEW", len(bench.hypotheses.members) - 1)
    asked = list[int]()
    for _ in range(2):
        bench.once_said([], (), lambda: asked.append(0))
    assert len(asked) == 2


def test_no_more_is_kept_than_may_be() -> None:
    bench = chain(12)
    for number in range(2 * SAID_KEPT):
        bench.once_said([], (number,), lambda: 0)
    assert sum(len(table) for _, table in bench.said._known) == SAID_KEPT
