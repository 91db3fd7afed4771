"""A module at a solution: whether it lives, what its inputs say, what its rules drive, which outputs give up.

Awake from `starts_v` on one supply, reset below `resets_v`, as it was between. Inputs read with hysteresis; one that
floats, or lies between its thresholds, keeps its last value. All rules of an output are or-ed. An output over its
limit goes off: latched until its rules have gone away, else for this settling (a real one tries again and again).
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from loombench.circuit.finding import OutputLimits
from loombench.circuit.netlist import InputReading, ModuleAgent, OutputDrive, RuleDrive
from loombench.circuit.newton import Solution
from loombench.circuit.working import Working
from loombench.vehicle.module import All, Any, Not, Rule, Test

ON, OFF = "on", "off"
_SLEEP = "sleep:"


@dataclass(frozen=True)
class Rhythm:
    """A rhythm that is going on: seconds of its first part and of its second."""

    key: str
    first_s: float
    second_s: float


@dataclass(frozen=True)
class ModuleView:
    """What a module wants, by kind of event: its own mode, its inputs, its outputs; the rhythms it keeps."""

    mode: Mapping[str, str]
    inputs: Mapping[str, str]
    outputs: Mapping[str, str]
    rhythms: tuple[Rhythm, ...]
    limits: tuple[OutputLimits, ...]


class Volts:
    """Volts between nodes as plain numbers: None where the two are not tied together."""

    def __init__(self, at: Solution) -> None:
        self._volts, self._island = at.inner_v.item, at.island.item

    def between(self, a: int, b: int) -> float | None:
        """Volts of `a` against `b`."""
        if self._island(a) != self._island(b):
            return None
        return self._volts(a) - self._volts(b)


def sleep_clock(module: ModuleAgent) -> str:
    """The clock that runs while a module has nothing to do."""
    return f"{_SLEEP}{module.part}"


def is_sleep_clock(name: str) -> bool:
    """Whether a clock is one of those, which no unstated time lets run out."""
    return name.startswith(_SLEEP)


def rule_clock(module: ModuleAgent, number: int) -> str:
    """The clock of a rule with `after` or `for`."""
    return f"rule:{module.part}#{number}"


def deadlines(module: ModuleAgent) -> dict[str, tuple[float, ...]]:
    """The seconds at which something happens, by clock; without that of falling asleep."""
    times = {}
    for number, drive in enumerate(module.rules):
        if drive.after_s or drive.for_s:
            ends = (drive.after_s + drive.for_s,) if drive.for_s else ()
            times[rule_clock(module, number)] = (drive.after_s, *ends)
    return times


def view(module: ModuleAgent, volts: Volts, at: Solution, w: Working) -> ModuleView:
    """Look at a module. Starts and stops its clocks in `w`; all else it only asks for."""
    mode = w.state[module.variable]
    supplies = [volts.between(supply, module.ground) or 0.0 for supply in module.supplies]
    supply_v = max(supplies, default=float("inf"))
    read: dict[str, str] = {}
    inputs: dict[str, str] = {}
    for reading, variable in zip(module.inputs, module.input_variables, strict=True):
        last = w.state[variable]
        level = OFF if mode == "reset" else last if variable in w.p.netlist.frozen else _read(reading, volts, last)
        read[reading.name] = level
        if level != last:
            inputs[variable] = level
    known = read | {"awake": ON if mode == "awake" else OFF, "engine": ON if w.state.get("engine") == "run" else OFF}
    true = [mode == "awake" and met(drive.rule, known) for drive in module.rules]
    wanted: dict[str, bool] = {}
    rhythms: list[Rhythm] = []
    commanded: set[str] = set()
    for number, (drive, holds) in enumerate(zip(module.rules, true, strict=True)):
        now = _timed(module, number, drive, holds, w)
        if now:
            commanded.update(drive.variables)
        if now and drive.tick_s > 0.0 and drive.every_s > drive.tick_s:
            rhythms.append(Rhythm(f"tick:{module.part}#{number}", drive.tick_s, drive.every_s - drive.tick_s))
            now = w.phase.get(rhythms[-1].key, True)
        for variable in drive.variables:
            wanted[variable] = wanted.get(variable, False) or now
    outputs, limits = _outputs(module, wanted, commanded, at, w, rhythms)
    idle = mode == "awake" and module.asleep_after_s > 0.0 and not any(true) and ON not in read.values()
    w.run_clock(sleep_clock(module), idle)
    return ModuleView(_mode(module, mode, supply_v, read, idle, w), inputs, outputs, tuple(rhythms), tuple(limits))


def _mode(
    module: ModuleAgent, mode: str, supply_v: float, read: Mapping[str, str], idle: bool, w: Working
) -> dict[str, str]:
    if mode == "reset":
        return {module.variable: "awake"} if supply_v >= module.starts_v else {}
    if supply_v < module.resets_v:
        return {module.variable: "reset"}
    if mode == "asleep" and ON in read.values():
        return {module.variable: "awake"}
    if idle and w.reached(sleep_clock(module), module.asleep_after_s):
        return {module.variable: "asleep"}
    return {}


def _read(reading: InputReading, volts: Volts, last: str) -> str:
    """What a module reads at an input; what a fault makes it see is held."""
    value = volts.between(reading.node, reading.reference)
    if value is None or reading.low_v < value < reading.high_v:
        return last
    is_high = value >= reading.high_v
    return ON if is_high == (reading.on_when == "high") else OFF


def met(rule: Rule, known: Mapping[str, str]) -> bool:
    """Whether a rule is met, from what is on: input pins, `awake`, `engine` (running). What is not known is off."""
    match rule:
        case Test(name=name):
            return known.get(name) == ON
        case Not(rule=inner):
            return not met(inner, known)
        case All(rules=rules):
            return all(met(inner, known) for inner in rules)
        case Any(rules=rules):
            return any(met(inner, known) for inner in rules)


def _timed(module: ModuleAgent, number: int, drive: RuleDrive, holds: bool, w: Working) -> bool:
    if not (drive.after_s or drive.for_s):
        return holds
    clock = rule_clock(module, number)
    w.run_clock(clock, holds)
    over = drive.for_s > 0.0 and w.reached(clock, drive.after_s + drive.for_s)
    return holds and w.reached(clock, drive.after_s) and not over


def _outputs(
    module: ModuleAgent,
    wanted: Mapping[str, bool],
    commanded: set[str],
    at: Solution,
    w: Working,
    rhythms: list[Rhythm],
) -> tuple[dict[str, str], list[OutputLimits]]:
    wishes: dict[str, str] = {}
    limits: list[OutputLimits] = []
    for drive in module.outputs:
        on = wanted.get(drive.variable, False)
        if on and 0.0 < drive.pwm_share < 1.0:
            period_s = 1.0 / drive.pwm_hz if drive.pwm_hz > 0.0 else 0.01
            rhythm = Rhythm(
                f"pwm:{module.part}#{drive.pwm_share:g}/{drive.pwm_hz:g}",
                drive.pwm_share * period_s,
                (1.0 - drive.pwm_share) * period_s,
            )
            if rhythm not in rhythms:
                rhythms.append(rhythm)
            on = w.phase.get(rhythm.key, True)
        is_on = w.state[drive.variable] == ON
        current_a = _current(drive, at, w) if is_on else 0.0
        if drive.variable not in commanded:
            w.blocked.discard(drive.variable)
        if w.state[drive.variable] == "tripped" and drive.variable in commanded:
            continue
        if is_on and drive.limit_a > 0.0 and current_a > drive.limit_a:
            limits.append(OutputLimits(drive.variable, current_a, drive.limit_a, drive.latches_off))
            wishes[drive.variable] = "tripped" if drive.latches_off else OFF
        elif drive.variable in w.blocked:
            wishes[drive.variable] = OFF
        else:
            wishes[drive.variable] = ON if on else OFF
    outputs = {drive.variable for drive in module.outputs}
    for variable, on in wanted.items():
        if variable not in outputs:
            wishes[variable] = _contact_state(variable, on, w)
    return {name: value for name, value in wishes.items() if w.state[name] != value}, limits


def _current(drive: OutputDrive, at: Solution, w: Working) -> float:
    place = w.p.index.get(drive.element)
    return 0.0 if place is None else abs(float(at.current_a[place]))


def _contact_state(variable: str, on: bool, w: Working) -> str:
    states: Sequence[str] = w.p.netlist.variable_by_name[variable].states
    if ON in states:
        return ON if on else OFF
    return "tick" if on else "rest"
