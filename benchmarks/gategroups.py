"""Which gates of a logic circuit may be wrong together, given what was read at its pins. A wrong gate may give
anything.

The groups are searched by `loombench.diagnose.groups`; here is what that asks for. Three facts make it quick. A gate
all of whose paths to what was read go through another gate can be replaced by that one in any group: so only gates that
no other stands before ("tops") are searched, and afterwards each is replaced by those behind it that can take its
place. In a least group each gate gives the opposite of what it should. And whole numbers hold thousands of patterns
side by side, so that one sweep through the circuit judges as many groups.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import product
from math import prod

from benchmarks.gates import OR, XOR, Circuit, Gate, given
from loombench.diagnose.groups import Parts, Tries, least_groups, members

BATCH = 1 << 16
"""Sets judged in one sweep: eight kilobytes a signal."""
DENSE = 12
"""Where at least one top in so many is a way, all tops are tried side by side, which is quicker than to pick."""
PATTERNS = 4096
"""Patterns that take as long to compute as the step from one gate to the next; a count of work, not a limit."""
REASON = 5
"""Finding why a gate gives what it does takes as long as so many steps."""
_OPEN = 2
"""A value that is not known."""
Seen = tuple[tuple[int, ...], tuple[tuple[int, int], ...]]
"""The inputs' values, and the other signals that were read with their values."""


@dataclass(frozen=True)
class Found:
    """The least groups: `complete` where no limit was met, `size` gates in each, as products (one gate out of each of
    some sets); `tried` sets were judged, and so many `conflicts` found."""

    complete: bool
    size: int
    products: tuple[tuple[tuple[str, ...], ...], ...]
    tried: int
    conflicts: int

    @property
    def count(self) -> int:
        """How many groups there are."""
        return sum(prod(map(len, one)) for one in self.products)

    def groups(self) -> Iterator[frozenset[str]]:
        """The groups one by one, each once."""
        for one in self.products:
            for names in product(*one):
                yield frozenset(names)


def diagnose(circuit: Circuit, readings: Iterable[Mapping[str, int]], most_gates: int, most_groups: int) -> Found:
    """The least groups of gates that explain all readings; none of more than `most_gates` gates are looked for, and no
    more than `most_groups` groups of tops.

    Raises:
        ValueError: an input has no reading.
    """
    seen = [_seen(circuit, one) for one in readings]
    # What a sound circuit would show as well, any other may show too.
    odd = [one for one in dict.fromkeys(seen) if any(circuit.values(one[0])[s] != v for s, v in one[1])]
    if not odd:
        return Found(True, 0, ((),), 0, 0)
    tops = Tops(circuit, odd)
    result = least_groups(tops, len(tops.signals), most_gates, most_groups)
    size = result.found[0].bit_count() if result.found else 0
    return Found(result.complete, size, tops.spread(result.found), result.tried, len(result.conflicts))


def _seen(circuit: Circuit, reading: Mapping[str, int]) -> Seen:
    missing = [one for one in circuit.inputs if one not in reading]
    if missing:
        raise ValueError(f"no reading of the inputs {', '.join(missing)}")
    read = {circuit.signal[one]: value for one, value in reading.items() if one in circuit.signal}
    return tuple(reading[one] for one in circuit.inputs), tuple(
        sorted(o for o in read.items() if o[0] >= circuit.first)
    )


def roots(circuit: Circuit, read: Iterable[int]) -> dict[int, int]:
    """For each gate that anything read depends on, by its signal, the last gate that all its paths go through."""
    outside = -1
    read = frozenset(read)
    depth = {outside: 0}
    above: dict[int, int] = {}
    for signal in range(circuit.first + len(circuit.gates) - 1, circuit.first - 1, -1):
        ends = [one for one in circuit.taken_by[signal] if one in above]
        if signal in read:
            ends.append(outside)
        if not ends:
            continue
        meet = ends[0]
        for end in ends[1:]:
            other = end
            while other != meet:
                if depth[other] >= depth[meet]:
                    other = above[other]
                else:
                    meet = above[meet]
        above[signal], depth[signal] = meet, depth[meet] + 1
    found: dict[int, int] = {}
    for signal in sorted(above, reverse=True):
        found[signal] = signal if above[signal] == outside else found[above[signal]]
    return found


class Tops:
    """The judge of sets of tops, numbered by their signals' order. Where several sets of readings are odd a gate and
    the one before it are not the same, and each gate is its own top."""

    batch = BATCH

    def __init__(self, circuit: Circuit, odd: Sequence[Seen]) -> None:
        self._circuit = circuit
        above = roots(circuit, {signal for _, values in odd for signal, _ in values})
        if len(odd) > 1:
            above = {one: one for one in above}
        self.signals = sorted(set(above.values()))
        place = {top: number for number, top in enumerate(self.signals)}
        self._behind: list[list[int]] = [[] for _ in self.signals]
        bits = [0] * (circuit.first + len(circuit.gates))
        for signal in sorted(above):
            self._behind[place[above[signal]]].append(signal)
            bits[signal] = 1 << place[above[signal]]
        self._sheets = [_Sheet(circuit, self.signals, bits, inputs, dict(values)) for inputs, values in odd]

    def conflict(self, suspects: Parts) -> Parts | None:
        """None where all outside a set may be sound, else some that cannot all be."""
        return next((one.conflict(suspects) for one in self._sheets if not one.explained(suspects)), None)

    def explaining(self, tries: Sequence[Tries]) -> tuple[list[Parts], list[Parts]]:
        """Which of some sets explain all that was read, and conflicts of some that do not: as much work goes into these
        as into the judging."""
        if len(self._sheets) > 1:
            each = [one.chosen | 1 << way for one in tries for way in members(one.ways)]
            found = [one for one in each if all(sheet.explained(one) for sheet in self._sheets)]
            work = len(each) * len(self._circuit.gates)
        else:
            found, work = self._sheets[0].explaining(tries)
        known = frozenset(found)
        conflicts: list[Parts] = []
        for one in reversed(tries):
            failed = next((s for way in members(one.ways) if (s := one.chosen | 1 << way) not in known), None)
            if failed is not None and all(failed & conflict for conflict in conflicts):
                before = sum(sheet.work for sheet in self._sheets)
                conflict = self.conflict(failed)
                assert conflict is not None
                conflicts.append(conflict)
                work -= sum(sheet.work for sheet in self._sheets) - before
                if work <= 0:
                    break
        return found, conflicts

    def spread(self, groups: Sequence[Parts]) -> tuple[tuple[tuple[str, ...], ...], ...]:
        """For each of some least groups, for each of its tops, the gates that can take its place."""
        found: list[tuple[tuple[str, ...], ...]] = []
        known: dict[tuple[int, tuple[int, ...]], tuple[str, ...]] = {}
        sources = [self._outer(number) for number in range(len(self.signals))]
        gates, first = self._circuit.gates, self._circuit.first
        for start in range(0, len(groups), PATTERNS):
            block = groups[start : start + PATTERNS]
            now = self._sheets[0].together(block)
            for place, group in enumerate(block):
                sets = []
                for number in members(group):
                    key = number, tuple(now[one] >> place & 1 for one in sources[number])
                    if key not in known:
                        taking = self._taking(number, dict(zip(sources[number], key[1], strict=True)))
                        known[key] = tuple(gates[one - first].name for one in taking)
                    sets.append(known[key])
                found.append(tuple(sets))
        return tuple(found)

    def _outer(self, number: int) -> tuple[int, ...]:
        """The signals from outside that what stands behind a top takes; none are needed where it stands alone."""
        behind = self._behind[number]
        if len(behind) == 1:
            return ()
        inside = frozenset(behind)
        gates, first = self._circuit.gates, self._circuit.first
        return tuple(sorted({s for one in behind for s in gates[one - first].sources if s not in inside}))

    def _taking(self, number: int, outside: Mapping[int, int]) -> list[int]:
        """The gates behind a top, itself among them, that alone turn it round: each in a pattern of its own."""
        behind, top = self._behind[number], self.signals[number]
        if len(behind) == 1:
            return behind
        every = (1 << len(behind) + 1) - 1
        now = [0] * (top + 1)
        for signal, value in outside.items():
            now[signal] = every if value else 0
        for place, signal in enumerate(behind):
            now[signal] = given(self._circuit.gates[signal - self._circuit.first], now, every) ^ (1 << place)
        # The last pattern has none of them wrong.
        turned = now[top] ^ (every if now[top] >> len(behind) else 0)
        return [signal for place, signal in enumerate(behind) if turned >> place & 1]


class _Sheet:
    """One set of readings: what the sound circuit gives, why, and what others would."""

    def __init__(
        self, circuit: Circuit, tops: Sequence[int], bits: Sequence[Parts], inputs: Sequence[int],
        read: Mapping[int, int],
    ) -> None:  # fmt: skip
        self._circuit, self._tops, self._bits, self._read = circuit, tops, bits, read
        self._seen_from = [
            (signal, gate) for signal, gate in enumerate(circuit.gates, circuit.first) if bits[signal]
        ]  # fmt: skip
        self._ahead: list[int] = [0] * (circuit.first + len(circuit.gates))
        place = {signal: place for place, (signal, _) in enumerate(self._seen_from)}
        for signal, _ in reversed(self._seen_from):
            ahead = 1 << place[signal]
            for one in circuit.taken_by[signal]:
                ahead |= self._ahead[one]
            self._ahead[signal] = ahead
        self._sound = circuit.values(inputs)
        self._reason: list[Parts] = [0] * len(self._sound)
        for signal, gate in self._seen_from:
            _, why = _explained(gate, self._sound, self._reason)
            self._reason[signal] = why | bits[signal]
        self.work = 0

    def explained(self, suspects: Parts) -> bool:
        """Whether some values of the suspects give all that was read: all their values side by side, as patterns."""
        freed = {self._tops[number]: 1 << place for place, number in enumerate(members(suspects))}
        every = (1 << (1 << len(freed))) - 1
        now = self._swept({signal: every // ((1 << half) + 1) << half for signal, half in freed.items()}, every, True)
        return bool(self._right(now, every))

    def explaining(self, tries: Sequence[Tries]) -> tuple[list[Parts], int]:
        """Which of some sets explain what was read, each gate of a set giving the opposite; and the work that was."""
        tops = len(self._tops)
        dense = [one for one in tries if one.ways.bit_count() * DENSE >= tops]
        sparse = [one for one in tries if one.ways.bit_count() * DENSE < tops]
        found: list[Parts] = []
        work = 0
        most = max(BATCH // tops, 1)
        for start in range(0, len(dense), most):
            block = dense[start : start + most]
            # Each try has a pattern for every top.
            comb = ((1 << tops * len(block)) - 1) // ((1 << tops) - 1)
            flips = [comb << number for number in range(tops)]
            valid = 0
            for place, one in enumerate(block):
                valid |= one.ways << place * tops
                for number in members(one.chosen):
                    flips[number] |= ((1 << tops) - 1) << place * tops
            every = (1 << tops * len(block)) - 1
            good = self._right(self._swept(dict(zip(self._tops, flips, strict=True)), every), every) & valid
            found += [block[at // tops].chosen | 1 << at % tops for at in members(good)]
            work += len(self._seen_from) * (1 + every.bit_length() // PATTERNS)
        if sparse:
            sets = [one.chosen | 1 << way for one in sparse for way in members(one.ways)]
            good = self._right(self.together(sets), (1 << len(sets)) - 1)
            found += [sets[at] for at in members(good)]
            work += len(self._seen_from) * (1 + len(sets) // PATTERNS) + 2 * len(sets)
        return found, work

    def together(self, sets: Sequence[Parts]) -> list[int]:
        """[signals] what each gives, in a pattern for each of some sets of tops that give the opposite."""
        flips: dict[int, bytearray] = {}
        for place, one in enumerate(sets):
            for number in members(one):
                if number not in flips:
                    flips[number] = bytearray(len(sets) // 8 + 1)
                flips[number][place >> 3] |= 1 << (place & 7)
        altered = {self._tops[number]: int.from_bytes(flip, "little") for number, flip in flips.items()}
        return self._swept(altered, (1 << len(sets)) - 1)

    def _swept(self, altered: Mapping[int, int], every: int, free: bool = False) -> list[int]:
        """[signals] what each gives in all patterns: some gates turned round where their pattern is 1, or where they
        are `free` giving that pattern itself."""
        now = [every if value else 0 for value in self._sound]
        for signal, gate in self._changed(altered):
            if signal in altered:
                now[signal] = altered[signal] if free else given(gate, now, every) ^ altered[signal]
            else:
                now[signal] = given(gate, now, every)
        return now

    def _changed(self, altered: Iterable[int]) -> list[tuple[int, Gate]]:
        """Some gates and all that depends on them, in their order."""
        places = 0
        for signal in altered:
            places |= self._ahead[signal]
        return [self._seen_from[place] for place in members(places)]

    def _right(self, now: Sequence[int], every: int) -> int:
        """The patterns in which all is as it was read."""
        good = every
        for one, value in self._read.items():
            good &= now[one] if value else now[one] ^ every
        return good

    def conflict(self, suspects: Parts) -> Parts:
        """Tops outside the suspects that cannot all be sound, given that no values of the suspects explain it."""
        freed = sorted(self._tops[number] for number in members(suspects))
        why = self._refuted(freed, {}, self._changed(freed))
        assert why is not None
        return why

    def _refuted(
        self, freed: Sequence[int], taken: dict[int, int], changed: Sequence[tuple[int, Gate]]
    ) -> Parts | None:
        """Tops that rule out all values of those freed but not yet `taken`, with the bits of those taken that it rests
        on; None where some value is not ruled out."""
        best = self._contradiction(freed, taken, changed)
        if best is not None:
            return best
        left = [one for one in freed if one not in taken]
        if not left:
            return None
        split = left[0]
        bit = self._bits[split]
        both = 0
        for value in (0, 1):
            found = self._refuted(freed, {**taken, split: value}, changed)
            if found is None or not found & bit:
                return found
            both |= found
        return both ^ bit

    def _contradiction(
        self, freed: Sequence[int], taken: Mapping[int, int], changed: Sequence[tuple[int, Gate]]
    ) -> Parts | None:
        """The fewest tops whose soundness gives another value than was read; None where all is as read or open."""
        bits = self._bits
        values, why = self._sound.copy(), self._reason.copy()
        self.work += REASON * (len(changed) + 1)
        for signal, gate in changed:
            if signal in freed:
                values[signal], why[signal] = taken.get(signal, _OPEN), bits[signal]
            else:
                values[signal], reason = _explained(gate, values, why)
                why[signal] = reason | bits[signal]
        odd = [why[one] for one, value in self._read.items() if values[one] not in (value, _OPEN)]
        return min(odd, key=int.bit_count, default=None)


def _explained(gate: Gate, values: Sequence[int], why: Sequence[Parts]) -> tuple[int, Parts]:
    """What a gate gives for values that may be open, and why: one source where one decides, all of them otherwise."""
    whole = 0
    if gate.kind == XOR:
        value = 0
        for one in gate.sources:
            if values[one] == _OPEN:
                return _OPEN, 0
            value ^= values[one]
            whole |= why[one]
        return value ^ gate.inverting, whole
    ruling = int(gate.kind == OR)
    best, least, is_open = 0, -1, False
    for one in gate.sources:
        value = values[one]
        if value == ruling:
            count = why[one].bit_count()
            if least < 0 or count < least:
                best, least = why[one], count
        elif value == _OPEN:
            is_open = True
        else:
            whole |= why[one]
    if least >= 0:
        return ruling ^ gate.inverting, best
    return (_OPEN, 0) if is_open else ((1 - ruling) ^ gate.inverting, whole)
