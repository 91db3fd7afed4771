"""What was observed, as values that can be weighed: readings, sights of loads and fuses, positions of controls.

`repaired` names the groups (see `diagnose.suspect`) that had been put right before the observation, so that what was
seen before a repair and after it is not mixed up.
"""

import math
from dataclasses import dataclass

from loombench.vehicle.condition import Condition, Setup

DEAD, DIM, WORKS = "dead", "dim", "works"
PULSING, QUICK, STEADY, BACKWARDS, ASTRAY = "pulsing", "quick", "steady", "backwards", "astray"
CUTS_OUT = "cuts-out"
PLAIN = (DEAD, DIM, WORKS)
SEEN = (*PLAIN, PULSING, QUICK, STEADY, BACKWARDS, ASTRAY, CUTS_OUT)
"""What is seen on purpose, one word for each look. pulsing: comes and goes where it should not; quick: flashes faster
than it should; steady: does not flash though it should; backwards: turns the wrong way; astray: stands where it should
not have stopped; cuts-out: works a while, then stops."""
LIT, GLOWS = "lit", "glows"
"""What is only told: does anything at all, and gives a little though it should be off."""
AT_ONCE, LATER = "at once", "later"
ON, OFF, NO_ANSWER = "on", "off", "no answer"
SCANNED = (ON, OFF, NO_ANSWER)
TOO_MUCH, AS_BUILT = "too much", "as it should"
"""Of a battery: what it gives at rest, or what it lacks of being charged; that counts as dim and works."""
FIRM, SLACK = "firm", "slack"


@dataclass(frozen=True)
class MeterRead:
    """A reading under its set-up, in volts or, with an ohmmeter, in ohm (infinite for an open circuit)."""

    setup: Setup
    value: float
    repaired: tuple[str, ...] = ()


@dataclass(frozen=True)
class MeterBand(MeterRead):
    """A reading that is not taken yet, of which only a band is supposed: from `low` up to `high`, infinite at an open
    end. `value` is one inside it; it is not weighed."""

    low: float = -math.inf
    high: float = math.inf


@dataclass(frozen=True)
class LoadSeen:
    """How a load was in a condition: one of `SEEN`, or told (not `verified`, seen on purpose) one of `LIT`, `GLOWS`."""

    load: str
    seen: str
    condition: Condition
    verified: bool = False
    repaired: tuple[str, ...] = ()


@dataclass(frozen=True)
class FuseSeen:
    """A fuse drawn and looked at after a condition; or `told` to blow, a good one `soon`: `AT_ONCE` or `LATER`."""

    fuse: str
    blown: bool
    condition: Condition
    repaired: tuple[str, ...] = ()
    soon: str = ""
    told: bool = False


@dataclass(frozen=True)
class PositionSeen:
    """A control looked at: whether it is in the position the condition believes."""

    control: str
    as_believed: bool
    repaired: tuple[str, ...] = ()


@dataclass(frozen=True)
class BatteryFlat:
    """A battery told to go flat; `condition` is the vehicle left standing."""

    battery: str
    condition: Condition
    repaired: tuple[str, ...] = ()


@dataclass(frozen=True)
class Told:
    """What was told without anything being seen: a word of the history (`facts.history`), and where; of a doubt
    nothing."""

    word: str = ""
    where: str = ""
    repaired: tuple[str, ...] = ()


@dataclass(frozen=True)
class GripFelt:
    """A matching terminal drawn through a contact (`group`: `contact X12.3`): whether it was held firmly."""

    group: str
    firm: bool
    repaired: tuple[str, ...] = ()


@dataclass(frozen=True)
class InputSeen:
    """What a module says of an input by scan tool (its set-up): on, off or no answer."""

    setup: Setup
    seen: str
    repaired: tuple[str, ...] = ()


@dataclass(frozen=True)
class CodeSeen:
    """A trouble code that a module stored: what it saw of a pin, one of `vehicle.module.SAW`, and in which state."""

    part: str
    pin: str
    saw: str
    condition: Condition
    repaired: tuple[str, ...] = ()


Observation = MeterRead | LoadSeen | FuseSeen | PositionSeen | GripFelt | InputSeen | BatteryFlat | Told | CodeSeen
