"""What differs between a sound netlist and one with a fault in it, whatever the fault is called.

A table starts from the sound network and needs to know which elements follow another law, which are new and which
variables are held. Anything else that differs (other agents, another shape) is no case for a table.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property

from loombench.circuit.inject import Edit
from loombench.circuit.netlist import (
    Battery,
    CamAgent,
    Conductor,
    Element,
    Filament,
    FuseAgent,
    Gate,
    Junction,
    Netlist,
    PowerDraw,
    Regulated,
    RelayAgent,
    Variable,
)
from loombench.vehicle.condition import ENGINE

NOWHERE = -1
"""The place of an element that the sound netlist does not have."""
NEVER = Gate(ENGINE, ())
MOST_CHANGES = 12
"""Elements that differ, beyond which a table is of no use."""


@dataclass(frozen=True, eq=False)
class Changed:
    """One element between nodes `a` and `b` of the sound netlist that follows another law: `element` behind
    `series_ohm` (0 for none). `place` is that of the sound element it takes the place of, or `NOWHERE`."""

    place: int
    a: int
    b: int
    element: Element
    series_ohm: float = 0.0

    @property
    def is_never(self) -> bool:
        """Whether it never conducts."""
        return any(not gate.closed_in for gate in self.element.gates)


@dataclass(frozen=True, eq=False, slots=True)
class One:
    """The only element that a fault changes, where that is no input of a converter: `line` are siemens, ampere at no
    volts, and ohms in series; `is_never` where it never conducts."""

    place: int
    a: int
    b: int
    element: Element
    is_never: bool
    line: tuple[float, float, float]


@dataclass(frozen=True, eq=False)
class Change:
    """All that a fault changes. `held` are the variables it holds, with what it holds them at; `ratings` the fuses of
    another rating, by variable, in ampere. `watched` says that agents look at what is held, and not at volts and
    amperes alone: such a fault goes the way of others only where what it holds is never otherwise."""

    elements: tuple[Changed, ...]
    held: Mapping[str, str]
    ratings: Mapping[str, float] = field(default_factory=dict)
    watched: bool = False

    @cached_property
    def one(self) -> One | None:
        """The only thing that is changed, None where it is a converter's input, or there is more."""
        if len(self.elements) != 1 or self.held or self.ratings:
            return None
        (one,) = self.elements
        if isinstance(one.element, PowerDraw):
            return None
        return One(one.place, one.a, one.b, one.element, one.is_never, (*line_of(one.element), one.series_ohm))


def difference(sound: Netlist, other: Netlist) -> Change | None:
    """What to change in `sound` to get `other`; None where a table cannot take that."""
    if other is sound:
        return Change((), {})
    if other.reference != sound.reference or other.nodes < sound.nodes or len(other.elements) < len(sound.elements):
        return None
    if len(other.agents) != len(sound.agents) or len(other.variables) < len(sound.variables):
        return None
    pairs = zip(sound.elements, other.elements, strict=False)
    known = sound.variable_by_name
    return change_of(
        sound,
        Edit(
            {one.id: two for one, two in pairs if one is not two},
            other.elements[len(sound.elements) :],
            {name: value for name, value in other.frozen.items() if sound.frozen.get(name) != value},
            {one.name: one for one in other.variables if known.get(one.name) is not one},
            {k: one for k, one in enumerate(other.agents) if one is not sound.agents[k]},
            other.nodes - sound.nodes,
        ),
    )


def change_of(sound: Netlist, edit: Edit) -> Change | None:
    """An edit of the sound netlist as a change; None where a table cannot take that."""
    ratings = _ratings(sound, edit)
    if ratings is None or not _same_variables(sound, edit):
        return None
    if len(edit.changed) + len(edit.added) > MOST_CHANGES:
        return None
    found = _elements(sound, edit)
    return None if found is None else Change(found, edit.held, ratings, not _may_be_held(sound, edit.held))


def _ratings(sound: Netlist, edit: Edit) -> dict[str, float] | None:
    """The ratings of fuses that differ; None where any other agent does."""
    found = {}
    for place, two in edit.agents.items():
        one = sound.agents[place]
        if one == two:
            continue
        if not isinstance(one, FuseAgent) or not isinstance(two, FuseAgent):
            return None
        if replace(two, rated_a=one.rated_a) != one:
            return None
        found[one.variable] = two.rated_a
    return found


def _may_be_held(sound: Netlist, held: Mapping[str, str]) -> bool:
    """Whether all that is held only opens and closes gates: nothing else looks at these variables."""
    if not held:
        return True
    switching = {agent.variable for agent in sound.agents if isinstance(agent, RelayAgent | FuseAgent)}
    cams = {agent.variable for agent in sound.agents if isinstance(agent, CamAgent)}
    known = sound.variable_by_name
    return all(name in switching or (known[name].is_input and name != "engine" and name not in cams) for name in held)


def _same_variables(sound: Netlist, edit: Edit) -> bool:
    known = sound.variable_by_name
    return all(
        name in known and (known[name] == two or (name in edit.held and _same_but_for_more(known[name], two)))
        for name, two in edit.variables.items()
    )


def _same_but_for_more(one: Variable, two: Variable) -> bool:
    """Whether a variable differs in where it rests, and in states that the sound one lacks, alone."""
    known = two.states[: len(one.states)]
    return known == one.states and replace(two, states=one.states, rest=one.rest) == one


def _elements(sound: Netlist, edit: Edit) -> tuple[Changed, ...] | None:
    """The elements that differ; a node that only joins a resistance to an element is taken into its law."""
    series: dict[int, Conductor] = {}
    found: list[Changed] = []
    for element in edit.added:
        if max(element.a, element.b) < sound.nodes:
            if not _is_known(element):
                return None
            found.append(Changed(NOWHERE, element.a, element.b, element))
        elif isinstance(element, Conductor) and not element.gates and element.b not in series:
            series[element.b] = element
        else:
            return None
    for name, after in edit.changed.items():
        place = sound.place_of[name]
        before = sound.elements[place]
        if not _is_known(before) or not _is_known(after):
            return None
        if (after.a, after.b) == (before.a, before.b):
            found.append(Changed(place, before.a, before.b, after))
            continue
        if max(after.a, after.b) < sound.nodes:
            if not isinstance(after, Conductor) or "~" not in after.id:
                return None
            # A wire that ends elsewhere: nothing looks at the current of a wire, so it counts as one gone and one new.
            found.append(Changed(place, before.a, before.b, replace(before, gates=(NEVER,))))
            found.append(Changed(NOWHERE, after.a, after.b, after))
            continue
        behind = series.pop(after.a, None)
        if behind is None or behind.a != before.a or after.b != before.b or before.id in sound.turned:
            return None
        found.append(Changed(place, before.a, before.b, after, behind.resistance_ohm))
    return None if series else tuple(found)


def line_of(element: Element | None) -> tuple[float, float]:
    """Conductance and constant of an element that follows a line; 0 for one that does not, or is open."""
    if not isinstance(element, Conductor | Battery):
        return 0.0, 0.0
    conductance = 1.0 / element.resistance_ohm
    return conductance, -element.emf_v * conductance if isinstance(element, Battery) else 0.0


def _is_known(element: Element) -> bool:
    return isinstance(element, Conductor | Battery | Filament | Junction | Regulated)
