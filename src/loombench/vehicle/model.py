"""A vehicle as frozen values: parts with their inner elements and controls, wires between points, places, looms.

Every part, whatever its kind, is a housing with pins and a few inner elements; the kinds only differ in what they put
inside (see `vehicle.kinds`). So a lamp is a housing with one filament, a combination lamp (`unit`) one with several,
and nothing downstream needs to know more than elements.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property
from types import MappingProxyType

from loombench.base.band import Band
from loombench.base.problems import Span
from loombench.vehicle.face import Face
from loombench.vehicle.module import ModuleSpec
from loombench.vehicle.points import Point

FORMS = ("car", "van", "coach", "lorry", "trailer", "tractor", "machine")
"""What a vehicle looks like from above."""
ALONG: Mapping[str, float] = MappingProxyType({"front": 0.05, "middle": 0.5, "rear": 0.95})
"""Where along a vehicle, as a share of its length from the front."""
ACROSS = ("left", "right")
LEVELS = ("roof", "under")

NOTHING: Mapping[str, Band] = MappingProxyType({})


@dataclass(frozen=True)
class Colour:
    """Insulation colour: canonical English words, main first, then stripes; `text` as written. Empty = not known."""

    words: tuple[str, ...] = ()
    text: str = ""

    def __str__(self) -> str:
        return self.text or "?"


@dataclass(frozen=True)
class Place:
    """Where things are. `reach_s` is opening and closing it once; `surroundings` are words such as wet, flexing.

    `along` is the share of the vehicle's length from the front, None where it is not said; `across` and `level` are
    words of `ACROSS` and `LEVELS`, empty in the middle and inside.
    """

    id: str
    reach_s: float = 0.0
    note: str = ""
    opens: tuple[str, ...] = ()
    surroundings: tuple[str, ...] = ()
    along: float | None = None
    across: str = ""
    level: str = ""
    span: Span | None = None


@dataclass(frozen=True)
class Position:
    """One position of a control and the pin pairs it joins. A springy position goes back to rest when let go."""

    name: str
    pairs: tuple[tuple[str, str], ...] = ()
    springs_back: bool = False


@dataclass(frozen=True)
class Control:
    """What can be set: a switch pole, a cam, a thermostat. `by` says who moves it: driver, process or engine.

    `id` is the part's id, or `part.pole` where the part has several. `rest` is the position it is in at rest: where the
    file does not say, the one called off, else the first not springing. `follows` names the motor element whose turning
    moves a cam.
    """

    id: str
    part: str
    positions: tuple[Position, ...]
    rest: str
    by: str = "driver"
    alias: str = ""
    follows: str = ""

    def position(self, name: str) -> Position | None:
        """The position of that name, or None."""
        return next((position for position in self.positions if position.name == name), None)


@dataclass(frozen=True)
class Inner:
    """One element inside a housing: its kind (`circuit` holds the law), the pins it joins, its numbers and words.

    `params` are in the units of `vehicle.kinds`; a missing number takes the kind's typical value.
    """

    kind: str
    name: str
    pins: tuple[str, ...]
    params: Mapping[str, Band] = field(default_factory=lambda: NOTHING)
    words: tuple[str, ...] = ()
    label: str = ""
    span: Span | None = None


@dataclass(frozen=True)
class Part:
    """A thing with pins: device, connector, splice, stud, body, carrier ...

    `holder` is the carrier it sits in (its pins are then blades in the carrier's contacts and `links` of the carrier
    lead to them). `plugs` groups pins by plug name; a part with one plug has the single group "".
    `class_marks` are (pin, net class) pairs declared on the part.
    """

    id: str
    kind: str
    pins: tuple[str, ...]
    elements: tuple[Inner, ...] = ()
    controls: tuple[Control, ...] = ()
    params: Mapping[str, Band] = field(default_factory=lambda: NOTHING)
    words: tuple[str, ...] = ()
    place: str = ""
    label: str = ""
    halves: tuple[str, ...] = ()
    body: str = ""
    holder: str = ""
    plugs: Mapping[str, tuple[str, ...]] = field(default_factory=lambda: MappingProxyType({}))
    module: ModuleSpec | None = None
    class_marks: tuple[tuple[str, str], ...] = ()
    links: tuple[tuple[Point, Point], ...] = ()
    span: Span | None = None


@dataclass(frozen=True)
class Wire:
    """A conductor between two points on the wire side. `id` is `A~B` from the points' names, `#2` where repeated.

    `area_mm2` and `length_m` are bands; `assumed` names what was filled in because the file does not say.
    """

    id: str
    a: Point
    b: Point
    colour: Colour
    area_mm2: Band
    length_m: Band
    size_text: str = ""
    number: str = ""
    loom: str = ""
    via: tuple[str, ...] = ()
    cable: str = ""
    assumed: tuple[str, ...] = ()
    label: str = ""
    span: Span | None = None


@dataclass(frozen=True)
class Mating:
    """A second vehicle's plug in this one's socket: unplugged until the condition says so."""

    socket: str
    plug: str
    vehicle: str
    span: Span | None = None


@dataclass(frozen=True)
class Vehicle:
    """A whole vehicle, resolved and immutable; other vehicles plugged in are part of it, their ids prefixed.

    `options` are those chosen, `offers` those the file knows. `faces` are what is declared of plugs, by their names;
    `form` is one of `FORMS`, empty where it is not said.
    """

    name: str
    nominal_v: float
    colours: str
    parts: Mapping[str, Part]
    wires: tuple[Wire, ...]
    places: Mapping[str, Place]
    looms: tuple[str, ...] = ()
    matings: tuple[Mating, ...] = ()
    options: tuple[str, ...] = ()
    files: tuple[str, ...] = ()
    offers: tuple[str, ...] = ()
    faces: Mapping[str, Face] = field(default_factory=lambda: MappingProxyType({}))
    form: str = ""

    @cached_property
    def controls(self) -> Mapping[str, Control]:
        """All controls by id, in file order."""
        found = {control.id: control for part in self.parts.values() for control in part.controls}
        return MappingProxyType(found)

    @cached_property
    def wires_at(self) -> Mapping[Point, tuple[Wire, ...]]:
        """The wires that end at each point."""
        ends: dict[Point, list[Wire]] = {}
        for wire in self.wires:
            ends.setdefault(wire.a, []).append(wire)
            ends.setdefault(wire.b, []).append(wire)
        return MappingProxyType({point: tuple(wires) for point, wires in ends.items()})

    @cached_property
    def wire_by_id(self) -> Mapping[str, Wire]:
        """The wires by id."""
        return MappingProxyType({wire.id: wire for wire in self.wires})
