"""What ngspice needs for the operating point of one fault, with the sheet read anew and with one resistor altered."""

import random
import statistics
from collections.abc import Mapping, Sequence

import numpy as np

from benchmarks.spicewarm import WarmSpice
from loombench.circuit.fault import Fault
from loombench.circuit.lower import lower
from loombench.circuit.netlist import Conductor, Netlist
from loombench.circuit.operate import run
from loombench.circuit.point import Settled
from loombench.circuit.spice import write_spice
from loombench.vehicle.condition import Condition
from loombench.vehicle.model import Vehicle
from tests.ngspice.held import held_by_junctions

MORE_OHM = 1.0
LOST_V, TIE_OHM = 1e3, 1e10
"""Above this a node's volts in ngspice are none of a vehicle's: a piece that hangs on blocking junctions alone. It is
then held by a resistor, since rounding of such volts spoils those of all that it is joined to, and is not compared."""


def rivals(vehicle: Vehicle, condition: Condition, seed: int, anew: int, warm: int) -> dict[str, float]:
    """Median processor seconds a fault, the largest difference in volts from the answers here, and what failed.

    The faults are wires, drawn by seed, with `MORE_OHM` more each. Where a fault moves a relay or a fuse the sheet read
    anew is given the new states, the warm one cannot be; its answer is not compared then.
    """
    netlist = lower(vehicle).value
    sound = run(netlist, condition)
    sheet = _sheet(netlist, sound, ())
    with WarmSpice(sheet) as spice:
        first = spice.load()
    lost = [name for name, volts in first[1].items() if abs(volts) > LOST_V] if first else []
    sheet = _sheet(netlist, sound, lost)
    wires = [wire.id for wire in vehicle.wires if _resistor(netlist, sheet, wire.id)]
    drawn = random.Random(seed).sample(wires, min(max(anew, warm), len(wires)))
    spans: dict[str, list[float]] = {"anew": [], "warm": []}
    apart, failed = 0.0, 0
    with WarmSpice(sheet) as spice:
        answers = []
        if spice.load() is None:
            failed += 1
        for wire in drawn[:warm]:
            element = netlist.element_by_id[_resistor(netlist, sheet, wire)]
            assert isinstance(element, Conductor)
            ohm = element.resistance_ohm
            answers.append(spice.altered(f"r{netlist.place_of[element.id]}", ohm + MORE_OHM, ohm))
    with WarmSpice(sheet) as spice:
        for k, wire in enumerate(drawn):
            broken = lower(vehicle, (Fault("resistance", wire, ohm=MORE_OHM),)).value
            here = run(broken, condition)
            for name, answer in (
                ("anew", spice.fresh(_sheet(broken, here, lost)) if k < anew else None),
                ("warm", answers[k] if k < warm and here.point.state == sound.point.state else None),
            ):
                if answer is not None:
                    spans[name].append(answer[0])
                    apart = max(apart, _apart(broken, here, answer[1]))
                elif k < (anew if name == "anew" else warm):
                    failed += 1
    return {
        "ngspice_anew_s": statistics.median(spans["anew"]),
        "ngspice_warm_s": statistics.median(spans["warm"]),
        "ngspice_max_difference_v": apart,
        "ngspice_failed": float(failed),
    }


def _sheet(netlist: Netlist, settled: Settled, lost: Sequence[str]) -> list[str]:
    near = {_name(netlist, node): float(volts) for node, volts in enumerate(settled.point.volts) if np.isfinite(volts)}
    near.pop("0", None)
    title, *rest = write_spice(netlist, settled.point.state, near=near).splitlines()
    return [title, *(f"Rlost{name} {name} 0 {TIE_OHM:g}" for name in lost), *rest]


def _name(netlist: Netlist, node: int) -> str:
    return "0" if node == netlist.reference else f"n{node}"


def _resistor(netlist: Netlist, sheet: list[str], wire: str) -> str:
    """The element of a wire that is a plain resistor of the sheet; empty where there is none."""
    heads = {line.partition(" ")[0] for line in sheet if line.startswith("R")}
    for name in netlist.element_of.get(wire, ()):
        element = netlist.element_by_id[name]
        if isinstance(element, Conductor) and not element.gates and f"R{netlist.place_of[name]}" in heads:
            return name
    return ""


def _apart(netlist: Netlist, here: Settled, there: Mapping[str, float]) -> float:
    """The largest difference of a node's volts, of nodes that neither float nor hang on blocking junctions alone."""
    volts = {node: there.get(_name(netlist, node), 0.0) for node in range(netlist.nodes)}
    known = {node: one for node, one in volts.items() if np.isfinite(here.point.volts[node])}
    held = held_by_junctions(netlist, here.point.state, known)
    apart = (abs(float(here.point.volts[node]) - one) for node, one in known.items() if node not in held)
    return max(apart, default=0.0)
