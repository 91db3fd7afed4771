"""Which sets of parts can be wrong together: complete search from conflicts, smallest sets first.

Parts are numbered from 0 and a set of parts is a whole number, bit k standing for part k. Of the thing under diagnosis
two questions are asked. May all parts outside a set be sound, given what was observed? If not, which of them cannot all
be: a *conflict*. And which of many sets explain what was observed? Every group that explains it has a part in every
conflict, so groups are hitting sets (after de Kleer and Williams, Artificial Intelligence 32 (1987) 97-130, and Reiter,
the same volume, 57-95; from memory).

A part that is wrong may do anything at all; so whatever contains a group explains as much, and only groups without
needless parts are given.
"""

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Protocol

Parts = int
Check = Callable[[Parts], Parts | None]
"""From a set of suspects to None where all else may be sound, or a conflict that has none of them; 0 where nothing
explains what was observed."""


@dataclass(frozen=True)
class Tries:
    """Sets to be judged: `chosen` with one of `ways` each."""

    chosen: Parts
    ways: Parts


class Judge(Protocol):
    """Knows the thing under diagnosis. Sets of no more than `batch` are judged at a time, where that is quicker."""

    @property
    def batch(self) -> int: ...

    def conflict(self, suspects: Parts) -> Parts | None:
        """None where all but the suspects may be sound; else a conflict without them, 0 where nothing explains it."""

    def explaining(self, tries: Sequence[Tries]) -> tuple[Sequence[Parts], Sequence[Parts]]:
        """The sets that explain what was observed, and conflicts that came out besides. Of no set tried does a part
        of it explain it already."""


@dataclass(frozen=True)
class Groups:
    """The groups found, each a set of parts, by size; `complete` where no limit was met; `tried` is the number of sets
    that were judged, `conflicts` what was found on the way."""

    found: tuple[Parts, ...]
    complete: bool
    tried: int
    conflicts: tuple[Parts, ...]


@dataclass(frozen=True)
class Checked:
    """A judge that has a check alone."""

    check: Check
    batch: int = 1

    def conflict(self, suspects: Parts) -> Parts | None:
        return self.check(suspects)

    def explaining(self, tries: Sequence[Tries]) -> tuple[Sequence[Parts], Sequence[Parts]]:
        found, conflicts = [], []
        for one in tries:
            left = one.ways
            while left:
                bit = left & -left
                left ^= bit
                conflict = self.check(one.chosen | bit)
                if conflict is None:
                    found.append(one.chosen | bit)
                else:
                    conflicts.append(conflict)
                    left &= conflict
        return found, conflicts


def members(parts: Parts) -> Iterator[int]:
    """The numbers of a set of parts, ascending."""
    while parts:
        low = parts & -parts
        yield low.bit_length() - 1
        parts ^= low


def union(numbers: Iterable[int]) -> Parts:
    """The set of parts of these numbers."""
    parts = 0
    for number in numbers:
        parts |= 1 << number
    return parts


def least_groups(judge: Judge, parts: int, most_parts: int, most_groups: int) -> Groups:
    """All groups of the least number of parts, out of `parts`, that explains the observations.

    `complete` is False where there is none of at most `most_parts` parts, or the search was ended at `most_groups`.
    """
    search = _Search(judge, parts, most_groups)
    for size in range(most_parts + 1):
        search.of_size(size)
        if search.found or search.hopeless:
            return search.result(complete=not search.full)
    return search.result(complete=False)


def minimal_groups(judge: Judge, parts: int, most_parts: int, most_groups: int) -> Groups:
    """All groups of at most `most_parts` parts that no smaller group is contained in, by size.

    `complete` is False where the search was ended at `most_groups`.
    """
    search = _Search(judge, parts, most_groups)
    for size in range(most_parts + 1):
        search.of_size(size)
    return search.result(complete=not search.full)


def hitting_sets(conflicts: Iterable[Parts]) -> tuple[Parts, ...]:
    """The minimal sets that have a part in each of some conflicts, by size."""
    given = tuple(conflicts)

    def check(suspects: Parts) -> Parts | None:
        return next((conflict for conflict in given if not conflict & suspects), None)

    parts = max((one.bit_length() for one in given), default=0)
    return minimal_groups(Checked(check), parts, len(given), 1 << 62).found


class _Search:
    """Groups by size, with the conflicts found so far.

    A set is built part by part, each out of the open conflict that leaves fewest ways; a part once tried is barred
    from its brothers, so that each set comes up once. Conflicts that share no part need a part each: where more of
    them are open than parts may still be added, nothing below is looked at. Sets that lack their last part alone are
    put by and judged together.
    """

    def __init__(self, judge: Judge, parts: int, most_groups: int) -> None:
        self._judge = judge
        self._every = (1 << parts) - 1
        self._most = most_groups
        self._conflicts: list[Parts] = []
        self._batch = 1
        self._put_by: list[Tries] = []
        self._waiting = 0
        self._tried = 0
        self._sized: list[Parts] = []
        self.found: list[Parts] = []
        self.full = False
        self.hopeless = False

    def result(self, complete: bool) -> Groups:
        """What was found."""
        return Groups(tuple(self.found), complete, self._tried, tuple(self._conflicts))

    def of_size(self, size: int) -> None:
        """Look for the groups of a size; those that are smaller have to be found already."""
        if self.hopeless or self.full:
            return
        self._sized, self._batch = [], 1
        self._grow(0, 0, size, [], 0)
        self._judged()
        self.found += sorted(self._sized, key=lambda parts: tuple(members(parts)))

    def _grow(self, chosen: Parts, barred: Parts, left: int, unmet: list[Parts], known: int) -> None:
        """All groups that contain `chosen`, none that is `barred` and `left` parts more. `unmet` are the conflicts out
        of the first `known` that have no part chosen."""
        unmet = unmet + [one for one in self._conflicts[known:] if not one & chosen]
        known = len(self._conflicts)
        if not unmet and left == 1:
            # To find out what cannot be sound costs more than to judge them all.
            self._try(chosen, self._every & ~barred & ~chosen)
            return
        if not unmet:
            if any(one & chosen == one for one in self.found):
                return
            self._tried += 1
            conflict = self._judge.conflict(chosen)
            if conflict is None:
                self._keep([chosen])
                return
            if not conflict:
                self.hopeless = True
                return
            self._conflicts.append(conflict)
            unmet, known = [conflict], known + 1
        ways = _ways(unmet, barred, left)
        if left == 1:
            self._try(chosen, ways)
            return
        while ways and not self.full and not self.hopeless:
            bit = ways & -ways
            ways ^= bit
            self._grow(chosen | bit, barred, left - 1, [one for one in unmet if not one & bit], known)
            barred |= bit
            if len(self._conflicts) > known:
                # What was found meanwhile may leave nothing to do here, or fewer ways.
                unmet = unmet + [one for one in self._conflicts[known:] if not one & chosen]
                known = len(self._conflicts)
                ways = _ways(unmet, barred, left)

    def _try(self, chosen: Parts, ways: Parts) -> None:
        for one in self.found:
            if (one & ~chosen).bit_count() == 1:
                ways &= ~one
            elif one & chosen == one:
                return
        if ways:
            self._put_by.append(Tries(chosen, ways))
            self._waiting += ways.bit_count()
            if self._waiting >= self._batch:
                self._judged()

    def _judged(self) -> None:
        if self._put_by:
            groups, conflicts = self._judge.explaining(self._put_by)
            self._tried += self._waiting
            self._put_by, self._waiting = [], 0
            # Small at first, since what comes out besides may spare the rest.
            self._batch = min(1 + self._batch * 2, self._judge.batch)
            self._conflicts += conflicts
            self.hopeless = self.hopeless or 0 in conflicts
            self._keep(groups)

    def _keep(self, groups: Iterable[Parts]) -> None:
        self._sized += groups
        self.full = len(self.found) + len(self._sized) >= self._most


def _ways(unmet: Sequence[Parts], barred: Parts, left: int) -> Parts:
    """The parts to try next, none where too many conflicts are left for the parts that may be added."""
    if left <= 0:
        return 0
    free = ~barred
    if left == 1:
        common = free
        for one in unmet:
            common &= one
            if not common:
                return 0
        return common
    apart, together, best = 0, 0, unmet[0] & free
    for one in sorted([one & free for one in unmet], key=int.bit_count):
        if not one & together:
            if not one:
                return 0
            if not apart:
                best = one
            together |= one
            apart += 1
            if apart > left:
                return 0
    return best
