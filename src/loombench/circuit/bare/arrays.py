"""What loops are given: arrays that belong together, none of which may be written to."""

from typing import NamedTuple, TypeVar

import numpy as np
import numpy.typing as npt

IntArray = npt.NDArray[np.intp]
FloatArray = npt.NDArray[np.float64]
BoolArray = npt.NDArray[np.bool_]
T = TypeVar("T", bound=np.generic)


class PlanArrays(NamedTuple):
    """By `elimination.Plan`."""

    order: IntArray
    position: IntArray
    column_start: IntArray
    column: IntArray
    row: IntArray
    given_slot: IntArray
    pull_start: IntArray
    pull_share: IntArray
    pull_mesh: IntArray
    entry_start: IntArray
    entry_slot: IntArray


class CoreArrays(NamedTuple):
    """By `core.Core`; `leaks` are those of its slots that are not `between`."""

    a: IntArray
    b: IntArray
    between: IntArray
    leaks: IntArray
    pull_to: IntArray
    pull_share: IntArray
    pull_mesh: IntArray
    entry_to: IntArray
    entry_slot: IntArray
    entry_column: IntArray


def fixed(array: npt.NDArray[T]) -> npt.NDArray[T]:
    """The same array, not to be written to."""
    found = np.ascontiguousarray(array).view()
    found.setflags(write=False)
    return found
