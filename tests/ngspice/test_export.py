"""The sheet that `loombench export --as spice` writes, run in ngspice as it stands: its volts are our readings.

The table of readings is what a user sees (`app.readingtable`), and which node is which pin is read from the sheet's own
comments, as the user would.
"""

import math
import random
import re

import pytest

from benchmarks.accuracy import files, load
from benchmarks.states import states
from loombench.app.exporting import export
from loombench.app.readingtable import pin_table
from loombench.circuit.fault import Fault, read_fault
from loombench.circuit.lower import lower
from loombench.circuit.netlist import Netlist
from loombench.circuit.operate import run
from loombench.text.names import read_condition
from loombench.vehicle.condition import Condition
from loombench.vehicle.model import Vehicle
from loombench.vehicle.points import Point, read_point
from tests.ngspice.driver import Spice
from tests.ngspice.held import held_by_junctions

pytestmark = pytest.mark.ngspice
SEED, STATES, LARGE_STATES, LARGE_NODES = 11, 3, 1, 1500
ABSOLUTE_V, RELATIVE = 1e-5, 1e-6
NODE = re.compile(r"\* (n\d+|0): (.*)")


def spice_volts(sheet: str, spice: Spice, netlist: Netlist, condition: Condition) -> dict[Point, float]:
    """The volts of every point of a sheet, by ngspice and the comments of the sheet.

    Nodes that junctions alone hold carry less current than ngspice resolves: theirs are computed from its other nodes.
    """
    solved = spice.operating_point(sheet.splitlines())
    names: dict[int, list[str]] = {}
    for line in sheet.splitlines():
        node = NODE.fullmatch(line)
        if node is not None:
            names[netlist.reference if node[1] == "0" else int(node[1][1:])] = node[2].split()
    settled = run(netlist, condition)
    volts = {node: 0.0 if node == netlist.reference else solved[f"n{node}"] for node in names
             if math.isfinite(float(settled.point.volts[node]))}  # fmt: skip
    volts |= held_by_junctions(netlist, settled.point.state, volts)
    points = ((read_point(name), volts[node]) for node in volts for name in names[node])
    return {point: value for point, value in points if point is not None}


def agree(
    vehicle: Vehicle, netlist: Netlist, condition: Condition, spice: Spice, sheet: str, faults: tuple[Fault, ...] = ()
) -> int:
    """How many pins ngspice reads as our table does; fails where one differs."""
    volts = spice_volts(sheet, spice, netlist, condition)
    compared = 0
    for row in pin_table(vehicle, condition, faults).value.rows:
        pin, _, half = row.pin.partition("@")
        points = [Point(row.part, pin, half, ring=ring) for ring in (False, True)]
        theirs = next((volts[point] for point in points if point in volts), None)
        if row.volts is not None and theirs is not None:
            compared += 1
            assert abs(theirs - row.volts) <= ABSOLUTE_V + RELATIVE * abs(row.volts), (row, theirs, str(condition))
    return compared


@pytest.mark.parametrize("file", files())
def test_the_sheet_of_a_condition_reads_as_our_table_does(file: str) -> None:
    vehicle = load(file)
    netlist = lower(vehicle).value
    everything = [one.condition for one in states(netlist, SEED, 20)]
    count = LARGE_STATES if netlist.nodes > LARGE_NODES else STATES
    drawn = random.Random(SEED).sample(everything, min(count, len(everything)))
    compared = 0
    with Spice() as spice:
        for condition in (Condition(), *drawn):
            exported = export(vehicle, "spice", "sheet.cir", condition).value
            sheet = exported.files["sheet.cir"] if exported is not None else ""
            if sheet and "phases" not in sheet.splitlines()[1]:
                compared += agree(vehicle, netlist, condition, spice, sheet)
    assert compared > 20


@pytest.mark.parametrize("fault", ["resistance 0.5ohm contact X20.1@chassis", "blown F17", "open K4.85~S5.2"])
def test_a_faulted_vehicle_on_a_weak_battery_reads_as_our_table_does(fault: str) -> None:
    vehicle = load(next(file for file in files() if "telehandler" in file))
    condition = read_condition(vehicle, ("S5=on", "supply 11.5V"))
    chosen = read_fault(fault)
    assert condition.problems == ()
    assert chosen is not None
    exported = export(vehicle, "spice", "sheet.cir", condition.value, (chosen,)).value
    assert exported is not None
    sheet = exported.files["sheet.cir"]
    netlist = lower(vehicle, (chosen,)).value
    with Spice() as spice:
        assert agree(vehicle, netlist, condition.value, spice, sheet, (chosen,)) > 60
