"""A vehicle in one condition as a sheet for a circuit simulator, whose answer is our readings."""

import math

from loombench.base.outcome import Outcome, errors
from loombench.base.problems import Problem, error
from loombench.base.wording import Catalogue, catalogue
from loombench.circuit.aid import aided
from loombench.circuit.explain import explain
from loombench.circuit.fault import Fault
from loombench.circuit.lower import lower
from loombench.circuit.netlist import Netlist
from loombench.circuit.operate import run
from loombench.circuit.point import OperatingPoint
from loombench.circuit.spice import SUPPLY, write_spice
from loombench.vehicle.condition import Condition
from loombench.vehicle.model import Vehicle


def spice_sheet(
    vehicle: Vehicle,
    condition: Condition,
    faults: tuple[Fault, ...] = (),
    phase: int = 0,
    words: Catalogue | None = None,
) -> Outcome[str | None]:
    """The sheet with every switch, relay and fuse where the condition has it; None where that has no steady answer.

    Of a rhythm one phase is written, counted from 1; 0 is the first, and says so where there are several. The first
    line names vehicle and condition, comments name the points of each node.
    """
    made = aided(lower, condition.aids)(vehicle, faults)
    netlist = made.value
    settled = run(netlist, condition.plain)
    problems: list[Problem] = [*made.problems, *(explain(netlist, one, vehicle) for one in settled.findings)]
    points = [one.point for one in settled.all_phases]
    if not 0 <= phase <= len(points):
        problems.append(error("export-phase", phase=phase, count=len(points)))
        return Outcome(None, tuple(problems))
    point = points[max(phase - 1, 0)]
    steady = math.isfinite(float(point.volts[netlist.reference]))
    if not steady or errors(made.problems):
        return Outcome(None, tuple(problems))
    lines = _sheet(netlist, point, condition).splitlines()
    words = words or catalogue()
    title = words.say("export.title", vehicle=vehicle.name, condition=condition, volts=f"{vehicle.nominal_v:g}")
    head = [f"* {_one_line(title)}"]
    if len(points) > 1:
        head.append(f"* {words.say('export.phases', count=len(points), phase=max(phase, 1))}")
    return Outcome("\n".join((*head, *lines)) + "\n", tuple(problems))


def _sheet(netlist: Netlist, point: OperatingPoint, condition: Condition) -> str:
    known = ((node, float(volts)) for node, volts in enumerate(point.volts) if node != netlist.reference)
    near = {f"n{node}": volts for node, volts in known if math.isfinite(volts)}
    said = [one.value for one in condition.operations if one.verb == "supply"]
    return write_spice(netlist, {**point.state, **({SUPPLY: said[-1]} if said else {})}, near=near)


def _one_line(text: str) -> str:
    return " ".join("".join(mark if mark.isprintable() else " " for mark in text).split())
