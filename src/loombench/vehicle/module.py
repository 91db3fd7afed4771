"""What a module declares of itself: supplies, grounds, inputs, outputs, dry contacts, rules, sleep, trouble codes."""

from collections.abc import Iterator
from dataclasses import dataclass

from loombench.base.band import Band
from loombench.base.problems import Span


@dataclass(frozen=True)
class Supply:
    """A supply pin; `label` says of what. `draw_a` is what the awake module takes through it."""

    pin: str
    label: str = ""
    draw_a: Band | None = None


@dataclass(frozen=True)
class Input:
    """An input pin and how it reads. `on_when` is high or low; `pull` is up, down or none, `pull_to` the supply pin.

    Thresholds are volts against the module's first ground; None takes the typical value.
    """

    pin: str
    on_when: str = "high"
    pull: str = "none"
    pull_to: str = ""
    pull_ohm: Band | None = None
    high_v: Band | None = None
    low_v: Band | None = None
    label: str = ""
    span: Span | None = None


@dataclass(frozen=True)
class Output:
    """A switched output. `side` is high (from `source`, a supply pin) or low (to `source`, a ground pin).

    `limit_a` is where it protects itself; `latches_off` keeps it off until its rule has gone away; `pwm_share` is the
    duty of a PWM output, 1 for a plain one.
    """

    pin: str
    side: str
    source: str
    limit_a: Band | None = None
    latches_off: bool = False
    off_leak_a: Band | None = None
    test_pulse: bool = False
    pwm_share: float = 1.0
    pwm_hz: float = 0.0
    label: str = ""
    span: Span | None = None


@dataclass(frozen=True)
class DryContact:
    """A relay contact inside that belongs to neither side: pin pairs joined at rest and while it ticks."""

    name: str
    rest: tuple[tuple[str, str], ...] = ()
    tick: tuple[tuple[str, str], ...] = ()


SAW = ("low", "high", "open", "range", "no-signal")
"""What a module may have seen of a pin when it stored a code: its circuit low (short to ground), high (short to supply)
or open, a value that cannot be, or no signal where there should be one. Words of SAE J2012, from memory."""


@dataclass(frozen=True)
class TroubleCode:
    """A code as a scan tool shows it (`text`), the pin it is about, and what was seen there: one of `SAW`."""

    pin: str
    saw: str
    text: str


@dataclass(frozen=True)
class Test:
    """A leaf of a rule: the input pin is on; `awake` and `engine` are known names beside the pins."""

    name: str


@dataclass(frozen=True)
class Not:
    """The rule that is met when `rule` is not."""

    rule: "Rule"


@dataclass(frozen=True)
class All:
    """Met when each of `rules` is."""

    rules: tuple["Rule", ...]


@dataclass(frozen=True)
class Any:
    """Met when one of `rules` is."""

    rules: tuple["Rule", ...]


Rule = Test | Not | All | Any


def named_in(rule: Rule) -> Iterator[str]:
    """What a rule asks about: inputs and whatever else it names."""
    match rule:
        case Test():
            yield rule.name
        case Not():
            yield from named_in(rule.rule)
        case All() | Any():
            for one in rule.rules:
                yield from named_in(one)


@dataclass(frozen=True)
class When:
    """`when RULE: TARGETS`. Targets are output pins or dry contacts. With `tick_s` they are on `tick_s` every
    `every_s`; `after_s` delays, `for_s` ends it after that long."""

    rule: Rule
    targets: tuple[str, ...]
    tick_s: float = 0.0
    every_s: float = 0.0
    after_s: float = 0.0
    for_s: float = 0.0
    text: str = ""
    span: Span | None = None


@dataclass(frozen=True)
class ModuleSpec:
    """All that a module says. `asleep_after_s` and `asleep_a` describe its sleep; 0 means it never sleeps."""

    supplies: tuple[Supply, ...] = ()
    grounds: tuple[str, ...] = ()
    inputs: tuple[Input, ...] = ()
    outputs: tuple[Output, ...] = ()
    contacts: tuple[DryContact, ...] = ()
    rules: tuple[When, ...] = ()
    asleep_after_s: float = 0.0
    asleep_a: Band | None = None
    codes: tuple[TroubleCode, ...] = ()
