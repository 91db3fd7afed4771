"""The electrical equivalent of a vehicle: nodes, elements between them, discrete variables, and what moves these.

A netlist is made once for a vehicle and a set of faults; a *state* gives every variable a value; with the variables
fixed the elements form one network of monotone laws, which has one solution. Everything that switches is a `Gate` on a
variable: a control in a position, a relay pulled in, a fuse whole, a plug in. Agents look at a solution and say which
variable they would move; `settle` moves one kind at a time until none wants to.

Signs: an element's current flows from `a` to `b` through it, in ampere; `volts(a) - volts(b)` is across it.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property
from types import MappingProxyType

from loombench.facts.filament import Filament as FilamentLaw
from loombench.vehicle.module import Rule
from loombench.vehicle.points import Point


@dataclass(frozen=True)
class Gate:
    """Conducts while `variable` has one of the values `closed_in`; with none of them never (an opened element)."""

    variable: str
    closed_in: tuple[str, ...]


@dataclass(frozen=True)
class Variable:
    """Something with a few states. `input` ones are set by the condition, the others are memory and moved by agents.

    Names: a control's id (`S4`, `S7.wipe`), `engine`, `plug:X12`, `plug:A2.X3`, `seat:F12` (in its carrier or holder),
    `couple:X50`, `relay:K3`, `fuse:F12`, `breaker:Q1`, `cutout:R5.5-4`, `module:A2` (awake, reset, asleep),
    `output:A2.X1/14`, `contact:K8.contact`, `flasher:K9`, `timer:K11`, `supply:U1`, `input:A2.X3/7`.

    States, besides the positions of a control and off|crank|run of the engine: plug plugged|unplugged, seat in|out,
    couple coupled|uncoupled (rest: uncoupled), relay released|pulled, fuse whole|blown, breaker closed|tripped,
    cutout closed|open, module awake|reset|asleep (rest: reset), output off|on and |tripped where it latches off,
    contact rest|tick, flasher and timer open|closed, supply off|regulating, input off|on.
    """

    name: str
    states: tuple[str, ...]
    rest: str
    is_input: bool


@dataclass(frozen=True)
class Conductor:
    """A resistance; wires, joints, bars, contacts, heaters, coils. `resistance_ohm` is above zero and finite."""

    id: str
    a: int
    b: int
    resistance_ohm: float
    gates: tuple[Gate, ...] = ()


@dataclass(frozen=True)
class Filament:
    """A lamp by the law of `facts.filament`."""

    id: str
    a: int
    b: int
    law: FilamentLaw
    gates: tuple[Gate, ...] = ()


@dataclass(frozen=True)
class Junction:
    """A diode or LED from anode `a` to cathode `b`: i = I_s (exp(v_j / nV_t) - 1), v = v_j + R_s i."""

    id: str
    a: int
    b: int
    saturation_a: float
    slope_v: float
    series_ohm: float
    gates: tuple[Gate, ...] = ()


@dataclass(frozen=True)
class Battery:
    """A voltage behind a resistance, plus at `a`. `share` is its part of the nominal volts (a half, of two in series):
    what it gets of a supply that a condition sets."""

    id: str
    a: int
    b: int
    emf_v: float
    resistance_ohm: float
    gates: tuple[Gate, ...] = ()
    share: float = 1.0


@dataclass(frozen=True)
class Regulated:
    """A supply that holds `set_v` at `a` against `b` behind `resistance_ohm`, gives 0 to `limit_a`, takes none back.

    The alternator, a converter's output, and what a battery gives beyond what it would take. i out of `a` =
    min(limit, max(0, (set - v) / R)). `share` is that of a battery's; 0 where a supply that a condition sets does not
    change `set_v`.
    """

    id: str
    a: int
    b: int
    set_v: float
    resistance_ohm: float
    limit_a: float
    gates: tuple[Gate, ...] = ()
    share: float = 0.0


@dataclass(frozen=True)
class PowerDraw:
    """A converter's input from `a` to `b`: draws the output power of the Regulated element `feeds` over `efficiency`.

    Above `from_v`; its slope is negative, so it is solved on its port and not in the star-mesh.
    """

    id: str
    a: int
    b: int
    feeds: str
    efficiency: float
    from_v: float
    gates: tuple[Gate, ...] = ()


Element = Conductor | Filament | Junction | Battery | Regulated | PowerDraw


@dataclass(frozen=True)
class RelayAgent:
    """Pulls in at `pick_up_v` across the coil (either way round), lets go below `drop_out_v`, else stays as it is.

    Where `coil` names the coil's element, the volts are its current times the sound coil's `coil_ohm`, so that a coil
    that is broken or has a resistance in it does not pull.
    """

    variable: str
    a: int
    b: int
    pick_up_v: float
    drop_out_v: float
    coil: str = ""
    coil_ohm: float = 0.0


@dataclass(frozen=True)
class FuseAgent:
    """Blows: `element` carries more than its rating for long enough (`facts.fuse`). `series` names its time table."""

    variable: str
    element: str
    rated_a: float
    series: str = "blade"


@dataclass(frozen=True)
class BreakerAgent:
    """Trips as a fuse does; `resets` is cycling, stays-open (while powered) or manual. Cycling is declared timing.

    `closes_s` is how long a cycling one stays open, and how long one that stays open has to be without power.
    """

    variable: str
    element: str
    rated_a: float
    resets: str
    closes_s: float


@dataclass(frozen=True)
class InputReading:
    """How a module reads an input: volts of `node` against `reference`; between `low_v` and `high_v` it stays.

    A rule names it by `name`, its memory variable is `input:PART.NAME`.
    """

    name: str
    node: int
    reference: int
    high_v: float
    low_v: float
    on_when: str


@dataclass(frozen=True)
class OutputDrive:
    """An output: variable, the element it switches, its limit in ampere (0 = none), whether it latches off.

    A PWM output is on for `pwm_share` of each 1 / `pwm_hz` seconds while it is commanded; a plain one has 1 and 0.
    """

    variable: str
    element: str
    limit_a: float
    latches_off: bool
    pwm_share: float = 1.0
    pwm_hz: float = 0.0


@dataclass(frozen=True)
class RuleDrive:
    """A rule: what it drives (variables) and its declared timing in seconds."""

    rule: Rule
    variables: tuple[str, ...]
    tick_s: float = 0.0
    every_s: float = 0.0
    after_s: float = 0.0
    for_s: float = 0.0


@dataclass(frozen=True)
class ModuleAgent:
    """A module: alive while one supply node is `starts_v` above ground (down to `resets_v`), then its rules hold.

    Inputs in their band keep the last value, so each has a memory variable `input:PART.PIN` (on, off). It sleeps
    `asleep_after_s` after the last input or rule is on; 0 means never.
    """

    part: str
    variable: str
    supplies: tuple[int, ...]
    ground: int
    starts_v: float
    resets_v: float
    inputs: tuple[InputReading, ...]
    outputs: tuple[OutputDrive, ...]
    rules: tuple[RuleDrive, ...]
    asleep_after_s: float = 0.0

    @cached_property
    def input_variables(self) -> tuple[str, ...]:
        """The memory variable of each input."""
        return tuple(f"input:{self.part}.{reading.name}" for reading in self.inputs)


@dataclass(frozen=True)
class FlasherAgent:
    """Closes and opens its contact while current is asked for; below `quick_below_a` at half its `period_s`."""

    variable: str
    element: str
    supply: int
    output: int
    ground: int
    period_s: float
    quick_below_a: float


@dataclass(frozen=True)
class TimerAgent:
    """A timed contact: `mode` on-delay, off-delay or interval after its input node is up against `ground`."""

    variable: str
    mode: str
    supply: int
    control: int
    ground: int
    starts_v: float
    time_s: float


@dataclass(frozen=True)
class CamAgent:
    """A cam driven by motors: its variable goes `away` and back while one of `motors` (element ids) turns.

    A motor turns above `turns_v` across it; `parked_share` of a turn of `turn_s` is in the parked position.
    """

    variable: str
    motors: tuple[str, ...]
    turns_v: float
    parked: str
    away: str
    parked_share: float
    turn_s: float


@dataclass(frozen=True)
class SupplyAgent:
    """A converter: `off`, `regulating`, with its start and brown-out volts at the input."""

    variable: str
    a: int
    b: int
    starts_v: float
    stops_v: float


Agent = (
    RelayAgent | FuseAgent | BreakerAgent | ModuleAgent | FlasherAgent | TimerAgent | CamAgent | SupplyAgent
)  # fmt: skip


@dataclass(frozen=True)
class Netlist:
    """Nodes 0 .. `nodes`-1. `node_of` maps every point to its node; `names[node]` are the points there.

    `reference` is the node all volts are counted from: the minus of the first battery. `element_of` of a model id
    (wire id, `contact POINT`, `PART`, `PART.NAME` of an inner element) gives the ids of the elements it became, which
    is what faults hang on.
    """

    nodes: int
    names: tuple[tuple[Point, ...], ...]
    elements: tuple[Element, ...]
    variables: tuple[Variable, ...]
    agents: tuple[Agent, ...]
    reference: int
    element_of: Mapping[str, tuple[str, ...]]
    nominal_v: float
    frozen: Mapping[str, str] = field(default_factory=lambda: MappingProxyType({}))
    """Variables that a fault holds: neither condition nor agent moves them."""
    bodies: tuple[int, ...] = ()
    """Nodes of the bodies: those that are wired to the reference first, else in file order."""
    plus: tuple[int, ...] = ()
    """Nodes of the batteries' plus posts, in file order; those between two batteries in series last."""
    controls: frozenset[str] = frozenset()
    """Variables that are controls, which may stand in a position that the drawing lacks."""
    aliases: Mapping[str, str] = field(default_factory=lambda: MappingProxyType({}))
    """Variable by the other names that operations may use: a control's alias."""

    @cached_property
    def node_of(self) -> Mapping[Point, int]:
        """The node of every point."""
        return MappingProxyType({point: node for node, points in enumerate(self.names) for point in points})

    @cached_property
    def element_by_id(self) -> Mapping[str, Element]:
        """The elements by id."""
        return MappingProxyType({element.id: element for element in self.elements})

    @cached_property
    def place_of(self) -> Mapping[str, int]:
        """The place of each element, by id."""
        return MappingProxyType({element.id: place for place, element in enumerate(self.elements)})

    @cached_property
    def places_at(self) -> Mapping[int, tuple[int, ...]]:
        """The places of the elements that end at each node."""
        found: dict[int, list[int]] = {}
        for place, element in enumerate(self.elements):
            for node in dict.fromkeys((element.a, element.b)):
                found.setdefault(node, []).append(place)
        return MappingProxyType({node: tuple(places) for node, places in found.items()})

    @cached_property
    def variable_by_name(self) -> Mapping[str, Variable]:
        """The variables by name."""
        return MappingProxyType({variable.name: variable for variable in self.variables})

    @cached_property
    def at_rest(self) -> Mapping[str, str]:
        """The state that each variable rests in, by name."""
        return MappingProxyType({variable.name: variable.rest for variable in self.variables})

    @cached_property
    def inputs(self) -> tuple[str, ...]:
        """The variables that a condition sets."""
        return tuple(variable.name for variable in self.variables if variable.is_input)

    @cached_property
    def turned(self) -> frozenset[str]:
        """The motors that cams follow."""
        return frozenset(name for agent in self.agents if isinstance(agent, CamAgent) for name in agent.motors)
