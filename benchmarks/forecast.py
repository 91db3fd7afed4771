"""How fast the forecast is, how much of it the port tables cover, and how far they are from the reference.

    python benchmarks/forecast.py [--json] [--quick]

Per vehicle: all rows of one condition from nothing and again, then the first step of cases on the largest vehicle and
the steps after it, the practice vehicle answering. Seconds are of processor time, since other work on the machine must
not count; `rows_per_second` is against the reference's own rate, measured on a sample in the same process.
"""

import argparse
import json
import resource
import statistics
import tempfile
import time
from dataclasses import replace
from pathlib import Path

import numpy as np

from loombench.app.finding import answer, next_step
from loombench.app.search import practice_answer, start
from loombench.circuit.catalogue import single_faults
from loombench.circuit.lower import LoweringOf
from loombench.circuit.operate import operate
from loombench.circuit.ready import ready_for
from loombench.diagnose.aided import AidedForecast
from loombench.diagnose.audit import Counts
from loombench.diagnose.hypothesis import hypotheses
from loombench.diagnose.tabled import TabledForecast
from loombench.text.load import load_file
from loombench.vehicle.condition import Condition, Operation

EXAMPLES = Path(__file__).parents[1] / "examples"
STATES = (
    ("telehandler-roof", "S4", "on"),
    ("road-sweeper", "", ""),
    ("camper-van", "", ""),
    ("library-van", "lights", "side"),
)
CASES = (
    ("E5 dead when lights=side", "open E5"),
    ("E6 dead when lights=side", "open contact E6.1"),
    ("E1.56b-31 dead when S3=dip", "blown F20"),
)
STEPS = 6
SAMPLE = 12
TIME = "2026-01-01T00:00:00+00:00"


def state(name: str, control: str, position: str) -> dict[str, float | str]:
    """One condition of one vehicle, all rows."""
    car = load_file(EXAMPLES / name).value
    known = hypotheses(car, single_faults(car))
    condition = Condition((Operation("set", control, position),)) if control else Condition()
    begun = time.process_time()
    lowering = LoweringOf(car)
    forecast = TabledForecast(car, known.faults, lowering)
    forecast.sights(condition)
    first_s = time.process_time() - begun
    begun = time.process_time()
    forecast.sights(condition)
    cached_s = time.process_time() - begun
    rows = np.random.default_rng(1).choice(len(known.faults), SAMPLE, replace=False)
    begun = time.process_time()
    for row in rows.tolist():
        operate(ready_for(lowering(car, known.faults[row]).value, forecast.reference.sound), condition)
    each_s = (time.process_time() - begun) / SAMPLE
    found: dict[str, float | str] = {"case": f"{name} {condition}", "rows": len(known.faults)}
    found |= {"first_s": first_s, "cached_s": cached_s, "reference_s": each_s * len(known.faults)}
    found |= {"times_faster": each_s * len(known.faults) / first_s, **counted([forecast.counts])}
    return found


def counted(counts: list[Counts]) -> dict[str, float]:
    """What the forecasts counted, added up."""
    reasons = sorted({why for one in counts for why in one.replayed})
    return {
        "tabled": sum(one.tabled for one in counts),
        "apart": sum(one.apart for one in counts),
        **{f"fell_back_{why}": sum(one.replayed.get(why, 0) for one in counts) for why in reasons},
        "audited": sum(one.audited for one in counts),
        "audit_failures": sum(one.audit_failures for one in counts),
        "max_difference": max((one.max_difference for one in counts), default=0.0),
    }


def steps(complaint: str, hidden: str, count: int) -> dict[str, float | str]:
    """A case on the largest vehicle: seconds of the first step and of those after it."""
    with tempfile.TemporaryDirectory() as folder:
        begun = start(str(EXAMPLES / "library-van"), complaint, Path(folder), "1", TIME, hidden)
        if begun.value is None:
            raise SystemExit(f"{complaint}: {[problem.code for problem in begun.problems]}")
        case, seconds = begun.value.case, []
        for _ in range(count):
            since = time.process_time()
            card = next_step(case)
            seconds.append(time.process_time() - since)
            if card is None:
                break
            case = answer(case, card.id, practice_answer(replace(begun.value, case=case), card.id), TIME)
        forecast = case.bench.forecast
        made = forecast.made() if isinstance(forecast, AidedForecast) else ()
        counts = [one.counts for one in made if isinstance(one, TabledForecast)]
    later = seconds[1:] or [0.0]
    found: dict[str, float | str] = {"case": f"{complaint} ({hidden})", "first_step_s": seconds[0]}
    return found | {"next_median_s": statistics.median(later), "next_worst_s": max(later), **counted(counts)}


def main() -> None:
    """Print the table, or one JSON object."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--json", action="store_true")
    parser.add_argument("--quick", action="store_true", help="small vehicles alone")
    given = parser.parse_args()
    states = STATES[:-1] if given.quick else STATES
    cases: list[dict[str, float | str]] = [state(*one) for one in states]
    played = [] if given.quick else [steps(*one, STEPS) for one in CASES]
    largest = cases[-1]
    both = [*cases, *played]
    figures: dict[str, float] = {
        f"{key}_largest": float(largest[key]) for key in ("rows", "first_s", "cached_s", "times_faster")
    }
    figures |= {name: float(sum(float(one.get(name, 0.0)) for one in both)) for name in ("tabled", "audited")}
    figures["fell_back"] = sum(float(v) for one in both for k, v in one.items() if k.startswith("fell_back"))
    figures["audit_failures"] = sum(float(one["audit_failures"]) for one in both)
    figures["max_difference"] = max(float(one["max_difference"]) for one in both)
    if played:
        figures["first_step_worst_s"] = max(float(one["first_step_s"]) for one in played)
        figures["next_step_median_s"] = statistics.median(float(one["next_median_s"]) for one in played)
        figures["next_step_worst_s"] = max(float(one["next_worst_s"]) for one in played)
    figures["peak_rss_mib"] = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024.0
    if given.json:
        print(json.dumps({"benchmark": "forecast", "figures": figures, "cases": both}))
        return
    for one in both:
        print(one["case"])
        print("   ", ", ".join(f"{key} {value:.4g}" for key, value in one.items() if not isinstance(value, str)))
    print(", ".join(f"{key} {value:.4g}" for key, value in figures.items()))


if __name__ == "__main__":
    main()
