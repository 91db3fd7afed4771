"""How long the tool's own sessions are: steps and minutes until a repair is proposed, over hidden faults drawn by seed.

    python benchmarks/sessions.py [--json] [--quick] [--faults 40]

Faults are drawn from the catalogue of the three example vehicles, each that gives a complaint. Minutes are those of the
step costs, repairs left out. `right` is a case in which the first repair proposed is the hidden fault's or, where a
class is named, the class holds it; `wrong_parts` are repairs made before the one that cured.
"""

import argparse
import json
import math
import time
from dataclasses import asdict, dataclass
from pathlib import Path

from loombench.app.case import Case, bench_for
from loombench.app.finding import answer, cannot, next_step, open_case, verdict
from loombench.app.practice import PRACTICE_TIME, PracticeVehicle, hide, usual_conditions
from loombench.app.vehicles import open_vehicle
from loombench.diagnose.bench import Bench
from loombench.diagnose.suspect import group_of
from loombench.record.memory import MemoryStore

EXAMPLES = Path(__file__).parent.parent / "examples"
VEHICLES = ("telehandler-roof", "flatbed-indicators", "tipper-tarpaulin")
MOST = 60
ERROR = 0.004


@dataclass(frozen=True)
class Session:
    """One case: how it went. `slowest_s` is the longest wait for a step."""

    vehicle: str
    hidden: str
    complaint: str
    steps: int
    minutes: float
    state: str
    right: bool
    class_size: int
    wrong_parts: int
    cured: bool
    slowest_s: float
    trail: tuple[str, ...]


def session(name: str, bench: Bench, seed: int) -> Session | None:
    """The tool's own steps on a vehicle with the fault of that seed; None where none gives a complaint."""
    vehicle = bench.vehicle
    drawn = hide(vehicle, seed, usual_conditions(vehicle))
    if drawn is None:
        return None
    fault, complaint = drawn
    practice = PracticeVehicle(vehicle, fault, seed, ERROR)
    truth = group_of(vehicle, fault)
    case: Case = open_case(vehicle, "0" * 64, complaint, MemoryStore(), str(seed), PRACTICE_TIME, bench=bench)
    steps, seconds, wrong, state, right, size, slowest = 0, 0.0, 0, "", False, 0, 0.0
    trail: list[str] = []
    for _ in range(MOST):
        start = time.perf_counter()
        card = next_step(case)
        slowest = max(slowest, time.perf_counter() - start)
        if card is None or verdict(case).state == "cured":
            break
        step = case.offered(card.id)
        if step.kind == "mend":
            group = card.id.removeprefix("mend ")
            if not state and verdict(case).state != "searching":
                said = verdict(case)
                state, size, right = said.state, len(said.groups), truth in said.groups
            wrong += group != truth
        else:
            steps, seconds = steps + 1, seconds + card.cost_s
        said_now = practice.reply(step, case.course.situation.repaired)
        trail.append(f"{card.id} -> {said_now}")
        if isinstance(said_now, float) and math.isnan(said_now):
            case = cannot(case, card.id, "no answer", PRACTICE_TIME)
        else:
            case = answer(case, card.id, said_now, PRACTICE_TIME)
    ended = verdict(case)
    cured = ended.state == "cured" and ended.groups == (truth,)
    state = state or ended.state
    right = right or (cured and wrong == 0)
    return Session(
        name, str(fault), complaint.text, steps, seconds / 60.0, state, right, size, wrong, cured, slowest, tuple(trail)
    )


def run(count: int) -> list[Session]:
    """`count` sessions, taken in turn from the vehicles."""
    found: list[Session] = []
    for place, name in enumerate(VEHICLES):
        bench = bench_for(open_vehicle(str(EXAMPLES / name)).vehicle)
        for seed in range(place, count, len(VEHICLES)):
            one = session(name, bench, seed)
            if one is not None:
                found.append(one)
    return found


def figures(found: list[Session]) -> dict[str, float]:
    """Flat names to numbers."""
    n = max(len(found), 1)
    return {
        "cases": len(found),
        "mean_steps": sum(one.steps for one in found) / n,
        "mean_minutes": sum(one.minutes for one in found) / n,
        "most_steps": max((one.steps for one in found), default=0),
        "right_share": sum(one.right for one in found) / n,
        "cured_share": sum(one.cured for one in found) / n,
        "wrong_parts_mean": sum(one.wrong_parts for one in found) / n,
        "proven_share": sum(one.state in ("proven", "cured") for one in found) / n,
        "slowest_step_s": max((one.slowest_s for one in found), default=0.0),
    }


def main() -> None:
    """Print a table, or one object."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--json", action="store_true")
    parser.add_argument("--quick", action="store_true")
    parser.add_argument("--faults", type=int, default=40)
    parser.add_argument("--trails", action="store_true")
    asked = parser.parse_args()
    found = run(6 if asked.quick else asked.faults)
    numbers = figures(found)
    if asked.json:
        print(json.dumps({"benchmark": "sessions", "figures": numbers, "cases": [asdict(one) for one in found]}))
        return
    for one in found:
        print(
            f"{one.vehicle:20} {one.hidden:38} {one.steps:3d} {one.minutes:6.1f} min {one.state:16}"
            f"{'right' if one.right else 'WRONG'} {one.wrong_parts} {'' if one.cured else 'NOT CURED'}"
        )
        for line in one.trail if asked.trails else ():
            print(f"    {line}")
    for name, value in numbers.items():
        print(f"{name:20} {value:8.3f}")


if __name__ == "__main__":
    main()
