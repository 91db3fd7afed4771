"""What a search stands on: the vehicle, its nets, the hypotheses and the forecast for them."""

from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt

from loombench.diagnose.forecast import Forecast
from loombench.diagnose.growing import GrowingForecast
from loombench.diagnose.hypothesis import Hypotheses
from loombench.diagnose.rates import NO_RATES, Rates
from loombench.diagnose.region import Region, region
from loombench.facts.typical import typical
from loombench.vehicle.model import Vehicle
from loombench.vehicle.nets import Nets


@dataclass(frozen=True, eq=False)
class Bench:
    """Fixed for one case, but for `supply` [hypotheses]: of the volts the vehicle is reckoned with, the share that each
    hypothesis fits the readings best with (None: all)."""

    vehicle: Vehicle
    nets: Nets
    hypotheses: Hypotheses
    forecast: Forecast
    supply: npt.NDArray[np.float64] | None = None
    presence: float = 1.0
    """The share of looks at which the fault is there; below 1 it comes and goes."""
    provoked_by: str = "wiggle"
    """What is said to bring it on where it comes and goes: one of `vehicle.condition.PROVOKING`."""
    grow: GrowingForecast | None = None
    """What makes forecasts for two faults at once; None where these are not looked for."""
    rates: Rates = NO_RATES
    """What was learned from closed jobs and is in the weights of `hypotheses`."""

    outlier_share: float = field(default_factory=lambda: typical("reading_tolerance", "volts-wrong").value)
    """The share of readings that are taken to be wrong altogether; above 0."""

    _regions: dict[tuple[str, ...], Region] = field(default_factory=dict, repr=False)
    """What was followed once."""

    def region(self, targets: tuple[str, ...]) -> Region:
        """The part of the vehicle that some loads or fuses are about."""
        if targets not in self._regions:
            self._regions[targets] = region(self.vehicle, targets)
        return self._regions[targets]

    @property
    def nominal_v(self) -> float:
        """Volts of the vehicle, which readings are scaled by."""
        return self.vehicle.nominal_v
