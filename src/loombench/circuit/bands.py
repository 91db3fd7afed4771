"""Readings as bands: numbers that are only known as ranges carried through to what the meter shows.

For each reading the sign of its sensitivity to each unknown, taken over the whole range with the others nominal, says
at which corner of the ranges it is least and at which greatest; the distinct corners are solved anew. In a resistor
network a reading is monotone in each resistance by itself, so with one unknown the band is exact; with several the sign
may turn where another one is far off, and where a relay or fuse tips in between, so every point that was solved
on the way widens the band too. Beyond `MOST_CORNERS` the deviations of the single unknowns are added up instead
(`added` is then True).
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from loombench.base.band import Band
from loombench.circuit.fault import Fault
from loombench.circuit.loops import FloatArray
from loombench.circuit.predict import Lowering, predict
from loombench.circuit.unknowns import Unknown, unknowns, with_values
from loombench.vehicle.condition import Setup
from loombench.vehicle.model import Vehicle

MOST_CORNERS = 24
Values = Mapping[Unknown, float]
Compute = Callable[[Values], Sequence[float]]
"""The readings for a choice of the unknowns; nan where there is none."""


@dataclass(frozen=True, eq=False)
class Bands:
    """The readings: `nominal`, `low` and `high` [readings]; what each depends on, the greatest effect first."""

    nominal: FloatArray
    low: FloatArray
    high: FloatArray
    depends: tuple[tuple[Unknown, ...], ...]
    added: bool
    solved: int


def bands(compute: Compute, ranges: Mapping[Unknown, Band], matters: float = 1e-6) -> Bands:
    """Carry ranges through a computation of readings. An unknown that moves a reading by less than `matters` (in the
    reading's unit) is not among what it depends on, but is in its band."""
    names = list(ranges)
    middle = {name: ranges[name].nominal for name in names}
    nominal = np.asarray(compute(middle), dtype=np.float64)
    ends = np.array(
        [[compute({**middle, name: value}) for value in (ranges[name].low, ranges[name].high)] for name in names],
        dtype=np.float64,
    ).reshape(len(names), 2, len(nominal))
    solved = 1 + 2 * len(names)
    rises = ends[:, 1, :] >= ends[:, 0, :]
    moves = np.max(np.abs(ends - nominal), axis=1, initial=0.0) if names else np.zeros((0, len(nominal)))
    tried = [nominal, *ends.reshape(-1, len(nominal))]
    corners = {tuple((rises[:, k] == up).tolist()) for k in range(len(nominal)) for up in (True, False)}
    added = len(corners) > MOST_CORNERS
    if not added and len(names) > 1:
        for corner in sorted(corners):
            chosen = {
                name: ranges[name].high if high else ranges[name].low for name, high in zip(names, corner, strict=True)
            }
            tried.append(np.asarray(compute(chosen), dtype=np.float64))
            solved += 1
    low, high = np.min(tried, axis=0), np.max(tried, axis=0)
    if added:
        low = np.minimum(low, nominal + np.minimum(ends - nominal, 0.0).min(axis=1).sum(axis=0))
        high = np.maximum(high, nominal + np.maximum(ends - nominal, 0.0).max(axis=1).sum(axis=0))
    depends = tuple(
        tuple(names[k] for k in np.argsort(-moves[:, reading], kind="stable") if moves[k, reading] > matters)
        for reading in range(len(nominal))
    )
    return Bands(nominal, low, high, depends, added, solved)


def reading_bands(
    vehicle: Vehicle,
    setups: Sequence[Setup],
    lowering: Lowering | None = None,
    faults: tuple[Fault, ...] = (),
    only: Mapping[Unknown, Band] | None = None,
) -> Bands:
    """The readings of set-ups on a vehicle some of whose numbers are ranges (`only` those, else all it has).

    Takes two solutions an unknown and one a corner, so on a whole vehicle give `only` those of the circuit looked at.
    """

    def compute(values: Values) -> Sequence[float]:
        found = predict(with_values(vehicle, values), setups, (faults,), lowering).values[0]
        return [float(value) for value in found]

    return bands(compute, unknowns(vehicle) if only is None else only)
