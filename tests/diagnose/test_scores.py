"""Scores are added up for those that are left, and for all others together: the same as adding each to each."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from loombench.diagnose.scores import Part, Running, Table


def by_each(
    start: np.ndarray, tables: list[np.ndarray], wrong: list[float], told: list[bool], least: np.ndarray, margin: float
) -> tuple[np.ndarray, np.ndarray, list[np.ndarray]]:
    """Scores, by how many each was weighed, and which were weighed by each observation."""
    scores, used, count, every = start.copy(), np.ones(start.shape[1], dtype=bool), np.zeros(start.shape[1], int), []
    for number, table in enumerate(tables):
        best = scores.max(axis=0)
        used = used & ((number < least) | (best >= best.max() - margin))
        count += used
        right = np.ones(len(used), dtype=bool) if told[number] else used
        scores = scores + np.where(right, table, wrong[number])
        every.append(right)
    return scores, count, every


@given(seed=st.integers(0, 10_000), margin=st.sampled_from([0.5, 4.0, 40.0]), supplies=st.sampled_from([1, 3]))
def test_those_that_are_out_are_added_up_together(seed: int, margin: float, supplies: int) -> None:
    rng = np.random.default_rng(seed)
    count, seen = int(rng.integers(1, 30)), int(rng.integers(1, 9))
    prior, of_supply = rng.normal(0.0, 3.0, count), np.linspace(0.0, -1.0, supplies)
    start = prior + of_supply[:, None]
    tables = [rng.normal(-2.0, 5.0, (supplies, count) if rng.random() < 0.5 else count) for _ in range(seen)]
    wrong, told = rng.normal(-4.0, 2.0, seen).tolist(), (rng.random(seen) < 0.2).tolist()
    least = np.where(rng.random(count) < 0.2, rng.integers(0, seen + 1), 0)
    scores, by, rights = by_each(start, tables, wrong, told, least, margin)
    running = Running(prior, of_supply)
    every = np.ones(count, dtype=np.bool_)
    for number, table in enumerate(tables):
        used = running.narrowed(number < least, margin)
        right = every if told[number] else used
        np.testing.assert_array_equal(right, rights[number])
        known = right | (rng.random(count) < 0.5)
        part = Part(
            Table(known, table[..., known]), right, Table(known, table[..., known]).of(right), 0.0, wrong[number]
        )
        running.add(part)
        chosen = int(rng.integers(count))
        value = table[-1, chosen] if table.ndim > 1 else table[chosen]
        assert part.at(supplies - 1, chosen) == (value if right[chosen] else wrong[number])
    np.testing.assert_allclose(running.whole(), scores, atol=1e-9)
    np.testing.assert_array_equal(running.count, by)


@pytest.mark.parametrize("ways", [1, 2])
def test_what_an_observation_says_is_laid_back_over_all_with_the_supply_of_each(ways: int) -> None:
    used, values = np.array([True, False, True]), np.array([[1.0, 2.0], [3.0, 4.0]])[:ways]
    part = Part(Table(used, values), used, values if ways > 1 else values[0], 4.0, -9.0)
    found = part.over(np.array([1, 0, 0]) if ways > 1 else None)
    np.testing.assert_array_equal(found, [3.0 if ways > 1 else 1.0, -9.0, 2.0])
