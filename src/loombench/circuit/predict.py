"""What every fault would make every meter read: each fault in the netlist from rest, the whole condition replayed.

This is the reference: every case is solved anew. Set-ups that share a condition share its settling; a faulted netlist
uses the sound one's elimination plan where it fits.
"""

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from loombench.base.outcome import Outcome
from loombench.circuit.aid import aided
from loombench.circuit.fault import Fault
from loombench.circuit.kernel import load_compiled
from loombench.circuit.loops import FloatArray
from loombench.circuit.lower import LoweringOf
from loombench.circuit.meter import MeterReading, read
from loombench.circuit.netlist import Netlist
from loombench.circuit.operate import Situation, operate
from loombench.circuit.point import Settled
from loombench.circuit.ready import Ready, ready_for
from loombench.circuit.settle import settle
from loombench.vehicle.condition import Condition, Operation, Setup
from loombench.vehicle.model import Vehicle

Lowering = Callable[[Vehicle, tuple[Fault, ...]], Outcome[Netlist]]
"""What makes a netlist of a vehicle with faults in it; `circuit.lower` unless given."""
# Loading the compiled kernel takes about a second; from so many solutions on that is won back.
_COMPILED_FROM = 500
Proceed = Callable[[int, int], bool]
"""Told how many of how many faults are done; answers whether to go on."""


@dataclass(frozen=True, eq=False)
class Prediction:
    """[faults, setups] each. nan where there is no answer, infinite where an ohmmeter shows OL.

    `low` and `high` span rhythms and what a fuse between holding and opening may do. `flags[fault][setup]` are the
    flags of `MeterReading`, besides `no-such-fault`, `no-such-point` and `stopped`.
    """

    values: FloatArray
    low: FloatArray
    high: FloatArray
    flags: tuple[tuple[tuple[str, ...], ...], ...]


class Cases:
    """The netlists of a vehicle with faults, made one after the other, each with where it settles at rest; the last
    `keep` of them are made once."""

    def __init__(self, vehicle: Vehicle, lowering: Lowering | None = None, keep: int = 1) -> None:
        self.vehicle, self.lowering, self.keep = vehicle, lowering or LoweringOf(vehicle), keep
        self.like: dict[tuple[Operation, ...], Ready] = {}
        self._kept: dict[tuple[tuple[Fault, ...], tuple[Operation, ...]], tuple[Ready, Settled] | None] = {}

    def case(self, faults: tuple[Fault, ...], aids: tuple[Operation, ...] = ()) -> tuple[Ready, Settled] | None:
        """A netlist, with aids on it, and its rest; None where a fault has no target in the vehicle."""
        if (faults, aids) not in self._kept:
            while len(self._kept) >= self.keep:
                del self._kept[next(iter(self._kept))]
            self._kept[faults, aids] = self._case(faults, aids)
        return self._kept[faults, aids]

    def _case(self, faults: tuple[Fault, ...], aids: tuple[Operation, ...]) -> tuple[Ready, Settled] | None:
        lowered = aided(self.lowering, aids)(self.vehicle, faults)
        if not lowered.usable:
            return None
        ready = ready_for(lowered.value, self.like.get(aids))
        self.like.setdefault(aids, ready)
        return ready, settle(ready, {}, {})


def predict(
    vehicle: Vehicle,
    setups: Sequence[Setup],
    faults: Sequence[tuple[Fault, ...]],
    lowering: Lowering | None = None,
    proceed: Proceed | None = None,
    cases: Cases | None = None,
) -> Prediction:
    """The readings of all set-ups under each set of faults, (): none; by `cases` of the vehicle that there are already.

    Raises:
        KeyError: a condition names something that the vehicle does not have, or there is no such meter.
    """
    shape = (len(faults), len(setups))
    values, low, high = (np.full(shape, np.nan) for _ in range(3))
    flags: list[tuple[tuple[str, ...], ...]] = []
    cases = cases or Cases(vehicle, lowering)
    groups = grouped(setups)
    if len(faults) * (len(setups) + len(groups)) >= _COMPILED_FROM:
        load_compiled()
    stopped = False
    for row, some in enumerate(faults):
        stopped = stopped or (proceed is not None and not proceed(row, len(faults)))
        case = None if stopped else cases.case(some)
        if case is None:
            flags.append((("stopped" if stopped else "no-such-fault",),) * len(setups))
            continue
        seen: list[tuple[str, ...]] = [()] * len(setups)
        for condition, places in groups:
            own = cases.case(some, condition.aids) if condition.aids else case
            if own is None:
                continue
            situation = operate(own[0], condition.plain, own[1])
            for place in places:
                reading = _read(situation, setups[place])
                values[row, place], low[row, place], high[row, place] = _numbers(reading)
                seen[place] = ("no-such-point",) if reading is None else reading.flags
        flags.append(tuple(seen))
    if proceed is not None and not stopped:
        proceed(len(faults), len(faults))
    return Prediction(values, low, high, tuple(flags))


def grouped(setups: Iterable[Setup]) -> list[tuple[Condition, list[int]]]:
    """The places of the set-ups by condition, in the order in which conditions come first."""
    groups: dict[Condition, list[int]] = {}
    for place, setup in enumerate(setups):
        groups.setdefault(setup.condition, []).append(place)
    return list(groups.items())


def _read(situation: Situation, setup: Setup) -> MeterReading | None:
    known = situation.ready.p.netlist.node_of
    if setup.red not in known or (setup.black is not None and setup.black not in known):
        return None
    return read(situation, setup)


def _numbers(reading: MeterReading | None) -> tuple[float, float, float]:
    if reading is None or reading.value is None or reading.low is None or reading.high is None:
        return math.nan, math.nan, math.nan
    return reading.value, reading.low, reading.high
