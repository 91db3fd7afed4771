"""Every single fault of a vehicle in chosen states: what it shows, what a tester reads, and how it is told apart.

plan = effects_plan(opened, states)                     EffectsPlan
done = worked_out(plan, folder)                         StateEffects of one state after the other
table = effects_table(plan, done)                       EffectsTable, as far as the states are done
"""

import contextlib
import hashlib
import json
import math
from collections.abc import Callable, Sequence
from dataclasses import asdict, dataclass, replace
from pathlib import Path

from loombench.app.ahead import StoppedError, left_when
from loombench.app.hotwires import HotWire, hot_wires
from loombench.app.practice import usual_conditions
from loombench.app.search import digest_of
from loombench.app.vehicles import Opened
from loombench.base.outcome import Outcome
from loombench.circuit.catalogue import single_faults
from loombench.circuit.fault import Fault
from loombench.circuit.lower import LoweringOf
from loombench.circuit.predict import Cases
from loombench.diagnose.effects import Look, Shown, shown
from loombench.diagnose.forecast import Forecast
from loombench.diagnose.piecewise import PiecewiseForecast
from loombench.diagnose.safety import touchable
from loombench.diagnose.signatures import classes, looks_to, signatures
from loombench.diagnose.tabled import TabledForecast
from loombench.paper.files import put
from loombench.vehicle.condition import Condition
from loombench.vehicle.model import Vehicle
from loombench.vehicle.nets import nets
from loombench.vehicle.points import Point
from loombench.vehicle.trace import loads

FORMAT = 1
"""Of a shard; another one is not read."""
MORE_A = 1.0
"""Wires are looked at for heat where the batteries give so much more than they should."""
READ_APART = 20.0
"""Readings are told apart in steps of the vehicle's volts over this."""


@dataclass(frozen=True, eq=False)
class EffectsPlan:
    """A vehicle with all its single faults and the states to look at them in; `digest` stands for vehicle and faults:
    what was worked out for another one is not taken."""

    vehicle: Vehicle
    faults: tuple[Fault, ...]
    states: tuple[Condition, ...]
    digest: str


@dataclass(frozen=True)
class StateEffects:
    """One state: by the fault's number (from 0) what it shows, and the wires that get too hot. Faults that show nothing
    are not in it."""

    condition: str
    shown: tuple[tuple[int, Shown], ...]
    hot: tuple[tuple[int, tuple[HotWire, ...]], ...]


@dataclass(frozen=True)
class FaultEffects:
    """One fault: what it shows in each state where it shows anything, the number of its class (from 1) with how many
    faults are in it, and the looks and readings at loads that lead there."""

    fault: Fault
    states: tuple[tuple[str, Shown, tuple[HotWire, ...]], ...]
    group: int
    alike: int
    steps: int


@dataclass(frozen=True)
class EffectsTable:
    """All faults; `states` are those that were worked out, `left` how many were not."""

    vehicle: str
    states: tuple[str, ...]
    left: int
    faults: tuple[FaultEffects, ...]


def effects_plan(opened: Opened, states: Sequence[Condition] = ()) -> EffectsPlan:
    """All single faults in the states given; without, in what each load needs to work, and at rest."""
    vehicle = opened.vehicle
    faults = tuple(single_faults(vehicle))
    text = "\n".join((str(FORMAT), digest_of(opened), *map(str, faults)))
    chosen = tuple(dict.fromkeys(states)) or usual_conditions(vehicle)
    return EffectsPlan(vehicle, faults, chosen, hashlib.sha256(text.encode()).hexdigest())


def worked_out(
    plan: EffectsPlan, folder: Path | None = None, watch: Callable[[int, int, str], None] = lambda *_: None,
    stopped: Callable[[], bool] = lambda: False,
) -> Outcome[tuple[StateEffects, ...]]:  # fmt: skip
    """The states one after the other, those that `folder` has already taken from there, the others kept there as they
    are done; fewer than planned where `stopped` said so, or where one could not be kept, which is then the problem.
    `watch` is told how many of how many are done, and which is next.

    Raises:
        ValueError: the vehicle cannot be computed; `check` says why.
    """
    rows = ((), *((fault,) for fault in plan.faults))
    lowering = LoweringOf(plan.vehicle)
    forecast: Forecast | None = None
    done: list[StateEffects] = []
    if folder is not None:
        with contextlib.suppress(OSError):
            folder.mkdir(parents=True, exist_ok=True)
    for number, condition in enumerate(plan.states):
        if stopped():
            break
        watch(number, len(plan.states), str(condition))
        path = None if folder is None else folder / shard_name(condition)
        kept = None if path is None else read_shard(path, plan, condition)
        if kept is None:
            forecast = forecast or PiecewiseForecast(
                TabledForecast(plan.vehicle, rows, lowering), len(rows), left_when(stopped)
            )
            try:
                kept = _state(plan, forecast, Cases(plan.vehicle, lowering), condition)
            except StoppedError:
                break
            wrong = None if path is None else put(path, shard_text(kept, plan).encode())
            if wrong is not None:
                return Outcome((*done, kept), (wrong,))
        done.append(kept)
    return Outcome(tuple(done))


def _state(plan: EffectsPlan, forecast: Forecast, cases: Cases, condition: Condition) -> StateEffects:
    each = shown(forecast, len(plan.faults) + 1, condition, _ends(plan.vehicle))
    thirsty = [
        number for number, one in enumerate(each) if sum(more_a for _, more_a in one.draws) > MORE_A and one.known
    ]
    found = hot_wires(cases, [plan.faults[number] for number in thirsty], condition) if thirsty else ()
    hot = tuple((number, some) for number, some in zip(thirsty, found, strict=True) if some)
    return StateEffects(str(condition), tuple((number, one) for number, one in enumerate(each) if one.shows), hot)


def _ends(vehicle: Vehicle) -> dict[str, tuple[Point, Point]]:
    """Where each load is measured: at its own two pins, unless no meter may be put there."""
    known = nets(vehicle)
    links = (link for link in loads(vehicle) if all(touchable(vehicle, known, end) for end in (link.a, link.b)))
    return {link.via: (link.a, link.b) for link in links}


def effects_table(plan: EffectsPlan, done: Sequence[StateEffects]) -> EffectsTable:
    """What was worked out, fault by fault, with the classes that these states leave."""
    by_state = [(one.condition, dict(one.shown), dict(one.hot)) for one in done]
    seen = [_seen(number, by_state, plan.vehicle.nominal_v) for number in range(len(plan.faults))]
    keys = sorted({key for one in seen for key in one})
    sound: tuple[tuple[str, object], ...] = ()
    table = signatures([tuple(one.get(key, sound) for key in keys) for one in seen]) if keys and seen else None
    group = classes(table).tolist() if table is not None else [0] * len(seen)
    steps = looks_to(table).tolist() if table is not None else [0] * len(seen)
    faults = []
    for number, fault in enumerate(plan.faults):
        states = tuple(
            (condition, shows.get(number, Shown()), hot.get(number, ()))
            for condition, shows, hot in by_state
            if number in shows or number in hot
        )
        one = group[number]
        faults.append(FaultEffects(fault, states, one + 1, group.count(one), steps[number]))
    return EffectsTable(
        plan.vehicle.name, tuple(one.condition for one in done), len(plan.states) - len(done), tuple(faults)
    )


def _seen(
    number: int, by_state: Sequence[tuple[str, dict[int, Shown], dict[int, tuple[HotWire, ...]]]], nominal_v: float
) -> dict[tuple[str, str, str], object]:  # fmt: skip
    """What a person sees or reads at loads and fuses, by state, kind of look and what is looked at; only what differs
    from the sound vehicle."""
    found: dict[tuple[str, str, str], object] = {}
    step_v = nominal_v / READ_APART
    for condition, shows, _ in by_state:
        one = shows.get(number, Shown())
        for look in one.looks:
            found[condition, "look", look.load] = look.word
            if look.low_v is not None and look.high_v is not None:
                found[condition, "read", look.load] = (round(look.low_v / step_v), round(look.high_v / step_v))
        for fuse, _seconds in one.opens:
            found[condition, "fuse", fuse] = True
        for battery, _more in one.draws:
            found[condition, "draw", battery] = True
        if not one.known:
            found[condition, "known", ""] = False
    return found


def shard_name(condition: Condition) -> str:
    """The file of a state, the same for the same state."""
    return f"state-{hashlib.sha256(str(condition).encode()).hexdigest()[:16]}.json"


def shard_text(one: StateEffects, plan: EffectsPlan) -> str:
    """A state as it is kept."""
    faults = [[number, asdict(_finite(each))] for number, each in one.shown]
    hot = [[number, [asdict(wire) for wire in wires]] for number, wires in one.hot]
    whole = {"format": FORMAT, "digest": plan.digest, "condition": one.condition, "shown": faults, "hot": hot}
    return json.dumps(whole, ensure_ascii=False)


def _finite(one: Shown) -> Shown:
    """JSON has no infinity: a fuse that is open from the start takes less than no time."""
    return replace(one, opens=tuple((fuse, seconds if math.isfinite(seconds) else -1.0) for fuse, seconds in one.opens))


def read_shard(path: Path, plan: EffectsPlan, condition: Condition) -> StateEffects | None:
    """A state that was kept; None where there is none, or one of another vehicle, or one that cannot be read."""
    try:
        whole = json.loads(path.read_text(encoding="utf-8"))
        if (whole["format"], whole["digest"], whole["condition"]) != (FORMAT, plan.digest, str(condition)):
            return None
        each = tuple((int(number), _shown(fields)) for number, fields in whole["shown"])
        hot = tuple((int(number), tuple(HotWire(**wire) for wire in wires)) for number, wires in whole["hot"])
    except (OSError, ValueError, KeyError, TypeError, AttributeError):
        return None
    return StateEffects(str(condition), each, hot)


def _shown(fields: dict[str, list[dict[str, object]]]) -> Shown:
    looks = tuple(Look(**look) for look in fields["looks"])  # type: ignore[arg-type]
    opens = tuple((str(fuse), float(s) if float(s) >= 0.0 else math.inf) for fuse, s in fields["opens"])
    draws = tuple((str(name), float(more)) for name, more in fields["draws"])
    return Shown(looks, opens, draws, bool(fields["known"]))
