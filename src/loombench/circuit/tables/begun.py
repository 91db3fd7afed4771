"""Where the bent elements of networks factored anew stood the last time: a row that is looked at in the next state, or
a like one of another resistance, begins there."""

from loombench.circuit.elimination import IntArray
from loombench.circuit.loops import FloatArray

KEPT = 512
Key = tuple[tuple[int, int, int], ...]
"""Of each port the place and the ends."""


class Begun:
    """The volts across the bent elements, by what was changed; those noted last are kept."""

    def __init__(self) -> None:
        self._volts: dict[Key, FloatArray] = {}

    def guess(self, key: Key, across_v: FloatArray, index: IntArray) -> FloatArray:
        """[elements] volts to begin from: `across_v` where nothing is known of the elements at `index`."""
        known = self._volts.get(key)
        if known is None:
            return across_v
        begun = across_v.copy()
        begun[index] = known
        return begun

    def note(self, key: Key, volts: FloatArray) -> None:
        """Keep [index] the volts that were found."""
        self._volts.pop(key, None)
        self._volts[key] = volts
        if len(self._volts) > KEPT:
            del self._volts[next(iter(self._volts))]
