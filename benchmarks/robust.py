"""How a search fares where it is harder than by the book: `finding.py --situation NAME` or `all`.

The situations and how their cases are drawn stand in `situations`, who answers in `disturbed`, how a case is played and
what a minute is in `robustplay`. All cases are drawn before the first is played. Of each situation:

    right_share        all that is wrong was named by a verdict that closed the search; of a damage that is not in the
                       catalogue: its place was, or at the end it was said that nothing explains it
    right_low          lower end of Wilson's 95 % interval
    cured_share        nothing is wrong at the end
    wrong_part_share   the first verdict that closed the search names none of what is wrong
    minutes            mean of all steps, looks after the repair and repairs in vain included
    in_vain            repairs of what was not wrong, mean
    proven, proven_right_share   closed as proven at first, and how many of these were right
    brier              of the belief when the search was first closed, mean (0 best, 2 worst)
    false_alarm_share  said at the end that nothing explains it, though it is in the catalogue; of damages outside of it
                       said_nothing_share, and said_at_once_share where no part was named before

Cases of `wrong_*` of which no reading and no repair is met by a wrong answer go as in `plain` and are taken from there.
"""

import json
import time
from collections.abc import Mapping, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import asdict, dataclass, replace
from pathlib import Path
from random import Random
from types import MappingProxyType

import numpy as np

from benchmarks.damages import OUTSIDE
from benchmarks.disturbed import DisturbedVehicle, truth_of
from benchmarks.findcases import load
from benchmarks.kept import source_digest
from benchmarks.rivals import Chooser, no_cost, no_look_ahead
from benchmarks.robustplay import play_out
from benchmarks.situations import SITUATIONS, Situation, Trial, decode, encode, first
from loombench.app.case import Case, bench_for
from loombench.app.finding import complain, open_case
from loombench.app.practice import PRACTICE_TIME
from loombench.base.heap import one_heap
from loombench.base.waste import look_seldom
from loombench.circuit.kernel import load_compiled
from loombench.diagnose.bench import Bench
from loombench.diagnose.choose import choose
from loombench.diagnose.suspect import kind_of
from loombench.diagnose.verdict import CURED, NOT_BACK, NOTHING_EXPLAINS, PROVEN
from loombench.record.memory import MemoryStore

CASES, QUICK_CASES = 200, 2
CHOOSERS: Mapping[str, Chooser] = MappingProxyType({"look-ahead": no_look_ahead, "cost": no_cost})
NO_OUTLIER = 1e-12
"""What stands for no share of wrong readings: beyond seven standard errors a reading is as good as impossible."""
Result = dict[str, object]
_OWN = ("situations", "disturbed", "damages", "robustplay", "robust", "rivals", "findcases")


@dataclass(frozen=True)
class Work:
    """What a process is to play: cases of one kind and vehicle, in these situations."""

    situations: tuple[str, ...]
    trials: tuple[str, ...]
    store: str = ""


def opened(bench: Bench, trial: Trial, situation: Situation) -> Case:
    """The case as the tool gets it."""
    if situation.off != 1.0:
        bench = believing_otherwise(bench, situation.off, trial.seed)
    if situation.without == "doubles":
        bench = replace(bench, grow=None)
    if situation.without == "outliers":
        bench = replace(bench, outlier_share=NO_OUTLIER)
    told = trial.told("sometimes" if situation.presence < 1.0 else "")
    case = open_case(bench.vehicle, "0" * 64, told[0], MemoryStore(), "case", PRACTICE_TIME, bench=bench)
    for more in told[1:]:
        case = complain(case, more, PRACTICE_TIME)
    return replace(case, chooser=CHOOSERS.get(situation.without, choose))


def believing_otherwise(bench: Bench, off: float, seed: int) -> Bench:
    """The same with weights that are off: the kinds of suspects and modes each by a factor of their own, log-normal
    around 1 with a standard deviation of `off`."""
    vehicle, known = bench.vehicle, bench.hypotheses

    def factor(what: str, mode: str) -> float:
        return float(off ** Random(f"{seed} off {what} {mode}").gauss(0.0, 1.0))

    factors = tuple(
        None if one.fault is None else factor(kind_of(vehicle, one.fault), one.fault.mode) for one in known.members
    )
    return replace(bench, hypotheses=known.reweighed(factors))


def play_some(work: Work) -> list[Result]:
    """Play cases of one vehicle; results kept before are taken up."""
    load_compiled()
    look_seldom()
    one_heap()
    kept = Path(work.store) if work.store else None
    known = {(str(one["case"]), str(one["situation"])): one for one in _lines(kept)}
    bench: Bench | None = None
    found = []
    for line in work.trials:
        trial = decode(line)
        for name in work.situations:
            result = known.get((trial.name, name))
            if result is None:
                bench = bench or bench_for(load(trial.file))
                result = _played(bench, trial, SITUATIONS[name], known)
                known[trial.name, name] = result
                if kept is not None:
                    with kept.open("a") as lines:
                        lines.write(json.dumps(result) + "\n")
            found.append(result)
    return found


def _lines(path: Path | None) -> list[Result]:
    found = []
    for line in path.read_text().splitlines() if path is not None and path.exists() else ():
        try:
            found.append(json.loads(line))
        except json.JSONDecodeError:
            # The run was ended while it wrote the line.
            continue
    return found


def _played(
    bench: Bench, trial: Trial, situation: Situation, known: Mapping[tuple[str, str], Result]
) -> Result:  # fmt: skip
    vehicle = DisturbedVehicle(bench.vehicle, trial, situation)
    named = {"situation": situation.name, "case": trial.name, "kind": trial.kind, "file": trial.file}
    like = known.get((trial.name, situation.like))
    if like is not None:
        asked = [tuple(map(str, one)) for one in _list(like["asked"])]
        met = any(vehicle.wrong((one[0], one[1], one[2])) for one in asked)
        if not met and not any(vehicle.bad_spare(str(one)) for one in _list(like["fitted"])):
            return {**like, **named, "seconds": 0.0}
    began = time.process_time()
    case = opened(bench, trial, situation)
    ended = play_out(case, vehicle, truth_of(bench.vehicle, trial), trial.kind == OUTSIDE)
    told = {
        "hidden": ", ".join(trial.words) or "; ".join(map(str, trial.hidden)),
        "complaint": [one.text for one in trial.told()],
        "right_are": [sorted(some) for some in truth_of(bench.vehicle, trial)],
    }
    return {**named, **told, **asdict(ended), "seconds": round(time.process_time() - began, 2)}


def _list(value: object) -> list[object]:
    return list(value) if isinstance(value, list | tuple) else []


def measure(names: Sequence[str], count: int, seed: int, jobs: int, shards: str) -> list[Result]:
    """Draw the cases of all situations, then play them by `jobs` processes."""
    wanted = [SITUATIONS[name] for name in names]
    folder = Path(shards) / source_digest(_OWN) if shards else None
    if folder is not None:
        folder.mkdir(parents=True, exist_ok=True)
    kinds = tuple(dict.fromkeys(one.kind for one in wanted))
    with ProcessPoolExecutor(jobs) as pool:
        drawn = dict(zip(kinds, pool.map(first, kinds, [count] * len(kinds), [seed] * len(kinds)), strict=True))
        results = [result for some in pool.map(play_some, _shared_out(wanted, drawn, folder, seed)) for result in some]
    order = list(SITUATIONS)
    return sorted(results, key=lambda one: (order.index(str(one["situation"])), str(one["case"])))


def kept_results(shards: str, names: Sequence[str], seed: int) -> list[Result]:
    """What a folder of shards holds of this state of the source."""
    paths = sorted((Path(shards) / source_digest(_OWN)).glob(f"*-seed{seed}.jsonl"))
    return [one for path in paths for one in _lines(path) if one["situation"] in names]


def _shared_out(
    wanted: Sequence[Situation], drawn: Mapping[str, tuple[Trial, ...]], folder: Path | None, seed: int
) -> list[Work]:
    """By kind and vehicle, so that what is computed of a vehicle serves its cases; what leans on the same plain cases
    stays together."""
    found = []
    for kind, trials in drawn.items():
        names = tuple(one.name for one in wanted if one.kind == kind)
        for file in dict.fromkeys(trial.file for trial in trials):
            name = f"{kind}-{file.removesuffix('.circuit').replace('/', '-')}-seed{seed}.jsonl"
            lines = tuple(encode(trial) for trial in trials if trial.file == file)
            found.append(Work(names, lines, str(folder / name) if folder else ""))
    return found


def figures_of(results: Sequence[Mapping[str, object]]) -> dict[str, float]:
    """The figures by name."""
    found: dict[str, float] = {}
    for name in SITUATIONS:
        own = [one for one in results if one["situation"] == name]
        if own:
            found |= {f"{name}_{key}": value for key, value in _of_situation(own).items()}
    return found


def _of_situation(own: Sequence[Mapping[str, object]]) -> dict[str, float]:
    right = sum(bool(one["right"]) for one in own)
    proven = [one for one in own if one["state"] in (PROVEN, CURED, NOT_BACK)]
    found = {
        "cases": len(own),
        "right_share": right / len(own),
        "right_low": wilson_low(right, len(own)),
        "cured_share": _mean(own, "cured"),
        "wrong_part_share": _mean(own, "wrong_part"),
        "minutes": _mean(own, "minutes"),
        "in_vain": _mean(own, "in_vain"),
        "proven": len(proven),
        "proven_right_share": _mean(proven, "right") if proven else 0.0,
        "brier": _mean(own, "brier"),
        "altered": sum(bool(one["altered"]) for one in own),
        "seconds": sum(float(str(one["seconds"])) for one in own),
    }
    nothing = sum(one["final"] == NOTHING_EXPLAINS for one in own) / len(own)
    if own[0]["kind"] != OUTSIDE:
        return found | {"false_alarm_share": nothing}
    at_once = sum(one["state"] == NOTHING_EXPLAINS for one in own) / len(own)
    return found | {"said_nothing_share": nothing, "said_at_once_share": at_once}


def _mean(own: Sequence[Mapping[str, object]], key: str) -> float:
    return float(np.mean([float(one[key]) for one in own]))  # type: ignore[arg-type]


def wilson_low(right: int, cases: int, z: float = 1.959964) -> float:
    """The lower end of Wilson's 95 % interval of a share (Wilson 1927, JASA 22, 209-212)."""
    if not cases:
        return 0.0
    share = right / cases
    middle = share + z * z / (2 * cases)
    spread = z * np.sqrt(share * (1 - share) / cases + z * z / (4 * cases * cases))
    return float((middle - spread) / (1 + z * z / cases))


def losses_of(results: Sequence[Mapping[str, object]]) -> list[dict[str, object]]:
    """Each case that was not right, not cured, or where something good was renewed first."""
    found = []
    for one in results:
        loss = "wrong-part" if one["wrong_part"] else "" if one["right"] else "not-found"
        loss = loss or ("" if one["cured"] or one["kind"] == OUTSIDE else "not-cured")
        if loss:
            found.append({"loss": loss, **{key: value for key, value in one.items() if key not in ("asked", "fitted")}})
    return found


def missed(figures: Mapping[str, float]) -> list[str]:
    """The targets that are missed."""
    least = {
        "wrong_2_right_share": 0.97,
        "doubles_cured_share": 0.95,
        "unmodelled_right_share": 0.90,
    }
    found = [name for name, bound in least.items() if figures.get(name, bound) < bound]
    alarms = figures.get("plain_false_alarm_share", 0.0)
    return [*found, *(["plain_false_alarm_share"] if alarms > 0.02 else [])]
