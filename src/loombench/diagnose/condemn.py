"""What has to be seen before a module is condemned: supply, ground and command at its own pins in the loaded circuit,
the input seen inside, the output tried on another load; of a load that stays on, its ground and command, the input seen
inside, and that it goes off with the wire taken off the output's pin, so that it is not fed from elsewhere. Common
practice. A command that comes by the bus is not asked for: what is said on it is not in the model.

That no other single suspect survives is not enough here: a module is dear, seldom at fault, and the makers of complex
electronics find a large part of what is sent back to be sound. What a reading already taken implies is not asked again:
a module that says of an input what it should has supply, ground and that command; a load on the same supply and input
that works has shown them.

Before a breaker is condemned for a load that stops by itself, its amperes are read while the load works: one that does
what it should, as something behind it takes too much, is not renewed. Common practice.
"""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from loombench.circuit.aid import inner_of
from loombench.diagnose.belief import Belief
from loombench.diagnose.bench import Bench
from loombench.diagnose.cooling import while_running
from loombench.diagnose.excerpt import excerpt
from loombench.diagnose.expected import RESISTIVE, tolerance
from loombench.diagnose.hypothesis import SOUND, halves
from loombench.diagnose.likelihood import input_table
from loombench.diagnose.looking import See
from loombench.diagnose.measuring import Measure
from loombench.diagnose.observation import NO_ANSWER, SCANNED, WORKS, InputSeen, LoadSeen, MeterRead
from loombench.diagnose.region import Region
from loombench.diagnose.safety import allowed
from loombench.diagnose.situation import Situation
from loombench.diagnose.step import Step
from loombench.diagnose.touching import ReadInput
from loombench.vehicle.condition import CLAMPS, Condition, Operation, Setup
from loombench.vehicle.graph import battery_minus
from loombench.vehicle.model import Part
from loombench.vehicle.module import named_in
from loombench.vehicle.points import PIN, Point
from loombench.vehicle.trace import ACTING, Run

SUPPLY, GROUND, COMMAND, INPUT, OUTPUT = "supply", "ground", "command", "input", "output"
RELEASED, AMPS = "released", "amps"
LIVE = ("unplug", "pull", "uncouple", "limiter", "substitute", "swap", "actuate", "feed", "ground", "release")
"""With one of these done, a reading is not one of the plugged, loaded circuit as it is."""


@dataclass(frozen=True)
class Owed:
    """One thing to be seen at a module or breaker: `what` is one of the seven, `at` the pin, `step` how."""

    what: str
    at: str
    step: Step


def unseen(belief: Belief, groups: tuple[str, ...], where: Region, load: str, condition: Condition) -> tuple[Owed, ...]:
    """What was not seen yet, and no reading implies, of the modules and breakers among some suspects, for a load that
    does not come on or stay on, or in the sound vehicle is off; what safety forbids is left out."""
    bench = belief.bench
    sights = bench.forecast.sights(condition, np.zeros(1, dtype=np.intp))
    share = abs(float(sights.share[0, sights.loads.index(load)])) if load in sights.loads else 0.0
    stays_on = share < tolerance("dead-below").value
    found: list[Owed] = []
    for name in dict.fromkeys(half for group in groups for half in halves(group)):
        part = bench.vehicle.parts.get(name)
        if part is not None and part.module is not None:
            found += _of_module(belief, part, where, load, condition, stays_on)
        elif part is not None and part.kind == "breaker":
            found += _of_breaker(belief, part, where, load, condition)
    return tuple(one for one in found if allowed(bench, one.step))


def cheapest(bench: Bench, situation: Situation, owed: tuple[Owed, ...]) -> Owed | None:
    """The one to see next: the least seconds from here, without what was done or declined."""
    left = [one for one in owed if one.step.id not in situation.done]
    return min(left, key=lambda one: one.step.cost_s(bench, situation), default=None)


def _of_module(
    belief: Belief, part: Part, where: Region, load: str, condition: Condition, stays_on: bool
) -> Iterator[Owed]:
    spec = part.module
    assert spec is not None
    driven = [run for run in where.runs if _outputs(run, part)]
    pins = {pin for run in driven for pin in _outputs(run, part)}
    sources = {one.source for one in spec.outputs if one.pin in pins}
    asked = {word for rule in spec.rules if pins & set(rule.targets) for word in named_in(rule.rule)}
    inputs = tuple(one.pin for one in spec.inputs if one.pin in asked)
    minus = battery_minus(belief.bench.vehicle)
    said = {pin: _said(belief, part.id, pin, condition) for pin in inputs}
    answers = any(word not in ("", NO_ANSWER) for word in said.values())
    feeds = [one.pin for one in spec.supplies if not sources or one.pin in sources or one is spec.supplies[0]]
    # What drives is supplied.
    feeds = [] if stays_on else feeds
    beside = _works_beside(belief, part, where, condition)
    # One supply and one ground: what answers has both.
    alive = answers and len(spec.supplies) == 1
    wanted = [(SUPPLY, pin) for pin in feeds if not alive and pin not in beside]
    wanted += [(GROUND, pin) for pin in spec.grounds if not answers and pin not in beside]
    wanted += [(COMMAND, pin) for pin in inputs if not _as_sound(belief, part.id, pin, condition) and pin not in beside]
    for what, pin in wanted:
        point = Point(part.id, pin)
        if minus is not None and belief.bench.vehicle.wires_at.get(point) and not _read_at(belief, point, condition):
            yield Owed(what, str(point), Measure(Setup(condition, point, minus)))
    for pin in inputs:
        if not said[pin] and pin not in beside:
            yield Owed(INPUT, f"{part.id}.{pin}", ReadInput(part.id, pin, condition))
    for run in driven:
        if stays_on:
            yield from _with_its_wire_off(belief, part, run, load, condition)
        elif not _actuated(belief, run):
            yield from _on_another_load(belief, part, run, condition)


def _of_breaker(belief: Belief, part: Part, where: Region, load: str, condition: Condition) -> Iterator[Owed]:
    read = {one.setup for one in belief.observations if isinstance(one, MeterRead)}
    for step in while_running(belief.bench, belief, where, load, condition):
        if step.setup.red.part == part.id and step.setup not in read:
            yield Owed(AMPS, str(step.setup.red), step)


def _outputs(run: Run, part: Part) -> tuple[str, ...]:
    links = (step.link for step in (*run.feed, *run.back))
    return tuple(
        link.via.removeprefix(f"{part.id}.") for link in links if link.kind == "output" and link.a.part == part.id
    )


def _works_beside(belief: Belief, part: Part, where: Region, condition: Condition) -> frozenset[str]:
    """Supply, ground and input pins that a load shows to be good which works in this state by the same module."""
    spec = part.module
    assert spec is not None
    lit = {
        one.load
        for one in belief.observations
        if isinstance(one, LoadSeen) and one.verified and one.seen == WORKS and one.condition == condition
    }
    found: set[str] = set()
    for run in (*where.runs, *where.neighbours):
        pins = set(_outputs(run, part)) if run.load.via in lit else set()
        if pins:
            found |= {*spec.grounds, *(one.source for one in spec.outputs if one.pin in pins)}
            found |= {word for rule in spec.rules if pins & set(rule.targets) for word in named_in(rule.rule)}
    return frozenset(found)


def _said(belief: Belief, part: str, pin: str, condition: Condition) -> str:
    """What the module last said of an input in this state; empty where it was not asked."""
    setup = ReadInput(part, pin, condition).setup
    words = [one.seen for one in belief.observations if isinstance(one, InputSeen) and one.setup == setup]
    return words[-1] if words else ""


def _as_sound(belief: Belief, part: str, pin: str, condition: Condition) -> bool:
    """Whether the module says of an input what it says in the sound vehicle: then the command is there."""
    said = _said(belief, part, pin, condition)
    if said in ("", NO_ANSWER):
        return False
    known = belief.hypotheses
    sound = np.array([member.group == SOUND for member in known.members])
    seen = InputSeen(ReadInput(part, pin, condition).setup, said)
    some = excerpt(belief.bench, sound)
    return bool(input_table(some.bench, seen)[some.used, SCANNED.index(said)].max() > 0.5)


def _read_at(belief: Belief, point: Point, condition: Condition) -> bool:
    """Whether volts were read at a pin, plugged and in this state."""
    for one in belief.observations:
        if isinstance(one, MeterRead) and one.setup.meter not in (*RESISTIVE, *CLAMPS):
            done = one.setup.condition.operations
            there = all(operation in done for operation in condition.operations)
            ends = [(end.part, end.pin) for end in (one.setup.red, one.setup.black) if end is not None]
            if there and not any(step.verb in LIVE for step in done) and (point.part, point.pin) in ends:
                return True
    return False


def _actuated(belief: Belief, run: Run) -> bool:
    """Whether the load works when its output is switched on by scan tool: then the output does."""
    looks = (one for one in belief.observations if isinstance(one, LoadSeen) and one.load == run.load.via)
    return any(one.seen == WORKS and any(aid.verb == "actuate" for aid in one.condition.aids) for one in looks)


def _with_its_wire_off(belief: Belief, part: Part, run: Run, load: str, condition: Condition) -> Iterator[Owed]:
    """The load seen with the wire off the output's pin."""
    for pin in _outputs(run, part):
        release = Operation("release", f"{part.id}.{pin}")
        if not any(isinstance(one, LoadSeen) and release in one.condition.aids for one in belief.observations):
            yield Owed(RELEASED, release.target, See(load, Condition((release, *condition.operations))))


def _on_another_load(belief: Belief, part: Part, run: Run, condition: Condition) -> Iterator[Owed]:
    """A lamp on the plug in place of the load, where the load is one that a lamp can stand in for."""
    name = run.load.via
    found = inner_of(belief.bench.vehicle, name)
    if found is None or found[1].kind not in ACTING or len(found[1].pins) < 2:
        return
    substitute = Operation("substitute", name)
    made = any(isinstance(one, MeterRead) and substitute in one.setup.condition.aids for one in belief.observations)
    if not made:
        red, black = (Point(found[0].id, pin, layer=PIN) for pin in found[1].pins[:2])
        state = Condition((substitute, *condition.operations))
        pins = ", ".join(f"{part.id}.{pin}" for pin in _outputs(run, part))
        yield Owed(OUTPUT, pins, Measure(Setup(state, red, black), drop=True))
