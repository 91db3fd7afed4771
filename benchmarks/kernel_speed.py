"""Time of the linear kernel, numpy and compiled, on networks shaped like a vehicle's and on tangled ones.

Both are chains of 2 to 20 nodes hung on each other, plus a quarter as many cross links as nodes. In `vehicle` a cross
link stays inside a circuit of about 30 nodes or leads to one of a few supplies and grounds; in `tangled` it joins any
two places, which no vehicle does: the worst case for every elimination.

    python benchmarks/kernel_speed.py [--quick] [--json] [--numpy-only]
"""

import argparse
import json
import random
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from functools import partial

import numpy as np

from loombench.circuit import kernel
from loombench.circuit.elimination import plan

SIZES = (60, 500, 5000, 12000)
QUICK_SIZES = (60, 500, 5000)


def network(shape: str, nodes: int, seed: int) -> list[tuple[int, int]]:
    """Return the edges of a network of that shape."""
    draw = random.Random(seed)
    hubs = max(3, nodes // 100)
    edges, made = [(0, k) for k in range(1, hubs)], hubs
    joints = list(range(hubs))
    while made < nodes:
        circuit = [draw.randrange(hubs) if shape == "vehicle" else draw.choice(joints)]
        end = min(nodes, made + 30)
        while made < end:
            at = draw.choice(circuit)
            for _ in range(min(end - made, draw.randint(2, 20))):
                edges.append((at, made))
                at = made
                made += 1
            circuit.append(at)
        joints += circuit[1:]
        for _ in range(8):
            far = joints if shape == "tangled" else circuit if draw.random() < 0.5 else range(hubs)
            edges.append((draw.choice(circuit[1:]), draw.choice(far)))
    names = draw.sample(range(nodes), nodes)
    return [(names[a], names[b]) for a, b in edges if a != b]


def best_us(call: Callable[[], object], seconds: float) -> float:
    """Return the shortest of the runs that fit into `seconds`, in microseconds."""
    stop, shortest = time.perf_counter() + seconds, float("inf")
    while True:
        start = time.perf_counter()
        call()
        now = time.perf_counter()
        shortest = min(shortest, now - start)
        if now > stop:
            return shortest * 1e6


def cases(way: str, sizes: tuple[int, ...], seconds: float) -> Iterator[dict[str, str | float]]:
    """Measure every shape and size; `way` only names what is being measured."""
    for shape in ("vehicle", "tangled"):
        for nodes in sizes:
            edges = network(shape, nodes, 1)
            start = time.perf_counter()
            made = plan(nodes, edges)
            plan_ms = (time.perf_counter() - start) * 1e3
            draw = np.random.default_rng(1)
            conductance, leak = 10.0 ** draw.uniform(-9.0, 5.0, len(edges)), np.full(nodes, 1e-10)
            current, table = draw.uniform(0.0, 1.0, nodes), draw.uniform(0.0, 1.0, (nodes, 100))
            factors = kernel.factor(made, conductance, leak)
            pairs, closed = np.array(edges), conductance > 1e-6
            yield {
                "shape": shape,
                "way": way,
                "nodes": nodes,
                "edges": len(edges),
                "levels": len(made.levels),
                "slots": len(made.row) - nodes,
                "pulls": len(made.pull_share),
                "plan_ms": plan_ms,
                "factor_us": best_us(partial(kernel.factor, made, conductance, leak), seconds),
                "solve_us": best_us(partial(kernel.solve, made, factors, current), seconds),
                "solve_100_us": best_us(partial(kernel.solve, made, factors, table), seconds),
                "islands_us": best_us(partial(kernel.islands, nodes, pairs, closed), seconds),
            }


def measure(quick: bool, compiled: bool) -> tuple[list[dict[str, str | float]], float]:
    """Return the cases and the seconds that loading the compiled loops took; no cases if they are asked for in vain."""
    start = time.perf_counter()
    loaded = kernel.load_compiled()
    load_s = time.perf_counter() - start
    if loaded != compiled:
        return [], load_s
    sizes, seconds = (QUICK_SIZES, 0.05) if quick else (SIZES, 0.5)
    plan(2, [(0, 1)])  # What numpy loads on first use is not the kernel's time.
    return list(cases("compiled" if compiled else "numpy", sizes, seconds)), load_s


def main(arguments: list[str]) -> int:
    """Print the table or the JSON object."""
    parser = argparse.ArgumentParser(description="Time of the linear kernel.")
    parser.add_argument("--json", action="store_true", help="print one JSON object")
    parser.add_argument("--quick", action="store_true", help="leave out the largest size")
    parser.add_argument("--numpy-only", action="store_true", help="leave out the compiled loops")
    options = parser.parse_args(arguments)
    if options.numpy_only:
        sys.modules["numba"] = None  # type: ignore[assignment]  # makes its import fail
        found, load_s = measure(options.quick, compiled=False)
    else:
        # The compiled loops stay once they are loaded, so the reference is measured in a process of its own.
        quick = ["--quick"] if options.quick else []
        child = [sys.executable, __file__, "--numpy-only", "--json", *quick]
        found = json.loads(subprocess.run(child, check=True, capture_output=True, text=True).stdout)["cases"]
        compiled, load_s = measure(options.quick, compiled=True)
        found += compiled
    figures = {
        f"{case['way']}_{case['shape']}_{case['nodes']}_{name}": case[name]
        for case in found
        for name in ("factor_us", "solve_us")
    }
    figures["load_compiled_s"] = load_s
    if options.json:
        print(json.dumps({"benchmark": "kernel_speed", "figures": figures, "cases": found}))
        return 0
    print("  ".join(f"{name:>12s}" for name in found[0]))
    for case in found:
        print("  ".join(f"{v:12.0f}" if isinstance(v, float) else f"{v:>12}" for v in case.values()))
    print(f"loading the compiled loops took {load_s:.2f} s")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
