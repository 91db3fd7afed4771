"""Finding faults: how often the verdict is right, and minutes to proof against other ways to choose the next step.

Faults are hidden one after the other in the example vehicles; the tool's own steps are taken until it says what it is.
The rivals (`rivals.py`) play the same cases by the same steps and belief. With `--truth ngspice` all that is seen and
read comes from ngspice with a spread that the engine does not know (`spicevehicle.py`), one case in ten being a damage
outside of the catalogue; right is then also to say that nothing fits. A step that touches a circuit marked pyro, hv or
mains is counted by a check of its own (`tests/finding/unsafe.py`), also in vehicles that get such marks.

Targets: right_share >= 0.99, unsafe_steps 0, 15 % fewer minutes than half split and 25 % fewer than the walk;
truth_right_share >= 0.97.

    python benchmarks/finding.py [--quick | --full] [--json] [--truth ngspice] [--shards FOLDER [--kept]] [--files F]
    python benchmarks/finding.py --situation NAME ... [--cases N] [--json] [--shards FOLDER]

With `--situation` (`all`, or names of `situations.py`) the cases are harder than by the book: readings that are wrong,
two faults at once, a damage outside of the catalogue, a fault that comes and goes, weights that are off, and the tool
without one of its ingredients. The figures are explained in `robust.py`; without `--quick` it is 200 cases each.

With `--shards` the cases and each result are kept in a folder as they come, and a run that was ended goes on where it
was; `--kept` prints the figures so far. Results of another state of the engine's source are not taken up.
"""

import argparse
import json
import math
import sys
import time
from collections import Counter
from collections.abc import Mapping, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import asdict, dataclass
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from benchmarks import robust
from benchmarks.findcases import Spec, decode, drawn, encode, files, guarded, load
from benchmarks.findplay import play
from benchmarks.findtruth import cures_of, drawn_truth, truth_vehicle
from benchmarks.kept import source_digest
from benchmarks.rivals import POLICIES
from benchmarks.robust import wilson_low
from benchmarks.situations import SITUATIONS
from loombench.app.case import bench_for
from loombench.app.finding import open_case
from loombench.app.practice import PRACTICE_TIME, PracticeVehicle
from loombench.base.heap import one_heap
from loombench.base.waste import look_seldom
from loombench.circuit.catalogue import single_faults
from loombench.circuit.kernel import load_compiled
from loombench.diagnose.bench import Bench
from loombench.record.memory import MemoryStore
from tests.ngspice.driver import Spice

QUICK_FILES = (
    "examples/cases/0-supply.circuit",
    "examples/cases/1-blower.circuit",
    "examples/cases/5-tarpaulin.circuit",
)
QUICK_CASES, CASES, TRUTH_CASES = 2, 12, 14
FULL_TRUTH = 63
"""Cases a vehicle in the full run: as some have fewer, a thousand in all take so many."""
LARGE, LARGE_CASES = ("examples/library-van/vehicle.circuit",), 6
"""A vehicle of which the full runs take a sample only, and how large it is."""
GUARDED_SHARE = 0.25
METER_ERROR = 0.004
_OWN = ("rivals", "findplay", "findcases", "findtruth", "spicevehicle")
TIMEOUT_S = 10.0
BOOTSTRAPS = 2000
SORT = ("file", "case", "policy")


@dataclass(frozen=True)
class Order:
    """What a process is to do: draw the cases of a vehicle, or play them; `store` keeps results by line, if named."""

    file: str
    seed: int
    most: int | None
    truth: bool
    policies: tuple[str, ...]
    store: str
    specs: tuple[str, ...] = ()
    part: int = 0


def draw_cases(order: Order) -> list[str]:
    """The cases of a vehicle as lines; those kept before are taken up."""
    kind = "truth" if order.truth else "exact"
    kept = _path(order, f"cases-{kind}-{order.most}")
    if kept is not None and kept.exists():
        return kept.read_text().splitlines()
    if order.truth:
        with Spice(TIMEOUT_S) as spice:
            specs = tuple(drawn_truth(order.file, order.seed, order.most or FULL_TRUTH, spice))
    else:
        specs = tuple(drawn(order.file, order.seed, order.most))
        specs += guarded(specs[: math.ceil(GUARDED_SHARE * len(specs))], order.seed)
    lines = [encode(spec) for spec in specs]
    if kept is not None:
        half = kept.with_suffix(".part")
        half.write_text("".join(f"{line}\n" for line in lines))
        half.rename(kept)
    return lines


def play_cases(order: Order) -> list[dict[str, object]]:
    """Play cases of one vehicle with each policy; a result kept before is taken up."""
    kept = _path(order, f"results-{'truth' if order.truth else 'exact'}-{order.part}")
    known: dict[tuple[str, str], dict[str, object]] = {}
    if kept is not None and kept.exists():
        for line in kept.read_text().splitlines():
            try:
                result = json.loads(line)
            except json.JSONDecodeError:
                # The run was ended while it wrote the line.
                continue
            known[result["case"], result["policy"]] = result
    load_compiled()
    look_seldom()
    one_heap()
    found = []
    benches: dict[object, Bench] = {}
    with Spice(TIMEOUT_S) as spice:
        for line in order.specs:
            spec = decode(line)
            for policy in order.policies if spec.kind == "catalogue" else order.policies[:1]:
                result = known.get((spec.name, policy))
                if result is None:
                    if spec.marks not in benches:
                        benches[spec.marks] = bench_for(load(spec.file, spec.marks))
                    result = _result(spec, benches[spec.marks], policy, spice if order.truth else None)
                    if kept is not None:
                        with kept.open("a") as lines:
                            lines.write(json.dumps(result) + "\n")
                found.append(result)
    return found


def _path(order: Order, what: str) -> Path | None:
    if not order.store:
        return None
    name = order.file.removesuffix(".circuit").replace("/", "-")
    return Path(order.store) / f"{name}-{what}-seed{order.seed}.jsonl"


def _result(spec: Spec, bench: Bench, policy: str, spice: Spice | None) -> dict[str, object]:
    vehicle = bench.vehicle
    case = open_case(vehicle, "0" * 64, spec.complaint, MemoryStore(), "case", PRACTICE_TIME, bench=bench)
    began = time.perf_counter()
    cures = cures_of(vehicle, spec)
    if spice is None:
        practice = PracticeVehicle(vehicle, spec.hidden, spec.seed, METER_ERROR)
        played = play(case, practice.reply, cures, policy)
    else:
        truth = truth_vehicle(vehicle, spice, spec)
        played = play(case, truth.reply, cures, policy, nothing_is_right=spec.kind == "outside")
    named = {"file": spec.file, "case": spec.name, "kind": spec.kind}
    hidden = " ".join(spec.outside) or str(spec.hidden)
    told = {"hidden": hidden, "complaint": spec.complaint.text, "truth": sorted(cures)}
    return named | told | asdict(played) | {"seconds": round(time.perf_counter() - began, 2)}


def measure(
    wanted: Sequence[str], seed: int, most: int | None, truth: bool, jobs: int, shards: str, parts: int = 1
) -> list[dict[str, object]]:
    """Draw the cases of all vehicles, then play them, by `jobs` processes."""
    store = ""
    if shards:
        folder = Path(shards) / source_digest(_OWN)
        folder.mkdir(parents=True, exist_ok=True)
        store = str(folder)
    policies = ("own",) if truth else tuple(POLICIES)
    orders = [Order(file, seed, _most_of(file, most), truth, policies, store) for file in wanted]
    with ProcessPoolExecutor(jobs) as pool:
        # All cases are fixed before the first is played.
        lines = list(pool.map(draw_cases, orders))
        plays = [
            Order(order.file, seed, order.most, truth, policies, store, tuple(cases[part::parts]), part)
            for order, cases in zip(orders, lines, strict=True)
            for part in range(parts)
            if cases[part::parts]
        ]
        results = [result for some in pool.map(play_cases, plays) for result in some]
    return sorted(results, key=lambda result: tuple(str(result[key]) for key in SORT))


def _most_of(file: str, most: int | None) -> int | None:
    return min(most or LARGE_CASES, LARGE_CASES) if file in LARGE else most


def kept_results(shards: str, truth: bool, seed: int) -> list[dict[str, object]]:
    """What a folder of shards holds of this state of the source: the cases that all policies have played."""
    kind = "truth" if truth else "exact"
    paths = sorted((Path(shards) / source_digest(_OWN)).glob(f"*-results-{kind}-*-seed{seed}.jsonl"))
    found: dict[tuple[str, str], dict[str, object]] = {}
    for path in paths:
        for line in path.read_text().splitlines():
            try:
                result = json.loads(line)
            except json.JSONDecodeError:
                continue
            found[result["case"], result["policy"]] = result
    policies = ("own",) if truth else tuple(POLICIES)
    whole = [
        one
        for one in found.values()
        if one["kind"] != "catalogue" or all((one["case"], policy) in found for policy in policies)
    ]
    return sorted(whole, key=lambda result: tuple(str(result[key]) for key in SORT))


def figures_of(results: Sequence[Mapping[str, object]], truth: bool, wanted: Sequence[str]) -> dict[str, float]:
    """The figures by name."""
    own = [result for result in results if result["policy"] == "own" and result["kind"] != "guarded"]
    count = len(own)
    sizes = [len(_names(result)) for result in own if _names(result)]
    right = sum(bool(result["right"]) for result in own)
    found: dict[str, float] = {
        "cases": count,
        "vehicles": len(wanted),
        "faults_in_catalogues": sum(len(single_faults(load(file))) for file in wanted),
        "right_share": right / count if count else 0.0,
        "unique_right_share": _share(own, "unique"),
        "class_size_mean": float(np.mean(sizes)) if sizes else 0.0,
        "class_size_p95": float(np.percentile(sizes, 95)) if sizes else 0.0,
        "wrong_part_share": _share(own, "wrong_part"),
        "mean_minutes": _mean(own, "minutes"),
        "mean_minutes_with_repairs_in_vain": _mean(own, "minutes_repairs"),
        "mean_steps": _mean(own, "steps"),
        "mean_declined": _mean(own, "declined"),
        "unsafe_steps": sum(len(_list(result["unsafe"])) for result in results),
        "guarded_cases": sum(result["kind"] == "guarded" for result in results),
        "guarded_steps": sum(float(str(result["steps"])) for result in results if result["kind"] == "guarded"),
        "max_seconds_a_case": max((float(str(result["seconds"])) for result in own), default=0.0),
    }
    for state, number in sorted(Counter(str(result["state"]) for result in own).items()):
        found[f"ended_{state.replace('-', '_')}"] = number
    if truth:
        outside = [result for result in own if result["kind"] == "outside"]
        said = sum(result["state"] == "nothing-explains" for result in outside)
        inside = [result for result in own if result["kind"] == "catalogue"]
        return found | {
            "truth_cases": count,
            "truth_right_share": found["right_share"],
            "truth_right_low": wilson_low(right, count),
            "truth_catalogue_cases": len(inside),
            "truth_catalogue_right_share": _share(inside, "right"),
            "truth_outside_cases": len(outside),
            "truth_outside_right_share": _share(outside, "right"),
            "truth_outside_nothing_fits": said,
            "truth_false_nothing_fits": sum(result["state"] == "nothing-explains" for result in inside),
        }
    mine = {str(result["case"]): float(str(result["minutes"])) for result in own}
    for policy in list(POLICIES)[1:]:
        theirs = [result for result in results if result["policy"] == policy]
        minutes = {str(result["case"]): float(str(result["minutes"])) for result in theirs}
        found[f"mean_minutes_{policy}"] = _mean(theirs, "minutes")
        found[f"mean_minutes_{policy}_with_repairs_in_vain"] = _mean(theirs, "minutes_repairs")
        found[f"mean_steps_{policy}"] = _mean(theirs, "steps")
        found[f"right_share_{policy}"] = _share(theirs, "right")
        pairs = np.array([(mine[name], minutes[name]) for name in mine if name in minutes]).reshape(-1, 2)
        fewer, low, high = fewer_than(pairs)
        found |= {f"fewer_than_{policy}": fewer, f"fewer_than_{policy}_low": low, f"fewer_than_{policy}_high": high}
        found[f"slower_than_{policy}_cases"] = int(np.sum(pairs[:, 0] > pairs[:, 1] + 1e-9))
    return found


def fewer_than(pairs: np.ndarray) -> tuple[float, float, float]:
    """The share of minutes saved over all cases [own, rival], with its paired bootstrap 95 % interval."""
    if not len(pairs):
        return 0.0, 0.0, 0.0
    draw = np.random.default_rng(1)
    sums = pairs[draw.integers(0, len(pairs), (BOOTSTRAPS, len(pairs)))].sum(axis=1)
    low, high = np.percentile(1.0 - sums[:, 0] / sums[:, 1], (2.5, 97.5))
    total = pairs.sum(axis=0)
    return float(1.0 - total[0] / total[1]), float(low), float(high)


def _names(result: Mapping[str, object]) -> list[object]:
    return _list(result["named"])


def _list(value: object) -> list[object]:
    return list(value) if isinstance(value, list | tuple) else []


def _share(results: Sequence[Mapping[str, object]], key: str) -> float:
    return sum(bool(result[key]) for result in results) / len(results) if results else 0.0


def _mean(results: Sequence[Mapping[str, object]], key: str) -> float:
    return float(np.mean([float(str(result[key])) for result in results])) if results else 0.0


def losses_of(results: Sequence[Mapping[str, object]]) -> list[dict[str, object]]:
    """Each case that was not right, touched what it must not, or was quicker with a rival: all that is known of it."""
    found: list[dict[str, object]] = []
    mine = {str(result["case"]): result for result in results if result["policy"] == "own"}
    for result in results:
        own = mine[str(result["case"])]
        kind = ""
        if result["unsafe"]:
            kind = "unsafe"
        elif result is own and not result["right"] and result["kind"] != "guarded":
            kind = "wrong-part" if result["wrong_part"] else "not-found"
        elif result is not own and float(str(result["minutes"])) < float(str(own["minutes"])) - 1e-9:
            kind = "slower"
        if kind in ("unsafe", "wrong-part", "not-found"):
            found.append({"loss": kind, **result})
        elif kind:
            keys = ("case", "hidden", "policy", "minutes", "steps")
            found.append({"loss": kind, **{key: result[key] for key in keys}, "own_minutes": own["minutes"]})
    return found


def main(arguments: Sequence[str]) -> int:
    """Print the table or the JSON object; return 1 if a target is missed."""
    parser = argparse.ArgumentParser(description="Right verdicts and minutes to proof.")
    parser.add_argument("--json", action="store_true", help="print one JSON object")
    parser.add_argument("--quick", action="store_true", help="a few cases of three small vehicles, below a minute")
    parser.add_argument("--full", action="store_true", help="all faults that cause a complaint; 1,000 cases of ngspice")
    parser.add_argument("--truth", choices=("exact", "ngspice"), default="exact", help="where the answers come from")
    parser.add_argument("--files", nargs="*", help="vehicles, by path from the repository")
    parser.add_argument("--cases", type=int, help="cases a vehicle")
    parser.add_argument("--seed", type=int, default=1, help="of faults, values and spread")
    parser.add_argument("--jobs", type=int, default=2, help="processes")
    parser.add_argument("--shards", default="", help="a folder that keeps cases and results as they come")
    parser.add_argument("--kept", action="store_true", help="play nothing, print what the shards hold so far")
    parser.add_argument("--situation", nargs="+", choices=("all", *SITUATIONS), default=[], help="harder than usual")
    options = parser.parse_args(arguments)
    if options.situation:
        return _situations(options)
    truth = options.truth == "ngspice"
    wanted = tuple(options.files or (QUICK_FILES if options.quick else files()))
    most = options.cases
    if most is None and options.quick:
        most = QUICK_CASES
    elif most is None and options.full:
        most = FULL_TRUTH if truth else None
    elif most is None:
        most = TRUTH_CASES if truth else CASES
    if options.kept:
        results = kept_results(options.shards, truth, options.seed)
    else:
        parts = options.jobs * 2 if options.full else 1
        results = measure(wanted, options.seed, most, truth, options.jobs, options.shards, parts)
    figures = figures_of(results, truth, wanted)
    losses = losses_of(results)
    _print("finding-ngspice" if truth else "finding", figures, losses, options.json)
    return int(missed(figures, truth))


def _situations(options: argparse.Namespace) -> int:
    names = tuple(SITUATIONS) if "all" in options.situation else tuple(options.situation)
    if options.kept:
        results = robust.kept_results(options.shards, names, options.seed)
    else:
        count = options.cases or (robust.QUICK_CASES if options.quick else robust.CASES)
        results = robust.measure(names, count, options.seed, options.jobs, options.shards)
    figures = robust.figures_of(results)
    _print("finding-situations", figures, robust.losses_of(results), options.json)
    return int(bool(robust.missed(figures)))


def _print(name: str, figures: Mapping[str, float], losses: Sequence[Mapping[str, object]], machine: bool) -> None:
    if machine:
        print(json.dumps({"benchmark": name, "figures": figures, "cases": losses}))
        return
    for figure, value in figures.items():
        print(f"{figure:44s} {value:.6g}")
    for loss in losses:
        print(json.dumps(loss))


def missed(figures: Mapping[str, float], truth: bool) -> bool:
    """Whether a target is missed."""
    if figures["unsafe_steps"]:
        return True
    if truth:
        return figures["truth_right_share"] < 0.97
    saved = figures["fewer_than_half_split"] >= 0.15 and figures["fewer_than_walk"] >= 0.25
    return figures["right_share"] < 0.99 or not saved


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
