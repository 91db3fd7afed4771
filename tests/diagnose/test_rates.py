"""Learned rates: what counts of closed jobs make of the weights, whatever the counts are."""

import random

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from loombench.circuit.catalogue import single_faults
from loombench.diagnose.hypothesis import SOUND, UNEXPLAINED, hypotheses
from loombench.diagnose.rates import NO_RATES, PSEUDO_KIND, Count, Rates, of_job, together, weighed
from loombench.diagnose.suspect import kind_of
from tests.diagnose.vehicles import LAMP as TEXT
from tests.diagnose.vehicles import vehicle

number = st.floats(0.0, 1000.0)
counts = st.builds(
    Count,
    st.sampled_from(["A", "B"]),
    st.sampled_from(["wire", "contact"]),
    st.sampled_from(["open", "resistance"]),
    st.sampled_from([(), ("wet",), ("outside", "wet")]),
    number,
    number,
)
some_rates = st.lists(counts, max_size=12).map(lambda some: together(Rates((one,)) for one in some))
LAMP = vehicle(TEXT)
KNOWN = hypotheses(LAMP, single_faults(LAMP))


@given(some_rates)
@settings(deadline=None)
def test_no_factor_is_zero_and_what_was_not_met_keeps_its_weight(rates: Rates) -> None:
    assert rates.factor("A", "fuse", "blown", ("hot",)) == 1.0
    for one in rates.counts:
        assert 0.0 < rates.factor(one.vehicle, one.what, one.mode, one.surroundings) < np.inf


@given(some_rates, some_rates, some_rates)
@settings(deadline=None)
def test_counts_add_up_in_any_order(one: Rates, two: Rates, three: Rates) -> None:
    left = together([one, two, three])
    right = together([three, together([two, one])])
    assert [count.found for count in left.counts] == pytest.approx([count.found for count in right.counts])
    assert [(c.vehicle, c.what, c.mode, c.surroundings) for c in left.counts] == [
        (c.vehicle, c.what, c.mode, c.surroundings) for c in right.counts
    ]
    assert together([one, NO_RATES]) == one


@given(st.floats(0.0, 100.0), st.floats(0.0, 100.0), st.floats(0.1, 50.0))
def test_the_more_were_found_the_heavier(found: float, expected: float, more: float) -> None:
    def factor(of: float) -> float:
        return Rates((Count("A", "contact", "open", ("wet",), of, expected),)).factor("A", "contact", "open", ("wet",))

    assert factor(found + more) > factor(found)


def test_the_mean_of_a_gamma_distribution() -> None:
    """Shape and rate start at the pseudo-count; by hand: (5 + 7) / (5 + 1) = 2, and half of it the other way."""
    assert PSEUDO_KIND == 5.0
    assert Rates((Count("A", "contact", "open", (), 7.0, 1.0),)).factor("B", "contact", "open", ()) == 2.0
    assert Rates((Count("A", "contact", "open", (), 0.0, 5.0),)).factor("B", "contact", "open", ()) == 0.5


def test_what_the_table_expects_changes_nothing() -> None:
    even = Rates(tuple(Count("A", what, "open", ("wet",), 40.0, 40.0) for what in ("contact", "wire")))
    assert even.factor("A", "contact", "open", ("wet",)) == 1.0


def test_a_vehicle_of_its_own_speaks_for_itself_only() -> None:
    """One vehicle's contacts fail three times as often as the table says, another's as it says."""
    rates = Rates((Count("A", "contact", "open", (), 90.0, 30.0), Count("B", "contact", "open", (), 30.0, 30.0)))
    of_a, of_b, of_c = (rates.factor(name, "contact", "open", ()) for name in "ABC")
    assert of_b < of_c < of_a


def job(cause: str) -> Rates:
    return of_job(LAMP, KNOWN, np.exp(KNOWN.log_prior), cause)


def test_a_job_finds_and_expects_one_fault_for_each_cause() -> None:
    groups = [group for group in KNOWN.groups if group not in (SOUND, UNEXPLAINED)]
    one, two = job(groups[0]), job(f"{groups[0]} and {groups[-1]}")
    for rates, faults in ((one, 1.0), (two, 2.0)):
        assert sum(count.found for count in rates.counts) == pytest.approx(faults)
        assert sum(count.expected for count in rates.counts) == pytest.approx(faults)
    assert job("no such thing") == NO_RATES


def test_what_is_no_fault_keeps_its_share() -> None:
    heavy = Rates((Count("-", "contact", "resistance", (), 500.0, 1.0),))
    other = weighed(LAMP, KNOWN, heavy)
    for name in (SOUND, UNEXPLAINED):
        before, after = (
            np.exp(known.log_prior)[[member.group == name for member in known.members]].sum()
            for known in (KNOWN, other)
        )
        assert after == pytest.approx(before)
    assert weighed(LAMP, KNOWN, NO_RATES) is KNOWN


def test_many_jobs_lead_to_how_often_things_do_fail() -> None:
    """Faults drawn with contacts four times as frequent as the table has them, 1,500 jobs."""
    draw = random.Random(7)
    faulty = [member for member in KNOWN.members if member.fault is not None]
    kinds = [kind_of(LAMP, member.fault) for member in faulty if member.fault is not None]
    weights = [member.weight * (4.0 if kind == "contact" else 1.0) for member, kind in zip(faulty, kinds, strict=True)]
    drawn = draw.choices(range(len(faulty)), weights, k=1500)
    each = {number: of_job(LAMP, KNOWN, np.eye(len(KNOWN.members))[KNOWN.members.index(faulty[number])],
                           faulty[number].group) for number in set(drawn)}  # fmt: skip
    learned = weighed(LAMP, KNOWN, together(each[number] for number in drawn))
    share = {True: 0.0, False: 0.0}
    for member in learned.members:
        if member.fault is not None:
            share[kind_of(LAMP, member.fault) == "contact"] += member.weight
    right = sum(weight for weight, kind in zip(weights, kinds, strict=True) if kind == "contact") / sum(weights)
    before = sum(m.weight for m, kind in zip(faulty, kinds, strict=True) if kind == "contact") / sum(
        m.weight for m in faulty
    )
    now = share[True] / (share[True] + share[False])
    assert before < right - 0.1
    assert now == pytest.approx(right, abs=0.05)
