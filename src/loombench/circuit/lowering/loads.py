"""Loads: lamps, LED units, motors, heaters, resistors, diodes, sensors, and what ends a bus.

A motor is the resistance of steady running (`facts.motor`): inrush and stall are not in the steady answer. An LED unit
is a string of LEDs with a series resistor, chosen so that it draws its rated current at its rated volts.
"""

import math

from loombench.circuit.lowering.builder import Builder, ends, limited_ohm, numbers, owner, owners
from loombench.circuit.lowering.sources import figure
from loombench.circuit.lowering.wiring import conductor_ohm
from loombench.circuit.netlist import Filament, Junction
from loombench.facts.conductor import awg_area_mm2
from loombench.facts.filament import filament
from loombench.facts.motor import running_resistance_ohm
from loombench.vehicle.model import Inner, Part


def lower_lamp(b: Builder, part: Part, inner: Inner) -> None:
    """A filament lamp by the law of `facts.filament`."""
    n = numbers(b, part, inner)
    a, other = ends(b, part, inner)
    law = filament(n.rated_v, n.usual("rated_w"))
    b.add(Filament(b.unique(owner(part, inner)), a, other, law), *owners(part, inner))


def lower_led(b: Builder, part: Part, inner: Inner) -> None:
    """An LED unit: `led-string-share` of the rated volts across the string, the rest across its resistor."""
    n = numbers(b, part, inner)
    current_a = n.current_a() or n.usual("rated_w") / n.rated_v
    string_v = figure("led-string-share") * n.rated_v
    slope_v = figure("led-slope") * max(1.0, round(string_v / figure("led-volts")))
    _junction(b, part, inner, current_a, string_v, slope_v, (n.rated_v - string_v) / current_a)


def lower_diode(b: Builder, part: Part, inner: Inner) -> None:
    """A silicon diode: its forward volts at its rated current, of which a little is its series resistance."""
    n = numbers(b, part, inner)
    current_a = n.either("rated_a", figure("diode-rated"))
    forward_v = n.either("forward_v", figure("diode-volts"))
    series_v = min(figure("diode-series-volts"), forward_v / 4.0)
    _junction(b, part, inner, current_a, forward_v - series_v, figure("diode-slope"), series_v / current_a)


def _junction(
    b: Builder, part: Part, inner: Inner, current_a: float, junction_v: float, slope_v: float, series_ohm: float
) -> None:
    a, other = ends(b, part, inner)
    # So large an exponent would leave no saturation current at all.
    exponent = min(junction_v / slope_v, 600.0)
    saturation_a = current_a / math.expm1(exponent)
    law = Junction(b.unique(owner(part, inner)), a, other, saturation_a, slope_v, max(series_ohm, 0.0))
    b.add(law, *owners(part, inner))


def lower_motor(b: Builder, part: Part, inner: Inner) -> None:
    """A motor: the resistance it shows while it runs; the same either way round."""
    n = numbers(b, part, inner)
    current_a = n.current_a() or n.usual("rated_a")
    _resistive(b, part, inner, running_resistance_ohm(n.rated_v, current_a))


def lower_heater(b: Builder, part: Part, inner: Inner) -> None:
    """A heater, solenoid, horn or resistor: ohms as given, or from volts with amperes or watts."""
    n = numbers(b, part, inner)
    ohm = n.get("resistance_ohm")
    if ohm is None and inner.kind == "resistor":
        ohm = n.usual("resistance_ohm")
    if ohm is None:
        current_a = n.current_a()
        if current_a is None:
            current_a = n.usual("rated_a") if inner.kind == "horn" else n.usual("rated_w") / n.rated_v
        ohm = n.rated_v / current_a
    _resistive(b, part, inner, ohm)


def lower_plain(b: Builder, part: Part, inner: Inner) -> None:
    """A bus termination or the input of a bus node: a resistance."""
    _resistive(b, part, inner, numbers(b, part, inner).usual("resistance_ohm"))


def lower_conductor(b: Builder, part: Part, inner: Inner) -> None:
    """A piece of conductor inside a housing: ohms as given, else by length and size."""
    n = numbers(b, part, inner)
    ohm = n.get("resistance_ohm")
    if ohm is None:
        gauge = n.band("gauge_awg")
        awg = 36 if gauge is None else min(max(round(gauge.nominal), -3), 40)
        area_mm2 = n.either("area_mm2", 1.0 if gauge is None else awg_area_mm2(awg))
        ohm = conductor_ohm(b, area_mm2, n.either("length_m", 0.0))
    _resistive(b, part, inner, ohm)


def lower_generic(b: Builder, part: Part, inner: Inner) -> None:
    """A part of an unknown kind: a resistance where its numbers give one, else nothing conducts."""
    n = numbers(b, part, inner)
    ohm, current_a = n.get("resistance_ohm"), n.current_a()
    if ohm is None and current_a is not None:
        ohm = n.rated_v / current_a
    if ohm is not None and len(inner.pins) > 1:
        _resistive(b, part, inner, ohm)
    else:
        b.owned.setdefault(owner(part, inner), [])


def lower_sensor(b: Builder, part: Part, inner: Inner) -> None:
    """A two-wire sensor is a resistance; a three-wire one a divider that gives a share of its supply."""
    n = numbers(b, part, inner)
    if len(inner.pins) < 3:
        _resistive(b, part, inner, n.usual("resistance_ohm"))
        return
    plus, minus, signal = _rails(b, part, inner)
    total = n.either("resistance_ohm", figure("sensor-divider"))
    share = min(max(n.usual("signal_share"), 0.001), 0.999)
    name = owner(part, inner)
    # The first element of a fault is the signal's own way.
    b.conductor(f"{name}:high", plus, signal, total * (1.0 - share), owners=owners(part, inner))
    b.conductor(f"{name}:low", signal, minus, total * share, owners=owners(part, inner))


def _rails(b: Builder, part: Part, inner: Inner) -> tuple[int, int, int]:
    pins = inner.pins[:3]
    if {"+", "-", "s"} <= set(pins):
        pins = ("+", "-", "s")
    return b.pin(part, pins[0]), b.pin(part, pins[1]), b.pin(part, pins[2])


def _resistive(b: Builder, part: Part, inner: Inner, ohm: float) -> None:
    a, other = ends(b, part, inner)
    b.conductor(owner(part, inner), a, other, limited_ohm(ohm), owners=owners(part, inner))
