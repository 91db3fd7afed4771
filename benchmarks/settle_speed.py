"""Time of settling whole-vehicle states: an invented vehicle of about 4,500 nodes put into 40 states from rest.

Each state settles with relays, fuses and modules and starts from rest, from no guess (`cold`) and from the volts at
rest (`warm`). Target: 40 states in less than 1 s. The ratios carry over to other machines, the times do not.

    python benchmarks/settle_speed.py [--quick] [--json]
"""

import argparse
import json
import random
import sys
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from loombench.circuit.kernel import load_compiled
from loombench.circuit.laws import law_errors
from loombench.circuit.netlist import (
    FuseAgent,
    InputReading,
    Junction,
    ModuleAgent,
    Netlist,
    OutputDrive,
    RelayAgent,
    RuleDrive,
)
from loombench.circuit.ready import ready_for
from loombench.circuit.settle import settle
from loombench.vehicle.module import Test as InputIsOn
from tests.circuit.hand import Hand

STATES, QUICK_STATES = 40, 10
CIRCUITS, MODULES, PINS, FUSES = 190, 60, 2, 92


class Loom(Hand):
    """Draws pieces of a vehicle: fused loads on switches, relays and modules, through wires, crimps, plugs, studs."""

    def __init__(self, seed: int) -> None:
        super().__init__()
        self.draw = random.Random(seed)

    def stud(self) -> str:
        return f"stud {self.draw.randrange(20)}"

    def fused(self) -> str:
        return f"F{self.draw.randrange(FUSES)} out"

    def way(self, name: str, a: str, b: str, plugs: int) -> None:
        """Crimp, wire, crimp, and so many plugs on the way."""
        at = a
        for k in range(plugs):
            for piece, ohm in (("crimp", 0.001), ("wire", self.draw.uniform(0.005, 0.05)), ("crimp end", 0.001)):
                self.ohm(f"{name} {k} {piece}", at, f"{name} {k} {piece}", ohm)
                at = f"{name} {k} {piece}"
            self.control(f"plug:{name} {k}", "plugged", "unplugged")
            self.ohm(f"{name} {k} mating", at, f"{name} {k} mated", 0.003, **{f"plug__{name} {k}": "plugged"})
            at = f"{name} {k} mated"
        self.ohm(f"{name} end", at, b, self.draw.uniform(0.005, 0.05))

    def load(self, name: str, a: str, b: str) -> None:
        kind = self.draw.random()
        if kind < 0.5:
            self.lamp(name, a, b, 12.0, self.draw.choice((5.0, 10.0, 21.0, 55.0)))
        elif kind < 0.6:
            self.elements.append(Junction(name, self.node(a), self.node(b), 1e-14, 0.05, 400.0))
        else:
            self.ohm(name, a, b, self.draw.uniform(3.0, 200.0))

    def fuse(self, name: str) -> None:
        self.memory(f"fuse:{name}", "whole", "blown")
        self.ohm(name, "bus", f"{name} out", 0.005, **{f"fuse__{name}": "whole"})
        self.agents.append(FuseAgent(f"fuse:{name}", name, 40.0))

    def relay(self, k: int, feed: str, ground: str) -> None:
        self.memory(f"relay:K{k}", "released", "pulled")
        self.way(f"coil {k}", f"S{k} out", f"K{k} 86", 1)
        self.ohm(f"K{k}.coil", f"K{k} 86", ground, 85.0)
        nodes = self.node(f"K{k} 86"), self.node(ground)
        self.agents.append(RelayAgent(f"relay:K{k}", *nodes, 8.0, 1.5, f"K{k}.coil", 85.0))
        self.ohm(f"K{k}", feed, f"K{k} out", 0.002, **{f"relay__K{k}": "pulled"})

    def circuit(self, k: int) -> None:
        feed, ground, name = self.fused(), self.stud(), f"L{k}"
        self.control(f"S{k}", "off", "on")
        self.ohm(f"S{k}", feed, f"S{k} out", 0.005, **{f"S{k}": "on"})
        if k % 8 == 0:
            self.relay(k, feed, ground)
        self.way(name, f"K{k} out" if k % 8 == 0 else f"S{k} out", f"{name} in", 2)
        self.way(f"{name} ground", f"{name} out", ground, 1)
        self.load(name, f"{name} in", f"{name} out")

    def module(self, part: str) -> None:
        self.memory(f"module:{part}", "reset", "awake", "asleep")
        self.way(f"{part} feed", self.fused(), f"{part} 30", 1)
        self.way(f"{part} ground", f"{part} 31", self.stud(), 1)
        self.ohm(f"{part} draw", f"{part} 30", f"{part} 31", 120.0, **{f"module__{part}": "awake"})
        self.ohm(f"{part} rest", f"{part} 30", f"{part} 31", 24000.0)
        supply, ground = self.node(f"{part} 30"), self.node(f"{part} 31")
        inputs, outputs, rules = [], [], []
        for pin in range(PINS):
            name, output = f"{part}.{pin}", f"output:{part}.{pin}"
            self.memory(f"input:{name}", "off", "on")
            self.memory(output, "off", "on", "tripped")
            self.control(f"S{name}", "off", "on")
            self.ohm(f"S{name}", self.fused(), f"{name} in", 0.01, **{f"S{name}": "on"})
            self.ohm(f"{name} pull", f"{name} in", f"{part} 31", 1000.0)
            self.ohm(name, f"{part} 30", f"{name} out", 0.02, **{output.replace(":", "__"): "on"})
            self.ohm(f"{name} leak", f"{part} 30", f"{name} out", 1e6)
            self.way(f"{name} load", f"{name} out", f"{name} load in", 1)
            self.load(f"{name} load", f"{name} load in", self.stud())
            inputs.append(InputReading(str(pin), self.node(f"{name} in"), ground, 8.0, 4.0, "high"))
            outputs.append(OutputDrive(output, name, 20.0, True))
            rules.append(RuleDrive(InputIsOn(str(pin)), (output,)))
        lists = tuple(inputs), tuple(outputs), tuple(rules)
        self.agents.append(ModuleAgent(part, f"module:{part}", (supply,), ground, 6.5, 6.0, *lists))


def vehicle(seed: int) -> Netlist:
    """A whole vehicle."""
    loom = Loom(seed)
    loom.battery("G", "plus", 12.6)
    loom.ohm("main", "plus", "bus", 0.001)
    for k in range(20):
        loom.ohm(f"stud {k}", f"stud {k}", "body", 0.0005)
    loom.ohm("strap", "body", "ground", 0.0005)
    for k in range(FUSES):
        loom.fuse(f"F{k}")
    for k in range(CIRCUITS):
        loom.circuit(k)
    for k in range(MODULES):
        loom.module(f"A{k}")
    return loom.netlist()


def main(arguments: list[str]) -> int:
    """Print the table or the JSON object; return 1 if a law is broken or the target missed."""
    parser = argparse.ArgumentParser(description="Time of settling whole-vehicle states.")
    parser.add_argument("--json", action="store_true", help="print one JSON object")
    parser.add_argument("--quick", action="store_true", help=f"{QUICK_STATES} states instead of {STATES}")
    options = parser.parse_args(arguments)
    states = QUICK_STATES if options.quick else STATES
    compiled = load_compiled()
    netlist = vehicle(1)
    begin = time.perf_counter()
    ready = ready_for(netlist)
    prepared_s = time.perf_counter() - begin
    switches = [v.name for v in netlist.variables if v.is_input and v.name.startswith("S")]
    draw = random.Random(2)
    asked = [{name: "on" for name in switches if draw.random() < 0.3} for _ in range(states)]
    rest = settle(ready, {}, {})
    guess = rest.point.inner_v[ready.p.a] - rest.point.inner_v[ready.p.b]
    times, spent = {}, {}
    found = []
    for name, start in (("cold", None), ("warm", guess)):
        begin, spent_before = time.perf_counter(), time.process_time()
        found = [settle(ready, inputs, {}, guess=start) for inputs in asked]
        times[name], spent[name] = time.perf_counter() - begin, time.process_time() - spent_before
    wrong = sum(bool(law_errors(netlist, settled.point)) for settled in found)
    figures = {
        "nodes": netlist.nodes,
        "elements": len(netlist.elements),
        "compiled": float(compiled),
        "prepare_s": prepared_s,
        "states": states,
        "cold_s": times["cold"],
        "warm_s": times["warm"],
        "cold_processor_s": spent["cold"],
        "warm_processor_s": spent["warm"],
        "target_s": 1.0 * states / STATES,
        "findings": sum(len(settled.findings) for settled in found),
        "states_against_a_law": wrong,
    }
    if options.json:
        print(json.dumps({"benchmark": "settle_speed", "figures": figures, "cases": states}))
    else:
        for name, value in figures.items():
            print(f"{name:24} {value:12.4g}")
    return int(wrong > 0 or times["cold"] > figures["target_s"])


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
