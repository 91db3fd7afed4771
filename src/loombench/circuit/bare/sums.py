"""Star-mesh elimination column by column, by `loops.Loops`, and islands."""

import numpy as np

from loombench.circuit.bare.arrays import BoolArray, FloatArray, IntArray


def factor_loop(
    column_start: IntArray,
    pull_start: IntArray,
    pull_share: IntArray,
    pull_mesh: IntArray,
    conductance: FloatArray,
    share: FloatArray,
    total: FloatArray,
) -> None:
    for k in range(len(total)):
        total_k = 0.0
        for slot in range(column_start[k], column_start[k + 1]):
            pulled = 0.0
            for p in range(pull_start[slot], pull_start[slot + 1]):
                pulled += share[pull_share[p]] * conductance[pull_mesh[p]]
            conductance[slot] += pulled
            total_k += conductance[slot]
        total[k] = total_k
        for slot in range(column_start[k], column_start[k + 1]):
            share[slot] = conductance[slot] / total_k if total_k > 0.0 else 0.0


def forward_loop(
    entry_start: IntArray, entry_slot: IntArray, column: IntArray, share: FloatArray, current: FloatArray
) -> None:
    for k in range(len(current)):
        passed = 0.0
        for e in range(entry_start[k], entry_start[k + 1]):
            passed += share[entry_slot[e]] * current[column[entry_slot[e]]]
        current[k] += passed


def forward_many_loop(
    entry_start: IntArray, entry_slot: IntArray, column: IntArray, share: FloatArray, current: FloatArray
) -> None:
    width = current.shape[1]
    passed = np.empty(width)
    for k in range(len(current)):
        passed[:] = 0.0
        for e in range(entry_start[k], entry_start[k + 1]):
            slot = entry_slot[e]
            for j in range(width):
                passed[j] += share[slot] * current[column[slot], j]
        for j in range(width):
            current[k, j] += passed[j]


def backward_loop(
    column_start: IntArray, row: IntArray, share: FloatArray, total: FloatArray, current: FloatArray, volts: FloatArray
) -> None:
    for k in range(len(total) - 1, -1, -1):
        passed = 0.0
        for slot in range(column_start[k], column_start[k + 1]):
            passed += share[slot] * volts[row[slot]]
        volts[k] = (current[k] / total[k] if total[k] > 0.0 else 0.0) + passed


def backward_many_loop(
    column_start: IntArray, row: IntArray, share: FloatArray, total: FloatArray, current: FloatArray, volts: FloatArray
) -> None:
    width = current.shape[1]
    passed = np.empty(width)
    for k in range(len(total) - 1, -1, -1):
        passed[:] = 0.0
        for slot in range(column_start[k], column_start[k + 1]):
            for j in range(width):
                passed[j] += share[slot] * volts[row[slot], j]
        for j in range(width):
            volts[k, j] = (current[k, j] / total[k] if total[k] > 0.0 else 0.0) + passed[j]


def islands_loop(edges: IntArray, closed: BoolArray, label: IntArray) -> None:
    """Hook each root below a smaller one; in the end each node has the smallest of its island."""
    for k in range(len(closed)):
        if not closed[k]:
            continue
        a, b = edges[k, 0], edges[k, 1]
        while label[a] != a:
            label[a] = label[label[a]]
            a = label[a]
        while label[b] != b:
            label[b] = label[label[b]]
            b = label[b]
        if a < b:
            label[b] = a
        elif b < a:
            label[a] = b
    for n in range(len(label)):
        label[n] = label[label[n]]


def columns_loop(
    column_start: IntArray,
    column: IntArray,
    row: IntArray,
    entry_start: IntArray,
    entry_slot: IntArray,
    share: FloatArray,
    total: FloatArray,
    ends: IntArray,
    wanted: IntArray,
    current: FloatArray,
    volts: FloatArray,
    found: FloatArray,
) -> None:
    """By `forward` and `backward`, to the same bits: `found` [pairs, wanted] volts at some positions for one ampere in
    at the first and out at the second of `ends` [pairs, 2] (positions). `current` [nodes, pairs] and `volts`
    [nodes + 1, pairs] are room. What no ampere comes through, and what nothing wanted hangs on, is passed over."""
    width = len(ends)
    fed, asked = np.zeros(len(total), dtype=np.bool_), np.zeros(len(total) + 1, dtype=np.bool_)
    for j in range(width):
        fed[ends[j, 0]] = True
        fed[ends[j, 1]] = True
    for k in wanted:
        asked[k] = True
    for k in range(len(total)):
        for slot in range(column_start[k], column_start[k + 1]):
            if fed[k] and row[slot] < len(total):
                fed[row[slot]] = True
            if asked[k]:
                asked[row[slot]] = True
        if fed[k]:
            current[k] = 0.0
    for j in range(width):
        current[ends[j, 0], j] += 1.0
        current[ends[j, 1], j] -= 1.0
    passed = np.empty(width)
    for k in range(len(total)):
        if fed[k]:
            passed[:] = 0.0
            for e in range(entry_start[k], entry_start[k + 1]):
                slot = entry_slot[e]
                if fed[column[slot]]:
                    for j in range(width):
                        passed[j] += share[slot] * current[column[slot], j]
            for j in range(width):
                current[k, j] += passed[j]
    volts[len(total)] = 0.0
    for k in range(len(total) - 1, -1, -1):
        if asked[k]:
            passed[:] = 0.0
            for slot in range(column_start[k], column_start[k + 1]):
                for j in range(width):
                    passed[j] += share[slot] * volts[row[slot], j]
            for j in range(width):
                volts[k, j] = (current[k, j] / total[k] if fed[k] and total[k] > 0.0 else 0.0) + passed[j]
    for j in range(width):
        for m in range(len(wanted)):
            found[j, m] = volts[wanted[m], j]
