"""One state of the sound network: what rows do there, and what the network's agents see under each.

Whatever a network's agents do, they do because of yes-or-no questions (`signature`) and, where fuses have more than
they hold, because of which opens first. That is a row's answer in a state.
"""

import math
from collections.abc import Sequence
from itertools import groupby

import numpy as np

from loombench.circuit.loops import FloatArray
from loombench.circuit.netlist import FuseAgent
from loombench.circuit.network import BoolArray
from loombench.circuit.newton import NoSolution, Solution
from loombench.circuit.ready import Ready
from loombench.circuit.switching import overloaded
from loombench.circuit.tables.across import currents_at, flat, solution_of
from loombench.circuit.tables.base import Base, Forced
from loombench.circuit.tables.change import Change
from loombench.circuit.tables.entry import Entry
from loombench.circuit.tables.plain import plain
from loombench.circuit.tables.port import Port
from loombench.circuit.tables.rows import apart, entries
from loombench.circuit.tables.signature import Questions, seen
from loombench.facts.fuse import HOLDS_TO, OPENS_FROM

# Nearer than this share to where a fuse surely opens, or to the time of the next one, it is not said which goes.
_MARGIN = 1e-4
# From so many rows on it pays to see first which are plain.
_MANY = 4
# Volts, of rows times pairs that agents look at, that are held in memory together.
_VOLTS_AT_ONCE = 1 << 20
ENTRY_BYTES, ANSWER_BYTES = 600.0, 50.0
"""What a row's network and its answer take in a state (measured on a made-up vehicle of 1,000 wires)."""
Row = tuple[int, Change, Forced]
Held = int | tuple[int, Forced]
"""A row, with what it holds where it holds anything: nearly all do not, and a pair each would be too much to keep."""
Answer = tuple[bytes, str]
"""What agents see in a solution, and which fuse opens."""
NO_ANSWER: Answer = (b"", "?")
"""Of a solution that a table does not have, or of which it is not sure what the agents see."""
HELD: Answer = (b"", "held")
"""What stands for an answer where a row holds what agents look at otherwise than it is on the way."""


class Stop:
    """One state of the sound network, with all that rows were found to do there.

    `base` is the sound network's solution in that state, or in another from which it differs by the variables in
    `beside`, with where they are here: what these switch is then changed beside what a row changes. It `shares` that
    solution, which is another's to forget.
    """

    def __init__(self, ready: Ready, q: Questions, base: Base, beside: Forced = (), shares: bool = False) -> None:
        self.ready, self.q, self.base, self.beside = ready, q, base, beside
        self._shares = shares
        self._entries: dict[Held, Entry] = {}
        self._answers: dict[Held, Answer] = {}
        self._opens_s: dict[Held, float] = {}
        self._alike: dict[Answer, Answer] = {}
        """Each answer once: most rows have one of a few."""

    def entries(self, rows: Sequence[Row]) -> list[Entry]:
        """The networks of some rows here."""
        new = [one for one in rows if _held(one[0], one[2]) not in self._entries]
        found, _ = entries(self.base, self.asked(new)) if new else ((), None)
        for (row, _, forced), entry in zip(new, found, strict=True):
            self._entries[_held(row, forced)] = entry
        return [self._entries[_held(row, forced)] for row, _, forced in rows]

    def answers(self, rows: Sequence[Row]) -> list[Answer]:
        """What agents see under some rows."""
        look_together([(self, rows)])
        return [self._answers[_held(row, forced)] for row, _, forced in rows]

    def answer(self, row: int) -> Answer:
        """What agents see under a row that has been looked at, all that it holds being held already."""
        return self._answers[row]

    def new(self, rows: Sequence[Row], kept: bool = False) -> list[Row]:
        """Those, of some rows, that have not been looked at, or whose networks have not been `kept`."""
        known = self._entries if kept else self._answers
        return [one for one in rows if _held(one[0], one[2]) not in known]

    def solution(self, row: int, change: Change) -> Solution | NoSolution:
        """A row's whole solution here, all that it holds being held already."""
        if row == 0 and not self.beside:
            return self.base.at
        self.answers([(row, change, ())])
        (entry,) = self.entries([(row, change, ())])
        return solution_of(self.base, entry) if entry.sure else NoSolution("not-settled", ())

    def seen_in(self, rows: Sequence[Row], found: Sequence[Entry], volts: FloatArray) -> list[Answer]:
        """What agents see in some networks of rows, with the volts that the base watches in them."""
        return [answer for answer, _ in self._answers_of(rows, found, volts)]

    def opens_s(self, row: int, forced: Forced) -> float:
        """How long the fuse that opens here takes under a row that has been looked at."""
        return self._opens_s.get(_held(row, forced), 0.0)

    def lighten(self) -> None:
        """Drop the networks that were factored anew: each takes as much room as the sound one, and can be worked out
        again."""
        self._entries = {key: entry for key, entry in self._entries.items() if entry.whole is None}

    def answered(self) -> None:
        """Drop the networks of rows, as none of them ends here: what is seen under each is kept."""
        self._entries.clear()

    @property
    def kept_bytes(self) -> float:
        """What is kept here of rows, about."""
        return len(self._entries) * ENTRY_BYTES + len(self._answers) * ANSWER_BYTES

    def forget(self) -> None:
        """Drop what can be worked out again."""
        self._entries.clear()
        if not self._shares:
            self.base.forget()

    def asked(self, rows: Sequence[Row]) -> list[tuple[Change, Forced]]:
        """What rows change here, with all that is held."""
        if not self.beside:
            return [(change, forced) for _, change, forced in rows]
        return [(change, tuple(sorted((dict(self.beside) | dict(forced)).items()))) for _, change, forced in rows]

    def is_at(self, name: str, state: str) -> bool:
        """Whether a variable is in a state here."""
        beside, p = dict(self.beside), self.base.p
        if name in beside:
            return beside[name] == state
        place = p.variable[name]
        return int(self.base.values[place]) == p.states[place].get(state, -1)

    @property
    def at_once(self) -> int:
        """How many rows are looked at together."""
        return max(1, _VOLTS_AT_ONCE // max(1, len(self.q.a) + len(self.q.place)))

    def look_at_plain(self, rows: Sequence[Row]) -> set[int]:
        """Answer those that can be answered all at once, and say which the base cannot tell. Their networks are not
        kept: most of them are never asked for again."""
        step, unsure = self.at_once, set[int]()
        for start in range(0, len(rows), step):
            unsure |= self._look_at_plain(rows[start : start + step])
        return unsure

    def _look_at_plain(self, rows: Sequence[Row]) -> set[int]:
        found, count = plain(self.base, [change for _, change, _ in rows]), len(self.q.a)
        current = currents_at(self.base.p, self.base, (), found.ports, self.q.place, found.volts[:, count:])
        some = [rows[k] for k in found.some.tolist()]
        changes = [change for _, change, _ in some]
        self._note(some, self._seen(found.volts[:, :count], current, found.apart[:, :count], changes))
        return {rows[k][0] for k in found.unsure.tolist()}

    def take(self, rows: Sequence[Row], found: Sequence[Entry], volts: FloatArray) -> None:
        """Keep the networks of some rows, and what agents see in them."""
        for (row, _, forced), entry in zip(rows, found, strict=True):
            self._entries[_held(row, forced)] = entry
        self._note(rows, self._answers_of(rows, found, volts))

    def _note(self, rows: Sequence[Row], answers: Sequence[tuple[Answer, float]]) -> None:
        for (row, _, forced), (answer, seconds) in zip(rows, answers, strict=True):
            self._answers[_held(row, forced)] = self._alike.setdefault(answer, answer)
            if answer[1]:
                self._opens_s[_held(row, forced)] = seconds

    def _answers_of(self, rows: Sequence[Row], found: Sequence[Entry], volts: FloatArray) -> list[tuple[Answer, float]]:
        count = len(self.q.a)
        current = currents_at(self.base.p, self.base, found, flat(found), self.q.place, volts[:, count:])
        cut = apart(self.base, found, self.q.a, self.q.b)
        answers = self._seen(volts[:, :count], current, cut, [change for _, change, _ in rows])
        return [one if entry.sure else (NO_ANSWER, 0.0) for entry, one in zip(found, answers, strict=True)]

    def answer_of(self, at: Solution) -> Answer:
        """What agents see in a solution that was worked out otherwise; its elements begin with the sound ones."""
        q = self.q
        volts, current = (at.inner_v[q.a] - at.inner_v[q.b])[np.newaxis, :], at.current_a[q.place][np.newaxis, :]
        cut = (at.island[q.a] != at.island[q.b])[np.newaxis, :]
        return self._seen(volts, current, cut, [Change((), {})])[0][0]

    def _seen(
        self, volts: FloatArray, current: FloatArray, cut: BoolArray, changes: Sequence[Change]
    ) -> list[tuple[Answer, float]]:
        here = seen(self.q, volts, current, cut)
        over, trusted = np.asarray(here.over.any(axis=1)).tolist(), here.trusted.tolist()
        found: list[tuple[Answer, float]] = []
        for line, (change, answer) in enumerate(zip(changes, here.answers, strict=True)):
            name, seconds = "", 0.0
            if over[line] or change.ratings:
                name, seconds = self._opens(current[line], change)
            sure = trusted[line] and name != "?"
            found.append(((answer, name), seconds) if sure else (NO_ANSWER, 0.0))
        return found

    def _opens(self, current: FloatArray, change: Change) -> tuple[str, float]:
        """The fuse that opens first, and in which time: the middle of its range; "" where all hold, "?" where that is
        not sure."""
        q = self.q
        for k in np.flatnonzero(q.overload).tolist():
            rated_a = change.ratings.get(q.current_owner[k])
            if rated_a is not None and abs(current[k]) > HOLDS_TO * rated_a * (1.0 - _MARGIN):
                return "?", 0.0
        whole = np.zeros(len(self.base.p.a))
        whole[q.place] = current
        over = self.ready.agents.overloads
        none = np.zeros(0)
        left = overloaded(over, Solution(none, np.zeros(0, dtype=np.intp), none, whole, 0.0, 0))
        left = [one for one in left if one.agent.variable not in change.ratings]
        if not left:
            return ("" if change.ratings else "?"), 0.0
        first = left[0]
        sure = first.opens and abs(first.current_a - OPENS_FROM * first.agent.rated_a) > _MARGIN * first.current_a
        alone = len(left) == 1 or left[1].t_min_s > (1.0 + _MARGIN) * first.t_min_s
        if not (sure and alone and isinstance(first.agent, FuseAgent)):
            return "?", 0.0
        return first.agent.variable, math.sqrt(first.t_min_s * max(first.t_max_s, first.t_min_s))


def _held(row: int, forced: Forced) -> Held:
    return (row, forced) if forced else row


def look_together(asked: Sequence[tuple[Stop, Sequence[Row]]], kept: bool = False) -> None:
    """Look at rows in several states; what is told from the same solution is worked out side by side. Networks that
    are asked for next are `kept`."""
    of_base: dict[int, list[tuple[Stop, Row, bool]]] = {}
    for stop, rows in asked:
        new, unsure = stop.new(rows, kept), set[int]()
        if len(new) >= _MANY and not stop.beside and not kept:
            unsure = stop.look_at_plain([one for one in new if not one[2]])
            new = stop.new(new)
        if new:
            of_base.setdefault(id(stop.base), []).extend((stop, one, one[0] in unsure and not one[2]) for one in new)
    for some in of_base.values():
        step = some[0][0].at_once
        for start in range(0, len(some), step):
            _look_at(some[start : start + step])


def _look_at(some: Sequence[tuple[Stop, Row, bool]]) -> None:
    """Look at rows in states that are told from one solution, or are known not to be."""
    unsure = {k for k, (_, _, is_unsure) in enumerate(some) if is_unsure}
    found, volts = entries(some[0][0].base, [stop.asked([row])[0] for stop, row, _ in some], True, unsure=unsure)
    start = 0
    for stop, rows in groupby(some, key=lambda one: one[0]):
        own = [row for _, row, _ in rows]
        here = slice(start, start + len(own))
        stop.take(own, found[here], volts[here])
        start = here.stop


def metered(asked: Sequence[tuple[Stop, Sequence[Row]]], meter: Port) -> list[list[tuple[Entry, Answer]]]:
    """For each state, all told from one solution, the networks of some rows with a meter on, whose ends all of them
    tie, and what agents see then."""
    changes = [one for stop, rows in asked for one in stop.asked(rows)]
    found, volts = entries(asked[0][0].base, changes, True, [meter])
    seen: list[list[tuple[Entry, Answer]]] = []
    start = 0
    for stop, rows in asked:
        here = slice(start, start + len(rows))
        seen.append(list(zip(found[here], stop.seen_in(rows, found[here], volts[here]), strict=True)))
        start = here.stop
    return seen
