"""Newton on the core of a network, in plain steps: `newton` is the reference, and tells what comes to no answer."""

import numpy as np

from loombench.circuit.bare.arrays import BoolArray, CoreArrays, FloatArray, IntArray, PlanArrays
from loombench.circuit.bare.laws import limited_of, tangent_of
from loombench.circuit.bare.ports import ports_loop
from loombench.circuit.bare.sums import backward_loop, factor_loop


def ahead_loop(column_start: IntArray, row: IntArray, end: int, ahead: BoolArray) -> None:
    """Mark all positions that those marked in `ahead` [nodes + 1] lead to in the first `end` columns: what is fed into
    the ones comes through the others, and the volts of the ones hang on those of the others."""
    for k in range(end):
        if ahead[k]:
            for slot in range(column_start[k], column_start[k + 1]):
                ahead[row[slot]] = True


def some_factor_loop(
    column_start: IntArray,
    pull_start: IntArray,
    pull_share: IntArray,
    pull_mesh: IntArray,
    given: FloatArray,
    conductance: FloatArray,
    share: FloatArray,
    total: FloatArray,
    ahead: BoolArray,
) -> None:
    """By `sums.factor_loop` from what is `given` to each slot, to the same bits where the columns that are not `ahead`
    are as they were."""
    for k in range(len(total)):
        if ahead[k]:
            total[k] = 0.0
            for slot in range(column_start[k], column_start[k + 1]):
                pulled = 0.0
                for p in range(pull_start[slot], pull_start[slot + 1]):
                    pulled += share[pull_share[p]] * conductance[pull_mesh[p]]
                conductance[slot] = given[slot] + pulled
                total[k] += conductance[slot]
            for slot in range(column_start[k], column_start[k + 1]):
                share[slot] = conductance[slot] / total[k] if total[k] > 0.0 else 0.0


def some_forward_loop(
    entry_start: IntArray,
    entry_slot: IntArray,
    column: IntArray,
    share: FloatArray,
    current: FloatArray,
    ahead: BoolArray,
) -> None:
    """By `sums.forward_loop`, for what is `ahead` alone: to the same bits where nothing is fed into the others, or they
    are as they were."""
    for k in range(len(current)):
        if ahead[k]:
            passed = 0.0
            for e in range(entry_start[k], entry_start[k + 1]):
                passed += share[entry_slot[e]] * current[column[entry_slot[e]]]
            current[k] += passed


def some_backward_loop(
    column_start: IntArray,
    row: IntArray,
    share: FloatArray,
    total: FloatArray,
    current: FloatArray,
    asked: BoolArray,
    volts: FloatArray,
) -> None:
    """By `sums.backward_loop`, to the same bits, for what is `asked` [nodes + 1] alone."""
    volts[len(total)] = 0.0
    for k in range(len(total) - 1, -1, -1):
        if asked[k]:
            passed = 0.0
            for slot in range(column_start[k], column_start[k + 1]):
                passed += share[slot] * volts[row[slot]]
            volts[k] = (current[k] / total[k] if total[k] > 0.0 else 0.0) + passed


def passed_loop(
    entry_start: IntArray,
    entry_slot: IntArray,
    column: IntArray,
    core_to: IntArray,
    core_slot: IntArray,
    core_column: IntArray,
    share: FloatArray,
    ahead: BoolArray,
    current: FloatArray,
    brought: FloatArray,
) -> None:
    """By `core.Reduced.passed_on`: `current` [nodes by position] is left with what stays in the rest, and `brought`
    [nodes of the core] gets what comes to the core."""
    first = len(current) - len(brought)
    some_forward_loop(entry_start, entry_slot, column, share, current[:first], ahead)
    brought[:] = 0.0
    for e in range(len(core_to)):
        brought[core_to[e]] += share[core_slot[e]] * current[core_column[e]]
    for k in range(len(brought)):
        brought[k] += current[first + k]


def alone_loop(left: FloatArray, total: FloatArray, alone: FloatArray) -> None:
    """What each port is shown by the rest alone, the core being at 0 V: `alone` [ports, 1 + ports]."""
    for k in range(alone.shape[0]):
        for n in range(len(total)):
            if total[n] > 0.0 and left[1 + k, n] != 0.0:
                for j in range(alone.shape[1]):
                    alone[k, j] += left[1 + k, n] * (left[j, n] / total[n])


def shown_loop(
    alone: FloatArray, brought: FloatArray, position: IntArray, wide: FloatArray, shown: FloatArray
) -> None:  # fmt: skip
    """What each port is shown in all, `shown` [ports, 1 + ports], from `wide` [1 + ports, positions]."""
    shown[:] = alone
    for k in range(shown.shape[0]):
        for n in range(len(position)):
            if brought[1 + k, n] != 0.0:
                for j in range(shown.shape[1]):
                    shown[k, j] += brought[1 + k, n] * wide[j, position[n]]


def linear_loop(
    laws: FloatArray,
    on: BoolArray,
    a: IntArray,
    b: IntArray,
    slots: IntArray,
    x: FloatArray,
    device: FloatArray,
    given: FloatArray,
    fed: FloatArray,
    ahead: BoolArray,
) -> None:
    """Put the elements of the core on their tangents at `x`, which `device` [3, elements] gets: `given` [slots + 1] and
    `fed` [positions] get what they bring. Marks in `ahead` the positions `a` and `b` of those that stood elsewhere."""
    for k in range(len(x)):
        current, rise = tangent_of(laws[k], x[k])
        if on[k]:
            beside, before = current - rise * x[k], device[2, k]
            if rise != device[1, k] or beside != before:
                ahead[a[k]], ahead[b[k]] = True, True
            given[slots[k]] += rise
            fed[b[k]] += beside
            fed[a[k]] -= beside
            device[2, k] = beside
        device[0, k], device[1, k] = current, rise


def newton_loop(  # noqa: PLR0915  (its parts share some thirty arrays)
    whole: PlanArrays,
    core: CoreArrays,
    own: PlanArrays,
    laws: FloatArray,
    index: IntArray,
    closed: BoolArray,
    a: IntArray,
    b: IntArray,
    slope_s: FloatArray,
    source_a: FloatArray,
    island: IntArray,
    reference: int,
    ends: IntArray,
    feeds: IntArray,
    draws: FloatArray,
    probe: FloatArray,
    leak_s: float,
    near_v: float,
    steps: int,
    x: FloatArray,
    device: FloatArray,
    inner_v: FloatArray,
    across_v: FloatArray,
    current_a: FloatArray,
    port_a: FloatArray,
) -> int:
    """`newton` in plain steps, from `x` [laws]: fills in `inner_v` [nodes], `across_v` and `current_a` [elements],
    `port_a` [ports] and `device` [3, laws] (current, slope, what is carried beside it), and returns how many steps it
    took; 0 where it did not get there, and less for an input that collapses, -1 for the first.

    `own` is the core's plan; `index` are the elements that follow `laws`, `closed` [elements] which conduct; of each
    `island` [nodes] its first node is held by `leak_s`, the `reference` in its own; `ends` are the nodes [ports, 2] of
    the inputs and then of a meter that has `probe` ohms, volts and threshold. The rest as in `ports.ports_loop`.
    """
    size, ports, count, edges = len(own.order), len(port_a), len(index), len(core.between)
    nodes = len(whole.order)
    first = nodes - size
    on, holds = np.empty(count, dtype=np.bool_), np.empty(nodes, dtype=np.intp)
    for k in range(count):
        on[k] = closed[index[k]]
    for n in range(nodes):
        holds[n] = reference if island[n] == island[reference] else island[n]
    # The rest, eliminated once.
    given, share, total = np.zeros(len(whole.row) + 1), np.empty(len(whole.row)), np.empty(first)
    for k in range(len(a)):
        if closed[k]:
            given[whole.given_slot[k]] += slope_s[k]
    for n in range(nodes):
        if holds[n] == n:
            given[whole.given_slot[len(a) + n]] += leak_s
    factor_loop(whole.column_start, whole.pull_start, whole.pull_share, whole.pull_mesh, given, share, total)
    fixed_s = np.zeros(len(own.row) + 1)
    pulled = np.zeros(len(whole.row) - whole.column_start[first])
    for k in range(len(core.pull_to)):
        pulled[core.pull_to[k]] += share[core.pull_share[k]] * given[core.pull_mesh[k]]
    for k in range(len(pulled)):
        pulled[k] += given[whole.column_start[first] + k]
    for e in range(edges):
        fixed_s[own.given_slot[e]] += pulled[core.between[e]]
    for n in range(size):
        fixed_s[own.given_slot[edges + count + n]] += pulled[core.leaks[n]]
    # What the sources, then an ampere through each port, leave in the rest and bring to the core.
    left, brought = np.zeros((1 + ports, nodes)), np.empty((1 + ports, size))
    for k in range(len(a)):
        if closed[k] and source_a[k] != 0.0:
            left[0, whole.position[b[k]]] += source_a[k]
            left[0, whole.position[a[k]]] -= source_a[k]
    for k in range(ports):
        left[1 + k, whole.position[ends[k, 0]]] += 1.0
        left[1 + k, whole.position[ends[k, 1]]] -= 1.0
    ahead = np.zeros((1 + ports, nodes + 1), dtype=np.bool_)
    for k in range(1 + ports):
        for n in range(nodes):
            ahead[k, n] = left[k, n] != 0.0
        ahead_loop(whole.column_start, whole.row, first, ahead[k])
        passed_loop(
            whole.entry_start, whole.entry_slot, whole.column, core.entry_to, core.entry_slot, core.entry_column, share,
            ahead[k], left[k], brought[k],
        )  # fmt: skip
    alone, shown, at = np.zeros((ports, 1 + ports)), np.empty((ports, 1 + ports)), np.zeros((3, ports))
    alone_loop(left, total, alone)
    # From here on all is by position in the core's own plan. Of an ampere through a port only the volts are asked for
    # that ports are shown and of what they feed.
    core_a, core_b = own.position[core.a], own.position[core.b]
    every, asked = np.ones(size + 1, dtype=np.bool_), np.zeros(size + 1, dtype=np.bool_)
    through = np.zeros((1 + ports, size + 1), dtype=np.bool_)
    for k in range(1, 1 + ports):
        for n in range(size):
            if brought[k, n] != 0.0:
                through[k, own.position[n]], asked[own.position[n]] = True, True
        ahead_loop(own.column_start, own.row, size, through[k])
    for f in feeds:
        if f >= 0:
            asked[core_a[f]], asked[core_b[f]] = True, True
    ahead_loop(own.column_start, own.row, size, asked)
    own_given, own_s, own_share = np.empty(len(own.row) + 1), np.zeros(len(own.row) + 1), np.zeros(len(own.row))
    own_total, fed, core_v = np.zeros(size), np.zeros(size), np.zeros(size + 1)
    passed, wide = np.zeros((1 + ports, size)), np.zeros((1 + ports, size + 1))
    moved = every.copy()
    device[:] = np.nan
    for step in range(1, steps + 1):
        own_given[:] = fixed_s
        for n in range(size):
            fed[n] = brought[0, own.order[n]]
        linear_loop(laws, on, core_a, core_b, own.given_slot[edges : edges + count], x, device, own_given, fed, moved)
        ahead_loop(own.column_start, own.row, size, moved)
        some_factor_loop(
            own.column_start, own.pull_start, own.pull_share, own.pull_mesh, own_given, own_s, own_share, own_total,
            moved,
        )  # fmt: skip
        for n in range(size):
            if moved[n]:
                passed[0, n] = fed[n]
        some_forward_loop(own.entry_start, own.entry_slot, own.column, own_share, passed[0], moved)
        near, collapsed = True, -1
        fed[:] = passed[0]
        if ports > 0:
            some_backward_loop(own.column_start, own.row, own_share, own_total, passed[0], asked, wide[0])
            for k in range(1, 1 + ports):
                for n in range(size):
                    passed[k, n] = brought[k, own.order[n]]
                some_forward_loop(own.entry_start, own.entry_slot, own.column, own_share, passed[k], through[k])
                some_backward_loop(own.column_start, own.row, own_share, own_total, passed[k], asked, wide[k])
            shown_loop(alone, brought, own.position, wide, shown)
            if step == 1:
                at[0] = shown[:, 0]
            collapsed = ports_loop(feeds, draws, core_a, core_b, probe, x, device, wide, shown, at)
            near = collapsed < 0
            for k in range(ports):
                near = near and abs(at[1, k] - at[0, k]) <= near_v * (1.0 + abs(at[1, k]))
                for n in range(size):
                    fed[n] -= passed[1 + k, n] * at[2, k]
        some_backward_loop(own.column_start, own.row, own_share, own_total, fed, every, core_v)
        off = False
        for k in range(count):
            after = core_v[core_a[k]] - core_v[core_b[k]]
            if on[k] and abs(after - x[k]) > near_v * (1.0 + 1e-3 * abs(after)):
                off = True
        if not off:
            if collapsed >= 0:
                return -1 - collapsed
            if near:
                port_a[:] = at[2]
                for k in range(ports):
                    for n in range(first):
                        left[0, n] -= left[1 + k, n] * at[2, k]
                by_position = np.zeros(nodes + 1)
                for n in range(size):
                    by_position[first + n] = core_v[own.position[n]]
                backward_loop(whole.column_start, whole.row, share, total, left[0], by_position)
                for n in range(nodes):
                    inner_v[n] = by_position[whole.position[n]] - by_position[whole.position[holds[n]]]
                for k in range(len(a)):
                    across_v[k] = by_position[whole.position[a[k]]] - by_position[whole.position[b[k]]]
                    current_a[k] = slope_s[k] * across_v[k] + source_a[k] if closed[k] else 0.0
                for k in range(count):
                    if on[k]:
                        current_a[index[k]] = device[1, k] * across_v[index[k]] + device[2, k]
                return step
        at[0] = at[1]
        moved[:] = False
        for k in range(count):
            if on[k]:
                x[k] = limited_of(laws[k], x[k], device[0, k], device[1, k], core_v[core_a[k]] - core_v[core_b[k]])
    return 0
