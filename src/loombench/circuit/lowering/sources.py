"""Batteries, alternators, and converters from one supply voltage to another.

While the engine cranks nothing is added: the starter is a load only where the file has one.
"""

from loombench.circuit.lowering.builder import Builder, Numbers, ends, limited_ohm, numbers, owner, owners
from loombench.circuit.netlist import Battery, Gate, PowerDraw, Regulated, SupplyAgent
from loombench.facts.alternator import current_limit_a, output_resistance_ohm, set_point_v
from loombench.facts.battery import charging_resistance_ohm, internal_resistance_ohm, rest_emf_v
from loombench.facts.typical import typical
from loombench.vehicle.condition import ENGINE, ENGINE_STATES
from loombench.vehicle.model import Inner, Part

_TABLE = "lowering"
POST_SHARE = 0.5
"""Share of a battery's internal resistance outside of where it gives and takes. Nothing hangs on it: no reading of a
sound battery changes with it, and a fault adds to it."""
UNLIMITED_A = 1e6
"""More than any battery gives into a short: its resistance alone limits it."""


def figure(name: str) -> float:
    """A figure of `lowering.csv`: estimates for what no part says of itself."""
    return typical(_TABLE, name).value


def engine_gate(b: Builder, *states: str) -> Gate:
    """Closed while the engine is in one of the states."""
    return Gate(b.variable(ENGINE, ENGINE_STATES, "off", is_input=True), states)


def lower_battery(b: Builder, part: Part, inner: Inner) -> None:
    """A battery: volts at rest, fully charged, behind its internal resistance, or its charging one when it takes.

    The charging way is always there; what gives only stands beside it, so that both together are the internal
    resistance. In series with both is what faults hang on. A battery whose internal resistance is given above the
    charging one has that one resistance both ways.
    """
    n = numbers(b, part, inner)
    plus, minus = ends(b, part, inner)
    given = n.get("internal_ohm")
    capacity_ah = n.usual("capacity_ah")
    ohm = limited_ohm(internal_resistance_ohm(capacity_ah, n.rated_v) if given is None else given)
    charging_ohm = charging_resistance_ohm(capacity_ah, n.rated_v)
    share = n.rated_v / b.vehicle.nominal_v if b.vehicle.nominal_v > 0 else 1.0
    emf_v = rest_emf_v(n.rated_v)
    name, inside = b.unique(owner(part, inner)), b.fresh()
    b.conductor(name, plus, inside, ohm * POST_SHARE, owners=owners(part, inner))
    inner_ohm = ohm * (1.0 - POST_SHARE)
    taking_ohm = max(charging_ohm - ohm * POST_SHARE, inner_ohm)
    taking = Battery(b.unique(f"{name}:emf"), inside, minus, emf_v, taking_ohm, share=share)
    b.add(taking)
    if taking_ohm > inner_ohm:
        beside_ohm = inner_ohm * taking_ohm / (taking_ohm - inner_ohm)
        b.add(Regulated(b.unique(f"{name}:gives"), inside, minus, emf_v, beside_ohm, UNLIMITED_A, share=share))


def lower_alternator(b: Builder, part: Part, inner: Inner) -> None:
    """An alternator: regulated while the engine runs; its D+ is at ground through the rotor, or at B+ while it runs."""
    n = numbers(b, part, inner)
    pins = [b.pin(part, pin) for pin in inner.pins]
    plus, minus = pins[0], pins[1]
    set_v = n.either("set_v", set_point_v(b.temperature_c, b.vehicle.nominal_v))
    limit_a = n.either("limit_a", current_limit_a(b.vehicle.nominal_v))
    law = Regulated(
        b.unique(owner(part, inner)),
        plus,
        minus,
        set_v,
        output_resistance_ohm(b.vehicle.nominal_v),
        limit_a,
        (engine_gate(b, "run"),),
    )
    b.add(law, *owners(part, inner))
    for pin in pins[2:]:
        b.conductor(f"{part.id}:rotor", pin, minus, figure("rotor"), (engine_gate(b, "off", "crank"),))
        b.conductor(f"{part.id}:exciter", plus, pin, figure("exciter"), (engine_gate(b, "run"),))


def lower_converter(b: Builder, part: Part, inner: Inner) -> None:
    """A converter: a regulated output that draws its power at the input; off until the input is high enough."""
    n = numbers(b, part, inner)
    pins = [b.pin(part, pin) for pin in inner.pins[:3]]
    while len(pins) < 3:
        pins.append(b.fresh())
    source, ground, out = pins
    name = owner(part, inner)
    starts_v, stops_v = _thresholds(b, n)
    supply = b.variable(f"supply:{name}", ("off", "regulating"), "off")
    gates = (Gate(supply, ("regulating",)),)
    given = Regulated(
        b.unique(name),
        out,
        ground,
        n.usual("output_v"),
        figure("converter-output"),
        n.usual("limit_a"),
        gates,
    )
    b.add(given, *owners(part, inner))
    taken = PowerDraw(
        b.unique(f"{name}:input"), source, ground, given.id, figure("converter-efficiency"), stops_v / 2.0, gates
    )
    b.add(taken, taken.id, *owners(part, inner))
    b.agents.append(SupplyAgent(supply, source, ground, starts_v, stops_v))


def _thresholds(b: Builder, n: Numbers) -> tuple[float, float]:
    nominal_v = b.vehicle.nominal_v
    return (
        n.either("starts_v", figure("converter-starts-share") * nominal_v),
        n.either("stops_v", figure("converter-stops-share") * nominal_v),
    )
