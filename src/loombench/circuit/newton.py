"""Volts and currents of a network whose gates are fixed: Newton on the star-mesh kernel.

Each step linearises every nonlinear element, solves the network's core (`core`), and compares what it answers with
where the element was linearised. Elements whose slope is negative (a converter's input) or which come and go (a meter)
are not in the star-mesh: they are ports. With Z the response of the port volts to the port currents J,

    V_p = V0_p - Z J,   J = i(V_p) linearised    ->    (1 + g Z + h Y) J = i + g (V0_p - x_p) + h (V0_o - x_o)

solved by pivoted LU (Y, h: the supply that a converter feeds). Of the solutions a converter has, the one with the
higher volts is found, from above; none, with all else at rest, is a collapse.

Where the compiled loops are loaded, the plain steps are theirs (`straight`); what is here is the reference.

Should Newton not settle, the step is shortened to the lowest co-content along it, which always gets there since all
laws are monotone (Duffin, Bull. AMS 53 (1947) 963; from memory).
"""

from dataclasses import dataclass

import numpy as np

from loombench.circuit.compiled import compiled_from
from loombench.circuit.core import reduced
from loombench.circuit.devices import limited, start, tangent
from loombench.circuit.elimination import IntArray
from loombench.circuit.kernel import factor, solve
from loombench.circuit.loops import FloatArray, sum_by
from loombench.circuit.network import BoolArray, Draw, Prepared
from loombench.circuit.ports import Ports
from loombench.circuit.probe import Probe
from loombench.circuit.straight import plain_steps

LEAK_S = 1e6
"""From each island's own reference to ground. It carries nothing, and being great it adds nothing to what is summed."""
_PLAIN_STEPS = 40
_STEPS = 200
# Newton's error is squared by each step, so an answer this near leaves an error below 1e-15 V.
_NEAR_V = 1e-9


@dataclass(frozen=True, eq=False)
class Solution:
    """Volts by node against the reference of each node's island, currents by element, current into a probe's red.
    `closed` are the elements that conduct, where it was solved for these and not told from another solution."""

    inner_v: FloatArray
    island: IntArray
    across_v: FloatArray
    current_a: FloatArray
    probe_a: float
    steps: int
    closed: BoolArray | None = None


@dataclass(frozen=True)
class NoSolution:
    """Why there is no answer: `supply-collapses` at a PowerDraw, or `not-settled`; with the nodes it is about."""

    reason: str
    nodes: tuple[int, ...]
    element: str = ""


def solve_network(
    p: Prepared, closed: BoolArray, guess: FloatArray | None = None, probe: Probe | None = None
) -> Solution | NoSolution:
    """Solve with the elements `closed` conducting, from volts across the elements as a first guess.

    A probe between islands carries nothing and makes them one.
    """
    island = p.islands(closed)
    joined = probe is not None and island[probe.red] != island[probe.black]
    draws = [draw for draw in p.draws if closed[draw.place] and island[draw.a] == island[draw.b]]
    ports = Ports(draws, None if joined else probe)
    loops = compiled_from(p.netlist.nodes)
    plain = (
        None
        if loops is None
        else plain_steps(loops, p, closed, island, guess, ports, LEAK_S, _NEAR_V, _PLAIN_STEPS - 1)
    )
    if isinstance(plain, Draw):
        return _collapsed(p, plain)
    # What plain steps do not get to is gone through once more, shortened where it has to be.
    found = plain or _held(p, closed, island, guess, ports)
    if isinstance(found, NoSolution):
        return found
    inner, across, current, steps = found
    if probe is None or not joined:
        return Solution(inner, island, across, current, ports.probe_a, steps, closed)
    inner, island = _join(p, inner, island, probe)
    return Solution(inner, island, across, current, 0.0, steps, closed)


def _held(
    p: Prepared, closed: BoolArray, island: IntArray, guess: FloatArray | None, ports: Ports
) -> tuple[FloatArray, FloatArray, FloatArray, int] | NoSolution:
    """By `_newton`, the volts against what holds the island of each node."""
    reference = np.arange(p.netlist.nodes)
    reference[island[p.netlist.reference]] = p.netlist.reference
    held = np.zeros(p.netlist.nodes)
    held[reference[island]] = LEAK_S
    found = _newton(p, closed, held, guess, ports)
    if isinstance(found, NoSolution):
        return found
    volts, across, current, steps = found
    return volts - volts[reference[island]], across, current, steps


def _collapsed(p: Prepared, draw: Draw) -> NoSolution:
    return NoSolution("supply-collapses", (draw.a, draw.b), p.netlist.elements[draw.place].id)


def _fed(a: IntArray, b: IntArray, source: FloatArray, count: int) -> FloatArray:
    """[nodes] what constant currents from `a` to `b` feed into the nodes."""
    return sum_by(b, source, count) - sum_by(a, source, count)


def _join(p: Prepared, inner: FloatArray, island: IntArray, probe: Probe) -> tuple[FloatArray, IntArray]:
    stays, moves = probe.black, probe.red
    lift = probe.emf_v
    if island[moves] == island[p.netlist.reference]:
        stays, moves, lift = moves, stays, -lift
    moved = island == island[moves]
    inner = np.where(moved, inner - inner[moves] + inner[stays] + lift, inner)
    both = moved | (island == island[stays])
    return inner, np.where(both, np.flatnonzero(both)[0], island)


def _newton(
    p: Prepared, closed: BoolArray, held: FloatArray, guess: FloatArray | None, ports: Ports
) -> tuple[FloatArray, FloatArray, FloatArray, int] | NoSolution:
    d, core, nodes = p.devices, p.core, p.core.plan.nodes
    on = closed[d.index]
    slope, source = np.where(closed, p.slope_s, 0.0), np.where(closed, p.source_a, 0.0)
    rest = reduced(p.plan, core, slope, held)
    left_a, fixed_a = rest.passed_on(_fed(p.a, p.b, source, p.netlist.nodes))
    ports.stand_in(rest, left_a)
    conductance, bent = rest.conductance_s, slice(len(core.between), None)
    x = start(d, np.zeros(len(d.index)) if guess is None else guess[d.index])
    volts, whole = np.zeros(nodes), np.zeros(0)
    for step in range(1, _STEPS + 1):
        current, rise = tangent(d, x)
        conductance[bent] = rise * on
        right = fixed_a + _fed(core.a, core.b, (current - rise * x) * on, nodes)
        factors = factor(core.plan, conductance, rest.leak_s)
        if ports.any:
            wide = solve(core.plan, factors, np.column_stack((right, ports.at_core)))
            volts = wide[:, 0] - wide[:, 1:] @ ports.answer(wide, core, x, current, rise)
        else:
            volts = solve(core.plan, factors, right)
        if step >= _PLAIN_STEPS:
            before, whole = whole, rest.volts(ports.left(left_a), volts)
            if step > _PLAIN_STEPS:
                if ports.draws:
                    return _collapsed(p, ports.draws[0])
                whole = before + _shortened(p, closed, ports, before, whole - before) * (whole - before)
                volts = whole[p.plan.order[core.first :]]
        after = volts[core.a] - volts[core.b]
        off = np.abs(after - x) * on > _NEAR_V * (1.0 + 1e-3 * np.abs(after))
        if ports.collapsed is not None and not off.any():
            return _collapsed(p, ports.collapsed)
        near = ports.near()
        if not off.any() and near:
            # On the tangents: so near to where they touch, the laws differ from them by less than a rounding.
            all_v = rest.volts(ports.left(left_a), volts) if step < _PLAIN_STEPS else whole
            across = all_v[p.a] - all_v[p.b]
            slope[d.index], source[d.index] = rise * on, (current - rise * x) * on
            total = slope * across + source
            for draw, taken in zip(ports.draws, ports.current_a, strict=False):
                total[draw.place] = taken
            return all_v, across, total, step
        ports.move()
        x = after if step >= _PLAIN_STEPS else np.where(on, limited(d, x, current, rise, after), x)
    worst = [int(k) for k in d.index[off]][:4]
    return NoSolution("not-settled", tuple(dict.fromkeys(int(n) for k in worst for n in (p.a[k], p.b[k]))))


def _shortened(p: Prepared, closed: BoolArray, ports: Ports, volts: FloatArray, way: FloatArray) -> float:
    """The part of a step after which the co-content rises again, by bisection on its slope."""
    from_v, way_v = volts[p.a] - volts[p.b], way[p.a] - way[p.b]

    def rising(part: float) -> bool:
        at = from_v + part * way_v
        current = p.slope_s * at + p.source_a
        current[p.devices.index], _ = tangent(p.devices, at[p.devices.index])
        return float(np.sum(np.where(closed, current * way_v, 0.0))) + ports.power(volts + part * way, way) > 0.0

    if not rising(1.0):
        return 1.0
    low, high = 0.0, 1.0
    for _ in range(50):
        middle = (low + high) / 2.0
        low, high = (low, middle) if rising(middle) else (middle, high)
    return high
