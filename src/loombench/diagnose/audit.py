"""What the tables of a forecast answered, counted; a sample of it held against a replay without short cuts."""

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt

from loombench.circuit.fault import Fault
from loombench.circuit.meter import read
from loombench.circuit.observe import seen
from loombench.circuit.operate import Situation, operate
from loombench.circuit.ready import Ready, ready_for
from loombench.diagnose.forecast import Sights, blank_sights
from loombench.diagnose.modelled import Lowering, write_view
from loombench.vehicle.condition import Condition, Setup
from loombench.vehicle.model import Vehicle

FloatArray = npt.NDArray[np.float64]

ACCURATE_V, ACCURATE_SHARE = 2e-4, 1e-4
"""Farther than this, in volts or as a share, the tables and the reference must not be apart."""
OVER_SCALE = 1e3
"""Readings beyond, which are ohms of what is as good as open, are compared by their share alone."""


@dataclass
class Counts:
    """How many answers came from where: pairs of row and condition, or of row and set-up for readings."""

    tabled: int = 0
    apart: int = 0
    """Readings of a piece that is taken apart, under faults that have nothing to do with it."""
    replayed: dict[str, int] = field(default_factory=dict)
    """What no table has, by what was asked for."""
    audited: int = 0
    audit_failures: int = 0
    max_difference: float = 0.0
    distrusted: list[Condition] = field(default_factory=list)
    """Conditions of which the tables are not used any more."""

    def fell_back(self, why: str, count: int) -> None:
        """Note answers that the reference gives."""
        if count:
            self.replayed[why] = self.replayed.get(why, 0) + count


@dataclass(frozen=True, eq=False)
class Audit:
    """Compares with rows lowered, factored and replayed from rest; `counts` keeps how that went."""

    vehicle: Vehicle
    faults: Sequence[tuple[Fault, ...]]
    lowering: Lowering
    sound: Ready
    seed: int
    counts: Counts = field(default_factory=Counts)

    def sampled(self, rows: Sequence[int], count: int, turn: tuple[int, ...]) -> list[int]:
        """Some of the rows, by the seed and `turn`, which is another each time."""
        rng = np.random.default_rng((self.seed, *turn))
        some = rng.choice(np.array(sorted(rows), dtype=np.intp), min(count, len(rows)), replace=False)
        return [int(row) for row in some]

    def sights(self, known: Sights, row: int, condition: Condition) -> bool:
        """Whether what is seen of a row is what a replay shows."""
        replayed = self._replayed(row, condition)
        there = blank_sights(1, known.loads, known.fuses, known.batteries)
        write_view(seen(self.vehicle, replayed.ready.p.netlist, replayed.settled), 0, there)
        return self._agree(_flat(known, row), _flat(there, 0))

    def reading(self, value: float, row: int, setup: Setup) -> bool:
        """Whether a reading is what a replay shows."""
        shown = read(self._replayed(row, setup.condition), setup)
        there = np.nan if shown.value is None else shown.value
        return self._agree(np.array([value]), np.array([there]))

    def _replayed(self, row: int, condition: Condition) -> Situation:
        lowered = self.lowering(self.vehicle, self.faults[row])
        return operate(ready_for(lowered.value, self.sound), condition)

    def _agree(self, here: FloatArray, there: FloatArray) -> bool:
        self.counts.audited += 1
        same = (here == there) | (np.isnan(here) & np.isnan(there))
        with np.errstate(invalid="ignore"):
            apart = np.where(same, 0.0, np.abs(here - there))
            near = same | (apart <= ACCURATE_V + ACCURATE_SHARE * np.abs(there))
        finite = apart[np.isfinite(apart) & (np.abs(there) < OVER_SCALE)]
        self.counts.max_difference = max(self.counts.max_difference, float(finite.max(initial=0.0)))
        self.counts.audit_failures += not near.all()
        return bool(near.all())


def _flat(known: Sights, row: int) -> FloatArray:
    """All that is seen of one row."""
    tables = (known.share, known.blown, known.period_s, known.astray, known.stops_s, known.opens_s, known.draw_a)
    return np.concatenate([table[row] for table in tables])
