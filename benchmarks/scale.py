"""How all that a search needs grows with the vehicle: 200 to 6,000 wires made up by `fleet.py`, beside ngspice.

    python benchmarks/scale.py [--json] [--quick] [--sizes 200,1000]

Each size in a process of its own: loading, lowering, 40 states from rest, all hypotheses of one state from nothing and
again, the first step after a complaint in a state never looked at and in one that has its tables, the step after a
reading (answered at once, and after as long as a person takes for it), and memory. Seconds are of processor time, so
that other work on the machine does not count, and of one core.

ngspice solves the same faults (a wire with one ohm more) in the same run: the sheet read anew for each, and kept warm
with one resistor altered. It is handed every relay and fuse as found and starts at the sound vehicle's volts, which
spares it the history that is replayed here; its answers are compared. Without libngspice0 those figures are left out.
Where all hypotheses of a state would take over `BUDGET_S` a sample of them is timed (`hypotheses_timed`), and
`hypotheses_s` and `state_mib`, the memory of what is kept of all of them in one state, are reckoned from it; no cases
are played where that is over `MOST_STATE_MIB`. Each row of `cases` is a size; `growth_*` is the exponent of
seconds over wires, by least squares on logarithms.
"""

import argparse
import ctypes
import gc
import json
import math
import random
import resource
import statistics
import sys
import tempfile
import time
from collections.abc import Mapping, Sequence
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path
from types import MappingProxyType

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from benchmarks.fleet import write
from benchmarks.scalerivals import rivals
from benchmarks.scalesteps import stepped
from loombench.app.case import bench_for
from loombench.base.heap import one_heap
from loombench.base.waste import look_seldom
from loombench.circuit.catalogue import single_faults
from loombench.circuit.kernel import load_compiled
from loombench.circuit.lower import LoweringOf, lower
from loombench.circuit.operate import Halfway, operate
from loombench.circuit.ready import Ready, ready_for
from loombench.circuit.settle import settle
from loombench.diagnose.audit import Audit
from loombench.diagnose.hypothesis import Hypotheses, hypotheses
from loombench.diagnose.tabled import TabledForecast
from loombench.text.load import load_file
from loombench.vehicle.condition import Condition, Operation
from loombench.vehicle.model import Vehicle

SIZES, QUICK_SIZES = (200, 1000, 2000, 6000), (60, 200)
SEED, STATES, TURNED, LOADS, AUDITED = 1, 40, 6, 3, 12
PILOT, BUDGET_S, QUICK_BUDGET_S = 250, 750.0, 6.0
"""So many hypotheses are tried first; where all of them would then take longer, so many are timed as fit. The rate of
a few is a fourth of that of all (at 1,000 wires), as many go the same way."""
MOST_STATE_MIB = 768.0
"""Where what is seen in one state under all hypotheses takes more, no case is played: it needs several such tables."""
DESIGNED_NODES = 4500
"""The whole vehicle that the targets are meant for has about so many; the nearest size is held against them."""
RUNNING = (("S91", "run"), ("S92", "side"))
"""The state all hypotheses are looked at in: key and side lamps on; a small vehicle has no side lamps."""
GROWING = (
    "load_s",
    "prepare_s",
    "states_s",
    "hypotheses_s",
    "again_s",
    "complaint_s",
    "tabled_s",
    "reading_s",
    "ahead_s",
)
TARGETS = MappingProxyType({
    "states_s": 1.0, "hypotheses_s": 3.0, "tabled_s": 1.0, "tabled_worst_s": 4.0, "reading_s": 0.1, "ahead_s": 0.1,
    "peak_mib": 1024.0,
})  # fmt: skip
"""Seconds of one core, and MiB, at most."""
TIMES_ANEW, TIMES_WARM = 1000.0, 300.0


def measured(wires: int, quick: bool) -> dict[str, float]:
    """The figures of one size."""
    load_compiled()
    look_seldom()
    one_heap()
    with tempfile.TemporaryDirectory() as folder:
        main = write(wires, SEED, Path(folder))
        load_file(main)  # the tables of facts are read once
        found = {"wires": float(wires)}
        spans = []
        for _ in range(LOADS):
            begun = time.process_time()
            vehicle = load_file(main).value
            spans.append(time.process_time() - begun)
    found["load_s"] = min(spans)
    begun = time.process_time()
    ready = ready_for(lower(vehicle).value)
    found["prepare_s"] = time.process_time() - begun
    found |= {"nodes": float(ready.p.netlist.nodes), "elements": float(len(ready.p.netlist.elements))}
    found |= _states(ready, 10 if quick else STATES)
    known = hypotheses(vehicle, single_faults(vehicle))
    sets = [Operation("set", name, position) for name, position in RUNNING if name in vehicle.controls]
    running = Condition(tuple(sets))
    forecast, timed = _hypotheses(vehicle, known, running, QUICK_BUDGET_S if quick else BUDGET_S)
    found |= timed
    audit = Audit(vehicle, forecast.faults, forecast.lowering, ready, SEED)
    sampled = audit.sampled(range(len(forecast.faults)), 4 if quick else AUDITED, (wires,))
    begun = time.process_time()
    for row in sampled:
        audit.sights(forecast.sights(running), row, running)
    found["times_reference"] = (time.process_time() - begun) / len(sampled) * found["hypotheses_per_s"]
    counts = [forecast.counts, audit.counts]
    del forecast, audit
    # A search begins without it; what refers to itself in circles goes when Python looks for it.
    gc.collect()
    if found["state_mib"] <= MOST_STATE_MIB:
        steps, played = stepped(bench_for(vehicle), SEED, 1 if quick else 3)
        counts += played
        found |= steps
    found["audited"] = float(sum(one.audited for one in counts))
    found["audit_failures"] = float(sum(one.audit_failures for one in counts))
    found["max_difference"] = max(one.max_difference for one in counts)
    found["peak_mib"] = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024.0
    # ngspice works in this process and takes memory of its own.
    found |= _rivals(vehicle, running, found["hypotheses_per_s"], quick)
    return found


def _hypotheses(
    vehicle: Vehicle, known: Hypotheses, running: Condition, budget_s: float
) -> tuple[TabledForecast, dict[str, float]]:
    """All hypotheses of a state from nothing, and again; a sample drawn by seed where that would take too long."""
    total = len(known.faults)
    drawn = random.Random(SEED).sample(range(1, total), total - 1)
    _, pilot_s, _ = _looked(vehicle, known, drawn[:PILOT], running)
    most = int(budget_s / pilot_s * PILOT)
    forecast, spent, again_s = _looked(vehicle, known, drawn[: max(most, PILOT)], running)
    rows = len(forecast.faults)
    return forecast, {
        "hypotheses": float(total),
        "hypotheses_timed": float(rows),
        "hypotheses_s": spent / rows * total,
        "hypotheses_per_s": rows / spent,
        "again_s": again_s,
        "fell_back_share": sum(forecast.counts.replayed.values()) / rows,
        "state_mib": forecast.room.kept_bytes / rows * total / 2**20,
    }


def _looked(
    vehicle: Vehicle, known: Hypotheses, rows: Sequence[int], running: Condition
) -> tuple[TabledForecast, float, float]:
    """A forecast for the sound vehicle and these rows, and the seconds of a first and a second look."""
    some = [known.faults[row] for row in (0, *sorted(rows))]
    begun = time.process_time()
    forecast = TabledForecast(vehicle, some, LoweringOf(vehicle))
    forecast.sights(running)
    first_s = time.process_time() - begun
    begun = time.process_time()
    forecast.sights(running)
    return forecast, first_s, time.process_time() - begun


def _states(ready: Ready, count: int) -> dict[str, float]:
    """So many states from rest: the key on, and some controls turned that are drawn by seed. As everywhere that states
    are asked for, they go on from where one that begins alike stood."""
    draw, netlist = random.Random(SEED), ready.p.netlist
    turned = [one for one in netlist.variables if one.is_input and len(one.states) > 1 and ":" not in one.name]
    turned = [one for one in turned if one.name not in ("S90", "S91", "engine")]
    asked = []
    for _ in range(count):
        some = draw.sample(turned, min(TURNED, len(turned)))
        sets = [Operation("set", one.name, draw.choice([s for s in one.states if s != one.rest])) for one in some]
        asked.append(Condition((Operation("set", "S91", "run"), *sets)))
    rest = settle(ready, {}, {})
    halfway: dict[tuple[Operation, ...], Halfway] = {}
    begun = time.process_time()
    for condition in asked:
        operate(ready, condition, rest, halfway)
    spent = time.process_time() - begun
    return {"states_s": spent / count * STATES, "states_per_s": count / spent}


def _rivals(vehicle: Vehicle, running: Condition, per_s: float, quick: bool) -> dict[str, float]:
    try:
        ctypes.CDLL("libngspice.so.0")
    except OSError:
        return {}
    found = rivals(vehicle, running, SEED, 3 if quick else 6, 5 if quick else 12)
    return {
        **found,
        "times_ngspice_anew": per_s * found["ngspice_anew_s"],
        "times_ngspice_warm": per_s * found["ngspice_warm_s"],
    }


def exponent(cases: Sequence[Mapping[str, float]], name: str) -> float | None:
    """The slope of log seconds over log wires; None for fewer than two sizes."""
    points = [(math.log(one["wires"]), math.log(one[name])) for one in cases if one.get(name, 0.0) > 0.0]
    if len(points) < 2:
        return None
    x, y = np.array(points).T
    return float(np.polyfit(x, y, 1)[0])


def figures(cases: Sequence[Mapping[str, float]]) -> dict[str, float]:
    """Flat names to numbers: each figure with its size, exponents, what is worst, and which targets are met."""
    found = {f"{name}_{int(one['wires'])}": value for one in cases for name, value in one.items() if name != "wires"}
    slopes = {name: exponent(cases, name) for name in GROWING}
    found |= {f"growth_{name.removesuffix('_s')}": slope for name, slope in slopes.items() if slope is not None}
    judged = min(cases, key=lambda one: abs(one["nodes"] - DESIGNED_NODES))
    found["judged_wires"] = judged["wires"]
    found["max_audited_difference"] = max(one["max_difference"] for one in cases)
    found["audit_failures"] = sum(one["audit_failures"] for one in cases)
    found |= {f"met_{name}": float(judged[name] <= limit) for name, limit in TARGETS.items() if name in judged}
    if "times_ngspice_anew" in judged:
        found["met_times_ngspice_anew"] = float(judged["times_ngspice_anew"] >= TIMES_ANEW)
        found["met_times_ngspice_warm"] = float(judged["times_ngspice_warm"] >= TIMES_WARM)
        found["median_times_ngspice_warm"] = statistics.median(one["times_ngspice_warm"] for one in cases)
    return found


def main() -> None:
    """Print a table, or one object."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--json", action="store_true")
    parser.add_argument("--quick", action="store_true", help="the smallest vehicles alone")
    parser.add_argument("--sizes", default="", help="wires, with commas")
    given = parser.parse_args()
    sizes = [int(one) for one in given.sizes.split(",") if one] or (QUICK_SIZES if given.quick else SIZES)
    cases = []
    for wires in sizes:
        # A process of its own, so that nothing is known of the vehicle and memory is that of this size.
        with ProcessPoolExecutor(1) as pool:
            cases.append(pool.submit(measured, wires, given.quick).result())
        if not given.json:
            print(" ".join(f"{name} {value:.4g}" for name, value in cases[-1].items()), flush=True)
    numbers = figures(cases)
    if given.json:
        print(json.dumps({"benchmark": "scale", "figures": numbers, "cases": cases}))
        return
    for name in [*cases[0]][1:]:
        print(f"{name:20}", "".join(f"{one.get(name, math.nan):14.4g}" for one in cases))
    for name, value in numbers.items():
        if name.startswith(("growth", "met", "max", "median")):
            print(f"{name:28} {value:10.4g}")


if __name__ == "__main__":
    main()
