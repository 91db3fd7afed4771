"""Modules: what each supply draws, how inputs are wetted, outputs and contacts that its rules switch.

A module takes `draw_a` of a supply as a resistance at nominal volts, while it is awake and while it has reset (without
its ground the ground pin then stands at supply, as it does on a vehicle). A supply without `draw_a` draws nothing,
except the first, which draws the usual current of `facts.module`.
"""

from loombench.base.band import Band
from loombench.circuit.lowering.builder import Builder
from loombench.circuit.netlist import Gate, InputReading, ModuleAgent, OutputDrive, RuleDrive
from loombench.facts.contact import joint_resistance_ohm
from loombench.facts.module import (
    input_pull_ohm,
    module_value,
    off_leak_a,
    output_on_ohm,
    resets_below_v,
    starts_from_v,
)
from loombench.vehicle.model import Part
from loombench.vehicle.module import DryContact, Input, ModuleSpec, Output, When

MODES = ("awake", "reset", "asleep")


def lower_module(b: Builder, part: Part) -> None:
    """A module with its pins, and the agent that runs it."""
    spec = part.module
    if spec is None:
        return
    variable = b.variable(f"module:{part.id}", MODES, "reset")
    ground = b.pin(part, spec.grounds[0]) if spec.grounds else b.fresh()
    supplies = tuple(b.pin(part, supply.pin) for supply in spec.supplies)
    b.owned.setdefault(part.id, [])
    _draws(b, part, spec, ground, variable)
    for other in spec.grounds[1:]:
        b.joint("bar", f"{part.id}:ground {other}", ground, b.pin(part, other))
    inputs = tuple(_input(b, part, spec, item, ground) for item in spec.inputs)
    outputs = tuple(_output(b, part, spec, item, ground) for item in spec.outputs)
    contacts = {contact.name: _contact(b, part, contact) for contact in spec.contacts}
    known = {output.pin: drive.variable for output, drive in zip(spec.outputs, outputs, strict=True)} | contacts
    b.agents.append(
        ModuleAgent(
            part.id,
            variable,
            supplies,
            ground,
            starts_from_v(b.vehicle.nominal_v),
            resets_below_v(b.vehicle.nominal_v),
            inputs,
            outputs,
            tuple(_rule(rule, known, tuple(contacts.values())) for rule in spec.rules),
            spec.asleep_after_s,
        )
    )


def _draws(b: Builder, part: Part, spec: ModuleSpec, ground: int, variable: str) -> None:
    alive, asleep = Gate(variable, ("awake", "reset")), Gate(variable, ("asleep",))
    for place, supply in enumerate(spec.supplies):
        node = b.pin(part, supply.pin)
        usual = module_value("supply-awake").value if place == 0 else 0.0
        draw_a = _nominal(supply.draw_a, usual)
        names = (part.id, f"{part.id}.{supply.pin}")
        if draw_a > 0.0:
            b.conductor(f"{part.id}:draw {supply.pin}", node, ground, b.vehicle.nominal_v / draw_a, (alive,), names)
        if place == 0:
            sleeping_a = _nominal(spec.asleep_a, module_value("supply-asleep").value)
            ohm = b.vehicle.nominal_v / max(sleeping_a, 1e-9)
            b.conductor(f"{part.id}:asleep {supply.pin}", node, ground, ohm, (asleep,), names)


def _input(b: Builder, part: Part, spec: ModuleSpec, item: Input, ground: int) -> InputReading:
    node = b.pin(part, item.pin)
    if item.pull == "up":
        supply = item.pull_to or (spec.supplies[0].pin if spec.supplies else "")
        other = b.pin(part, supply) if supply else b.fresh()
        ohm = _nominal(item.pull_ohm, input_pull_ohm())
    elif item.pull == "down":
        other, ohm = ground, _nominal(item.pull_ohm, input_pull_ohm())
    else:
        other, ohm = ground, module_value("input-load").value
    b.conductor(f"{part.id}.{item.pin}", node, other, ohm)
    b.variable(f"input:{part.id}.{item.pin}", ("on", "off"), "off")
    nominal_v = b.vehicle.nominal_v
    high_v = _nominal(item.high_v, module_value("input-high-share").value * nominal_v)
    low_v = min(_nominal(item.low_v, module_value("input-low-share").value * nominal_v), high_v)
    return InputReading(item.pin, node, ground, high_v, low_v, item.on_when)


def _output(b: Builder, part: Part, spec: ModuleSpec, item: Output, ground: int) -> OutputDrive:
    """An output between its pin and its source; the leak lies beside it while it is off."""
    pin = b.pin(part, item.pin)
    name = f"{part.id}.{item.pin}"
    states = ("off", "on", "tripped") if item.latches_off else ("off", "on")
    variable = b.variable(f"output:{name}", states, "off")
    if item.side == "low":
        a, other = pin, b.pin(part, item.source) if item.source else ground
    else:
        source = item.source or (spec.supplies[0].pin if spec.supplies else "")
        a, other = b.pin(part, source) if source else b.fresh(), pin
    element = b.conductor(name, a, other, output_on_ohm(), (Gate(variable, ("on",)),))
    leak_a = _nominal(item.off_leak_a, off_leak_a())
    if leak_a > 0.0:
        off = Gate(variable, states[:1] + states[2:])
        b.conductor(f"{name}:leak", a, other, b.vehicle.nominal_v / leak_a, (off,))
    limit_a = _nominal(item.limit_a, 0.0)
    return OutputDrive(variable, element, limit_a, item.latches_off, item.pwm_share, item.pwm_hz)


def _contact(b: Builder, part: Part, contact: DryContact) -> str:
    """A dry contact; a pair that is joined in both states is one element. Returns its variable."""
    name = f"{part.id}.{contact.name}"
    variable = b.variable(f"contact:{name}", ("rest", "tick"), "rest")
    closed_in: dict[tuple[str, str], list[str]] = {}
    for state, pairs in (("rest", contact.rest), ("tick", contact.tick)):
        for pair in pairs:
            closed_in.setdefault(pair, []).append(state)
    ohm = joint_resistance_ohm("switch")
    for (one, two), names in closed_in.items():
        gate = Gate(variable, tuple(dict.fromkeys(names)))
        joined = f"{name}.{one}={two}"
        b.conductor(joined, b.pin(part, one), b.pin(part, two), ohm, (gate,), (name, joined))
    return variable


def _rule(rule: When, known: dict[str, str], contacts: tuple[str, ...]) -> RuleDrive:
    """A rule on variables; one without a target drives the dry contacts."""
    targets = tuple(known[target] for target in rule.targets if target in known)
    if not rule.targets:
        targets = contacts
    return RuleDrive(rule.rule, targets, rule.tick_s, rule.every_s, rule.after_s, rule.for_s)


def _nominal(band: Band | None, usual: float) -> float:
    return usual if band is None or band.nominal <= 0.0 else band.nominal
