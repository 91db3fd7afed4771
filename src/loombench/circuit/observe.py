"""What one sees and hears in a condition: which loads work and how well, what pulses and how fast, which way a motor
turns and where it stops, which fuses are blown and how soon, what the batteries give."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from loombench.circuit.fault import Fault
from loombench.circuit.finding import FuseMayHold, FuseOpens
from loombench.circuit.netlist import CamAgent, Filament, Netlist
from loombench.circuit.operate import operate
from loombench.circuit.point import OperatingPoint, Phase, Settled
from loombench.circuit.predict import Cases, Lowering
from loombench.facts.motor import speed_share
from loombench.vehicle.condition import Condition
from loombench.vehicle.model import Inner, Part, Vehicle
from loombench.vehicle.trace import ACTING

FULL_SHARE, DEAD_SHARE = 0.85, 0.3
"""Full from this share of what it is made for, dead below that one. Estimates: a lamp at 0.3 of its volts gives less
than 2 % of its light (`facts.filament.flux_share`, outside the range it is good for), a motor hardly turns."""

LED_KINDS = ("led",)
"""Kinds that are seen to give light by a small share of their current."""
SEEN_SHARE = 0.15
"""Below this share nobody sees a load pulse (an estimate)."""
PULSING_SHARE = 0.5
"""A load pulses where it falls below this share of the most it has (an estimate)."""
AT_LENGTH_S = 600.0
"""What a fuse that may hold takes if it does not (an estimate): much longer than one waits for it."""


@dataclass(frozen=True)
class LoadSight:
    """One load. `share` is its volts over the rated ones (its current's share where that is what it works by, its
    speed's of a motor), the greatest of a rhythm; `least_share` the least. `light` is full, dim or dead, for a motor
    meaning its speed.

    `period_s` is the time from one coming on to the next, 0 where it does not pulse, not a number where several rhythms
    go on at once; `way` is 1 or -1 by which way the current goes (0 without), `astray` whether what it drives stands
    outside its park. `stops_s` is how long it works before a breaker stops it, 0 where none does."""

    id: str
    kind: str
    share: float
    least_share: float
    current_a: float
    light: str
    pulsing: bool
    period_s: float = 0.0
    way: int = 0
    astray: bool = False
    stops_s: float = 0.0


@dataclass(frozen=True)
class Observed:
    """All loads, the fuses and breakers that are open, and those that may be. None of it where `known` is False.

    `opens_s` are fuses and breakers that too much current opens, or may open, and how long that takes: the middle of
    its range. `draw_a` is what each battery gives (negative: is charged with), the mean of a rhythm."""

    loads: tuple[LoadSight, ...]
    blown: tuple[str, ...]
    may_blow: tuple[str, ...]
    known: bool = True
    opens_s: tuple[tuple[str, float], ...] = ()
    draw_a: tuple[tuple[str, float], ...] = ()


@dataclass(frozen=True)
class Load:
    """A load by name, with the elements it is made of and what it is made for; `cam` is the one it turns."""

    id: str
    kind: str
    elements: tuple[str, ...]
    rated_v: float
    rated_a: float | None
    cam: CamAgent | None


def observe(
    vehicle: Vehicle,
    condition: Condition,
    faults: Sequence[tuple[Fault, ...]],
    lowering: Lowering | None = None,
    cases: Cases | None = None,
) -> tuple[Observed, ...]:
    """What is seen in a condition under each set of faults, (): none; by `cases` of the vehicle that there are already.

    Raises:
        KeyError: the condition names something that the vehicle does not have.
    """
    cases = cases or Cases(vehicle, lowering)
    found = []
    for some in faults:
        case = cases.case(some, condition.aids)
        if case is None:
            found.append(Observed((), (), (), known=False))
            continue
        settled = operate(case[0], condition.plain, case[1]).settled
        found.append(seen(vehicle, case[0].p.netlist, settled))
    return tuple(found)


def seen(vehicle: Vehicle, netlist: Netlist, settled: Settled, loads: Sequence[Load] | None = None) -> Observed:
    """What is seen where a netlist of a vehicle has settled; of some loads only, where they are given."""
    state = settled.point.state
    blown = tuple(
        name.partition(":")[2]
        for name, value in state.items()
        if name.startswith(("fuse:", "breaker:")) and value in {"blown", "tripped"}
    )
    may_blow = tuple(f.variable.partition(":")[2] for f in settled.findings if isinstance(f, FuseMayHold))
    return Observed(
        tuple(_sight(netlist, settled, load) for load in (loads_of(vehicle, netlist) if loads is None else loads)),
        blown,
        may_blow,
        opens_s=tuple(opens_s(settled).items()),
        draw_a=tuple(
            (part.id, _given_a(netlist, settled, part.id)) for part in vehicle.parts.values() if part.kind == "battery"
        ),
    )


def opens_s(settled: Settled) -> dict[str, float]:
    """The fuses and breakers that too much current opens, or may open, with the seconds that takes."""
    found: dict[str, float] = {}
    for one in settled.findings:
        if isinstance(one, FuseOpens):
            found.setdefault(one.variable.partition(":")[2], math.sqrt(one.t_min_s * max(one.t_max_s, one.t_min_s)))
        elif isinstance(one, FuseMayHold):
            found.setdefault(one.variable.partition(":")[2], max(one.t_min_s, AT_LENGTH_S))
    return found


def _given_a(netlist: Netlist, settled: Settled, battery: str) -> float:
    names = netlist.element_of.get(battery, ())
    return sum(-phase.share * phase.point.current_a(name) for phase in settled.all_phases for name in names)


def loads_of(vehicle: Vehicle, netlist: Netlist) -> list[Load]:
    """The loads of a vehicle, in file order."""
    return [
        _load(vehicle, netlist, part, inner)
        for part in vehicle.parts.values()
        for inner in part.elements
        if inner.kind in ACTING
    ]


def _load(vehicle: Vehicle, netlist: Netlist, part: Part, inner: Inner) -> Load:
    single = len(part.elements) == 1 and part.kind != "unit"
    name = part.id if single else f"{part.id}.{inner.name or inner.kind}"

    def number(of: str) -> float | None:
        band = inner.params.get(of) or part.params.get(of)
        return band.nominal if band is not None and band.nominal > 0.0 else None

    rated_v, rated_w, ohm = number("rated_v") or vehicle.nominal_v, number("rated_w"), number("resistance_ohm")
    rated_a = number("rated_a") or (rated_w / rated_v if rated_w else rated_v / ohm if ohm else None)
    elements = tuple(netlist.element_of.get(name, ()))
    cams = (agent for agent in netlist.agents if isinstance(agent, CamAgent))
    cam = next((agent for agent in cams if any(name in agent.motors for name in elements)), None)
    return Load(name, inner.kind, elements, rated_v, rated_a, cam)


def _sight(netlist: Netlist, settled: Settled, load: Load) -> LoadSight:
    shares = [_share(netlist, phase.point, load) for phase in settled.all_phases]
    currents = [_current(phase.point, load) for phase in settled.all_phases]
    most = max(shares)
    light = "full" if most >= FULL_SHARE else "dim" if most >= DEAD_SHARE else "dead"
    pulsing = most >= SEEN_SHARE and min(shares) < PULSING_SHARE * most
    period_s = period_of(settled.all_phases, [share >= PULSING_SHARE * most for share in shares]) if pulsing else 0.0
    astray = load.cam is not None and light == "dead" and settled.point.state.get(load.cam.variable) != load.cam.parked
    way = _way(settled.all_phases[shares.index(most)].point, load)
    worked = [one.seconds for one in settled.stood if _share(netlist, one.point, load) >= DEAD_SHARE]
    stops_s = max(worked, default=0.0) if light == "dead" else 0.0
    return LoadSight(
        load.id, load.kind, most, min(shares), max(currents), light, pulsing, period_s, way, astray, stops_s
    )


def period_of(phases: Sequence[Phase], lit: Sequence[bool]) -> float:
    """The time from one coming on to the next. The phases of one rhythm each last as long as their share of it says;
    those of several at once do not, and then it is not known."""
    whole = sum(phase.seconds for phase in phases)
    comes = sum(now and not before for before, now in zip((lit[-1], *lit[:-1]), lit, strict=True))
    one = all(math.isclose(phase.seconds, phase.share * whole, rel_tol=1e-3) for phase in phases)
    return whole / comes if one and comes else math.nan


def _way(point: OperatingPoint, load: Load) -> int:
    most = max((point.current_a(name) for name in load.elements), key=abs, default=0.0)
    return 0 if most == 0.0 else 1 if most > 0.0 else -1


def _current(point: OperatingPoint, load: Load) -> float:
    return max((abs(point.current_a(name)) for name in load.elements), default=0.0)


def _share(netlist: Netlist, point: OperatingPoint, load: Load) -> float:
    """By volts for a filament, which says nothing by its current; of a motor its speed; else by current, which also a
    burnt coil has not."""
    for name in load.elements:
        element = netlist.element_by_id.get(name)
        if isinstance(element, Filament) and point.current_a(name) != 0.0:
            return abs(point.across_v(element.a, element.b) or 0.0) / element.law.rated_v
    if load.kind == "lamp":
        return 0.0
    current = _current(point, load)
    if load.rated_a is not None and load.kind != "motor":
        return current / load.rated_a
    across = [
        abs(point.across_v(element.a, element.b) or 0.0)
        for name in load.elements
        if (element := netlist.element_by_id.get(name)) is not None and current > 0.0
    ]
    across_v = max(across, default=0.0)
    if load.rated_a is not None:
        return speed_share(across_v, current, load.rated_v, load.rated_a)
    return across_v / load.rated_v
