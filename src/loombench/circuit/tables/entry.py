"""What becomes of the network under one row at one solution of the sound network."""

from dataclasses import dataclass

import numpy as np

from loombench.circuit.elimination import IntArray
from loombench.circuit.loops import FloatArray
from loombench.circuit.network import BoolArray
from loombench.circuit.tables.anew import Whole
from loombench.circuit.tables.port import Drawn


@dataclass(frozen=True, eq=False, slots=True)
class Entry:
    """One row's network. `sure` is False where a table has no answer. `drawn` is what its ports draw beyond the sound
    network, None for nothing. `cut` is the bridge whose opening parts an island in two, -1 for none; `island` where
    more than that differs from the sound islands. The nodes `lifted` have `lift_v` more than in the sound network."""

    sure: bool
    drawn: Drawn | None = None
    cut: int = -1
    island: IntArray | None = None
    lifted: BoolArray | None = None
    lift_v: float = 0.0
    whole: Whole | None = None
    """All of it, where the network had to be factored anew."""

    def drawing(self, drawn: Drawn) -> "Entry":
        """The same with what is drawn."""
        return Entry(self.sure, drawn, self.cut, self.island, self.lifted, self.lift_v, self.whole)

    def lift(self, a: IntArray, b: IntArray) -> FloatArray:
        """[pairs] what lifting adds to the volts from `a` to `b`."""
        if self.lifted is None:
            return np.zeros(len(a))
        result: FloatArray = self.lift_v * (self.lifted[a].astype(float) - self.lifted[b].astype(float))
        return result


NONE, SAME = Entry(False), Entry(True)
