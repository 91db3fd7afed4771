"""How long a vehicle of 2,000 wires takes to become a netlist, and a fault to be put into it.

    python benchmarks/lowering.py [--quick] [--json]

Times are the best of several runs on this machine; compare them with each other and not between machines.
"""

import argparse
import json
import sys
import time
from collections.abc import Callable
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))

from loading import harness

from loombench.circuit.catalogue import single_faults
from loombench.circuit.lower import LoweringOf, lower
from loombench.text.load import load_text


def best_s(task: Callable[[], object], runs: int) -> float:
    """The shortest of several runs, in seconds."""
    times = []
    for _ in range(runs):
        start = time.perf_counter()
        task()
        times.append(time.perf_counter() - start)
    return min(times)


def main() -> int:
    """Measure and print."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--quick", action="store_true")
    parser.add_argument("--json", action="store_true")
    options = parser.parse_args()
    runs = 3 if options.quick else 7
    vehicle = load_text(harness(2000)).value
    netlist = lower(vehicle).value
    faults = single_faults(vehicle)
    lowering = LoweringOf(vehicle)
    some = faults[:: max(1, len(faults) // 200)]

    def put_in() -> bool:
        return all(lowering(vehicle, (fault,)).usable for fault in some)

    figures = {
        "wires": len(vehicle.wires),
        "nodes": netlist.nodes,
        "elements": len(netlist.elements),
        "single_faults": len(faults),
        "lower_2000_wires_s": round(best_s(lambda: lower(vehicle), runs), 4),
        "single_faults_s": round(best_s(lambda: single_faults(vehicle), runs), 4),
        "inject_one_fault_s": round(best_s(put_in, runs) / len(some), 6),
        "faults_put_in": len(some) if put_in() else 0,
    }
    if options.json:
        cases = [{"name": "harness", "wires": len(vehicle.wires)}]
        print(json.dumps({"benchmark": "lowering", "figures": figures, "cases": cases}))
    else:
        for name, value in figures.items():
            print(f"{name:24} {value}")
    return 0 if figures["faults_put_in"] else 1


if __name__ == "__main__":
    sys.exit(main())
