"""The search for groups against brute force over all sets."""

from itertools import combinations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from loombench.diagnose.groups import Checked, Groups, hitting_sets, least_groups, members, minimal_groups, union

PARTS = 8
MANY = 10_000
conflict_sets = st.lists(st.integers(1, (1 << PARTS) - 1), max_size=7)


def by_trying_all(conflicts: list[int]) -> set[int]:
    """The sets that hit all, and lose that with any part taken away."""
    hits = [one for one in range(1 << PARTS) if all(one & conflict for conflict in conflicts)]
    return {one for one in hits if not any(other != one and other & one == other for other in hits)}


def judge(conflicts: list[int]) -> Checked:
    return Checked(lambda suspects: next((one for one in conflicts if not one & suspects), None))


@given(conflict_sets)
@settings(max_examples=200, deadline=None)
def test_minimal_groups_are_those_found_by_trying_all(conflicts: list[int]) -> None:
    found = minimal_groups(judge(conflicts), PARTS, PARTS, MANY)
    assert found.complete
    assert len(found.found) == len(set(found.found))
    assert set(found.found) == by_trying_all(conflicts)
    assert [one.bit_count() for one in found.found] == sorted(one.bit_count() for one in found.found)
    assert set(hitting_sets(conflicts)) == set(found.found)


@given(conflict_sets)
@settings(max_examples=200, deadline=None)
def test_least_groups_are_the_smallest_of_them(conflicts: list[int]) -> None:
    every = by_trying_all(conflicts)
    least = min(one.bit_count() for one in every)
    found = least_groups(judge(conflicts), PARTS, PARTS, MANY)
    assert found.complete
    assert set(found.found) == {one for one in every if one.bit_count() == least}
    assert all(any(one & conflict == one for one in conflicts) for conflict in found.conflicts)


def test_what_is_sound_needs_no_group() -> None:
    assert least_groups(judge([]), PARTS, PARTS, MANY) == Groups((0,), True, 1, ())


def test_what_nothing_explains_is_said() -> None:
    found = least_groups(Checked(lambda _: 0), PARTS, PARTS, MANY)
    assert found.found == ()
    assert found.complete
    part_way = least_groups(Checked(lambda suspects: 0 if suspects else 1), PARTS, PARTS, MANY)
    assert part_way.found == ()


def test_a_limit_is_said() -> None:
    apart = [0b11, 0b1100, 0b110000]
    assert not least_groups(judge(apart), PARTS, 2, MANY).complete
    ended = least_groups(judge(apart), PARTS, 3, 5)
    assert not ended.complete
    assert len(ended.found) >= 5
    assert least_groups(judge(apart), PARTS, 3, MANY).complete


def test_conflicts_apart_are_not_gone_through_in_vain() -> None:
    """Fifteen parts, three conflicts that share none: all sets of up to three parts would be 576."""
    apart = [0b11111 << 5 * k for k in range(3)]
    asked: list[int] = []

    def check(suspects: int) -> int | None:
        asked.append(suspects)
        return next((one for one in apart if not one & suspects), None)

    found = least_groups(Checked(check), 15, 15, MANY)
    assert len(found.found) == 5**3
    assert len(asked) < 5**3 + 40


@pytest.mark.parametrize("numbers", [combination for k in range(3) for combination in combinations(range(70), k)][::97])
def test_a_set_and_its_numbers(numbers: tuple[int, ...]) -> None:
    assert tuple(members(union(numbers))) == numbers
