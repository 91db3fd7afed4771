"""What hands can do to a vehicle: controls to set, the engine, plugs, fuses and relays to draw, a trailer to couple.

What is kept off (airbag, high-voltage and mains circuits) has no plug or fuse here: `diagnose.safety` decides.
"""

from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass
from types import MappingProxyType

from loombench.base.wording import Catalogue
from loombench.circuit.netlist import Netlist
from loombench.diagnose.place import place_of_part
from loombench.diagnose.safety import operation_allowed
from loombench.vehicle.condition import ENGINE, Operation
from loombench.vehicle.model import Control, Vehicle
from loombench.vehicle.nets import Nets

ENDS: Mapping[str, tuple[tuple[str, str], tuple[str, str]]] = MappingProxyType({
    "plug": (("plugged", "plug"), ("unplugged", "unplug")),
    "seat": (("in", "insert"), ("out", "pull")),
    "couple": (("uncoupled", "uncouple"), ("coupled", "couple")),
})  # fmt: skip
"""For each kind of thing its two ends, at rest first: the value and the verb that leads to it."""


CONTROLS = ("set", "couple", ENGINE)
"""The sorts that one operates without a tool; plugs, fuses and relays are taken out."""
KEY = "key"


@dataclass(frozen=True)
class Choice:
    """One position: what it is called, the operation that leads there, whether it is in it now, whether it springs
    back when let go."""

    text: str
    operation: str
    now: bool
    springs: bool = False


@dataclass(frozen=True)
class Handle:
    """One thing to set. `sort` is set, engine, plug, seat or couple; `tap` the operation that leads to the next
    position; `here` whether it takes part in the function asked about."""

    name: str
    part: str
    label: str
    sort: str
    place: str
    choices: tuple[Choice, ...]
    tap: str
    here: bool

    @property
    def moved(self) -> bool:
        """Whether it is elsewhere than in its first position."""
        return not self.choices[0].now


def allowed(vehicle: Vehicle, nets: Nets, netlist: Netlist) -> frozenset[str]:
    """The variables of a netlist that a person may set."""
    return frozenset(
        one.name
        for one in netlist.variables
        if one.is_input
        and all(operation_allowed(vehicle, nets, operation) for operation in _operations(one.name, one.states))
    )


def handles(
    vehicle: Vehicle, may: frozenset[str], netlist: Netlist, state: Mapping[str, str], here: Collection[str],
    words: Catalogue,
) -> tuple[Handle, ...]:  # fmt: skip
    """All controls of a vehicle, and the plugs, fuses and relays of some parts, as they stand in a state; `may` are the
    variables that may be set, `here` the parts of the function asked about."""
    found = []
    for variable in netlist.variables:
        sort, _, target = variable.name.partition(":")
        taken = not target or sort == "couple" or target in here or target.partition(".")[0] in here
        if taken and variable.name in may:
            made = _handle(vehicle, variable.name, variable.states, state, here, words)
            found += [made] if made is not None else []
    return tuple(found)


def _operations(name: str, states: Iterable[str]) -> Iterator[Operation]:
    sort, _, target = name.partition(":")
    if target:
        yield from (Operation(verb, target) for _, verb in ENDS[sort])
    else:
        yield from (Operation("set", name, state) for state in states)


def _handle(
    vehicle: Vehicle, name: str, states: tuple[str, ...], state: Mapping[str, str], here: Collection[str],
    words: Catalogue,
) -> Handle | None:  # fmt: skip
    now = state.get(name, "")
    sort, _, target = name.partition(":")
    if target:
        if sort not in ENDS:
            return None
        part = vehicle.parts.get(target.partition(".")[0]) or vehicle.parts.get(target)
        choices = tuple(
            Choice(words.say(f"web.circuit.{value}"), str(Operation(verb, target)), now == value)
            for value, verb in ENDS[sort]
        )
    elif name == ENGINE:
        part, sort, target = None, ENGINE, words.say("web.circuit.engine")
        choices = tuple(Choice(words.say(f"web.circuit.engine-{one}"), f"{ENGINE}={one}", now == one) for one in states)
    else:
        control = vehicle.controls.get(name)
        if control is None or control.follows:
            return None
        part, sort, target = vehicle.parts[control.part], "set", control.id
        choices = _positions(control, now)
    known = part.id if part is not None else ""
    label = _label(vehicle, name, known)
    after = (next((at for at, one in enumerate(choices) if one.now), -1) + 1) % len(choices)
    place = place_of_part(vehicle, known) if known else ""
    return Handle(target, known, label, sort, place, choices, choices[after].operation, known in here)


def _label(vehicle: Vehicle, name: str, part: str) -> str:
    """What is written on it, else its other name."""
    control = vehicle.controls.get(name)
    alias = control.alias if control is not None else ""
    return (vehicle.parts[part].label if part else "") or alias


def _positions(control: Control, now: str) -> tuple[Choice, ...]:
    ordered = sorted(control.positions, key=lambda one: one.name != control.rest)
    return tuple(
        Choice(one.name, str(Operation("set", control.id, one.name)), one.name == now, one.springs_back)
        for one in ordered
    )


@dataclass(frozen=True)
class Place:
    """A place with what can be set there, and how to get there."""

    id: str
    note: str
    handles: tuple[Handle, ...]


def by_place(vehicle: Vehicle, some: Iterable[Handle]) -> tuple[Place, ...]:
    """Handles grouped by where they are, in the order met; what has no place comes first."""
    groups: dict[str, list[Handle]] = {}
    for one in some:
        groups.setdefault(one.place, []).append(one)
    ordered = sorted(groups, key=bool)
    return tuple(
        Place(name, vehicle.places[name].note if name in vehicle.places else "", tuple(groups[name]))
        for name in ordered
    )


def is_first(vehicle: Vehicle, handle: Handle) -> bool:
    """Whether something is looked for first, whatever the function: engine, key, coupling."""
    control = vehicle.controls.get(handle.name) if handle.sort == "set" else None
    return handle.sort in (ENGINE, "couple") or (control is not None and KEY in (control.id, control.alias))
