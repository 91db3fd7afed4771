"""Flashers and timer relays: a contact with declared timing.

The contact for a trailer's tell-tale (a flasher's fourth pin) is that of a relay whose coil the indicators' current
passes: it closes with the output while that is more than the vehicle's own lamps take.
"""

from loombench.circuit.lowering.builder import Builder, numbers, owner, owners
from loombench.circuit.lowering.sources import figure
from loombench.circuit.netlist import FlasherAgent, Gate, RelayAgent, TimerAgent
from loombench.facts.module import module_value, starts_from_v
from loombench.facts.relay import contact_resistance_ohm
from loombench.vehicle.model import Inner, Part

MODES = ("on-delay", "off-delay", "interval")
NO_GROUND = -1


def lower_flasher(b: Builder, part: Part, inner: Inner) -> None:
    """A flasher: pins supply, output, ground, tell-tale (not all have the last two)."""
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
    if len(pins) > 3:
        _tell_tale(b, part, inner, element, (pins[0], pins[1], pins[3]))


def _tell_tale(b: Builder, part: Part, inner: Inner, element: str, pins: tuple[int, int, int]) -> None:
    supply, output, lamp = pins
    name = f"{part.id}.{inner.pins[3]}"
    current_a = figure("telltale-lamps") * figure("indicator-lamp") / numbers(b, part, inner).rated_v
    variable = b.variable(f"relay:{name}", ("released", "pulled"), "released")
    b.conductor(name, supply, lamp, contact_resistance_ohm(), (Gate(variable, ("pulled",)),))
    # One ohm, so that the volts it pulls in at are the amperes; it is not in the way of the current.
    pick_up_v, drop_out_v = current_a, figure("telltale-drop-out") * current_a
    b.agents.append(RelayAgent(variable, supply, output, pick_up_v, drop_out_v, element, 1.0))


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
