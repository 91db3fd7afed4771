"""Small dense systems, one after the other."""

import math

import numpy as np

from loombench.circuit.bare.arrays import FloatArray, IntArray
from loombench.circuit.bare.laws import limited_of, tangent_of

INPUT = -2
"""The law of a port that is a converter's input."""
AGREES = 4.0
"""Port and network agree where they differ by so many times what roundings leave unsure: Newton gets no nearer."""
QUICK = 4
"""Steps in which what is not noisy gets there, mostly: only then it is asked how noisy a system is."""
PATIENT = 6
"""Steps after which a system is given up that is still ten times as noisy as any answer may be."""


def pivot_of(matrix: FloatArray, k: int) -> int:
    """The row that has the greatest number left in column k."""
    pivot = k
    for i in range(k + 1, matrix.shape[0]):
        if abs(matrix[i, k]) > abs(matrix[pivot, k]):
            pivot = i
    return pivot


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
        pivot = pivot_of(matrix, k)
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


def solved(matrix: FloatArray, way: FloatArray) -> bool:
    """Solve a system in place; both are used up. False where there is no solution.

    Method: Gaussian elimination, the greatest left of each column as the pivot.
    """
    count = matrix.shape[0]
    for k in range(count):
        pivot = pivot_of(matrix, k)
        if not abs(matrix[pivot, k]) > 0.0:
            return False
        if pivot != k:
            for j in range(k, count):
                matrix[k, j], matrix[pivot, j] = matrix[pivot, j], matrix[k, j]
            way[k], way[pivot] = way[pivot], way[k]
        for i in range(k + 1, count):
            if matrix[i, k] != 0.0:
                part = matrix[i, k] / matrix[k, k]
                for j in range(k + 1, count):
                    matrix[i, j] -= part * matrix[k, j]
                way[i] -= part * way[k]
    for k in range(count - 1, -1, -1):
        for j in range(k + 1, count):
            way[k] -= matrix[k, j] * way[j]
        way[k] /= matrix[k, k]
    return True


def noise_of(inverse: FloatArray, size: FloatArray, rounding: float, noise: FloatArray) -> float:
    """How far roundings of numbers of some `size` [ports] may move each answer: `noise` [ports], and the greatest."""
    worst = 0.0
    for i in range(len(size)):
        noise[i] = 0.0
        for j in range(len(size)):
            noise[i] += abs(inverse[i, j]) * size[j] * rounding
        worst = max(worst, noise[i])
    return worst


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


def residual_loop(
    response: FloatArray,
    given: FloatArray,
    u: FloatArray,
    current: FloatArray,
    rise: FloatArray,
    extra: FloatArray,
    volts_rise: FloatArray,
    residual: FloatArray,
    size: FloatArray,
    matrix: FloatArray,
) -> None:
    """What ports draw beyond their sound laws, `extra` [ports], by what port and network differ, `residual` [ports],
    the `size` [ports] of the numbers it is made of, and how it rises with `u`, `matrix` [ports, ports]."""
    count = len(u)
    for j in range(count):
        across = u[j] + given[5, j] * current[j]
        volts_rise[j] = 1.0 + given[5, j] * rise[j]
        extra[j] = current[j] - (given[1, j] * across + given[2, j])
        residual[j], size[j] = across - given[0, j], abs(across) + abs(given[0, j])
    for i in range(count):
        for j in range(count):
            residual[i] += response[i, j] * extra[j]
            size[i] += abs(response[i, j] * extra[j])
            matrix[i, j] = response[i, j] * (rise[j] - given[1, j] * volts_rise[j])
        matrix[i, i] += volts_rise[i]


def small_one(
    laws: FloatArray,
    response: FloatArray,
    given: FloatArray,
    law_of: IntArray,
    feeding: bool,
    fed: FloatArray,
    from_v: FloatArray,
    limits: FloatArray,
    steps: int,
    found: FloatArray,
) -> tuple[float, bool]:
    """`tables.small.newton` for one system: its noise, and whether it has settled. `given` [6, ports] are `open_v`,
    `slope_s`, `source_a`, `conductance_s`, `constant_a` and `series_ohm`; without an input that feeds, `fed` and
    `from_v` are not looked at. `limits` are near_v, rounding, greatest_noise_v. `found` [3, ports] has the guess in its
    first part, and gets `u`, `extra_a` and `current_a`."""
    count = len(law_of)
    near_v, rounding, greatest_v = limits[0], limits[1], limits[2]
    matrix, inverse, rises = np.empty((count, count)), np.empty((count, count)), np.empty((count, count))
    rise, volts_rise, extra, way = np.empty(count), np.empty(count), np.empty(count), np.empty(count)
    size, noise, left = np.empty(count), np.empty(count), np.empty((count, count))
    u, current = found[0], found[2]
    sign, there, worst = 0.0, False, 0.0
    for step in range(steps):
        for j in range(count):
            if law_of[j] >= 0:
                current[j], rise[j] = tangent_of(laws[law_of[j]], u[j])
            else:
                rise[j] = given[3, j]
                current[j] = rise[j] * u[j] + given[4, j]
        if feeding:
            taken_loop(law_of, fed, u, current, rise, rises)
        residual_loop(response, given, u, current, rise, extra, volts_rise, way, size, matrix)
        if feeding:
            for i in range(count):
                for k in range(count):
                    if response[i, k] != 0.0 and law_of[k] == INPUT:
                        for j in range(count):
                            matrix[i, j] += response[i, k] * rises[k, j]
        left[:] = matrix
        meets, rest, floor = True, 0.0, 0.0
        for i in range(count):
            # What port and network differ by shows at every node that the port reaches.
            meets = meets and abs(way[i]) <= near_v * (1.0 + abs(given[0, i])) + AGREES * rounding * size[i]
            rest, floor = max(rest, abs(way[i])), max(floor, rounding * size[i])
        if not solved(left, way):
            there = False
            break
        there = meets
        for i in range(count):
            there = there and abs(way[i]) <= near_v * (1.0 + abs(u[i] - way[i]))
        if there or step >= QUICK:
            # What cannot get nearer for roundings is there too, if that is near enough.
            sign = inverted(matrix, inverse)
            floor = max(floor, noise_of(inverse, size, rounding, noise))
            worst = max(rest, floor)
            there = meets and sign != 0.0
            for i in range(count):
                near = near_v * (1.0 + abs(u[i] - way[i])) + min(noise[i], greatest_v)
                there = there and abs(way[i]) <= near
            if there or sign == 0.0 or (step >= PATIENT and floor > 10.0 * greatest_v):
                break
        for i in range(count):
            found[1, i] = u[i] - way[i]
        for j in range(count):
            after = found[1, j]
            u[j] = limited_of(laws[law_of[j]], u[j], current[j], rise[j], after) if law_of[j] >= 0 else after
    for i in range(count):
        found[1, i] = extra[i]
        if feeding and law_of[i] == INPUT:
            # Beyond the fold is the other branch, at low volts, which no network comes to from the high side.
            there = there and u[i] > from_v[i]
    if feeding:
        there = there and sign > 0.0
    return worst, there and math.isfinite(worst)
