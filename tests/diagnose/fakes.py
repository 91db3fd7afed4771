"""A forecast that is a table, so that weighing and choosing are tested without any circuit."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np
import numpy.typing as npt

from loombench.circuit.fault import Fault
from loombench.diagnose.bench import Bench
from loombench.diagnose.forecast import Readings, Sights
from loombench.diagnose.hypothesis import SOUND, UNEXPLAINED, Hypotheses, Hypothesis
from loombench.vehicle.condition import Condition, Setup
from loombench.vehicle.model import Vehicle
from loombench.vehicle.nets import nets
from loombench.vehicle.points import Point

ON = Condition()


def bare_vehicle() -> Vehicle:
    return Vehicle("bare", 12.0, "IEC", MappingProxyType({}), (), MappingProxyType({}))


@dataclass(frozen=True, eq=False)
class Table:
    """`volts[point]` [rows] readings of a point to battery minus; `share[load]` [rows]; `blown[fuse]` [rows]."""

    volts: Mapping[str, Sequence[float]]
    share: Mapping[str, Sequence[float]]
    blown: Mapping[str, Sequence[float]]

    def readings(self, setups: Sequence[Setup], needed: npt.NDArray[np.intp] | None = None) -> Readings:  # noqa: ARG002
        columns = [np.array(self.volts[str(setup.red)], dtype=float) for setup in setups]
        table = np.stack(columns, axis=1)
        return Readings(table, table.copy())

    def sights(self, condition: Condition, needed: npt.NDArray[np.intp] | None = None) -> Sights:  # noqa: ARG002
        share = np.array(list(self.share.values()), dtype=float).T
        blown = np.array(list(self.blown.values()), dtype=float).T
        still, whole = np.zeros_like(share), np.full_like(blown, np.inf)
        return Sights(
            tuple(self.share), share, tuple(self.blown), blown, (), still, still, still, whole,
            np.zeros((len(share), 0)),
        )  # fmt: skip

    def taken_back(self) -> int:
        return 0

    def dear(self, condition: Condition) -> npt.NDArray[np.bool_]:  # noqa: ARG002
        return np.zeros(len(next(iter(self.share.values()))), dtype=np.bool_)


def chain(n: int, weights: Sequence[float] = ()) -> Bench:
    """`n` links in series from 12 V to a lamp: link i open makes every point from i on read 0 V. Points P1 .. Pn-1
    lie between the links, Dk is the drop over link k; the lamp is dead with any open link."""
    weights = weights or [1.0] * n
    faults: list[tuple[Fault, ...]] = [(), *((Fault("open", f"L{i}"),) for i in range(n))]
    members = [Hypothesis(f"L{i}", Fault("open", f"L{i}"), i + 1, i + 1, weights[i]) for i in range(n)]
    small = 0.01 * sum(weights)
    members += [Hypothesis(SOUND, None, 0, 0, small), Hypothesis(UNEXPLAINED, None, 0, 0, small)]
    volts = {f"P{k}": [12.0, *(0.0 if i < k else 12.0 for i in range(n))] for k in range(1, n)}
    volts |= {f"D{k}": [0.0, *(12.0 if i == k else 0.0 for i in range(n))] for k in range(n)}
    table = Table(volts, {"E1": [1.0, *([0.0] * n)]}, {"F1": [0.0] * (n + 1)})
    vehicle = bare_vehicle()
    return Bench(vehicle, nets(vehicle), Hypotheses(tuple(members), tuple(faults)), table)


def at(point: str) -> Setup:
    return Setup(ON, Point(point), Point("G1", "-"))
