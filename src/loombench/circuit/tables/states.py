"""The states that a vehicle's rows come through, and the solutions of rows in them.

A state that differs from one of the sound vehicle's by a few elements that switch is told from that one's solution; any
other is solved for itself. Which way does not show in what comes out.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from loombench.circuit.elimination import IntArray
from loombench.circuit.loops import FloatArray
from loombench.circuit.newton import NoSolution, Solution, solve_network
from loombench.circuit.ready import Ready
from loombench.circuit.tables.base import NOTHING, Base, Watched
from loombench.circuit.tables.begun import Begun
from loombench.circuit.tables.change import Change
from loombench.circuit.tables.history import Trail
from loombench.circuit.tables.signature import questions
from loombench.circuit.tables.stop import NO_ANSWER, Answer, Stop, look_together

MOST_SWITCHED = 8
"""Elements that conduct in one state and not in another, beyond which the other is solved for itself."""
Passed = tuple[Stop | None, Solution | NoSolution, Answer]
"""The state a row comes through, its solution there and what agents see in it."""


@dataclass(frozen=True, eq=False)
class Wanted:
    """A solution that is asked for: of a row with the variables at `values`, from volts across the elements."""

    values: IntArray
    guess: FloatArray | None
    row: int
    change: Change


class States:
    """The states of a sound network that have been asked for."""

    def __init__(self, sound: Ready) -> None:
        self.sound, self.questions = sound, questions(sound.p)
        q, p = self.questions, sound.p
        self._watched = NOTHING
        if q is not None:
            self._watched = Watched(np.concatenate((q.a, p.a[q.place])), np.concatenate((q.b, p.b[q.place])))
        self._stops: dict[bytes, Stop | None] = {}
        self._own: dict[int, Base] = {}
        self._islands: dict[bytes, IntArray] = {}
        self._begun = Begun()

    def through(self, trail: Trail) -> None:
        """Tell others from the states that the sound vehicle goes through."""
        self._own.update({id(step.stop.base): step.stop.base for step in trail.steps})

    def tidy(self, kept: Iterable[Stop]) -> None:
        """Drop what can be worked out again of all states, of some only what takes most room."""
        known = {id(stop) for stop in kept}
        for stop in self._stops.values():
            if stop is not None and id(stop) in known:
                stop.lighten()
            elif stop is not None:
                stop.forget()

    def only(self, kept: Iterable[Stop]) -> None:
        """Let go of all states but some."""
        known = {id(stop): stop for stop in kept}
        bases = {id(stop.base) for stop in known.values()}
        self._stops = {key: stop for key, stop in self._stops.items() if stop is None or id(stop) in known}
        self._own = {key: base for key, base in self._own.items() if key in bases}

    def solved(self, wanted: Sequence[Wanted]) -> list[Passed]:
        """Solutions of some rows, and the states that they are solutions in."""
        near: dict[bytes, Stop] = {}
        stops: list[Stop | None] = []
        for one in wanted:
            key = _key(one.values)
            if one.row != 0 and key not in self._stops and key not in near:
                beside = self._beside(one.values)
                if beside is not None:
                    near[key] = beside
            stops.append(near.get(key) or self._stop(one.values, one.guess, one.row == 0))
        pairs = zip(stops, wanted, strict=True)
        look_together([(stop, [(one.row, one.change, ())]) for stop, one in pairs if stop is not None], kept=True)
        return [self._solution(stop, one) for stop, one in zip(stops, wanted, strict=True)]

    def _solution(self, stop: Stop | None, wanted: Wanted) -> Passed:
        p, key = self.sound.p, _key(wanted.values)
        at = stop.solution(wanted.row, wanted.change) if stop is not None else None
        if stop is not None and at is not None and not (isinstance(at, NoSolution) and stop.beside):
            return self._stops.setdefault(key, stop) or stop, at, _seen(stop, wanted, at)
        # What is not sure beside another state may be in a solution of its own.
        own = self._stop(wanted.values, wanted.guess, own=True)
        if own is not None:
            at = own.solution(wanted.row, wanted.change)
            return own, at, _seen(own, wanted, at)
        # Where the sound network is no case for tables nothing is known of another row.
        closed = p.closed(wanted.values)
        at = solve_network(p, closed, wanted.guess) if wanted.row == 0 else NoSolution("not-settled", ())
        return None, at, NO_ANSWER

    def _beside(self, values: IntArray) -> Stop | None:
        """A state told by what switches between it and the nearest that the sound vehicle goes through; None where that
        is too much."""
        p, q, bases = self.sound.p, self.questions, list(self._own.values())
        if q is None or not bases:
            return None
        closed = p.closed(values)
        switched = (np.stack([one.closed for one in bases]) != closed).sum(axis=1)
        nearest = int(switched.argmin())
        if switched[nearest] > MOST_SWITCHED:
            return None
        base = bases[nearest]
        places = np.flatnonzero(values != base.values).tolist()
        variables = p.netlist.variables
        beside = tuple(sorted((variables[k].name, variables[k].states[values[k]]) for k in places))
        return Stop(self.sound, q, base, beside, shares=True)

    def _stop(self, values: IntArray, guess: FloatArray | None, own: bool = False) -> Stop | None:
        """A state, told in whichever way it is known; where it has to be its `own`, by a solution of its own."""
        key = _key(values)
        if self.questions is None:
            return None
        known = self._stops.get(key)
        if key not in self._stops or (own and known is not None and known.beside):
            p = self.sound.p
            closed = p.closed(values)
            at = solve_network(p, closed, guess)
            base = None
            if not isinstance(at, NoSolution):
                # Most states have islands of which there are a few.
                island = self._islands.setdefault(at.island.tobytes(), at.island)
                base = Base(p, values, closed, replace(at, island=island), self._watched, self._begun)
            usable = base is not None and base.can_be_asked
            self._stops[key] = Stop(self.sound, self.questions, base) if usable and base is not None else None
        return self._stops[key]


def _seen(stop: Stop, wanted: Wanted, at: Solution | NoSolution) -> Answer:
    if isinstance(at, NoSolution):
        return NO_ANSWER
    return stop.answer_of(at) if wanted.row == 0 else stop.answer(wanted.row)


def _key(values: IntArray) -> bytes:
    """What stands for a state; no variable has as many states as would not go into so few bytes."""
    return values.astype(np.int16).tobytes()
