"""Trouble codes as evidence: what a module saw of a pin when it stored one, against what each hypothesis makes of it.

The pin is looked at in the circuit, in the state in which the code was stored: its volts against the module's own
ground, the current in its wire, and what the module itself reads at its inputs: it stores nothing while it is without
supply (unless that was lost by the last thing done, as where a short blows its fuse), and an output is judged by
whether its rules want it on. A hypothesis speaks for a code where it makes
the module see what the code says and not what it should see:

    low          below 20 % of the vehicle's volts; high: above 80 %
    open         an output that is on and gives no current, or off and without the volts its load holds it at; an input
                 that nothing holds any more and that goes where its pull takes it
    range        in between
    no-signal    not what it should be, whatever it is instead

The limits are estimates; makers have their own. A code may be old, may stand for something else, or may have been
stored in another state, so it speaks for suspects and against none: it is no reading by which one is out.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from loombench.diagnose.bench import Bench
from loombench.diagnose.expected import needed_rows, tolerance
from loombench.diagnose.observation import CodeSeen
from loombench.evidence.events import CodesRead
from loombench.vehicle.condition import ENGINE, SCAN_TOOL, Condition, Setup
from loombench.vehicle.graph import battery_minus
from loombench.vehicle.model import Vehicle
from loombench.vehicle.module import SAW, All, ModuleSpec, Not, Rule, Test
from loombench.vehicle.module import Any as AnyOf
from loombench.vehicle.points import PIN, WIRE, Point

FloatArray = npt.NDArray[np.float64]
BoolArray = npt.NDArray[np.bool_]
LOW_SHARE, HIGH_SHARE = 0.2, 0.8
CHANGED_SHARE = 0.1
"""Of the vehicle's volts, or of the sound vehicle's current: what is less off than that is as it should be."""
CARRIES_A = 0.02
"""An output that is on and gives less than that, where no better is known, drives nothing."""
WAYS = len(SAW) + 1
"""What may be stored of a pin: each of the words, or nothing."""


@dataclass(frozen=True)
class KnownCode:
    """A code that the drawing knows: the module, its pin, and what was seen there."""

    part: str
    pin: str
    saw: str
    text: str


def known_codes(vehicle: Vehicle, read: CodesRead) -> tuple[KnownCode, ...]:
    """What the codes read are about, in their order; those are left out that no module of the drawing has, or more than
    one where none was named."""
    found = []
    for text in read.codes:
        some = [
            KnownCode(part.id, code.pin, code.saw, code.text)
            for part in vehicle.parts.values()
            if part.module is not None and read.module in ("", part.id)
            for code in part.module.codes
            if code.text.casefold() == text.casefold()
        ]
        if len({one.part for one in some}) == 1:
            found += some[:1]
    return tuple(found)


def codes_seen(
    vehicle: Vehicle, read: CodesRead, usual: Condition, repaired: tuple[str, ...] = ()
) -> tuple[CodeSeen, ...]:
    """The codes as observations; `usual` is the state where none was said."""
    condition = usual if read.condition is None else read.condition
    return tuple(CodeSeen(one.part, one.pin, one.saw, condition, repaired) for one in known_codes(vehicle, read))


def code_fits(bench: Bench, seen: CodeSeen) -> FloatArray:
    """[hypotheses] the part of each hypothesis that makes the module see what the code says, 0 to 1; a half where that
    is not known."""
    spec = bench.vehicle.parts[seen.part].module if seen.part in bench.vehicle.parts else None
    if spec is None:
        return np.full(len(bench.hypotheses.members), 0.5)
    ends = bench.hypotheses.rows_after(seen.repaired)
    fits = _row_fits(bench, seen, spec, needed_rows(ends))
    return np.asarray((fits[ends.low] + fits[ends.high]) / 2.0)


def _row_fits(bench: Bench, seen: CodeSeen, spec: ModuleSpec, needed: npt.NDArray[np.intp]) -> FloatArray:
    """[rows] 1 where the pin shows what the code says, 0 where not, a half where that is not known."""
    pin = Point(seen.part, seen.pin, layer=PIN)
    black = Point(seen.part, spec.grounds[0], layer=PIN) if spec.grounds else battery_minus(bench.vehicle)
    inputs = [one.pin for one in spec.inputs]
    before = Condition(seen.condition.operations[:-1])
    setups = (
        Setup(seen.condition, pin, black),
        Setup(seen.condition, pin.at(WIRE), None, "clamp"),
        *(
            Setup(condition, Point(seen.part, one), None, SCAN_TOOL)
            for condition in (seen.condition, before)
            for one in inputs
        ),
    )
    readings = bench.forecast.readings(setups, needed)
    volts, amps, *said = ((readings.low[:, k] + readings.high[:, k]) / 2.0 for k in range(len(setups)))
    share, carries = volts / bench.nominal_v, np.abs(amps)
    now, earlier = (_awake(some, len(share)) for some in (said[: len(inputs)], said[len(inputs) :]))
    output = next((one for one in spec.outputs if one.pin == seen.pin), None)
    if output is None:
        shown = _of_input(seen.saw, share, next((one.pull for one in spec.inputs if one.pin == seen.pin), "none"))
    else:
        engine = any(one.target == ENGINE and one.value == "run" for one in seen.condition.operations)
        wanted = _wanted(spec, seen.pin, dict(zip(inputs, said, strict=False)), engine, len(share))
        # What has taken its supply away was switched on as it should be.
        wanted = np.where(now, wanted, wanted[0])
        shown = _of_output(seen.saw, output.side, share, carries, wanted)
    result: FloatArray = np.where(np.isnan(volts), 0.5, (shown & (now | earlier)).astype(float))
    return result


def _awake(said: Sequence[FloatArray], count: int) -> BoolArray:
    """[rows] whether a module answers, by what it says of its inputs; one without inputs is taken to do so."""
    return np.asarray(np.all([one >= 0.0 for one in said], axis=0) if said else np.ones(count, dtype=np.bool_))


def _words(changed: BoolArray, share: FloatArray) -> dict[str, BoolArray]:
    """By word but `open` [rows] whether a pin shows it that is not as it should be."""
    low, high = share < LOW_SHARE, share > HIGH_SHARE
    return {"low": changed & low, "high": changed & high, "range": changed & ~low & ~high, "no-signal": changed}


def _of_input(saw: str, share: FloatArray, pull: str) -> BoolArray:
    """[rows] whether an input shows it; `share` are its volts as a share of the vehicle's, row 0 the sound one."""
    words = _words(np.abs(share - share[0]) > CHANGED_SHARE, share)
    return words["high" if pull == "up" else "low"] if saw == "open" else words[saw]


def _of_output(saw: str, side: str, share: FloatArray, carries: FloatArray, wanted: BoolArray) -> BoolArray:
    """[rows] whether an output shows it: `carries` are its amperes, `wanted` whether its rules want it on."""
    level = np.where(wanted == (side == "high"), 1.0, 0.0)
    as_sound = wanted == wanted[0]
    changed = np.abs(share - np.where(as_sound, share[0], level)) > CHANGED_SHARE
    words = _words(changed, share)
    if saw != "open":
        return words[saw]
    least = np.where(as_sound & (carries[0] > CARRIES_A), CHANGED_SHARE * carries[0], CARRIES_A)
    off = words["low"] if side == "low" else words["low"] | words["high"]
    return np.asarray(np.where(wanted, ~changed & (carries < least), off), dtype=np.bool_)


def _wanted(spec: ModuleSpec, pin: str, said: Mapping[str, FloatArray], engine: bool, count: int) -> BoolArray:
    """[rows] whether a rule wants an output on, by what the module reads at its inputs."""
    found = np.zeros(count, dtype=np.bool_)
    for rule in spec.rules:
        if pin in rule.targets:
            found |= _met(rule.rule, said, engine, count)
    return found


def _met(rule: Rule, said: Mapping[str, FloatArray], engine: bool, count: int) -> BoolArray:
    match rule:
        case Test(name=name):
            other = engine if name == ENGINE else True
            return said[name] > 0.5 if name in said else np.full(count, other)
        case Not(rule=inner):
            return ~_met(inner, said, engine, count)
        case All(rules=rules):
            return np.asarray(np.all([_met(one, said, engine, count) for one in rules], axis=0))
        case AnyOf(rules=rules):
            return np.asarray(np.any([_met(one, said, engine, count) for one in rules], axis=0))


def code_likelihood(bench: Bench, seen: CodeSeen) -> FloatArray:
    """[hypotheses] likelihood that such a code is stored; alike for what nothing explains."""
    wrong = tolerance("code-wrong").value
    mixed = (1.0 - wrong) * code_fits(bench, seen) + wrong / WAYS
    result: FloatArray = np.where(bench.hypotheses.unexplained, 1.0 / WAYS, mixed)
    return result
