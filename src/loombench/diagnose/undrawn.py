"""Where nothing in the model explains a case: which single difference of the vehicle from its drawing would.

Tried are, on the nets that the odd readings and sights touch: two wires changed over at a part where both end, and a
wire that is not drawn (a splice, a wire added or chafed through) to any other net. Each is a change of the vehicle, the
changed vehicle is computed anew from rest like any other, and it is proposed only where no observation speaks against
it. It is a proposal of what to look for: many differences may show alike, and a proof it is not.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from loombench.base.band import exactly
from loombench.base.outcome import Outcome
from loombench.circuit.fault import Fault
from loombench.circuit.lower import lower
from loombench.circuit.netlist import Netlist
from loombench.circuit.observe import observe
from loombench.circuit.predict import predict
from loombench.diagnose.belief import Belief, contradicted, update
from loombench.diagnose.bench import Bench
from loombench.diagnose.forecast import Readings, Sights, blank_sights
from loombench.diagnose.hypothesis import SOUND, UNEXPLAINED, Hypotheses, Hypothesis
from loombench.diagnose.modelled import write_view
from loombench.diagnose.observation import LoadSeen, MeterRead, Observation
from loombench.diagnose.pairs import allowed
from loombench.vehicle.change import AddWire, Change, MoveEnd, apply_all
from loombench.vehicle.condition import Condition, Setup
from loombench.vehicle.graph import merged
from loombench.vehicle.model import Colour, Vehicle, Wire
from loombench.vehicle.points import Point

UNDRAWN = "undrawn"
"""The mode of a fault that stands for a difference from the drawing."""
MOST_TRIED = 600
"""Differences that are computed at most, wires changed over first."""
CROSSED, JOINED = "crossed", "joined"


@dataclass(frozen=True)
class Difference:
    """One way in which the vehicle may differ from its drawing, as the changes that would make the drawing true.
    `points` are the two places it is about: of `CROSSED` wires where they are changed over, of `JOINED` nets a point of
    each."""

    kind: str
    points: tuple[Point, Point]
    changes: tuple[Change, ...]


@dataclass(frozen=True)
class _Lowering:
    """The circuit of the vehicle, or of one of the vehicles that differ from it."""

    changed: tuple[Vehicle, ...]

    def __call__(self, vehicle: Vehicle, faults: tuple[Fault, ...] = ()) -> Outcome[Netlist]:
        number = next((int(fault.target) for fault in faults if fault.mode == UNDRAWN), None)
        return lower(vehicle, faults) if number is None else lower(self.changed[number])


class _Replayed:
    """A forecast that computes every row anew from rest (see `diagnose.forecast.Forecast`)."""

    def __init__(self, vehicle: Vehicle, rows: Sequence[tuple[Fault, ...]], lowering: _Lowering) -> None:
        self._vehicle, self._rows, self._lowering = vehicle, tuple(rows), lowering
        self._read: dict[tuple[int, Setup], tuple[float, float]] = {}
        self._sights: dict[Condition, tuple[Sights, set[int]]] = {}

    def readings(self, setups: Sequence[Setup], needed: npt.NDArray[np.intp] | None = None) -> Readings:
        """The readings of the rows needed; nan for the others."""
        rows = self._wanted(needed)
        for setup in setups:
            new = [row for row in rows if (row, setup) not in self._read]
            found = predict(self._vehicle, [setup], [self._rows[row] for row in new], self._lowering)
            for place, row in enumerate(new):
                self._read[row, setup] = (float(found.low[place, 0]), float(found.high[place, 0]))
        nothing = (np.nan, np.nan)
        table = np.full((len(self._rows), len(setups), 2), np.nan)
        for column, setup in enumerate(setups):
            table[rows, column] = [self._read.get((row, setup), nothing) for row in rows]
        return Readings(table[..., 0], table[..., 1])

    def sights(self, condition: Condition, needed: npt.NDArray[np.intp] | None = None) -> Sights:
        """The loads and fuses of the rows needed; nan for the others."""
        if condition not in self._sights:
            (sound,) = observe(self._vehicle, condition, [()], self._lowering)
            parts = self._vehicle.parts.values()
            fuses = tuple(part.id for part in parts if part.kind in ("fuse", "fuselink", "breaker"))
            batteries = tuple(part.id for part in parts if part.kind == "battery")
            loads = tuple(sight.id for sight in sound.loads)
            self._sights[condition] = (blank_sights(len(self._rows), loads, fuses, batteries), set())
        known, looked = self._sights[condition]
        new = [row for row in self._wanted(needed) if row not in looked]
        for row, view in zip(new, observe(self._vehicle, condition, [self._rows[row] for row in new], self._lowering),
                             strict=True):  # fmt: skip
            if view.known:
                write_view(view, row, known)
        looked.update(new)
        return known

    def dear(self, condition: Condition) -> npt.NDArray[np.bool_]:  # noqa: ARG002
        """None: all rows take about as long."""
        return np.zeros(len(self._rows), dtype=np.bool_)

    def taken_back(self) -> int:
        """Never: all is replayed."""
        return 0

    def _wanted(self, needed: npt.NDArray[np.intp] | None) -> list[int]:
        return list(range(len(self._rows))) if needed is None else [int(row) for row in needed]


def explaining(belief: Belief, most: int = 5) -> tuple[Difference, ...]:
    """The differences that no observation speaks against, those first under which all of them are likeliest."""
    bench, observations = belief.bench, belief.observations
    if not observations:
        return ()
    odd = _odd(belief)
    tried: list[tuple[Difference, Vehicle]] = []
    for one in _differences(bench, [observations[row] for row in odd]):
        made = apply_all(bench.vehicle, one.changes)
        if not made.problems and lower(made.value).usable:
            tried.append((one, made.value))
        if len(tried) >= MOST_TRIED:
            break
    lowering = _Lowering(tuple(vehicle for _, vehicle in tried))
    left = list(range(len(tried)))
    # What speaks against the drawing leaves fewest to be computed for the rest.
    for row in [*odd, *(row for row in range(len(observations)) if row not in odd)]:
        if not left:
            return ()
        fits = allowed(observations[row], _bench(bench, left, lowering))
        left = [number for number, fit in zip(left, fits[1:-1], strict=True) if fit]
    weighed = update(Belief(_bench(bench, left, lowering)), observations)
    order = sorted(range(len(left)), key=lambda place: -float(weighed.total[1 + place]))
    against = np.atleast_1d(contradicted(weighed).any(axis=0))[1:-1]
    return tuple(tried[left[place]][0] for place in order if not against[place])[:most]


def _odd(belief: Belief) -> list[int]:
    """The observations, by number, that speak against a sound vehicle."""
    return [int(row) for row in np.flatnonzero(contradicted(belief)[:, belief.hypotheses.sound])]


def _bench(bench: Bench, numbers: Sequence[int], lowering: _Lowering) -> Bench:
    """A bench whose suspects are differences, between the sound vehicle and what nothing explains."""
    rows: list[tuple[Fault, ...]] = [(), *((Fault(UNDRAWN, str(number)),) for number in numbers)]
    members = [Hypothesis(SOUND, None, 0, 0, 1.0)]
    members += [
        Hypothesis(f"{UNDRAWN} {number}", Fault(UNDRAWN, str(number)), row, row, 1.0)
        for row, number in enumerate(numbers, 1)
    ]
    members.append(Hypothesis(UNEXPLAINED, None, 0, 0, 1.0))
    known = Hypotheses(tuple(members), tuple(rows))
    return replace(bench.of(known, _Replayed(bench.vehicle, rows, lowering)), grow=None, presence=1.0)


def _differences(bench: Bench, odd: Sequence[Observation]) -> Iterator[Difference]:
    """Those on the nets that the odd observations touch, wires changed over first."""
    vehicle, net = bench.vehicle, bench.nets.net
    touched = dict.fromkeys(net[point] for one in odd for point in _touched(vehicle, one) if point in net)
    ends = [(wire, end) for wire in vehicle.wires for end in (wire.a, wire.b)]
    near = [(wire, end) for wire, end in ends if net.get(merged(end)) in touched]
    seen: set[frozenset[tuple[str, Point]]] = set()
    for wire, end in near:
        for other, there in ends:
            pair = frozenset(((wire.id, end), (other.id, there)))
            alike = net.get(merged(end)) == net.get(merged(there))
            if there.part != end.part or there.half != end.half or other is wire or alike or pair in seen:
                continue
            seen.add(pair)
            moves = (MoveEnd(wire.id, end, there), MoveEnd(_after(vehicle, wire, end, there, other), there, end))
            yield Difference(CROSSED, (end, there), tuple(Change(move) for move in moves))
    first: dict[int, Point] = {}
    for _, end in ends:
        if (number := net.get(merged(end))) is not None:
            first.setdefault(number, end)
    joined: set[frozenset[int]] = set()
    for one in touched:
        for other_net, there in first.items():
            both = frozenset((one, other_net))
            if one in first and len(both) == 2 and both not in joined:
                joined.add(both)
                wire = Wire("", first[one], there, Colour(), exactly(1.0), exactly(0.5), "1mm2")
                yield Difference(JOINED, (first[one], there), (Change(AddWire(wire)),))


def _after(vehicle: Vehicle, wire: Wire, old: Point, new: Point, other: Wire) -> str:
    """What the other wire is called once the first has been moved: ids follow the ends."""
    moved = apply_all(vehicle, (Change(MoveEnd(wire.id, old, new)),)).value
    place = next(k for k, one in enumerate(vehicle.wires) if one is other)
    return moved.wires[place].id if place < len(moved.wires) else other.id


def _touched(vehicle: Vehicle, one: Observation) -> tuple[Point, ...]:
    """The points that an observation is about, as nets know them."""
    match one:
        case MeterRead(setup=setup):
            return tuple(merged(point) for point in (setup.red, setup.black) if point is not None)
        case LoadSeen(load=load):
            part = vehicle.parts.get(load.partition(".")[0])
            return () if part is None else tuple(merged(Point(part.id, pin)) for pin in part.pins)
    return ()
