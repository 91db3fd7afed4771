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
    """`tables.small.newton`, system by system. `given` [6, systems, ports] are `open_v`, `slope_s`, `source_a`,
    `conductance_s`, `constant_a` and `series_ohm`; `fed` and `from_v` are empty where no port is an input. `found`
    [3, systems, ports] has the guess in its first part, and gets `u`, `extra_a` and `current_a`."""
    rows, count = law_of.shape
    feeding = fed.shape[0] > 0
    matrix, inverse = np.empty((count, count)), np.empty((count, count))
    rise, volts_rise, extra, residual = np.empty(count), np.empty(count), np.empty(count), np.empty(count)
    rises = np.empty((count, count))
    for r in range(rows):
        u, current = found[0, r], found[2, r]
        sign, there = 0.0, False
        for _ in range(steps):
            for j in range(count):
                if law_of[r, j] >= 0:
                    current[j], rise[j] = tangent_of(laws[law_of[r, j]], u[j])
                else:
                    rise[j] = given[3, r, j]
                    current[j] = rise[j] * u[j] + given[4, r, j]
            if feeding:
                taken_loop(law_of[r], fed[r], u, current, rise, rises)
            for j in range(count):
                across = u[j] + given[5, r, j] * current[j]
                volts_rise[j] = 1.0 + given[5, r, j] * rise[j]
                extra[j] = current[j] - (given[1, r, j] * across + given[2, r, j])
                residual[j] = across - given[0, r, j]
            for i in range(count):
                for j in range(count):
                    residual[i] += response[r, i, j] * extra[j]
                    matrix[i, j] = response[r, i, j] * (rise[j] - given[1, r, j] * volts_rise[j])
                matrix[i, i] += volts_rise[i]
            if feeding:
                for i in range(count):
                    for k in range(count):
                        if response[r, i, k] != 0.0 and law_of[r, k] == INPUT:
                            for j in range(count):
                                matrix[i, j] += response[r, i, k] * rises[k, j]
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
                found[1, r, i] = after
            if there:
                break
            for j in range(count):
                after = found[1, r, j]
                u[j] = limited_of(laws[law_of[r, j]], u[j], current[j], rise[j], after) if law_of[r, j] >= 0 else after
        worst = 0.0
        for i in range(count):
            found[1, r, i] = extra[i]
            whole = 0.0
            for j in range(count):
                whole += abs(inverse[i, j])
            worst = max(worst, whole)
            if feeding and law_of[r, i] == INPUT:
                # Beyond the fold is the other branch, at low volts, which no network comes to from the high side.
                there = there and u[i] > from_v[r, i]
        if feeding:
            there = there and sign > 0.0
        gain[r] = worst
        settled[r] = there and math.isfinite(worst)
