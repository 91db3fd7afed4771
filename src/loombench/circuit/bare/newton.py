"""Newton on the core of a network, in plain steps: `newton` is the reference, and tells what comes to no answer."""

import numpy as np

from loombench.circuit.bare.arrays import BoolArray, CoreArrays, FloatArray, IntArray, PlanArrays
from loombench.circuit.bare.laws import limited_of, tangent_of
from loombench.circuit.bare.ports import ports_loop
from loombench.circuit.bare.sums import backward_loop, factor_loop, forward_loop


def passed_loop(
    entry_start: IntArray,
    entry_slot: IntArray,
    column: IntArray,
    core_to: IntArray,
    core_slot: IntArray,
    core_column: IntArray,
    share: FloatArray,
    current: FloatArray,
    brought: FloatArray,
) -> None:
    """By `core.Reduced.passed_on`: `current` [nodes by position] is left with what stays in the rest, and `brought`
    [nodes of the core] gets what comes to the core."""
    first = len(current) - len(brought)
    forward_loop(entry_start, entry_slot, column, share, current[:first])
    brought[:] = 0.0
    for e in range(len(core_to)):
        brought[core_to[e]] += share[core_slot[e]] * current[core_column[e]]
    for k in range(len(brought)):
        brought[k] += current[first + k]


def answer_loop(
    order: IntArray,
    position: IntArray,
    column_start: IntArray,
    column: IntArray,
    row: IntArray,
    entry_start: IntArray,
    entry_slot: IntArray,
    share: FloatArray,
    total: FloatArray,
    fed: FloatArray,
    current: FloatArray,
    at: FloatArray,
    volts: FloatArray,
) -> None:
    """By `kernel.solve`: `volts` [nodes] for currents `fed` [nodes] into the nodes; `current` and `at` are room."""
    for k in range(len(fed)):
        current[k] = fed[order[k]]
    forward_loop(entry_start, entry_slot, column, share, current)
    at[len(fed)] = 0.0
    backward_loop(column_start, row, share, total, current, at)
    for k in range(len(fed)):
        volts[k] = at[position[k]]


def alone_loop(left: FloatArray, total: FloatArray, alone: FloatArray) -> None:
    """What each port is shown by the rest alone, the core being at 0 V: `alone` [ports, 1 + ports]."""
    for n in range(len(total)):
        if total[n] > 0.0:
            for k in range(alone.shape[0]):
                for j in range(alone.shape[1]):
                    alone[k, j] += left[1 + k, n] * (left[j, n] / total[n])


def shown_loop(alone: FloatArray, brought: FloatArray, wide: FloatArray, shown: FloatArray) -> None:
    """What each port is shown in all: `shown` [ports, 1 + ports]."""
    for k in range(shown.shape[0]):
        for j in range(shown.shape[1]):
            seen = 0.0
            for n in range(wide.shape[1]):
                seen += brought[1 + k, n] * wide[j, n]
            shown[k, j] = alone[k, j] + seen


def linear_loop(
    laws: FloatArray,
    on: BoolArray,
    a: IntArray,
    b: IntArray,
    slots: IntArray,
    x: FloatArray,
    device: FloatArray,
    own_s: FloatArray,
    right: FloatArray,
) -> None:
    """Put the elements of the core on their tangents at `x`, which `device` [2, elements] gets: `own_s` [slots + 1] and
    `right` [nodes] get what they bring."""
    for k in range(len(x)):
        device[0, k], device[1, k] = tangent_of(laws[k], x[k])
        if on[k]:
            own_s[slots[k]] += device[1, k]
            beside = device[0, k] - device[1, k] * x[k]
            right[b[k]] += beside
            right[a[k]] -= beside


def newton_loop(  # noqa: PLR0915  (one function compiles in half the time that several take)
    whole: PlanArrays,
    core: CoreArrays,
    own: PlanArrays,
    laws: FloatArray,
    index: IntArray,
    on: BoolArray,
    a: IntArray,
    b: IntArray,
    slope_s: FloatArray,
    source_a: FloatArray,
    held: FloatArray,
    ends: IntArray,
    feeds: IntArray,
    draws: FloatArray,
    probe: FloatArray,
    near_v: float,
    steps: int,
    x: FloatArray,
    device: FloatArray,
    volts: FloatArray,
    port_a: FloatArray,
) -> int:
    """`newton` in plain steps, from `x` [laws]: fills in `volts` [nodes], `device` [2, laws] and `port_a` [ports], and
    returns how many steps it took; 0 where it did not get there.

    `own` is the core's plan; `on` says which of the elements at `index` conduct; `slope_s` and `source_a` [elements]
    are 0 for what does not; `ends` are the nodes [ports, 2] of the inputs and then of a meter that has `probe` ohms,
    volts and threshold. The rest as in `ports.ports_loop`.
    """
    size, ports, count, edges = len(own.order), len(port_a), len(index), len(core.between)
    nodes = len(whole.order)
    first = nodes - size
    # The rest, eliminated once.
    given, share, total = np.zeros(len(whole.row) + 1), np.empty(len(whole.row)), np.empty(first)
    for k in range(len(a)):
        given[whole.given_slot[k]] += slope_s[k]
    for n in range(nodes):
        given[whole.given_slot[len(a) + n]] += held[n]
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
        if source_a[k] != 0.0:
            left[0, whole.position[b[k]]] += source_a[k]
            left[0, whole.position[a[k]]] -= source_a[k]
    for k in range(ports):
        left[1 + k, whole.position[ends[k, 0]]] += 1.0
        left[1 + k, whole.position[ends[k, 1]]] -= 1.0
    for k in range(1 + ports):
        passed_loop(
            whole.entry_start, whole.entry_slot, whole.column, core.entry_to, core.entry_slot, core.entry_column, share,
            left[k], brought[k],
        )  # fmt: skip
    alone, shown, at = np.zeros((ports, 1 + ports)), np.empty((ports, 1 + ports)), np.zeros((3, ports))
    alone_loop(left, total, alone)
    # Newton on the core; `room` is for one of its solutions.
    own_s, own_share, own_total = np.empty(len(own.row) + 1), np.empty(len(own.row)), np.empty(size)
    wide, right, core_v, room = np.empty((1 + ports, size)), np.empty(size), np.empty(size), np.empty((2, size + 1))
    for step in range(1, steps + 1):
        own_s[:] = fixed_s
        right[:] = brought[0]
        linear_loop(laws, on, core.a, core.b, own.given_slot[edges : edges + count], x, device, own_s, right)
        factor_loop(own.column_start, own.pull_start, own.pull_share, own.pull_mesh, own_s, own_share, own_total)
        for k in range(1 + ports):
            answer_loop(
                own.order, own.position, own.column_start, own.column, own.row, own.entry_start, own.entry_slot,
                own_share, own_total, right if k == 0 else brought[k], room[0, :size], room[1], wide[k],
            )  # fmt: skip
        core_v[:] = wide[0]
        near, collapsed = True, False
        if ports > 0:
            shown_loop(alone, brought, wide, shown)
            if step == 1:
                at[0] = shown[:, 0]
            collapsed = ports_loop(feeds, draws, core.a, core.b, probe, x, device, wide, shown, at)
            near = not collapsed
            for k in range(ports):
                for n in range(size):
                    core_v[n] -= wide[1 + k, n] * at[2, k]
                near = near and abs(at[1, k] - at[0, k]) <= near_v * (1.0 + abs(at[1, k]))
        off = False
        for k in range(count):
            after = core_v[core.a[k]] - core_v[core.b[k]]
            if on[k] and abs(after - x[k]) > near_v * (1.0 + 1e-3 * abs(after)):
                off = True
        if not off:
            if collapsed:
                return 0
            if near:
                port_a[:] = at[2]
                for k in range(ports):
                    for n in range(first):
                        left[0, n] -= left[1 + k, n] * at[2, k]
                by_position = np.zeros(nodes + 1)
                by_position[first:nodes] = core_v
                backward_loop(whole.column_start, whole.row, share, total, left[0], by_position)
                for n in range(nodes):
                    volts[n] = by_position[whole.position[n]]
                return step
        at[0] = at[1]
        for k in range(count):
            if on[k]:
                x[k] = limited_of(laws[k], x[k], device[0, k], device[1, k], core_v[core.a[k]] - core_v[core.b[k]])
    return 0
