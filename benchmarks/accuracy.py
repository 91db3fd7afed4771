"""What every node reads and what relays, fuses and modules do, against ngspice; healthy and with a fault.

Over the example vehicles: every position of each function's controls, pairs of positions across functions, each plug
and seat, random histories; then single faults drawn at random. ngspice moves relays, fuses, modules and converters
itself from a rise of the supply (see `tests/ngspice/compare.py`). Circuits written by hand as sheets are compared too.
Of a vehicle with over 1,500 nodes, through which ngspice takes up to minutes a state, a sample of the states with few
operations is compared. Wants libngspice0. Targets: 1e-5 V + 1e-6 relative healthy, 2e-4 V faulted, no event apart.

    python benchmarks/accuracy.py [--quick] [--json] [--jobs N]
"""

import argparse
import json
import random
import sys
from collections import Counter
from collections.abc import Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from benchmarks.states import State, states
from benchmarks.stiff import QUICK_NETWORKS, SEED, max_stiff_relative_error
from loombench.circuit.catalogue import single_faults
from loombench.circuit.fault import Fault
from loombench.circuit.lower import lower
from loombench.circuit.netlist import Netlist
from loombench.text.load import load_file
from loombench.vehicle.condition import Condition
from loombench.vehicle.model import Vehicle
from tests.ngspice.byhand import Sheet, compare_sheet, sheets
from tests.ngspice.compare import ABSOLUTE_V, Comparison, compare
from tests.ngspice.driver import Spice

ROOT = Path(__file__).resolve().parents[1]
FAULTED_V = 2e-4
TIMEOUT_S, LARGE_TIMEOUT_S = 20.0, 240.0
LARGE_NODES, LARGE_STATES, LARGE_FAULTS, LARGE_OPERATIONS = 1500, 40, 20, 5
WALKS, FAULTS = 40, 60
QUICK_STATES, QUICK_FAULTS = 5, 3


@dataclass(frozen=True)
class Task:
    """A vehicle's share of the work: conditions of the healthy one, and (fault, condition) pairs."""

    file: str
    healthy: tuple[State, ...]
    faulted: tuple[tuple[Fault, Condition], ...]


@dataclass(frozen=True)
class Result:
    """What came of a task; misses are (kind, file, fault, state, where, engine, ngspice)."""

    file: str
    healthy: Comparison
    faulted: Comparison
    families: Counter[str]
    misses: tuple[tuple[str, ...], ...]


def files() -> tuple[str, ...]:
    """The vehicles compared, by path from the repository."""
    folders = sorted((ROOT / "examples").glob("*/vehicle.circuit"))
    cases = sorted((ROOT / "examples" / "cases").glob("[0-9]*.circuit"))
    return tuple(str(path.relative_to(ROOT)) for path in folders + cases)


def load(file: str) -> Vehicle:
    """A vehicle by path from the repository."""
    return load_file(ROOT / file).value


def task_of(file: str, seed: int, quick: bool) -> Task:
    """The work on a vehicle; the same for the same seed."""
    vehicle = load(file)
    netlist = lower(vehicle).value
    everything = states(netlist, seed, WALKS)
    draw = random.Random(f"{file} {seed}")
    most, most_faults = (QUICK_STATES, QUICK_FAULTS) if quick else (len(everything), FAULTS)
    if netlist.nodes > LARGE_NODES:
        everything = tuple(state for state in everything if len(state.condition.operations) <= LARGE_OPERATIONS)
        most, most_faults = (1, 0) if quick else (LARGE_STATES, LARGE_FAULTS)
    chosen = everything if most >= len(everything) else tuple(draw.sample(everything, most))
    faults = single_faults(vehicle)
    wanted = min(most_faults, len(faults))
    conditions = [state.condition for state in everything]
    drawn = tuple((fault, draw.choice(conditions)) for fault in draw.sample(faults, wanted))
    return Task(file, chosen, drawn)


def work(task: Task) -> Result:
    """Compare all of a task with an ngspice of its own."""
    vehicle = load(task.file)
    netlist = lower(vehicle).value
    healthy, faulted = Comparison(), Comparison(absolute_v=FAULTED_V)
    misses: list[tuple[str, ...]] = []
    with Spice(LARGE_TIMEOUT_S if netlist.nodes > LARGE_NODES else TIMEOUT_S) as spice:
        for state in task.healthy:
            _one(spice, netlist, state.condition, ABSOLUTE_V, healthy, (task.file, ""), misses)
        for fault, condition in task.faulted:
            broken = lower(vehicle, (fault,)).value
            _one(spice, broken, condition, FAULTED_V, faulted, (task.file, str(fault)), misses)
    return Result(task.file, healthy, faulted, Counter(state.family for state in task.healthy), tuple(misses))


def _one(
    spice: Spice,
    netlist: Netlist,
    condition: Condition,
    absolute_v: float,
    total: Comparison,
    named: tuple[str, str],
    misses: list[tuple[str, ...]],
) -> None:
    found = compare(spice, netlist, condition, absolute_v)
    misses += [(miss.kind, *named, str(condition), miss.where, miss.engine, miss.ngspice) for miss in found.misses]
    total.add(found)


def split(task: Task, parts: int) -> list[Task]:
    """A task in several of about the same size."""
    return [
        Task(task.file, task.healthy[k::parts], task.faulted[k::parts])
        for k in range(parts)
        if task.healthy[k::parts] or task.faulted[k::parts]
    ]


def measure(seed: int, quick: bool, jobs: int) -> list[Result]:
    """All vehicles, by `jobs` processes; results in the order of the files."""
    tasks = [part for file in files() for part in split(task_of(file, seed, quick), 1 if quick else 4)]
    with ProcessPoolExecutor(jobs) as pool:
        return list(pool.map(work, tasks))


def by_hand() -> list[tuple[Sheet, float]]:
    """The circuits written by hand, with the largest difference of each in volts."""
    with Spice() as spice:
        return [(sheet, compare_sheet(spice, sheet).max_error_v) for sheet in sheets()]


def figures_of(results: Sequence[Result], hand: Sequence[tuple[Sheet, float]], stiff: float) -> dict[str, float]:
    """The figures by name."""
    healthy, faulted = Comparison(), Comparison(absolute_v=FAULTED_V)
    families: Counter[str] = Counter()
    for result in results:
        healthy.add(result.healthy)
        faulted.add(result.faulted)
        families += result.families
    kinds = Counter((miss[0], bool(miss[2])) for result in results for miss in result.misses)
    return {
        "states": healthy.states,
        "states_enumerated": families["full"],
        "states_pairwise": families["pairs"],
        "states_plugs": families["plugs"],
        "states_histories": families["history"],
        "phases": healthy.phases,
        "clocks_forced": healthy.clocks_forced,
        "nodes_compared": healthy.nodes,
        "island_pins_compared": healthy.island_nodes,
        "nodes_held_by_junctions": healthy.held_nodes,
        "max_error_v": healthy.max_error_v,
        "max_error_over_tolerance": healthy.over,
        "event_decisions": healthy.decisions,
        "event_decisions_at_rest": healthy.still,
        "event_mismatches": kinds["event", False] + kinds["chatter", False] + kinds["no-answer", False],
        "volts_missed": kinds["volts", False],
        "floating_missed": kinds["floating", False],
        "judge_failed": kinds["judge", False],
        "judge_retries": healthy.retries + faulted.retries,
        "faulted_netlists": faulted.states,
        "faulted_nodes_compared": faulted.nodes,
        "faulted_island_pins_compared": faulted.island_nodes,
        "max_faulted_error_v": faulted.max_error_v,
        "faulted_event_decisions": faulted.decisions,
        "faulted_event_mismatches": kinds["event", True] + kinds["chatter", True] + kinds["no-answer", True],
        "faulted_volts_missed": kinds["volts", True],
        "faulted_floating_missed": kinds["floating", True],
        "faulted_judge_failed": kinds["judge", True],
        "hand_written_circuits": len(hand),
        "max_hand_written_error_v": max((error for _, error in hand), default=0.0),
        "max_stiff_relative_error": stiff,
    }


UNANSWERED = 0.01
"""The share of states for which the simulator may find no solution; each of them is listed."""


def main(arguments: Sequence[str]) -> int:
    """Print the table or the JSON object; return 1 if the two differ somewhere, or ngspice too often gave no answer."""
    parser = argparse.ArgumentParser(description="Volts and events against ngspice.")
    parser.add_argument("--json", action="store_true", help="print one JSON object")
    parser.add_argument("--quick", action="store_true", help="a sample of the states and faults, below a minute")
    parser.add_argument("--jobs", type=int, default=2, help="processes")
    parser.add_argument("--seed", type=int, default=1, help="of histories, faults and samples")
    options = parser.parse_args(arguments)
    results = measure(options.seed, options.quick, options.jobs)
    figures = figures_of(results, by_hand(), max_stiff_relative_error(SEED, QUICK_NETWORKS))
    misses = [miss for result in results for miss in result.misses]
    if options.json:
        keys = ("kind", "file", "fault", "state", "where", "engine", "ngspice")
        cases = [dict(zip(keys, miss, strict=True)) for miss in misses]
        print(json.dumps({"benchmark": "accuracy", "figures": figures, "cases": cases}))
    else:
        for name, value in figures.items():
            print(f"{name:32s} {value:.6g}")
        for miss in misses:
            print(" | ".join(miss))
    apart = [miss for miss in misses if miss[0] != "judge"]
    unanswered = (len(misses) - len(apart)) / max(1.0, figures["states"] + figures["faulted_netlists"])
    return int(bool(apart) or unanswered > UNANSWERED)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
