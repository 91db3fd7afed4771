"""How long a vehicle takes to load: a made-up harness of 2,000 wires, and a file of 100,000 parts that is refused.

    python benchmarks/loading.py [--quick] [--json]

Times are the best of several runs on this machine; compare them with each other and not between machines.
"""

import argparse
import json
import sys
import time
import tracemalloc

from loombench.text.load import load_text
from loombench.text.write import write


def harness(wires: int) -> str:
    """A circuit of about that many wires: fuse, switch, connector and lamp, over and over, five wires each."""
    chains = (wires - 2) // 5
    lines = ["loombench 1", 'vehicle "Harness" 24V', "colours IEC", "place box reach 1min", "place rear reach 3min"]
    lines += ["body chassis", "stud W1 on chassis at box", "stud W2 on chassis at rear", "battery G1 140Ah at box"]
    ways = 100
    lines += [f"connector X{n} {ways}way cab | frame at box" for n in range(chains // ways + 1)]
    for n in range(chains):
        lines.append(f'fuse F{n} 10A at box "chain {n}"')
        lines.append(f"switch S{n} off | on: 1=2 at box")
        lines.append(f'lamp E{n} 24V 21W at rear "lamp {n}"')
    lines += ["loom cab", "G1.- (BK 50mm2 0.5m) W1/a", "G1.+ (RD 50mm2 0.5m) SP1"]
    for n in range(chains):
        cavity = f"X{n // ways}.{n % ways + 1}"
        lines.append(f"SP1 (RD 2.5mm2 0.4m) F{n} (GY/RD 1mm2 ?m) S{n} (GY 1mm2 2.4m via box) {cavity}")
    lines.append("loom frame")
    for n in range(chains):
        lines.append(f"X{n // ways}.{n % ways + 1} (GY 1mm2 6.5m) E{n} (BN 1mm2 0.8m) W2/r{n}")
    return "\n".join(lines) + "\n"


def parts(count: int) -> str:
    """A file of nothing but parts."""
    return 'loombench 1\nvehicle "Parts" 12V\n' + "".join(f"lamp E{n} 12V 5W\n" for n in range(count))


def best_s(text: str, runs: int) -> float:
    """The shortest of several loads, in seconds."""
    times = []
    for _ in range(runs):
        start = time.perf_counter()
        load_text(text)
        times.append(time.perf_counter() - start)
    return min(times)


def main() -> int:
    """Measure and print."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--quick", action="store_true")
    parser.add_argument("--json", action="store_true")
    options = parser.parse_args()
    text = harness(2000)
    loaded = load_text(text)
    load_text(text)  # the tables of facts are read once
    seconds = best_s(text, 3 if options.quick else 7)
    many = parts(100_000)
    start = time.perf_counter()
    refused = load_text(many)
    many_s = time.perf_counter() - start
    tracemalloc.start()
    load_text(text)
    _, peak = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    start = time.perf_counter()
    write(loaded.value)
    write_s = time.perf_counter() - start
    figures = {
        "wires": len(loaded.value.wires),
        "problems": len(loaded.problems),
        "load_2000_wires_s": round(seconds, 4),
        "write_2000_wires_s": round(write_s, 4),
        "load_2000_wires_peak_mib": round(peak / 2**20, 1),
        "hundred_thousand_parts_s": round(many_s, 3),
        "hundred_thousand_parts_problems": len(refused.problems),
    }
    if options.json:
        cases = [{"name": "harness", "wires": len(loaded.value.wires)}, {"name": "parts", "parts": 100_000}]
        print(json.dumps({"benchmark": "loading", "figures": figures, "cases": cases}))
    else:
        for name, value in figures.items():
            print(f"{name:34} {value}")
    return 0 if not loaded.problems else 1


if __name__ == "__main__":
    sys.exit(main())
