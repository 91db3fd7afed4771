"""Circuits written by hand: `NAME.circuit` as a user would, `NAME.cir` as an ngspice sheet from that text alone.

`NAME.expect.toml` has a table for each condition: `condition`, the operations; `faults`, if any; `set`, the parameters
of the sheet (what a switch is in that condition; parameters of the sheet itself hold otherwise); `floats`, points that
nothing joins to battery minus; `points` where not all are looked at. Its table `points` says which node each point is.
"""

import math
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from loombench.circuit.fault import Fault, read_fault
from loombench.circuit.lower import lower
from loombench.circuit.operate import run
from loombench.text.load import load_file
from loombench.vehicle.condition import Condition, read_operation
from loombench.vehicle.points import read_point
from tests.ngspice.compare import Comparison, Miss
from tests.ngspice.driver import Spice

FOLDER = Path(__file__).parent / "hand"


@dataclass(frozen=True)
class Case:
    """A condition with its faults, the sheet's parameters in it, the points that float, and those looked at."""

    condition: Condition
    faults: tuple[Fault, ...]
    parameters: Mapping[str, float]
    floats: tuple[str, ...]
    points: tuple[str, ...]


@dataclass(frozen=True)
class Sheet:
    """A circuit, its sheet by hand, and where a point is on the sheet."""

    name: str
    circuit: Path
    lines: tuple[str, ...]
    points: Mapping[str, str]
    cases: tuple[Case, ...]


def sheets() -> tuple[Sheet, ...]:
    """All of them by name."""
    return tuple(_sheet(path) for path in sorted(FOLDER.glob("*.cir")))


def _sheet(path: Path) -> Sheet:
    expected = tomllib.loads(path.with_suffix(".expect.toml").read_text())
    cases = []
    for case in expected["case"]:
        operations = [read_operation(text) for text in case["condition"]]
        assert all(operations), f"{path.name}: {case['condition']}"
        condition = Condition(tuple(operation for operation in operations if operation))
        faults = [read_fault(text) for text in case.get("faults", ())]
        assert all(faults), f"{path.name}: {case['faults']}"
        looked_at = tuple(case.get("points", expected["points"]))
        broken = tuple(fault for fault in faults if fault)
        cases.append(Case(condition, broken, case.get("set", {}), tuple(case.get("floats", ())), looked_at))
    lines = tuple(path.read_text().splitlines())
    return Sheet(path.stem, path.with_suffix(".circuit"), lines, expected["points"], tuple(cases))


def filled(sheet: Sheet, case: Case) -> list[str]:
    """The lines of the sheet with the parameters of a case; comments go, as ngspice wants a title first.

    Raises:
        ValueError: a parameter the sheet does not have.
    """
    lines, left = [f"* {sheet.name}"], dict(case.parameters)
    for line in sheet.lines:
        words = line.split()
        if words and words[0] == ".param":
            name = words[1].split("=")[0]
            lines.append(f".param {name}={left.pop(name)}" if name in left else line)
        elif line.strip() and not line.startswith("*"):
            lines.append(line)
    if left:
        raise ValueError(f"{sheet.name} has no parameter {', '.join(left)}")
    return lines


def compare_sheet(spice: Spice, sheet: Sheet) -> Comparison:
    """All conditions of a circuit by the engine and by its sheet."""
    found = Comparison()
    outcome = load_file(sheet.circuit)
    assert outcome.usable, [problem.code for problem in outcome.problems]
    for case in sheet.cases:
        lowered = lower(outcome.value, case.faults)
        assert lowered.usable, [problem.code for problem in lowered.problems]
        netlist = lowered.value
        lines = filled(sheet, case)
        moving = any(line.startswith(".tran") for line in lines)
        volts = spice.transient_end(lines).end if moving else spice.operating_point(lines)
        settled = run(netlist, case.condition)
        found.states += 1
        for name in case.points:
            node = sheet.points[name]
            point = read_point(name)
            assert point is not None, name
            ours = float(settled.point.volts[netlist.node_of[point]])
            wrong = "".join(f", {fault}" for fault in case.faults)
            where = f"{sheet.name}: {name} ({case.condition}{wrong})"
            if name in case.floats or math.isnan(ours):
                found.island_nodes += 1
                if name not in case.floats or not math.isnan(ours):
                    found.misses.append(Miss("floating", where, f"{ours}", "floating" if name in case.floats else node))
                continue
            theirs = 0.0 if node == "0" else volts[node.lower()]
            found.nodes += 1
            if not found.error(ours, theirs):
                found.misses.append(Miss("volts", where, f"{ours:.9g}", f"{theirs:.9g}"))
    return found
