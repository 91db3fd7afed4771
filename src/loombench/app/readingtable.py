"""What every pin should read in a condition, as rows of text and as plain values for machines."""

from dataclasses import dataclass

from loombench.base.outcome import Outcome
from loombench.base.problems import Problem
from loombench.base.quantity import print_quantity
from loombench.circuit.fault import Fault
from loombench.circuit.lower import lower
from loombench.circuit.operate import run
from loombench.circuit.readings import by_part, readings
from loombench.vehicle.condition import Condition
from loombench.vehicle.model import Vehicle


@dataclass(frozen=True)
class PinRow:
    """A pin: volts to battery minus (None = floating), the band over a rhythm, and ampere into the part."""

    part: str
    pin: str
    volts: float | None
    low: float | None
    high: float | None
    into_a: float | None

    @property
    def text(self) -> str:
        """The row as a person reads it."""
        volts = "floating" if self.volts is None else print_quantity(self.volts, "V")
        swing = ""
        if self.low is not None and self.high is not None and self.high - self.low > 1e-3:
            swing = f"  ({print_quantity(self.low, 'V')} to {print_quantity(self.high, 'V')})"
        amps = f"{print_quantity(self.into_a, 'A'):>10}" if self.into_a is not None and abs(self.into_a) > 1e-6 else ""
        return f"{self.part:<8}{self.pin:<10}{volts:>10}{amps}{swing}".rstrip()


def reading_table(
    vehicle: Vehicle, condition: Condition, faults: tuple[Fault, ...] = ()
) -> Outcome[tuple[PinRow, ...]]:
    """All pins by part in file order, and the problems of the faults named."""
    made = lower(vehicle, faults)
    problems: tuple[Problem, ...] = made.problems
    found = by_part(readings(made.value, run(made.value, condition)))
    rows = [
        PinRow(part, pin, one.volts, one.low, one.high, one.into_a)
        for part in vehicle.parts
        for pin, one in found.get(part, {}).items()
    ]
    return Outcome(tuple(rows), problems)
