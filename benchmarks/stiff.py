"""Accuracy of the linear kernel on stiff networks (1e-6 to 1e11 ohm), judged by exact rational arithmetic.

The error is taken relative to the sum of contributions: the sum over all sources of |transfer resistance| x |current|.
Dense LU with partial pivoting solves the same networks beside it. Target: below 1e-12.

    python benchmarks/stiff.py [--quick] [--json]
"""

import argparse
import json
import random
import sys
from dataclasses import dataclass
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from loombench.circuit.elimination import plan
from loombench.circuit.kernel import factor, solve
from tests.circuit.oracles import contributions, dense_solve, error_of, stiff_network

SEED = 1
NETWORKS = 200
QUICK_NETWORKS = 50
TARGET = 1e-12


@dataclass(frozen=True)
class Case:
    """One network and its largest error by star-mesh elimination and by dense LU."""

    nodes: int
    edges: int
    star_mesh: float
    dense_lu: float


def measure(seed: int, networks: int) -> list[Case]:
    """Solve `networks` random networks drawn from `seed`."""
    draw = random.Random(seed)
    cases = []
    for _ in range(networks):
        network = stiff_network(draw)
        exact, scale = contributions(network)
        topology = plan(network.nodes, network.edges)
        factors = factor(topology, np.array(network.conductance_s), np.array(network.leak_s))
        volts = solve(topology, factors, np.array(network.current_a))
        try:
            dense = dense_solve(network.nodes, network.edges, network.conductance_s, network.leak_s, network.current_a)
        except np.linalg.LinAlgError:
            # LU took the matrix for singular; no answer counts as all wrong.
            dense_error = 1.0
        else:
            dense_error = error_of(dense, exact, scale)
        cases.append(Case(network.nodes, len(network.edges), error_of(volts, exact, scale), dense_error))
    return cases


def max_stiff_relative_error(seed: int, networks: int) -> float:
    """Return the largest error of the kernel over `networks` random networks drawn from `seed`."""
    return max(case.star_mesh for case in measure(seed, networks))


def main(arguments: list[str]) -> int:
    """Print the table or the JSON object; return 1 if the target is missed."""
    parser = argparse.ArgumentParser(description="Accuracy on stiff networks against exact rationals.")
    parser.add_argument("--json", action="store_true", help="print one JSON object")
    parser.add_argument("--quick", action="store_true", help=f"{QUICK_NETWORKS} networks instead of {NETWORKS}")
    options = parser.parse_args(arguments)
    cases = measure(SEED, QUICK_NETWORKS if options.quick else NETWORKS)
    star_mesh, dense = ([getattr(case, name) for case in cases] for name in ("star_mesh", "dense_lu"))
    figures = {
        "networks": len(cases),
        "target": TARGET,
        "star_mesh_max_relative_error": max(star_mesh),
        "star_mesh_median_relative_error": float(np.median(star_mesh)),
        "dense_lu_max_relative_error": max(dense),
        "dense_lu_median_relative_error": float(np.median(dense)),
        "networks_where_dense_lu_is_better": sum(d < s for s, d in zip(star_mesh, dense, strict=True)),
    }
    if options.json:
        print(json.dumps({"benchmark": "stiff", "figures": figures, "cases": [vars(case) for case in cases]}))
    else:
        for name, value in figures.items():
            print(f"{name:36s} {value:.3g}")
    return int(max(star_mesh) >= TARGET)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
