"""Flashers and timer relays: a contact with declared timing.

The contact for a trailer tell-tale (a flasher's fourth pin) is not modelled: it stays open.
"""

from loombench.circuit.lowering.builder import Builder, numbers, owner, owners
from loombench.circuit.netlist import FlasherAgent, Gate, TimerAgent
from loombench.facts.module import module_value, starts_from_v
from loombench.facts.relay import contact_resistance_ohm
from loombench.vehicle.model import Inner, Part

MODES = ("on-delay", "off-delay", "interval")
NO_GROUND = -1


def lower_flasher(b: Builder, part: Part, inner: Inner) -> None:
    """A flasher: pins supply, output, ground (not all have one)."""
    n = numbers(b, part, inner)
    pins = [b.pin(part, pin) for pin in inner.pins]
    while len(pins) < 2:
        pins.append(b.fresh())
    name = owner(part, inner)
    variable = b.variable(f"flasher:{name}", ("open", "closed"), "open")
    ohm = contact_resistance_ohm()
    element = b.conductor(name, pins[0], pins[1], ohm, (Gate(variable, ("closed",)),), owners(part, inner))
    ground = pins[2] if len(pins) > 2 else NO_GROUND
    period_s = 60.0 / n.usual("rate_per_min")
    b.agents.append(FlasherAgent(variable, element, pins[0], pins[1], ground, period_s, n.either("quick_below_a", 0.0)))


def lower_timer(b: Builder, part: Part, inner: Inner) -> None:
    """A timer relay: pins control, ground, output, which its control feeds; or with a supply that stays before them."""
    n = numbers(b, part, inner)
    pins = [b.pin(part, pin) for pin in inner.pins]
    while len(pins) < 3:
        pins.append(b.fresh())
    supply, (control, ground, output) = pins[0], pins[-3:]
    name = owner(part, inner)
    mode = next((word for word in (*inner.words, *part.words) if word in MODES), MODES[0])
    variable = b.variable(f"timer:{name}", ("open", "closed"), "open")
    ohm = contact_resistance_ohm()
    b.conductor(name, supply, output, ohm, (Gate(variable, ("closed",)),), owners(part, inner))
    if control != supply:
        b.conductor(f"{name}:input", control, ground, module_value("input-load").value)
    starts_v = starts_from_v(b.vehicle.nominal_v)
    b.agents.append(TimerAgent(variable, mode, supply, control, ground, starts_v, n.usual("time_s")))
