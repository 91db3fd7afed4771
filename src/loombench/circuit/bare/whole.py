"""All volts and currents of a network by what it draws beyond another one, of which everything is known."""

import numpy as np

from loombench.circuit.bare.arrays import BoolArray, FloatArray, IntArray, PlanArrays
from loombench.circuit.bare.laws import tangent_of
from loombench.circuit.bare.newton import ahead_loop, some_forward_loop
from loombench.circuit.bare.sums import backward_loop


def whole_loop(
    plan: PlanArrays,
    share: FloatArray,
    total: FloatArray,
    ends: IntArray,
    extra_a: FloatArray,
    known_v: FloatArray,
    lifted: BoolArray,
    lift_v: float,
    island: IntArray,
    reference: int,
    a: IntArray,
    b: IntArray,
    slope_s: FloatArray,
    source_a: FloatArray,
    laws: FloatArray,
    index: IntArray,
    on: BoolArray,
    inner_v: FloatArray,
    across_v: FloatArray,
    current_a: FloatArray,
) -> None:
    """By `tables.across.solution_of`: fills in `inner_v` [nodes], `across_v` and `current_a` [elements] from `known_v`
    [nodes], where `extra_a` [ports] more flow from the first to the second of `ends` [ports, 2] (nodes) and the nodes
    `lifted` have `lift_v` more. `share` and `total` are the other network's factors, `slope_s` and `source_a`
    [elements] its lines; of the elements at `index` those that are `on` follow `laws`."""
    nodes = len(plan.order)
    drawn, ahead = np.zeros(nodes), np.zeros(nodes + 1, dtype=np.bool_)
    for k in range(len(extra_a)):
        one, other = plan.position[ends[k, 0]], plan.position[ends[k, 1]]
        drawn[one] += extra_a[k]
        drawn[other] -= extra_a[k]
        ahead[one], ahead[other] = True, True
    ahead_loop(plan.column_start, plan.row, nodes, ahead)
    some_forward_loop(plan.entry_start, plan.entry_slot, plan.column, share, drawn, ahead)
    moved_v = np.zeros(nodes + 1)
    backward_loop(plan.column_start, plan.row, share, total, drawn, moved_v)
    for n in range(nodes):
        inner_v[n] = known_v[n] - moved_v[plan.position[n]]
        if lifted[n]:
            inner_v[n] += lift_v
    ground_v = inner_v[reference]
    for n in range(nodes):
        if island[n] == island[reference]:
            inner_v[n] -= ground_v
    for k in range(len(a)):
        across_v[k] = inner_v[a[k]] - inner_v[b[k]]
        current_a[k] = slope_s[k] * across_v[k] + source_a[k]
    for k in range(len(index)):
        if on[k]:
            current_a[index[k]] = tangent_of(laws[k], across_v[index[k]])[0]
