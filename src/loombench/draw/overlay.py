"""What is laid over a drawing, as plain values: the drawing knows nothing of how they were computed.

Points and wires are named as the model names them (`S4.1`, `X12.3@chassis`, `S4.2~X12.3`).
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

NO_TEXTS: Mapping[str, str] = MappingProxyType({})
NO_CURRENTS: Mapping[str, float] = MappingProxyType({})
GOOD, BAD, BETWEEN = "good", "bad", "between"
VERDICTS = (GOOD, BAD, BETWEEN)


@dataclass(frozen=True)
class Reading:
    """A reading that was taken: at a point, as text with its unit, and one of `VERDICTS`."""

    point: str
    text: str
    verdict: str


@dataclass(frozen=True)
class Work:
    """What a load does: `full` or only weakly, and for what turns which way: 1 or -1 by its current, else 0."""

    full: bool
    way: int = 0


NO_WORK: Mapping[str, Work] = MappingProxyType({})


@dataclass(frozen=True)
class Overlay:
    """All that is laid over.

    `title` says what it shows (the condition in words). `positions` are those of controls by id, of relays `pulled`.
    `volts` are texts by point. `live` are the wires at supply voltage, `amps` the current of a wire from its first to
    its second end in ampere, below zero the other way. `red` and `black` are where the leads go, `suspects` what may be
    broken: part or wire with a short word each. `gone` are parts pulled or unplugged. `works` are the loads that do
    something, by name.
    """

    title: str = ""
    positions: Mapping[str, str] = field(default_factory=lambda: NO_TEXTS)
    volts: Mapping[str, str] = field(default_factory=lambda: NO_TEXTS)
    live: frozenset[str] = frozenset()
    amps: Mapping[str, float] = field(default_factory=lambda: NO_CURRENTS)
    red: str = ""
    black: str = ""
    suspects: Mapping[str, str] = field(default_factory=lambda: NO_TEXTS)
    readings: tuple[Reading, ...] = ()
    gone: frozenset[str] = frozenset()
    works: Mapping[str, Work] = field(default_factory=lambda: NO_WORK)


NOTHING = Overlay()
