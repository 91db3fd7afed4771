"""How long one waits for the next step on the largest example vehicle: cold, and when the tool works ahead meanwhile.

    python benchmarks/waiting.py [--json] [--quick] [--cases 6]

Faults are drawn by seed. Each case is played twice in a process of its own, to the proof or `MOST` steps. `cold` asks
for the next step as soon as the last is answered. `ahead` first works ahead on the answers of the card (`app.ahead`,
as the terminal and the bench do) for as long as a person needs for the step, which is its cost; what it then takes to
be left is waited for too. `first` is from the complaint to the first card. Target: after a reading under a second on
two cores.

All is measured in seconds of the processor, of which one process uses one: these stay nearly the same whatever else the
machine does. `wall` figures are by the clock on the wall, and only as good as the machine is idle.
"""

import argparse
import json
import math
import resource
import sys
import time
from concurrent.futures import ProcessPoolExecutor
from dataclasses import asdict, dataclass
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from benchmarks.findcases import Spec, drawn, load
from loombench.app.ahead import look_ahead
from loombench.app.cards import StepCard
from loombench.app.case import Case, bench_for
from loombench.app.finding import answer, cannot, next_step, open_case
from loombench.app.practice import PRACTICE_TIME, PracticeVehicle
from loombench.base.heap import one_heap
from loombench.base.waste import look_seldom
from loombench.circuit.kernel import load_compiled
from loombench.diagnose.verdict import CURED, PROVEN
from loombench.record.memory import MemoryStore

VAN = "examples/library-van/vehicle.circuit"
SEED, MOST, ERROR = 3, 25, 0.004


@dataclass(frozen=True)
class Waits:
    """The seconds waited for the first card, and for each one after an answer; `wall_s` by the clock on the wall."""

    case: str
    hidden: str
    ahead: bool
    first_s: float
    after_s: tuple[float, ...]
    wall_s: tuple[float, ...]
    peak_mib: float


def played(spec: Spec, ahead: bool) -> Waits:
    """One case with the tool's own steps."""
    load_compiled()
    look_seldom()
    one_heap()
    bench = bench_for(load(spec.file))
    practice = PracticeVehicle(bench.vehicle, spec.hidden, spec.seed, ERROR)
    case: Case = open_case(
        bench.vehicle, "0" * 64, spec.complaint, MemoryStore(), spec.name, PRACTICE_TIME, bench=bench
    )
    waits: list[float] = []
    walls: list[float] = []
    late_s = late_wall_s = 0.0
    began, began_wall = time.process_time(), time.perf_counter()
    for _ in range(MOST):
        card = next_step(case)
        waits.append(time.process_time() - began + late_s)
        walls.append(time.perf_counter() - began_wall + late_wall_s)
        if card is None or case.verdict.state in (PROVEN, CURED):
            break
        step, situation = case.offered(card.id), case.course.situation
        if ahead:
            late_s, late_wall_s = worked_ahead(case, card, step.cost_s(case.bench, situation))
        seen = practice.reply(step, situation.repaired)
        began, began_wall = time.process_time(), time.perf_counter()
        silent = seen is None or (isinstance(seen, float) and math.isnan(seen))
        case = (
            cannot(case, card.id, "no answer", PRACTICE_TIME)
            if silent or seen is None
            else answer(case, card.id, seen, PRACTICE_TIME)
        )
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024.0
    return Waits(spec.name, str(spec.hidden), ahead, waits[0], tuple(waits[1:]), tuple(walls[1:]), peak)


def worked_ahead(case: Case, card: StepCard, seconds: float) -> tuple[float, float]:
    """Work ahead for so long; the seconds by which it is late to be left, of the processor and by the wall."""
    began, began_wall = time.process_time(), time.perf_counter()
    until = began + seconds
    look_ahead(case, card, lambda: time.process_time() > until)
    late = max(time.process_time() - until, 0.0)
    # How long the last piece took is known by the processor alone, so the wall is reckoned in proportion.
    spent = time.process_time() - began
    return late, late * (time.perf_counter() - began_wall) / max(spent, 1e-9)


def figures(found: list[Waits]) -> dict[str, float]:
    """Flat names to numbers."""
    numbers: dict[str, float] = {"cases": len({one.case for one in found})}
    for name, ahead in (("cold", False), ("ahead", True)):
        some = [one for one in found if one.ahead is ahead]
        after = np.array([second for one in some for second in one.after_s])
        wall = np.array([second for one in some for second in one.wall_s])
        numbers |= {
            f"{name}_steps": len(after),
            f"{name}_first_s": max(one.first_s for one in some),
            f"{name}_median_s": float(np.median(after)),
            f"{name}_p95_s": float(np.quantile(after, 0.95)),
            f"{name}_worst_s": float(after.max()),
            f"{name}_under_1s_share": float((after < 1.0).mean()),
            f"{name}_wall_median_s": float(np.median(wall)),
            f"{name}_wall_worst_s": float(wall.max()),
            f"{name}_peak_mib": max(one.peak_mib for one in some),
        }
    return numbers


def main() -> None:
    """Print a table, or one object."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--json", action="store_true")
    parser.add_argument("--quick", action="store_true")
    parser.add_argument("--cases", type=int, default=6)
    asked = parser.parse_args()
    specs = list(drawn(VAN, SEED, 1 if asked.quick else asked.cases))
    found: list[Waits] = []
    for spec in specs:
        for ahead in (False, True):
            # A fresh process, so that nothing is known of the vehicle.
            with ProcessPoolExecutor(1) as pool:
                found.append(pool.submit(played, spec, ahead).result())
            last = found[-1]
            if not asked.json:
                after = " ".join(f"{second:.1f}" for second in last.after_s)
                words = "ahead" if ahead else "cold"
                print(f"{last.hidden:45} {words:6} first {last.first_s:5.1f} s, then {after}", flush=True)
    numbers = figures(found)
    if asked.json:
        print(json.dumps({"benchmark": "waiting", "figures": numbers, "cases": [asdict(one) for one in found]}))
        return
    for name, value in numbers.items():
        print(f"{name:24} {value:9.3f}")


if __name__ == "__main__":
    main()
