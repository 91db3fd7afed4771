"""Small dense systems, one after the other."""

import math

import numpy as np

from loombench.circuit.bare.arrays import BoolArray, FloatArray, IntArray
from loombench.circuit.bare.laws import limited_of, tangent_of

INPUT = -2
"""The law of a port that is a converter's input."""


def inverted(matrix: FloatArray, inverse: FloatArray) -> float:
    """Fill in the inverse of a matrix, which is used up, and return the sign of its determinant; 0 for no inverse.

    Method: Gauss-Jordan elimination, the greatest left of each column as the pivot.
    """
    count = matrix.shape[0]
    sign = 1.0
    inverse[:] = 0.0
    for k in range(count):
        inverse[k, k] = 1.0
    for k in range(count):
        pivot = k
        for i in range(k + 1, count):
            if abs(matrix[i, k]) > abs(matrix[pivot, k]):
                pivot = i
        if not abs(matrix[pivot, k]) > 0.0:
            return 0.0
        if pivot != k:
            sign = -sign
            for j in range(count):
                matrix[k, j], matrix[pivot, j] = matrix[pivot, j], matrix[k, j]
                inverse[k, j], inverse[pivot, j] = inverse[pivot, j], inverse[k, j]
        head = matrix[k, k]
        sign = sign if head > 0.0 else -sign
        for j in range(count):
            matrix[k, j] /= head
            inverse[k, j] /= head
        for i in range(count):
            part = matrix[i, k]
            if i != k and part != 0.0:
                for j in range(count):
                    matrix[i, j] -= part * matrix[k, j]
                    inverse[i, j] -= part * inverse[k, j]
    return sign


def taken_loop(
    law_of: IntArray, fed: FloatArray, u: FloatArray, current: FloatArray, rise: FloatArray, rises: FloatArray
) -> None:
    """What converters' inputs draw, by `tables.small`: `rises` [ports, ports] is how it rises with the volts of the
    supplies that they feed."""
    count = len(law_of)
    rises[:] = 0.0
    for j in range(count):
        if law_of[j] != INPUT:
            continue
        power = 0.0
        for i in range(count):
            power += fed[j, i] * (-current[i] * u[i])
        current[j] = 0.0
        if power > 0.0:
            current[j] = power / u[j]
            for i in range(count):
                rises[j, i] = fed[j, i] / u[j] * (-current[i] - u[i] * rise[i])
        rise[j] = -current[j] / u[j]


def small_one(
    laws: FloatArray,
    response: FloatArray,
    given: FloatArray,
    law_of: IntArray,
    feeding: bool,
    fed: FloatArray,
    from_v: FloatArray,
    near_v: float,
    steps: int,
    found: FloatArray,
) -> tuple[float, bool]:
    """One system of `small_loop`: its gain, and whether it has settled. Without an input that feeds, `fed` and `from_v`
    are not looked at."""
    count = len(law_of)
    matrix, inverse, rises = np.empty((count, count)), np.empty((count, count)), np.empty((count, count))
    rise, volts_rise, extra, residual = np.empty(count), np.empty(count), np.empty(count), np.empty(count)
    u, current = found[0], found[2]
    sign, there = 0.0, False
    for _ in range(steps):
        for j in range(count):
            if law_of[j] >= 0:
                current[j], rise[j] = tangent_of(laws[law_of[j]], u[j])
            else:
                rise[j] = given[3, j]
                current[j] = rise[j] * u[j] + given[4, j]
        if feeding:
            taken_loop(law_of, fed, u, current, rise, rises)
        for j in range(count):
            across = u[j] + given[5, j] * current[j]
            volts_rise[j] = 1.0 + given[5, j] * rise[j]
            extra[j] = current[j] - (given[1, j] * across + given[2, j])
            residual[j] = across - given[0, j]
        for i in range(count):
            for j in range(count):
                residual[i] += response[i, j] * extra[j]
                matrix[i, j] = response[i, j] * (rise[j] - given[1, j] * volts_rise[j])
            matrix[i, i] += volts_rise[i]
        if feeding:
            for i in range(count):
                for k in range(count):
                    if response[i, k] != 0.0 and law_of[k] == INPUT:
                        for j in range(count):
                            matrix[i, j] += response[i, k] * rises[k, j]
        sign = inverted(matrix, inverse)
        if sign == 0.0:
            break
        there = True
        for i in range(count):
            way = 0.0
            for j in range(count):
                way += inverse[i, j] * residual[j]
            after = u[i] - way
            there = there and abs(way) <= near_v * (1.0 + abs(after))
            found[1, i] = after
        if there:
            break
        for j in range(count):
            after = found[1, j]
            u[j] = limited_of(laws[law_of[j]], u[j], current[j], rise[j], after) if law_of[j] >= 0 else after
    worst = 0.0
    for i in range(count):
        found[1, i] = extra[i]
        whole = 0.0
        for j in range(count):
            whole += abs(inverse[i, j])
        worst = max(worst, whole)
        if feeding and law_of[i] == INPUT:
            # Beyond the fold is the other branch, at low volts, which no network comes to from the high side.
            there = there and u[i] > from_v[i]
    if feeding:
        there = there and sign > 0.0
    return worst, there and math.isfinite(worst)


def small_loop(
    laws: FloatArray,
    response: FloatArray,
    given: FloatArray,
    law_of: IntArray,
    fed: FloatArray,
    from_v: FloatArray,
    near_v: float,
    steps: int,
    found: FloatArray,
    gain: FloatArray,
    settled: BoolArray,
) -> None:
    """`tables.small.newton`, system by system. `given` [systems, 6, ports] are `open_v`, `slope_s`, `source_a`,
    `conductance_s`, `constant_a` and `series_ohm`; `fed` and `from_v` are empty where no port is an input. `found`
    [systems, 3, ports] has the guess in its first part, and gets `u`, `extra_a` and `current_a`."""
    feeding = fed.shape[0] > 0
    for r in range(len(gain)):
        own_fed, own_from_v = (fed[r], from_v[r]) if feeding else (response[r], given[r, 0])
        gain[r], settled[r] = small_one(
            laws, response[r], given[r], law_of[r], feeding, own_fed, own_from_v, near_v, steps, found[r]
        )
