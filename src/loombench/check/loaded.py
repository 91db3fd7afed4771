"""Rules that need computed states: what flows through each fuse, and what is lost on the way, with the loads on.

The loads behind one fuse are switched on together, as far as their controls allow; those that only work while something
is held are a state of their own, since what lasts a moment is no steady load. No more than `MOST_STATES` are settled:
where there are more, those of different fuses are put into one.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import chain

from loombench.base.problems import Problem, note, warning
from loombench.base.quantity import print_quantity
from loombench.check.assumed import guessed
from loombench.check.protection import rating_a
from loombench.check.view import View, some, spans
from loombench.check.ways import Needs, Way, Ways, joined, settable
from loombench.circuit.explain import explain
from loombench.circuit.finding import FuseMayHold, FuseOpens, Unsolved
from loombench.circuit.lower import lower
from loombench.circuit.netlist import Netlist
from loombench.circuit.operate import guess_from, target_of
from loombench.circuit.point import OperatingPoint, Settled
from loombench.circuit.ready import Ready, ready_for
from loombench.circuit.settle import settle
from loombench.facts.drop_limit import DropLimit, drop_limits
from loombench.facts.fuse import least_rating_a
from loombench.facts.typical import typical
from loombench.vehicle.condition import Condition
from loombench.vehicle.graph import Link
from loombench.vehicle.points import PIN, Point
from loombench.vehicle.trace import ACTING

MOST_STATES = 40
UNKNOWN, NO_STATE, TOO_MANY = "load-unknown", "load-no-state", "too-many-states"
"""Why a load was not judged: the codes of the notes that say so."""
ON_SHARE = 0.3
"""A load with less than this share of the supply is not on as meant (an estimate); its drop is not judged."""


@dataclass
class State:
    """Loads that are on together: by the fuse they share and whether they are held, and what has to be set."""

    needs: Needs = field(default_factory=dict)
    groups: dict[tuple[str, bool], list[Way]] = field(default_factory=dict)


def loaded(view: View) -> Iterator[Problem]:
    """Fuses too small for what they carry steadily, loads that lose too much on the way, and what was not looked at."""
    if not view.mains:
        return
    ways, lost = _ways(view)
    states, left = _planned(ways)
    every = lower(view.vehicle)
    ready = ready_for(every.value)
    rest = settle(ready, {}, {})
    said: set[str] = set()
    unseen: dict[str, list[Way | Link]] = {UNKNOWN: [], NO_STATE: [*lost], TOO_MANY: [*left]}
    finder = Ways(view)
    for state in states:
        settled = _settled(ready, finder.condition(settable(state.needs)), rest)
        if any(isinstance(found, Unsolved) for found in settled.findings):
            unseen[NO_STATE] += chain.from_iterable(state.groups.values())
            continue
        for found in settled.findings:
            if isinstance(found, FuseOpens | FuseMayHold) and found.variable not in said:
                said.add(found.variable)
                yield explain(every.value, found, view.vehicle)
        for (fuse, held), group in state.groups.items():
            if fuse and not held and f"fuse:{fuse}" not in said and f"breaker:{fuse}" not in said:
                yield from _fuse_load(view, every.value, settled, group)
        for way in chain.from_iterable(state.groups.values()):
            judged = _drop(view, every.value, settled, way)
            if isinstance(judged, Problem):
                yield judged
            elif judged:
                unseen[judged].append(way)
    for code, missed in unseen.items():
        found_loads = [one.load if isinstance(one, Way) else one for one in missed]
        if found_loads:
            yield note(
                code, *spans(view.part(load.a) for load in found_loads),
                loads=some(load.via for load in found_loads), count=len(found_loads), limit=MOST_STATES,
            )  # fmt: skip


def _settled(ready: Ready, condition: Condition, rest: Settled) -> Settled:
    """Everything set at the same moment: one settling a state, where one after the other would be one an operation."""
    inputs = dict(target_of(ready.p.netlist, operation) for operation in condition.operations)
    return settle(ready, inputs, rest.memory, guess=guess_from(ready, rest))


def _ways(view: View) -> tuple[list[Way], list[Link]]:
    """The ways of all loads, and the loads without one."""
    finder = Ways(view)
    found: list[Way] = []
    lost: list[Link] = []
    for run in view.runs:
        if _kind(view, run.load) not in ACTING or not (run.feed and run.back):
            continue
        way = finder.way(run.load)
        if way is None:
            lost.append(run.load)
        else:
            found.append(way)
    return found, lost


def _kind(view: View, load: Link) -> str:
    part = view.vehicle.parts[load.a.part]
    ends = {load.a.pin, load.b.pin}
    return next((e.kind for e in part.elements if set(e.pins[:2]) == ends and e.kind in ACTING), "")


def _planned(ways: list[Way]) -> tuple[list[State], list[Way]]:
    """The states to settle, and the loads that found no place in them."""
    own: list[State] = []
    by_key: dict[tuple[str, bool], list[State]] = {}
    for way in ways:
        key = (way.fuse.via if way.fuse else "", way.momentary)
        for state in by_key.setdefault(key, []):
            both = joined(state.needs, dict(way.needs))
            if both is not None:
                state.needs = both
                state.groups[key].append(way)
                break
        else:
            state = State(dict(way.needs), {key: [way]})
            by_key[key].append(state)
            own.append(state)
    if len(own) <= MOST_STATES:
        return own, []
    kept, left = own[:MOST_STATES], []
    for number, state in enumerate(own[MOST_STATES:]):
        turned = kept[number % MOST_STATES :] + kept[: number % MOST_STATES]
        if not any(_taken_in(other, state) for other in turned):
            left += [way for group in state.groups.values() for way in group]
    return kept, left


def _taken_in(state: State, other: State) -> bool:
    """Put another fuse's loads into a state, where the two do not contradict each other."""
    fuses = {fuse for fuse, _ in state.groups}
    both = joined(state.needs, other.needs)
    if both is None or any(fuse in fuses for fuse, _ in other.groups):
        return False
    state.needs = both
    state.groups.update(other.groups)
    return True


def _fuse_load(view: View, netlist: Netlist, settled: Settled, group: list[Way]) -> Iterator[Problem]:
    fuse = group[0].fuse
    rated = rating_a(view, fuse) if fuse else None
    parts = [view.vehicle.parts[way.load.a.part] for way in group]
    if fuse is None or rated is None or any(guessed(part) for part in parts):
        return
    names = netlist.element_of.get(fuse.via, ())
    # What warms a fuse is the mean of the square of its current.
    squares = (
        phase.share * max((phase.point.current_a(name) for name in names), key=abs) ** 2 for phase in settled.all_phases
    )
    current = math.sqrt(sum(squares)) if names else 0.0
    if least_rating_a(current) > rated:
        margin = typical("fuse_rule", "continuous-margin")
        yield warning(
            "fuse-load", *spans((view.vehicle.parts[fuse.a.part], *parts)),
            fuse=fuse.via, rating=f"{rated:g} A", current=f"{current:.3g} A", share=f"{100 * current / rated:.0f} %",
            limit=f"{100 / margin.value:.0f} %", loads=some(way.load.via for way in group),
            source=margin.provenance.kind.value,
        )  # fmt: skip


def limit() -> DropLimit:
    """The limit a drop is held against: 10 % of the supply, for circuits that nothing critical hangs on."""
    return next(row for row in drop_limits() if row.item.startswith("non-critical") and row.unit == "of supply")


def _drop(view: View, netlist: Netlist, settled: Settled, way: Way) -> Problem | str:
    """The problem of a load's way, empty where it is sound, or why it is not judged."""
    wires = [view.vehicle.wire_by_id[step.link.via] for step in (*way.feed, *way.back) if step.link.kind == "wire"]
    if guessed(view.vehicle.parts[way.load.a.part]) or any(view.assumed(wire) for wire in wires):
        return UNKNOWN
    ends = (_pin(way.plus), _pin(way.minus))
    at = max((phase.point for phase in settled.all_phases), key=lambda point: abs(_across(netlist, point, *ends)))
    source = (way.feed[0].start, way.back[0].start) if way.feed and way.back else (way.plus, way.minus)
    supply = _across(netlist, at, *map(_pin, source))
    across = abs(_across(netlist, at, *ends))
    if supply <= 0.0 or across < ON_SHARE * supply:
        return NO_STATE
    allowed = limit()
    drop = supply - across
    if drop <= allowed.high * supply:
        return ""
    losses = {wire.id: abs(_element_v(netlist, at, wire.id)) for wire in wires}
    worst = max(wires, key=lambda wire: losses[wire.id])
    return warning(
        "drop-high", *spans((view.vehicle.parts[way.load.a.part], worst)),
        load=way.load.via, drop=_volts(drop), supply=_volts(supply), share=f"{100 * drop / supply:.0f} %",
        feed=_volts(_across(netlist, at, _pin(source[0]), ends[0])),
        back=_volts(_across(netlist, at, ends[1], _pin(source[1]))),
        wire=worst.id, wire_drop=_volts(losses[worst.id]), limit=f"{100 * allowed.high:g} %",
        source=f"{allowed.provenance.source}, {allowed.item}",
    )  # fmt: skip


def _volts(value: float) -> str:
    return print_quantity(value, "V", 3)


def _pin(point: Point) -> Point:
    return Point(point.part, point.pin, layer=PIN)


def _across(netlist: Netlist, at: OperatingPoint, one: Point, two: Point) -> float:
    nodes = netlist.node_of.get(one), netlist.node_of.get(two)
    return 0.0 if nodes[0] is None or nodes[1] is None else at.across_v(nodes[0], nodes[1]) or 0.0


def _element_v(netlist: Netlist, at: OperatingPoint, name: str) -> float:
    found = [netlist.element_by_id[one] for one in netlist.element_of.get(name, ()) if one in netlist.element_by_id]
    return max((at.across_v(one.a, one.b) or 0.0 for one in found), key=abs, default=0.0)
