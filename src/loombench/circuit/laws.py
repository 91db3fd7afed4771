"""Checks of a solution against the laws themselves, element by element, sharing nothing with the solver but how much a
blocking junction leaks."""

import math

from loombench.circuit.bare.laws import JUNCTION_LEAK_S
from loombench.circuit.netlist import (
    Battery,
    Conductor,
    Element,
    Filament,
    Junction,
    Netlist,
    PowerDraw,
    Regulated,
)
from loombench.circuit.point import OperatingPoint

_ROUNDING = 2.0**-52
# Sums of currents may be off by this share of what a rounding of the volts does to each.
_ROUNDINGS = 64.0


def law_errors(netlist: Netlist, point: OperatingPoint, extra_a: dict[int, float] | None = None) -> tuple[str, ...]:
    """What is wrong with a solution, as text: current sums at each node, power balance, each element on its law.

    `extra_a` are currents a meter takes out of nodes. The tolerance grows with the volts over the resistances at a
    node, since a rounding of 12 V across a micro-ohm is a microampere.
    """
    errors: list[str] = []
    sums = [0.0] * netlist.nodes
    room = [1e-9] * netlist.nodes
    for node, current in (extra_a or {}).items():
        sums[node] += current
    made, taken = 0.0, 0.0
    for element in netlist.elements:
        current = point.current_a(element.id)
        volts = point.across_v(element.a, element.b)
        if not math.isfinite(current):
            errors.append(f"{element.id}: current {current}")
            continue
        spare = _spare(element, point)
        for node, way in ((element.a, 1.0), (element.b, -1.0)):
            sums[node] += way * current
            room[node] += spare
        if not all(point.state[gate.variable] in gate.closed_in for gate in element.gates):
            if current != 0.0:
                errors.append(f"{element.id}: open, and {current:g} A")
            continue
        power = (volts or 0.0) * current
        made, taken = made - min(power, 0.0), taken + max(power, 0.0)
        lawful = _lawful(netlist, point, element, volts or 0.0)
        if abs(current - lawful) > spare + 1e-9 + 1e-6 * abs(lawful) * (isinstance(element, PowerDraw)):
            errors.append(f"{element.id}: {current!r} A where its law has {lawful!r} A")
    for node, total in enumerate(sums):
        if abs(total) > room[node]:
            errors.append(f"node {node}: currents add up to {total:g} A")
    if extra_a is None and abs(made - taken) > 1e-6 * (1.0 + made):
        errors.append(f"power: {made:g} W given, {taken:g} W taken")
    return tuple(errors)


def _spare(element: Element, point: OperatingPoint) -> float:
    size = max(abs(float(point.inner_v[node])) for node in (element.a, element.b)) + 1.0
    match element:
        case Conductor(resistance_ohm=ohm) | Regulated(resistance_ohm=ohm):
            slope = 1.0 / ohm
        case Battery(resistance_ohm=ohm, emf_v=emf):
            slope, size = 1.0 / ohm, size + abs(emf)
        case Filament(law=law):
            slope = law.cold_s
        case Junction(series_ohm=ohm, slope_v=scale):
            slope = 1.0 / max(ohm, scale / (abs(point.current_a(element.id)) + 1e-12))
        case PowerDraw():
            slope = abs(point.current_a(element.id))
    return _ROUNDINGS * _ROUNDING * size * slope


def _lawful(netlist: Netlist, point: OperatingPoint, element: Element, volts: float) -> float:
    match element:
        case Conductor(resistance_ohm=ohm):
            return volts / ohm
        case Filament(law=law):
            return law.current_a(volts)
        case Battery(emf_v=emf, resistance_ohm=ohm):
            return (volts - emf) / ohm
        case Regulated(set_v=set_v, resistance_ohm=ohm, limit_a=limit):
            return -min(limit, max(0.0, (set_v - volts) / ohm)) + JUNCTION_LEAK_S * (volts - set_v)
        case Junction():
            leak_a = JUNCTION_LEAK_S * volts
            return _junction(element, volts, point.current_a(element.id) - leak_a) + leak_a
        case PowerDraw():
            fed = netlist.element_by_id.get(element.feeds)
            if volts <= element.from_v or fed is None:
                return 0.0
            given = -point.current_a(fed.id) * (point.across_v(fed.a, fed.b) or 0.0)
            return max(given, 0.0) / (element.efficiency * volts)


def _junction(element: Junction, volts: float, current: float) -> float:
    """The current of the bare junction at what the series resistance leaves of the volts."""
    own = (volts - element.series_ohm * current) / element.slope_v
    lawful = element.saturation_a * math.expm1(min(own, 700.0))
    # Where the junction is steep its volts are the better measure: compare there.
    if current > 0.0:
        needed = element.slope_v * math.log1p(current / element.saturation_a) + element.series_ohm * current
        if abs(needed - volts) <= 1e-9 * (1.0 + abs(volts)):
            return current
    return lawful
