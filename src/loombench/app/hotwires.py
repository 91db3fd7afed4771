"""Wires that carry more than they may for long with a fault in the vehicle, by the handbook's table."""

from collections.abc import Sequence
from dataclasses import dataclass

from loombench.check.ampacity import ampacity_a
from loombench.circuit.fault import Fault
from loombench.circuit.operate import operate
from loombench.circuit.predict import Cases
from loombench.vehicle.condition import Condition

MORE = 1.05
"""A wire that carries no more than this many times what it does in the sound vehicle is not the fault's."""


@dataclass(frozen=True)
class HotWire:
    """A wire, the ampere it carries when all that opens has opened, and what it may carry for long."""

    wire: str
    current_a: float
    rated_a: float


def hot_wires(cases: Cases, faults: Sequence[Fault], condition: Condition) -> tuple[tuple[HotWire, ...], ...]:
    """For each fault the wires above their rating (`check.ampacity`: one wire in free air), the worst first."""
    sound = _currents(cases, (), condition)
    rated = {wire.id: ampacity_a(wire.area_mm2.nominal) for wire in cases.vehicle.wires}
    found = []
    for fault in faults:
        carried = _currents(cases, (fault,), condition)
        hot = [
            HotWire(name, round(current_a, 1), round(rated[name], 1))
            for name, current_a in carried.items()
            if current_a > max(rated[name], MORE * sound.get(name, 0.0))
        ]
        found.append(tuple(sorted(hot, key=lambda one: -one.current_a / one.rated_a)))
    return tuple(found)


def _currents(cases: Cases, faults: tuple[Fault, ...], condition: Condition) -> dict[str, float]:
    case = cases.case(faults)
    if case is None:
        return {}
    ready, rest = case
    settled = operate(ready, condition, rest).settled
    element_of = ready.p.netlist.element_of
    # Heat goes with the square of the current, so of a rhythm the root of the mean square counts.
    return {
        wire.id: max(
            sum(phase.share * phase.point.current_a(name) ** 2 for phase in settled.all_phases) ** 0.5
            for name in element_of.get(wire.id, ("",))
        )
        for wire in cases.vehicle.wires
    }
