"""Which wire is this? The wires of one colour at one place, and the readings that tell them apart.

Nobody knows yet which of them is in the hand, so a reading is taken on *this* wire and its value says which it can be:
volts to battery minus at its end here, else the current in it by clamp, in states in which the wires differ. The
readings come from the circuit, one after the other, each the one that parts most of what is not parted yet. What they
leave is tried by ohms, both ends unplugged, from here to the far end of one. Nothing is measured where one of the wires
may be on a circuit that must not be touched.
"""

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import combinations

from loombench.check.view import View
from loombench.check.ways import Way, Ways, settable
from loombench.circuit.lower import lower
from loombench.circuit.meter import read
from loombench.circuit.operate import Situation, operate, target_of
from loombench.circuit.point import Settled
from loombench.circuit.ready import Ready, ready_for
from loombench.circuit.settle import settle
from loombench.diagnose.place import place_of_point
from loombench.diagnose.safety import handleable, touchable
from loombench.vehicle.condition import Condition, Operation, Setup
from loombench.vehicle.graph import battery_minus
from loombench.vehicle.model import Vehicle, Wire
from loombench.vehicle.nets import Nets, nets
from loombench.vehicle.points import Point
from loombench.vehicle.trace import loads

VOLTMETER, CLAMP, OHMMETER = "voltmeter", "clamp", "ohmmeter"
APART_SHARE = 0.1
"""Two readings of volts are told apart from this share of the nominal volts on (estimate)."""
APART_A, APART_OF_A = 0.1, 0.25
"""Two currents are told apart by a clamp for small direct currents from so many ampere, and from this share of the
larger, on (estimates)."""
CONNECTED_OHM, APART_OHM = 2.0, 20.0
"""What a wire reads from end to end with leads and probes, and what is surely another (estimates)."""
Pair = tuple[int, int]


@dataclass(frozen=True)
class Telling:
    """A reading on the wire in the hand: `values[k]` is what it would be were it candidate k, None where it cannot be
    taken on that one. `black` is the far end for ohms, battery minus else, None for the clamp; `parts` are the pairs
    that it tells apart and no telling before it does."""

    meter: str
    condition: Condition
    black: Point | None
    values: tuple[float | None, ...]
    parts: tuple[Pair, ...]


@dataclass(frozen=True)
class Parting:
    """The readings in the order to take them, and the pairs that none parts. `forbidden` where one of the wires is on a
    circuit that nobody may measure on: then there are no readings."""

    tellings: tuple[Telling, ...]
    unparted: tuple[Pair, ...]
    forbidden: bool = False


@dataclass(frozen=True, eq=False)
class Loom:
    """A sound vehicle whose wires are to be told apart; what is worked out for one place serves the next."""

    vehicle: Vehicle

    def __post_init__(self) -> None:
        self._done: dict[Condition, Situation | None]
        object.__setattr__(self, "_done", {})

    @cached_property
    def nets(self) -> Nets:
        """The nets with their classes."""
        return nets(self.vehicle)

    @cached_property
    def _ready(self) -> Ready:
        return ready_for(lower(self.vehicle).value)

    @cached_property
    def _rest(self) -> Settled:
        return settle(self._ready, {}, {})

    @cached_property
    def ways(self) -> tuple[tuple[Way, Condition], ...]:
        """The way of each load that has one, with the state that switches it on."""
        ways = Ways(View(self.vehicle))
        found = (ways.way(load) for load in loads(self.vehicle))
        return tuple((way, ways.condition(settable(dict(way.needs)))) for way in found if way is not None)

    @cached_property
    def served(self) -> Mapping[str, tuple[str, ...]]:
        """The loads whose way goes through each wire."""
        served: dict[str, dict[str, None]] = {}
        for way, _ in self.ways:
            for step in (*way.feed, *way.back):
                served.setdefault(step.link.via, {})[way.load.via] = None
        return {name: tuple(some) for name, some in served.items()}

    def states(self, wires: Sequence[Wire]) -> tuple[Condition, ...]:
        """Rest, and the states of the loads that these wires serve, each also half way: what its first operations
        alone do."""
        names = {load for wire in wires for load in self.served.get(wire.id, ())}
        whole = [condition for way, condition in self.ways if way.load.via in names]
        parts = [Condition(one.operations[:k]) for one in whole for k in range(1, len(one.operations) + 1)]
        found = dict.fromkeys((Condition(), *parts))
        return tuple(sorted(found, key=lambda one: len(one.operations)))

    def situation(self, condition: Condition) -> Situation | None:
        """The vehicle in a state; None where it cannot be put into it."""
        if condition not in self._done:
            self._done[condition] = self._put(condition)
        return self._done[condition]

    def _put(self, condition: Condition) -> Situation | None:
        try:
            for operation in condition.operations:
                target_of(self._ready.p.netlist, operation)
        except KeyError:
            return None
        return operate(self._ready, condition, self._rest)

    def unplugging(self, part: str) -> tuple[Operation, ...]:
        """What takes the plugs off a part; nothing for one without."""
        if not handleable(self.vehicle, self.nets, part):
            return ()
        names = (one.partition(":")[2] for one in self._ready.p.netlist.variable_by_name if one.startswith("plug:"))
        return tuple(Operation("unplug", name) for name in names if name == part or name.startswith(f"{part}."))


def end_here(vehicle: Vehicle, wire: Wire, where: str) -> Point | None:
    """The end of a wire that is at a place or on a part; None where it only passes."""
    ends = (wire.a, wire.b)
    return next((end for end in ends if where in (end.part, place_of_point(vehicle, end))), None)


def wires_there(vehicle: Vehicle, where: str) -> tuple[Wire, ...]:
    """The wires that end at a place or on a part, or pass the place."""
    return tuple(wire for wire in vehicle.wires if where in wire.via or end_here(vehicle, wire, where) is not None)


def part_wires(loom: Loom, wires: Sequence[Wire], where: str) -> Parting:
    """The readings that tell some wires at a place apart, and the pairs that stay together."""
    ends = [end_here(loom.vehicle, wire, where) for wire in wires]
    touched = [point for wire in wires for point in (wire.a, wire.b)]
    if not all(touchable(loom.vehicle, loom.nets, point) for point in touched):
        return Parting((), tuple(combinations(range(len(wires)), 2)), True)
    left = set(combinations(range(len(wires)), 2))
    tellings = _chosen(loom, left, _options(loom, wires, ends, loom.states(wires)), ends)
    tellings += _chosen(loom, left, _options(loom, wires, ends, _unplugged(loom, wires, left)), ends)
    tellings += _chosen(loom, left, _by_ohms(loom, wires, ends, left), ends)
    return Parting(tuple(tellings), tuple(sorted(left)))


def _chosen(
    loom: Loom, left: set[Pair], offered: Iterable[Telling], ends: Sequence[Point | None]
) -> list[Telling]:  # fmt: skip
    """Of the tellings offered, one after the other, that which parts most of what is left; `left` loses what they
    part."""
    chosen, options = list[Telling](), list(offered)
    while left and options:
        best = max(range(len(options)), key=lambda k: (len(left.intersection(options[k].parts)), -k))
        if not left.intersection(options[best].parts):
            break
        telling = _measured(loom, options.pop(best), ends)
        new = tuple(sorted(left.intersection(telling.parts)))
        if new:
            chosen.append(replace(telling, parts=new))
            left.difference_update(new)
    return chosen


def _unplugged(loom: Loom, wires: Sequence[Wire], left: set[Pair]) -> Iterator[Condition]:
    """With what a wire in doubt ends on unplugged, here or there: at rest and with its own load on."""
    for k in sorted({place for pair in left for place in pair}):
        states = loom.states([wires[k]])
        for part in dict.fromkeys((wires[k].a.part, wires[k].b.part)):
            plugs = loom.unplugging(part)
            for state in dict.fromkeys((states[0], states[-1])) if plugs else ():
                yield Condition(plugs + state.operations)


def _options(
    loom: Loom, wires: Sequence[Wire], ends: Sequence[Point | None], states: Iterable[Condition]
) -> Iterator[Telling]:  # fmt: skip
    """Every state by voltmeter and by clamp, as the circuit without a meter has it."""
    minus = battery_minus(loom.vehicle)
    for condition in states:
        situation = loom.situation(condition)
        if situation is None:
            continue
        phases = situation.settled.all_phases
        node_of = situation.ready.p.netlist.node_of
        reference = node_of[minus] if minus is not None else situation.ready.p.netlist.reference
        across = [
            None
            if end is None
            else math.fsum(one.share * (one.point.across_v(node_of[end], reference) or 0.0) for one in phases)
            for end in ends
        ]
        amps = [abs(math.fsum(one.share * one.point.current_a(wire.id) for one in phases)) for wire in wires]
        yield _telling(loom, VOLTMETER, condition, minus, across)
        yield _telling(loom, CLAMP, condition, None, amps)


def _telling(
    loom: Loom, meter: str, condition: Condition, black: Point | None, values: Sequence[float | None]
) -> Telling:
    pairs = combinations(range(len(values)), 2)
    parts = tuple((i, j) for i, j in pairs if _apart(loom.vehicle.nominal_v, meter, values[i], values[j]))
    return Telling(meter, condition, black, tuple(values), parts)


def _apart(nominal_v: float, meter: str, one: float | None, other: float | None) -> bool:
    if one is None or other is None:
        return False
    if meter == VOLTMETER:
        return abs(one - other) >= APART_SHARE * nominal_v
    if meter == CLAMP:
        return abs(one - other) >= max(APART_A, APART_OF_A * max(one, other))
    return min(one, other) <= CONNECTED_OHM and max(one, other) >= APART_OHM


def _measured(loom: Loom, telling: Telling, ends: Sequence[Point | None]) -> Telling:
    """The same with the voltmeter on the circuit while it reads."""
    situation = loom.situation(telling.condition)
    if telling.meter != VOLTMETER or situation is None:
        return telling
    values = [
        None if end is None else read(situation, Setup(telling.condition, end, telling.black)).value for end in ends
    ]
    return _telling(loom, VOLTMETER, telling.condition, telling.black, values)


def _by_ohms(
    loom: Loom, wires: Sequence[Wire], ends: Sequence[Point | None], left: set[Pair]
) -> Iterator[Telling]:  # fmt: skip
    """From here to the far end of one wire, all unplugged that the wires in doubt end on here and that one ends on
    there. Only on what is then dead."""
    for k in sorted({place for pair in left for place in pair}):
        here = ends[k]
        if here is None:
            continue
        far = wires[k].b if here == wires[k].a else wires[k].a
        doubted = sorted({place for pair in left if k in pair for place in pair})
        near = [end.part for place in doubted if (end := ends[place]) is not None]
        names = dict.fromkeys((*near, far.part))
        condition = Condition(tuple(operation for name in names for operation in loom.unplugging(name)))
        situation = loom.situation(condition) if condition.operations else None
        if situation is None or not touchable(loom.vehicle, loom.nets, far, OHMMETER):
            continue
        values: list[float | None] = [None] * len(wires)
        for place in doubted:
            end = ends[place]
            reading = read(situation, Setup(condition, end, far, OHMMETER)) if end is not None else None
            dead = reading is not None and "live" not in reading.flags
            values[place] = abs(reading.value) if reading is not None and reading.value is not None and dead else None
        yield _telling(loom, OHMMETER, condition, far, values)
