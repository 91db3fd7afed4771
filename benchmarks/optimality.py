"""How near the choice of steps comes to the least expected cost there is, and how near other ways to choose come.

    python benchmarks/optimality.py [--json] [--quick] [--random 200] [--files F] [--complaints 1] [--seconds 120]
        [--shards FOLDER [--kept]]

Dictionaries (`dictionaries.py`): 200 drawn by seed, of five kinds, and what the tool offers on each example vehicle
once a complaint is verified. All are played to the end by `diagnose.choose.choose` as vehicles are, by the rivals
(`tablerivals.py`) with the same elimination and the same end, and held against exact dynamic programming
(`tests/reference/diagnosis/exact.py`). Of a vehicle the heaviest states are taken, more and more of them, as long as
the optimum closes in `--seconds` of processor time; the largest that closes counts. The next size, at which it did not,
is held against a bound instead, the highest of three: the best code with the cheapest tests (Huffman, Jensen); for
each state the dearest test that must part it from another; the optimum that closed for fewer states, times their share.

Targets: six_state_cost 2.18; the mean of cost over optimum at most 1.01, the 95th percentile at most 1.05, over the
random dictionaries and over the vehicles; never below 1.

With `--shards` the results of each vehicle are kept in a folder as they come, and a run that was ended goes on where it
was; `--kept` prints those alone. Results of another state of the source are not taken up.

A case that is not optimal is listed with the decisions that cost most: `left` are the states at that point, `reached`
how often one comes there, `lost` the part of the optimum given away there.
"""

import argparse
import json
import sys
from collections.abc import Mapping, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import asdict, dataclass, replace
from functools import partial
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from benchmarks.dictionaries import Dictionary, offered, random_dictionary
from benchmarks.findcases import ROOT, files
from benchmarks.kept import source_digest
from benchmarks.tablerivals import RIVALS, rival
from loombench.base.heap import one_heap
from loombench.base.waste import look_seldom
from loombench.circuit.kernel import load_compiled
from tests.reference.diagnosis.dictionary import TableTest, expected_cost
from tests.reference.diagnosis.exact import Exact, NotClosedError
from tests.reference.diagnosis.table import expected

SEED, BOOTSTRAPS = 1, 2000
_OWN = ("optimality", "dictionaries", "tablerivals", "findcases")
SIZES = (8, 12, 16, 24, 32, 48, 64, 96, 128, 192, 256, 384)
QUICK_FILES = ("examples/cases/2-wiper.circuit", "examples/cases/4-body-controller.circuit")
QUICK_RANDOM, QUICK_SECONDS, QUICK_SIZES = 20, 2.0, 16
SAME = 1e-9
WORST = 3
MEAN, P95 = 1.01, 1.05


@dataclass(frozen=True)
class Lost:
    """A decision that was not the best: the test taken and the best one, with what each comes to from there."""

    left: int
    reached: float
    taken: str
    best: str
    lost: float


@dataclass(frozen=True)
class Result:
    """One dictionary. `optimum` is what nothing comes below, the exact one where `closed`; `rivals` are their costs."""

    case: str
    kind: str
    states: int
    groups: int
    tests: int
    whole: bool
    closed: bool
    optimum: float
    own: float
    short: int
    rivals: Mapping[str, float]
    nodes: int
    decisions: tuple[Lost, ...] = ()

    @property
    def ratio(self) -> float:
        """Cost over optimum."""
        return self.own / self.optimum


def measured(one: Dictionary, seconds: float) -> Result:
    """Play a dictionary; its optimum is tried first, its bound taken where that does not close."""
    solver = Exact(one.table, one.costs, seconds)
    closed = True
    try:
        optimum = solver.solve()
    except NotClosedError:
        closed = False
        optimum = solver.bound(one.table.everything)
    own = one.own()
    cost = expected(one.table, one.costs, own)
    names = RIVALS if closed else ()
    rivals = {name: expected(one.table, one.costs, rival(name, one)) for name in names}
    decisions = lost(one, solver, optimum) if closed and cost > optimum * (1.0 + SAME) else ()
    return Result(
        one.name, one.kind, len(one.table.weight), len(set(one.table.group)), len(one.tests), one.whole, closed,
        optimum, cost, own.short, rivals, solver.nodes, decisions,
    )  # fmt: skip


def lost(one: Dictionary, solver: Exact, optimum: float) -> tuple[Lost, ...]:
    """The decisions of the own choice that cost most against going on in the best way."""
    own, found = one.own(), []
    whole = one.table.mass(one.table.everything)
    waiting = [(one.table.everything, 0)]
    while waiting:
        states, standing = waiting.pop()
        if not one.table.useful(states):
            continue
        test = own(tuple(one.table.of(states)), standing)
        mass, after = one.table.mass(states), one.costs.after(test, standing)
        parts = one.table.parts(test, states)
        waiting += [(part, after) for part in parts]
        try:
            solver.more(solver.seconds)
            best, first = solver.at(states, standing)
            ahead = sum(one.table.mass(part) / mass * solver.at(part, after)[0] for part in parts)
        except NotClosedError:
            continue
        more = one.costs.cost(test, standing) + ahead - best
        if more > SAME * optimum and first is not None:
            reached = mass / whole
            named = (one.tests[test].id, one.tests[first].id)
            found.append(Lost(states.bit_count(), round(reached, 4), *named, round(reached * more / optimum, 4)))
    return tuple(sorted(found, key=lambda lost: -lost.lost)[:WORST])


def of_random(seed: int) -> list[Result]:
    """The random dictionary of a seed."""
    return [measured(random_dictionary(seed), float("inf"))]


def of_vehicle(file: str, complaints: int, seconds: float, most: int) -> list[Result]:
    """For each complaint the largest dictionary that closes, and the next one."""
    load_compiled()
    look_seldom()
    one_heap()
    found = []
    for one in offered(file, SEED, complaints):
        last: Result | None = None
        for size in SIZES:
            dictionary = one.dictionary(min(size, most))
            if len(set(dictionary.groups)) < 2 or not dictionary.table.useful(dictionary.table.everything):
                continue
            result = measured(dictionary, seconds)
            if not result.closed:
                # More states cost no less: all plans for them are plans for those that closed.
                sure = (
                    last.optimum * sum(one.weights[: last.states]) / sum(one.weights[: result.states]) if last else 0.0
                )
                found.append(replace(result, optimum=max(result.optimum, sure)))
                break
            last = result
            if dictionary.whole or size >= most:
                break
        found += [last] if last is not None else []
    return found


def six_states() -> float:
    """What the choice costs on the six states of Pattipati and Alexandridis."""
    cases = json.loads((ROOT / "tests" / "reference" / "diagnosis" / "fixtures.json").read_text())
    case = cases["pattipati_1990_recalled"]
    tests = [TableTest(f"t{k + 1}", tuple(row[k] for row in case["D"]), cost) for k, cost in enumerate(case["c"])]
    return expected_cost(case["p"], tests)


def figures_of(results: Sequence[Result]) -> dict[str, float]:
    """Flat names to numbers: ratios over everything that closed, then of the random ones, then of the vehicles."""
    closed = [one for one in results if one.closed]
    vehicles = [one for one in closed if one.kind == "vehicle"]
    drawn = [one for one in closed if one.kind != "vehicle"]
    found: dict[str, float] = {"six_state_cost": six_states()}
    for name, some in (("", closed), ("random_", drawn), ("vehicle_", vehicles)):
        found |= _ratios(name, some)
    named = {one.case.partition(",")[0] for one in results if one.kind == "vehicle"}
    beyond = [one for one in results if not one.closed]
    found |= {
        "random_cases": len(drawn),
        "vehicles": len(named),
        "exact_closed": len({one.case.partition(",")[0] for one in vehicles}),
        "exact_closed_whole": len({one.case.partition(",")[0] for one in vehicles if one.whole}),
        "exact_closed_states_mean": _mean([one.states for one in vehicles]),
        "exact_closed_states_min": min((one.states for one in vehicles), default=0),
        "bounded_cases": len(beyond),
        "bound_ratio_mean": _mean([one.ratio for one in beyond]),
        "bound_ratio_max": max((one.ratio for one in beyond), default=0.0),
        "stopped_short": sum(one.short for one in results),
    }
    for name in RIVALS:
        ratios = np.array([[one.ratio, one.rivals[name] / one.optimum] for one in closed]).reshape(-1, 2)
        low, high = interval(ratios[:, 1] - ratios[:, 0])
        found[f"cost_ratio_mean_{name}"] = _mean(ratios[:, 1])
        found[f"more_than_own_{name}_low"], found[f"more_than_own_{name}_high"] = low, high
        found[f"beaten_by_{name}_cases"] = int((ratios[:, 1] < ratios[:, 0] - SAME).sum())
        found[f"vehicle_cost_ratio_mean_{name}"] = _mean([one.rivals[name] / one.optimum for one in vehicles])
    return found


def _ratios(name: str, some: Sequence[Result]) -> dict[str, float]:
    ratios = np.array([one.ratio for one in some])
    if not len(ratios):
        return {}
    low, high = interval(ratios)
    return {
        f"{name}cost_ratio_mean": float(ratios.mean()),
        f"{name}cost_ratio_mean_low": low,
        f"{name}cost_ratio_mean_high": high,
        f"{name}cost_ratio_p95": float(np.quantile(ratios, 0.95)),
        f"{name}cost_ratio_max": float(ratios.max()),
        f"{name}cost_ratio_min": float(ratios.min()),
        f"{name}optimal_share": float((ratios < 1.0 + SAME).mean()),
    }


def interval(values: Sequence[float] | np.ndarray) -> tuple[float, float]:
    """The bootstrap 95 % interval of a mean."""
    if not len(values):
        return 0.0, 0.0
    some = np.asarray(values, dtype=float)
    drawn = np.random.default_rng(SEED).integers(0, len(some), (BOOTSTRAPS, len(some)))
    low, high = np.percentile(some[drawn].mean(axis=1), (2.5, 97.5))
    return float(low), float(high)


def _mean(values: Sequence[float] | np.ndarray) -> float:
    return float(np.mean(values)) if len(values) else 0.0


def losses_of(results: Sequence[Result]) -> list[dict[str, object]]:
    """Each case that is not optimal, is beaten by a rival, or did not close; the worst first."""
    found = []
    for one in sorted(results, key=lambda one: -one.ratio):
        better = sorted(name for name, cost in one.rivals.items() if cost < one.own - SAME * one.own)
        if not one.closed or better or one.ratio > 1.0 + SAME:
            kept = {key: value for key, value in asdict(one).items() if key != "rivals"}
            found.append({"ratio": round(one.ratio, 5), **kept, "beaten_by": better})
    return found


def missed(figures: Mapping[str, float]) -> bool:
    """Whether a target is missed."""
    groups = [name for name in ("random_", "vehicle_") if f"{name}cost_ratio_mean" in figures]
    above = any(figures[f"{g}cost_ratio_mean"] > MEAN or figures[f"{g}cost_ratio_p95"] > P95 for g in groups)
    return above or abs(figures["six_state_cost"] - 2.18) > SAME or figures["cost_ratio_min"] < 1.0 - SAME


@dataclass(frozen=True)
class Playing:
    """How vehicles are played; `store` keeps the results of each, if named."""

    complaints: int
    seconds: float
    most: int
    store: str = ""

    def path(self, file: str) -> Path:
        """Where the results of a vehicle are kept."""
        name = file.removesuffix(".circuit").replace("/", "-")
        return Path(self.store) / f"{name}-{self.complaints}-{self.seconds:g}-{self.most}.json"


def played(file: str, how: Playing) -> list[Result]:
    """The results of a vehicle, kept before or found now."""
    path = how.path(file)
    if how.store and path.exists():
        return kept_results(file, how)
    found = of_vehicle(file, how.complaints, how.seconds, how.most)
    if how.store:
        half = path.with_suffix(".part")
        half.write_text(json.dumps([asdict(one) for one in found]))
        half.rename(path)
    return found


def kept_results(file: str, how: Playing) -> list[Result]:
    """The results of a vehicle that are kept; none where it has not been played."""
    path = how.path(file)
    known = json.loads(path.read_text()) if path.exists() else []
    return [Result(**{**one, "decisions": tuple(Lost(**lost) for lost in one["decisions"])}) for one in known]


def measure(count: int, wanted: Sequence[str], how: Playing, jobs: int, kept: bool) -> list[Result]:
    """All dictionaries, by so many processes; of the vehicles those that are `kept` alone."""
    with ProcessPoolExecutor(jobs) as pool:
        drawn = pool.map(of_random, range(count), chunksize=10)
        found = pool.map(partial(kept_results if kept else played, how=how), wanted)
        return [result for results in (*drawn, *found) for result in results]


def main(arguments: Sequence[str]) -> int:
    """Print the table or the JSON object; return 1 if a target is missed."""
    parser = argparse.ArgumentParser(description="Expected cost against the optimum.")
    parser.add_argument("--json", action="store_true", help="print one JSON object")
    parser.add_argument("--quick", action="store_true", help="some random ones and two small vehicles, below a minute")
    parser.add_argument("--random", type=int, help="how many drawn by seed")
    parser.add_argument("--files", nargs="*", help="vehicles, by path from the repository")
    parser.add_argument("--complaints", type=int, default=1, help="complaints a vehicle")
    parser.add_argument("--seconds", type=float, default=120.0, help="processor time for one optimum")
    parser.add_argument("--jobs", type=int, default=2, help="processes")
    parser.add_argument("--shards", default="", help="a folder that keeps the results of vehicles as they come")
    parser.add_argument("--kept", action="store_true", help="play no vehicle, take what the shards hold so far")
    options = parser.parse_args(arguments)
    count = options.random if options.random is not None else QUICK_RANDOM if options.quick else 200
    wanted = options.files if options.files is not None else QUICK_FILES if options.quick else files()
    seconds = QUICK_SECONDS if options.quick else options.seconds
    most = QUICK_SIZES if options.quick else SIZES[-1]
    store = ""
    if options.shards:
        folder = Path(options.shards) / source_digest(_OWN, (ROOT / "tests" / "reference" / "diagnosis").glob("*.py"))
        folder.mkdir(parents=True, exist_ok=True)
        store = str(folder)
    how = Playing(options.complaints, seconds, most, store)
    results = measure(count, wanted, how, options.jobs, options.kept)
    figures, losses = figures_of(results), losses_of(results)
    if options.json:
        print(json.dumps({"benchmark": "optimality", "figures": figures, "cases": losses}))
    else:
        for name, value in figures.items():
            print(f"{name:44s} {value:.6g}")
        for loss in losses:
            print(json.dumps(loss))
    return int(missed(figures))


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
