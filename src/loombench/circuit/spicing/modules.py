"""A module as latches: alive, asleep, each input, each output with its cut-off, and its rules between them.

A module falls asleep only in time that a step waits: rest is awake, however long somebody measures. One without supply
has no memory: its inputs are off and its outputs let go. Outputs of a ticking rule are clocks; unless a step moves them
they follow the rule as a plain one would.
"""

from loombench.circuit.netlist import InputReading, ModuleAgent, OutputDrive, RuleDrive
from loombench.circuit.spicing.agents import (
    FUSE_S,
    INPUT_S,
    OUTPUT_S,
    follower,
    latch,
    seconds,
)
from loombench.circuit.spicing.deck import HELD_UP, Deck, number
from loombench.circuit.spicing.elements import current_of
from loombench.vehicle.module import All, Any, Not, Rule, Test


def declare_module(deck: Deck, index: int, agent: ModuleAgent) -> None:
    """Name the signals of a module, before anything is written that looks at them."""
    alive, asleep = f"V(a{index})", f"V(z{index})"
    deck.signals[agent.variable, "reset"] = f"(1-{alive})"
    deck.signals[agent.variable, "awake"] = f"min({alive},1-{asleep})"
    deck.signals[agent.variable, "asleep"] = f"min({alive},{asleep})"
    for k, reading in enumerate(agent.inputs):
        deck.signals[_memory(agent, reading), "on"] = f"V(x{index}_{k})"
        deck.signals[_memory(agent, reading), "off"] = f"(1-V(x{index}_{k}))"
    for k, variable in enumerate(_driven(agent)):
        states = deck.netlist.variable_by_name[variable].states
        on, tripped = f"V(o{index}_{k})", f"V(r{index}_{k})"
        deck.signals[variable, "tick" if "tick" in states else "on"] = on
        deck.signals[variable, "rest" if "rest" in states else "off"] = f"(1-{on})"
        if "tripped" in states:
            deck.signals[variable, "tripped"] = tripped
            deck.signals[variable, "off"] = f"(1-max({on},{tripped}))"


def write_module(deck: Deck, index: int, agent: ModuleAgent) -> None:
    """Write a module's latches; what a step moves or a fault holds is left to that."""
    if _own(deck, agent.variable, "awake", f"min(V(a{index}),1-V(z{index}))"):
        volts = [deck.across(supply, agent.ground) for supply in agent.supplies] or ["0"]
        best = volts[0]
        for other in volts[1:]:
            best = f"max({best},{other})"
        starts, resets = f"{best}>={number(agent.starts_v)}", f"{best}<{number(agent.resets_v)}"
        latch(deck, f"a{index}", starts, resets, OUTPUT_S)
        _sleep(deck, index, agent)
    for k, reading in enumerate(agent.inputs):
        if _own(deck, _memory(agent, reading), "on", f"V(x{index}_{k})"):
            _input(deck, f"x{index}_{k}", agent, reading)
    rules = [_rule(deck, f"{index}_{k}", agent, drive) for k, drive in enumerate(agent.rules)]
    outputs = {output.variable: output for output in agent.outputs}
    for k, variable in enumerate(_driven(agent)):
        node = f"o{index}_{k}"
        if not (_own(deck, variable, "on", f"V({node})") or _own(deck, variable, "tick", f"V({node})")):
            continue
        asked = [met for met, drive in zip(rules, agent.rules, strict=True) if variable in drive.variables]
        wanted = f"{_alive(deck, agent)}>{HELD_UP} && ({' || '.join(asked) or '0'})"
        _output(deck, f"{index}_{k}", wanted, outputs.get(variable))


def _memory(agent: ModuleAgent, reading: InputReading) -> str:
    return f"input:{agent.part}.{reading.name}"


def _own(deck: Deck, variable: str, state: str, signal: str) -> bool:
    return variable not in deck.fixed and deck.signals.get((variable, state)) == signal


def _driven(agent: ModuleAgent) -> tuple[str, ...]:
    ruled = (variable for drive in agent.rules for variable in drive.variables)
    return tuple(dict.fromkeys([*(output.variable for output in agent.outputs), *ruled]))


def _alive(deck: Deck, agent: ModuleAgent) -> str:
    return f"(1-({deck.signal(agent.variable, 'reset')}))"


def _input(deck: Deck, node: str, agent: ModuleAgent, reading: InputReading) -> None:
    volts = deck.across(reading.node, reading.reference)
    high, low = f"{volts}>={number(reading.high_v)}", f"{volts}<={number(reading.low_v)}"
    on, off = (high, low) if reading.on_when == "high" else (low, high)
    alive = f"{_alive(deck, agent)}>{HELD_UP}"
    latch(deck, node, f"{alive} && {on}", f"!({alive}) || {off}", INPUT_S)


def _rule(deck: Deck, name: str, agent: ModuleAgent, drive: RuleDrive) -> str:
    met = _met(deck, agent, drive.rule)
    if not (drive.after_s or drive.for_s):
        return met
    ends = drive.after_s + drive.for_s
    time = seconds(deck, f"w{name}", f"{_alive(deck, agent)}>{HELD_UP} && {met}", ends)
    after = f" && {time}>={number(drive.after_s)}" if drive.after_s else ""
    before = f" && {time}<{number(ends)}" if drive.for_s else ""
    return f"({met}{after}{before})"


def _met(deck: Deck, agent: ModuleAgent, rule: Rule) -> str:
    match rule:
        case Test("awake"):
            return f"({deck.signal(agent.variable, 'awake')}>{HELD_UP})"
        case Test("engine"):
            return f"({deck.signal('engine', 'run')}>{HELD_UP})"
        case Test(name):
            return f"({deck.signal(f'input:{agent.part}.{name}', 'on')}>{HELD_UP})"
        case Not(inner):
            return f"(!{_met(deck, agent, inner)})"
        case All(rules):
            return "(" + " && ".join(_met(deck, agent, inner) for inner in rules) + ")"
        case Any(rules):
            return "(" + " || ".join(_met(deck, agent, inner) for inner in rules) + ")"


def _output(deck: Deck, name: str, wanted: str, drive: OutputDrive | None) -> None:
    if drive is None or not (drive.latches_off and drive.limit_a > 0.0):
        follower(deck, f"o{name}", wanted, OUTPUT_S)
        return
    element = deck.netlist.element_by_id.get(drive.element)
    current = "0" if element is None else current_of(deck, element)
    over = f"{wanted} && abs({current})>{number(drive.limit_a)}"
    tripped = latch(deck, f"r{name}", over, f"!({wanted})", FUSE_S)
    follower(deck, f"o{name}", f"{wanted} && {tripped}<{HELD_UP}", OUTPUT_S)


def _sleep(deck: Deck, index: int, agent: ModuleAgent) -> None:
    if agent.asleep_after_s <= 0.0:
        follower(deck, f"z{index}", "0", OUTPUT_S)
        return
    inputs = [f"{deck.signal(_memory(agent, reading), 'on')}>{HELD_UP}" for reading in agent.inputs]
    rules = [_met(deck, agent, drive.rule) for drive in agent.rules]
    busy = " || ".join([*inputs, *rules]) or "0"
    idle = f"V(a{index})>{HELD_UP} && !({busy})"
    time = seconds(deck, f"y{index}", idle, agent.asleep_after_s, stated_only=True)
    follower(deck, f"z{index}", f"{time}>={number(agent.asleep_after_s)}", OUTPUT_S)
