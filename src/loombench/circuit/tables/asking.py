"""The solutions of a row as settling asks for them, one after the other, told by tables and noted."""

from collections.abc import Callable, Sequence
from dataclasses import replace
from types import MappingProxyType

import numpy as np

from loombench.circuit.elimination import IntArray
from loombench.circuit.loops import FloatArray
from loombench.circuit.newton import NoSolution, Solution
from loombench.circuit.ready import Ready
from loombench.circuit.tables.change import Change
from loombench.circuit.tables.history import Step
from loombench.circuit.tables.states import Passed, Wanted
from loombench.circuit.tables.stop import NO_ANSWER

_NO_CURRENTS = np.zeros(0)
Solver = Callable[[IntArray, FloatArray | None], Solution | NoSolution]
"""From the values of the variables, and volts across the elements as a guess."""


class Asking:
    """What a row asks for, got by `ask`, or by itself by `alone` where tables are not sure. `before` are the first
    solves of another row under which agents see the same: they do the same by them."""

    def __init__(
        self, row: int, change: Change, ask: Callable[[Wanted], Passed], alone: Solver, before: Sequence[Passed] = ()
    ) -> None:
        self._row, self._change, self._ask, self._alone = row, change, ask, alone
        self._before = () if change.held else before
        self.passed: list[Passed] = []
        self.steps: list[Step | None] = []
        """What agents saw in each; None where that is nothing for tables."""
        self.solved: list[FloatArray] = []
        """[elements] the currents of each."""

    def __call__(self, values: IntArray, guess: FloatArray | None) -> Solution | NoSolution:
        count = len(self.steps)
        ahead = count < len(self._before)
        there = self._before[count] if ahead else self._ask(Wanted(values.copy(), guess, self._row, self._change))
        stop, at, answer = there
        if self._row == 0:
            # Nearly all that go a way of their own leave this one; the others' would be too much to keep.
            self.passed.append(there)
        step = None if stop is None or isinstance(at, NoSolution) else Step(stop, answer)
        if self._row != 0 and isinstance(at, NoSolution):
            at = self._alone(values, guess)
        elif self._row != 0 and answer == NO_ANSWER:
            # What is seen in it is too near to something else for others to go by.
            step = None
        self.steps.append(step)
        self.solved.append(_NO_CURRENTS if isinstance(at, NoSolution) else at.current_a)
        return at


def holding(ready: Ready, change: Change) -> Ready:
    """A vehicle with what a change holds."""
    if not change.held:
        return ready
    netlist = ready.p.netlist
    frozen = MappingProxyType({**netlist.frozen, **change.held})
    return replace(ready, p=replace(ready.p, netlist=replace(netlist, frozen=frozen)))
