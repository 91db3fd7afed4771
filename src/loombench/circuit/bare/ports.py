"""What is solved on its ports beside the star-mesh: the converters' inputs, and a meter."""

import numpy as np

from loombench.circuit.bare.arrays import FloatArray, IntArray
from loombench.circuit.bare.small import inverted


def ports_loop(
    feeds: IntArray,
    draws: FloatArray,
    core_a: IntArray,
    core_b: IntArray,
    probe: FloatArray,
    x: FloatArray,
    device: FloatArray,
    wide: FloatArray,
    shown: FloatArray,
    at: FloatArray,
) -> int:
    """By `ports.Ports.answer`, from the volts of the core without ports and under an ampere through each, `wide`
    [1 + ports, nodes of the core], and what ports are shown, `shown` [ports, 1 + ports] open and by an ampere through
    each. Inputs feed the supplies that are devices `feeds` [inputs] (-1: none); `draws` [inputs, 2] are their
    efficiency and the volts below which they draw nothing. Devices between nodes `core_a` and `core_b` stand at `x`
    with `device` [3, devices] current, slope and more.

    `at` [3, ports] are the volts that ports are linearised at, and gets the volts they answer with and their currents.
    Returns the input that cannot be given what it asks for, -1 for none.
    """
    count, inputs = at.shape[1], len(feeds)
    current, slope, right = np.zeros(count), np.zeros(count), np.zeros(count)
    matrix, inverse = np.zeros((count, count)), np.empty((count, count))
    for k in range(count):
        matrix[k, k] = 1.0
    for k in range(inputs):
        volts, f = at[0, k], feeds[k]
        if volts <= draws[k, 1] or f < 0:
            continue
        power, rise = -device[0, f] * x[f], -device[0, f] - x[f] * device[1, f]
        if power < 0.0:
            continue
        if power == 0.0:
            rise = max(rise, 0.0)
        current[k] = power / (draws[k, 0] * volts)
        slope[k] = -current[k] / volts
        part = rise / (draws[k, 0] * volts)
        for j in range(count):
            matrix[k, j] += part * (wide[1 + j, core_a[f]] - wide[1 + j, core_b[f]])
        right[k] += part * (wide[0, core_a[f]] - wide[0, core_b[f]] - x[f])
    if count > inputs:
        ohm, emf_v, threshold_v = probe[0], probe[1], probe[2]
        beyond = at[0, inputs] - emf_v
        if not (abs(beyond) <= threshold_v and threshold_v > 0.0):
            current[inputs] = (beyond - (threshold_v if beyond > 0.0 else -threshold_v)) / ohm
            slope[inputs] = 1.0 / ohm
    for k in range(count):
        for j in range(count):
            matrix[k, j] += slope[k] * shown[k, 1 + j]
        right[k] += current[k] + slope[k] * (shown[k, 0] - at[0, k])
    collapsed = -1
    if inputs:
        block = matrix[:inputs, :inputs].copy()
        if not inverted(block, np.empty((inputs, inputs))) > 0.0:
            collapsed = 0
            for k in range(count):
                slope[k] = -slope[k] if k < inputs else slope[k]
                for j in range(count):
                    matrix[k, j] = slope[k] * shown[k, 1 + j] + (1.0 if j == k else 0.0)
                right[k] = current[k] + slope[k] * (shown[k, 0] - at[0, k])
    inverted(matrix, inverse)
    for k in range(count):
        taken = 0.0
        for j in range(count):
            taken += inverse[k, j] * right[j]
        at[2, k] = taken
    for k in range(count):
        volts = shown[k, 0]
        for j in range(count):
            volts -= shown[k, 1 + j] * at[2, j]
        at[1, k] = volts
    if count > inputs and slope[inputs] > 0.0:
        at[1, inputs] = at[0, inputs] + (at[2, inputs] - current[inputs]) / slope[inputs]
    for k in range(inputs):
        if at[0, k] > draws[k, 1] and draws[k, 1] >= at[1, k]:
            collapsed = k
    if collapsed >= 0:
        for k in range(inputs):
            at[1, k] = shown[k, 0]
    return collapsed
