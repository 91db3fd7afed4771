"""A vehicle as one stands before it: conditions as they are typed, faults as they are written, and meters.

Every reading is the whole way from the file: load, lower with the faults, operate from rest, put the meter on.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache, cached_property
from pathlib import Path

import pytest

from loombench.circuit.fault import Fault, read_fault
from loombench.circuit.lower import lower
from loombench.circuit.meter import MeterReading, read
from loombench.circuit.observe import LoadSight, Observed, observe
from loombench.circuit.operate import operate
from loombench.circuit.point import Settled
from loombench.circuit.ready import Ready, ready_for
from loombench.text.load import load_file, load_text
from loombench.text.names import find_point, read_condition
from loombench.vehicle.condition import Condition, Setup
from loombench.vehicle.model import Vehicle
from loombench.vehicle.points import Point

EXAMPLES = Path(__file__).parents[2] / "examples"
WITHIN = 0.1
"""The share by which a computed reading may differ from a printed one where the scenario fixes the circuit."""


def printed(value: float, within: float = WITHIN, volts: float = 0.0) -> object:
    """What equals a printed figure within a share of it, or within `volts` where the print has few digits."""
    return pytest.approx(value, rel=within, abs=volts)


@dataclass(frozen=True)
class Bench:
    """A vehicle with what is wrong with it."""

    vehicle: Vehicle
    faults: tuple[Fault, ...] = ()

    @cached_property
    def ready(self) -> Ready:
        """Its netlist with the faults in it, all of which have a target; made once for all readings."""
        lowered = lower(self.vehicle, self.faults)
        assert lowered.problems == ()
        return ready_for(lowered.value)

    def but(self, *texts: str) -> "Bench":
        """The same vehicle with these faults too."""
        more = tuple(fault for text in texts if (fault := read_fault(text)))
        assert len(more) == len(texts), texts
        return Bench(self.vehicle, self.faults + more)

    def condition(self, text: str) -> Condition:
        """The condition that a text spells, all names known."""
        if not text:
            return Condition()
        outcome = read_condition(self.vehicle, text)
        assert outcome.problems == (), text
        return outcome.value

    def point(self, text: str) -> Point:
        """The point of that name."""
        outcome = find_point(self.vehicle, text)
        assert outcome.value is not None, (text, outcome.problems)
        return outcome.value

    def reading(self, red: str, black: str | None, condition: str = "", meter: str = "voltmeter") -> MeterReading:
        """What a meter shows between two points; without a black lead against the post of the battery's minus."""
        ends = self.point(red), None if black is None else self.point(black)
        return read(self.ready, Setup(self.condition(condition), *ends, meter))

    def volts(self, red: str, black: str | None = None, condition: str = "", meter: str = "voltmeter") -> float:
        """The number of a reading."""
        value = self.reading(red, black, condition, meter).value
        assert value is not None
        return value

    def fuse_mv(self, fuse: str, condition: str) -> float:
        """Millivolts between the test points in the back of a plugged fuse: over its element, without its contacts."""
        return 1e3 * self.volts(f"{fuse}.in:pin", f"{fuse}.out:pin", condition)

    def ohms(self, red: str, black: str, condition: str = "") -> float:
        """What an ohmmeter shows; the circuit has to be dead."""
        shown = self.reading(red, black, condition, "ohmmeter")
        assert "live" not in shown.flags, condition
        assert shown.value is not None
        return shown.value

    def amps(self, wire_end: str, condition: str = "") -> float:
        """What a clamp shows at a wire's end, whichever way it runs."""
        shown = self.reading(wire_end, None, condition, "clamp")
        assert shown.value is not None
        return abs(shown.value)

    def seen(self, condition: str) -> Observed:
        """What one sees in a condition."""
        (observed,) = observe(self.vehicle, self.condition(condition), [self.faults])
        assert observed.known
        return observed

    def loads(self, condition: str) -> Mapping[str, LoadSight]:
        """How each load works in a condition."""
        return {load.id: load for load in self.seen(condition).loads}

    def lit(self, condition: str) -> set[str]:
        """The loads that work as they should."""
        return {name for name, load in self.loads(condition).items() if load.light == "full"}

    def settled(self, condition: str) -> Settled:
        """How a condition settles, with what is found on the way."""
        return operate(self.ready, self.condition(condition)).settled


@cache
def bench(name: str, *options: str) -> Bench:
    """An example that loads without a problem, with options chosen."""
    loaded = load_file(EXAMPLES / name, options)
    assert loaded.problems == (), loaded.problems
    return Bench(loaded.value)


def written(text: str, volts: int = 12) -> Bench:
    """A vehicle from the lines after its head."""
    loaded = load_text(f'loombench 1\nvehicle "Written here" {volts}V\ncolours IEC\n{text}', "here.circuit")
    assert loaded.problems == (), loaded.problems
    return Bench(loaded.value)
