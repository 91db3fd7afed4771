"""Pieces of work side by side: what they ask is answered together, what they raise is raised, none is left behind."""

import threading
from collections.abc import Callable, Sequence

import pytest

from loombench.circuit.tables.sidebyside import AT_ONCE, side_by_side


def adding(times: int) -> Callable[[Callable[[int], int]], list[int]]:
    return lambda ask: [ask(k) for k in range(times)]


def test_what_is_asked_in_the_same_turn_is_answered_together() -> None:
    together: list[list[int]] = []

    def answer(questions: Sequence[int]) -> list[int]:
        together.append(list(questions))
        return [10 * one for one in questions]

    assert side_by_side([adding(3), adding(0), adding(1)], answer) == [[0, 10, 20], [], [0]]
    assert together == [[0, 0], [1], [2]]


def test_more_than_are_under_way_at_once_are_all_done_in_their_order() -> None:
    works = [lambda ask, k=k: ask(k) for k in range(2 * AT_ONCE + 3)]
    assert side_by_side(works, lambda asked: [-one for one in asked]) == [-k for k in range(2 * AT_ONCE + 3)]


def test_no_work_asks_nothing() -> None:
    assert side_by_side([], lambda asked: pytest.fail(f"asked {asked}")) == []


def test_what_a_piece_of_work_raises_is_raised_and_the_others_are_let_go() -> None:
    def failing(ask: Callable[[int], int]) -> list[int]:
        raise LookupError(str(ask(7)))

    before = threading.active_count()
    with pytest.raises(LookupError, match="8"):
        side_by_side([adding(5), failing, adding(5)], lambda asked: [one + 1 for one in asked])
    assert threading.active_count() == before


def test_what_the_answering_raises_is_raised_and_all_are_let_go() -> None:
    def stopped(asked: Sequence[int]) -> list[int]:
        raise InterruptedError(str(len(asked)))

    before = threading.active_count()
    with pytest.raises(InterruptedError, match="2"):
        side_by_side([adding(2), adding(2)], stopped)
    assert threading.active_count() == before
