"""What every pin should read in a condition, or one meter between two points, as plain rows."""

import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from loombench.app.spoken import plain_setup
from loombench.base.outcome import Outcome
from loombench.base.problems import Problem
from loombench.base.quantity import print_quantity
from loombench.base.wording import Catalogue, catalogue
from loombench.circuit.aid import aided
from loombench.circuit.bands import bands, reading_bands
from loombench.circuit.explain import explain
from loombench.circuit.fault import Fault
from loombench.circuit.lower import lower
from loombench.circuit.meter import read
from loombench.circuit.netlist import Netlist
from loombench.circuit.operate import run
from loombench.circuit.point import Settled
from loombench.circuit.readings import PinReading, by_part, power_w, readings
from loombench.circuit.unknowns import Unknown, unknowns, with_values
from loombench.vehicle.condition import Condition, Setup
from loombench.vehicle.model import Vehicle

MOST_UNKNOWNS = 60
"""With more numbers unknown than this the table gives the nominal readings only, and says so."""
SWING_V = 1e-3
LEAST_W = 0.05
_FLOATING = " (floating)"
_PART = re.compile(r"(?:[^\s.:]+::)?[^\s.:]+(?=[.:]|$)")


@dataclass(frozen=True)
class PinRow:
    """A pin: volts to battery minus (None = floating), the band over a rhythm and over what is unknown, and ampere
    into the part (None where no contact leads there)."""

    part: str
    pin: str
    volts: float | None
    low: float | None
    high: float | None
    into_a: float | None


@dataclass(frozen=True)
class PowerRow:
    """The watts a part or wire turns into light, heat or motion (a source's are below zero), mean over a rhythm."""

    name: str
    power_w: float

    @property
    def text(self) -> str:
        """The row as a person reads it."""
        return f"{self.name:<27}{print_quantity(self.power_w, 'W'):>11}"


@dataclass(frozen=True)
class PinTable:
    """All pins in file order; `unknown` counts the numbers that are ranges, `banded`: the rows carry their effect.

    `powers` are the parts and wires that take or give at least `LEAST_W`, parts first.
    """

    rows: tuple[PinRow, ...]
    powers: tuple[PowerRow, ...]
    unknown: int
    banded: bool


@dataclass(frozen=True)
class MeterRow:
    """What one meter shows: as text, in numbers, and the band over a rhythm and over what is unknown."""

    setup: str
    text: str
    value: float | None
    unit: str
    low: float | None
    high: float | None
    flags: tuple[str, ...]


def pin_line(row: PinRow, words: Catalogue | None = None) -> str:
    """A pin as a person reads it."""
    words = words or catalogue()
    volts = words.say("pin-out.floating") if row.volts is None else print_quantity(row.volts, "V")
    amps = print_quantity(row.into_a, "A") if row.into_a is not None and abs(row.into_a) > 1e-6 else ""
    swing = ""
    if row.low is not None and row.high is not None and row.high - row.low > SWING_V:
        swing = f"   {swing_text(row.low, row.high, 'V', words)}"
    return f"{row.part:<14} {row.pin:<12}{volts:>11}{amps:>12}{swing}".rstrip()


def swing_text(low: float, high: float, unit: str, words: Catalogue) -> str:
    """From where to where a reading goes."""
    return words.say("shell.within", low=print_quantity(low, unit), high=print_quantity(high, unit))


def meter_line(row: MeterRow, setup: Setup, words: Catalogue | None = None) -> str:
    """What a meter shows, as a person reads it: set-up, reading, band, and what has to be known of it."""
    words = words or catalogue()
    number = row.text.removesuffix(_FLOATING)
    key = f"shows.{re.sub('[, ]+', '-', number)}"
    text = words.say(key) if words.has(key) else number
    text = words.say("metered.floating", number=text) if row.text.endswith(_FLOATING) else text
    band = row.low is not None and row.high is not None and row.high - row.low >= SWING_V
    swing = f"   {swing_text(row.low or 0.0, row.high or 0.0, row.unit, words)}" if band else ""
    flags = ", ".join(words.say(f"flag.{one}") if words.has(f"flag.{one}") else one for one in row.flags)
    return f"{plain_setup(setup, words)}: {text}{swing}" + (f"   ({flags})" if flags else "")


def pin_table(vehicle: Vehicle, condition: Condition, faults: tuple[Fault, ...] = ()) -> Outcome[PinTable]:
    """All pins by part, and the problems of the faults named and of what happened in the condition."""
    made = aided(lower, condition.aids)(vehicle, faults)
    settled = run(made.value, condition.plain)
    found = [explain(made.value, finding, vehicle) for finding in settled.findings]
    rows = _rows(vehicle, by_part(readings(made.value, settled)))
    open_numbers = unknowns(vehicle)
    banded = 0 < len(open_numbers) <= MOST_UNKNOWNS
    if banded:
        rows = _banded(vehicle, condition, faults, rows)
    table = PinTable(rows, _powers(vehicle, made.value, settled), len(open_numbers), banded)
    return Outcome(table, (*made.problems, *found))


def _powers(vehicle: Vehicle, netlist: Netlist, settled: Settled) -> tuple[PowerRow, ...]:
    watts: dict[str, float] = {}
    for phase in settled.all_phases:
        for element, power in power_w(netlist, phase.point).items():
            name = element if element in vehicle.wire_by_id else _part_of(element)
            watts[name] = watts.get(name, 0.0) + phase.share * power
    names = (*vehicle.parts, *vehicle.wire_by_id)
    return tuple(PowerRow(name, watts[name]) for name in names if abs(watts.get(name, 0.0)) >= LEAST_W)


def _part_of(element: str) -> str:
    """The part in an element's id (`M5.53-31`, `G1:emf`, `trailer::E31.1-6`); contacts are named otherwise."""
    found = _PART.match(element)
    return found[0] if found else ""


def _rows(vehicle: Vehicle, found: Mapping[str, Mapping[str, PinReading]]) -> tuple[PinRow, ...]:
    return tuple(
        PinRow(part, pin, one.volts, one.low, one.high, one.into_a)
        for part in vehicle.parts
        for pin, one in found.get(part, {}).items()
    )


def _banded(
    vehicle: Vehicle, condition: Condition, faults: tuple[Fault, ...], rows: tuple[PinRow, ...]
) -> tuple[PinRow, ...]:
    def compute(values: Mapping[Unknown, float]) -> Sequence[float]:
        chosen = with_values(vehicle, values)
        netlist = aided(lower, condition.aids)(chosen, faults).value
        table = _rows(chosen, by_part(readings(netlist, run(netlist, condition.plain))))
        return [math.nan if row.volts is None else row.volts for row in table]

    over = bands(compute, unknowns(vehicle))
    return tuple(
        row
        if row.low is None or row.high is None or math.isnan(over.low[k]) or math.isnan(over.high[k])
        else replace(row, low=min(row.low, float(over.low[k])), high=max(row.high, float(over.high[k])))
        for k, row in enumerate(rows)
    )


def meter_row(vehicle: Vehicle, setup: Setup, faults: tuple[Fault, ...] = ()) -> Outcome[MeterRow]:
    """What the meter of a set-up shows."""
    made = aided(lower, setup.condition.aids)(vehicle, faults)
    shown = read(made.value, replace(setup, condition=setup.condition.plain))
    low, high = shown.low, shown.high
    if shown.value is not None and math.isfinite(shown.value) and 0 < len(unknowns(vehicle)) <= MOST_UNKNOWNS:
        over = reading_bands(vehicle, [setup], lower, faults)
        ends = [float(over.low[0]), float(over.high[0]), *(end for end in (low, high) if end is not None)]
        known = [end for end in ends if not math.isnan(end)]
        low, high = min(known), max(known)
    problems: tuple[Problem, ...] = made.problems
    return Outcome(MeterRow(str(setup), shown.text, shown.value, shown.unit, low, high, shown.flags), problems)
