"""What a search stands on: the vehicle, its nets, the hypotheses and the forecast for them."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from typing import Any, TypeVar

import numpy as np
import numpy.typing as npt

from loombench.circuit.fault import Fault
from loombench.diagnose.forecast import Forecast
from loombench.diagnose.growing import GrowingForecast
from loombench.diagnose.hypothesis import Hypotheses
from loombench.diagnose.observation import Observation
from loombench.diagnose.place import named_at
from loombench.diagnose.rates import NO_RATES, Rates
from loombench.diagnose.recent import Recent, kept
from loombench.diagnose.region import Region, region
from loombench.diagnose.room import Room
from loombench.facts.typical import typical
from loombench.vehicle.model import Vehicle
from loombench.vehicle.nets import Nets

V = TypeVar("V")
FEW = 6000
"""A vehicle with more hypotheses is a large one: to ask something of all of them, or to keep it, is dear."""
SAID_KEPT = 128
"""Beliefs and choices that are kept. A belief takes some 100 kB where there are a thousand hypotheses, half a MB where
there are as many as `FEW`."""
OTHERS_KEPT = 8
"""Benches of other hypotheses that are kept: one entry asks for five at most."""


@dataclass(frozen=True, eq=False)
class Bench:
    """Fixed for one case, but for `supply` [hypotheses]: of the volts the vehicle is reckoned with, the share that each
    hypothesis fits the readings best with (None: all)."""

    vehicle: Vehicle
    nets: Nets
    hypotheses: Hypotheses
    forecast: Forecast
    supply: npt.NDArray[np.float64] | None = None
    first: "Bench | None" = None
    """The bench whose hypotheses come first here, in their order; None where there is none."""
    presence: float = 1.0
    """The share of looks at which the fault is there; below 1 it comes and goes."""
    provoked_by: str = "wiggle"
    """What is said to bring it on where it comes and goes: one of `vehicle.condition.PROVOKING`."""
    grow: GrowingForecast | None = None
    """What makes forecasts for two faults at once; None where these are not looked for."""
    rates: Rates = NO_RATES
    """What was learned from closed jobs and is in the weights of `hypotheses`."""
    room: Room = field(default_factory=Room, repr=False)
    """What its forecasts keep what they worked out in."""

    outlier_share: float = field(default_factory=lambda: typical("reading_tolerance", "volts-wrong").value)
    """The share of readings that are taken to be wrong altogether; above 0."""

    weights: Recent[Observation, Any] = field(default_factory=Recent, repr=False)
    """What `weighing` found that observations say of the hypotheses, for when there is one more of them."""

    looks: Recent[str, npt.NDArray[np.float64]] = field(default_factory=Recent, repr=False)
    """[hypotheses, looks] tables that `likelihood` has of loads which are looked at while something is moved."""

    excerpts: Recent[str, Any] = field(default_factory=Recent, repr=False)
    """What `excerpt` took out for the shares asked about last: all steps of a choice are judged by the same."""

    fits: Recent[Observation, dict[Any, bool]] = field(default_factory=Recent, repr=False)
    """Which pairs of faults `pairs` found each observation to fit."""

    said: Recent[Any, Any] = field(default_factory=Recent, repr=False)
    """What was believed and chosen in the cases of this bench; those with the same complaint begin alike."""

    _others: Recent[str, "Bench"] = field(default_factory=lambda: Recent(OTHERS_KEPT), repr=False)
    _once: Recent[str, Any] = field(default_factory=Recent, repr=False)
    _regions: dict[tuple[str, ...], Region] = field(default_factory=dict, repr=False)
    _named_at: dict[Fault, frozenset[str]] = field(default_factory=dict, repr=False)
    """What was followed once. It hangs on the vehicle alone, so that it serves any hypotheses."""

    def of(self, hypotheses: Hypotheses, forecast: Forecast) -> "Bench":
        """The same for other hypotheses, which are asked about this once: nothing of them is kept."""
        return replace(
            self, hypotheses=hypotheses, forecast=forecast, supply=None, first=None, weights=Recent(),
            looks=Recent(), excerpts=Recent(), fits=Recent(), said=Recent(), _others=Recent(OTHERS_KEPT),
            _once=Recent(),
        )  # fmt: skip

    def beside(self, name: str, make: Callable[[], Hypotheses]) -> "Bench":
        """A bench of these hypotheses and others after them, named for how they are made: the same one while it is
        among those asked for last, with all that was worked out for it. It needs `grow`.

        Of a large vehicle none is kept: what is worked out for one is as much as for all single faults.
        """
        assert self.grow is not None
        count = len(self.hypotheses.members)
        known = self._others.of(
            self.hypotheses, self.grow, self.grow.taken_back(), self.presence, self.provoked_by, self.outlier_share,
            name,
        )  # fmt: skip
        if name in known:
            return known[name]
        hypotheses = make()
        made = replace(self.of(hypotheses, self.grow.of(hypotheses.faults)), first=self)
        if count <= FEW:
            known[name] = made
        return made

    def region(self, targets: tuple[str, ...]) -> Region:
        """The part of the vehicle that some loads or fuses are about."""
        if targets not in self._regions:
            self._regions[targets] = region(self.vehicle, targets)
        return self._regions[targets]

    def once_said(
        self,
        observations: Sequence[Observation],
        asked: tuple[Any, ...],
        work: Callable[[], V],
        worth: Callable[[V], bool] = lambda _: True,
    ) -> V:
        """What `work` makes of observations and all else that is `asked`, kept for the last times it was where that is
        `worth` it. Of a large vehicle nothing is: there one belief is as much as many of a small one."""
        if len(self.hypotheses.members) > FEW:
            return work()
        known = self.said.of(
            self.hypotheses, self.forecast, self.forecast.taken_back(), self.grow,
            0 if self.grow is None else self.grow.taken_back(), self.presence, self.provoked_by, self.outlier_share,
        )  # fmt: skip
        found: V = kept(known, (tuple(observations), asked), work, SAID_KEPT, worth)
        return found

    def named_at(self, fault: Fault) -> frozenset[str]:
        """All that a fault is said to be at: each spot that is moved asks this of all faults."""
        if fault not in self._named_at:
            self._named_at[fault] = named_at(self.vehicle, fault)
        return self._named_at[fault]

    def once(self, work: Callable[["Bench", str], V], name: str) -> V:
        """What `work` makes of the hypotheses and a name, worked out once; nothing else of the bench may count."""
        known = self._once.of(self.hypotheses, work)
        if name not in known:
            known[name] = work(self, name)
        found: V = known[name]
        return found

    @property
    def nominal_v(self) -> float:
        """Volts of the vehicle, which readings are scaled by."""
        return self.vehicle.nominal_v
