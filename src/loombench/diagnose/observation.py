"""What was observed, as values that can be weighed: readings, sights of loads and fuses, positions of controls.

`repaired` names the groups (see `diagnose.suspect`) that had been put right before the observation, so that what was
seen before a repair and after it is not mixed up.
"""

from dataclasses import dataclass

from loombench.vehicle.condition import Condition, Setup

DEAD, DIM, WORKS = "dead", "dim", "works"
SEEN = (DEAD, DIM, WORKS)


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


Observation = MeterRead | LoadSeen | FuseSeen | PositionSeen
