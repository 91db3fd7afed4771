"""What was observed, as values that can be weighed: readings, sights of loads and fuses, positions of controls.

`repaired` names the groups (see `diagnose.suspect`) that had been put right before the observation, so that what was
seen before a repair and after it is not mixed up.
"""

from dataclasses import dataclass

from loombench.vehicle.condition import Condition, Setup

DEAD, DIM, WORKS = "dead", "dim", "works"
SEEN = (DEAD, DIM, WORKS)
ON, OFF, NO_ANSWER = "on", "off", "no answer"
SCANNED = (ON, OFF, NO_ANSWER)
FIRM, SLACK = "firm", "slack"


@dataclass(frozen=True)
class MeterRead:
    """A reading under its set-up, in volts or, with an ohmmeter, in ohm (infinite for an open circuit)."""

    setup: Setup
    value: float
    repaired: tuple[str, ...] = ()


@dataclass(frozen=True)
class LoadSeen:
    """How a load was in a condition: dead, dim (weak, slow) or works. `verified` = seen on purpose, not told."""

    load: str
    seen: str
    condition: Condition
    verified: bool = False
    repaired: tuple[str, ...] = ()


@dataclass(frozen=True)
class FuseSeen:
    """A fuse drawn and looked at after a condition."""

    fuse: str
    blown: bool
    condition: Condition
    repaired: tuple[str, ...] = ()


@dataclass(frozen=True)
class PositionSeen:
    """A control looked at: whether it is in the position the condition believes."""

    control: str
    as_believed: bool
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


Observation = MeterRead | LoadSeen | FuseSeen | PositionSeen | GripFelt | InputSeen
