"""A complaint by picking: the loads of a vehicle with what is written on them, what loads do, and what can be set."""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from loombench.app.desk.asking import Asked
from loombench.app.desk.desk import Desk, Task
from loombench.app.desk.saying import Told, told
from loombench.app.drawing import function_title
from loombench.base.wording import Catalogue
from loombench.diagnose.place import place_of_part
from loombench.draw.circuit.functions import BUS_LINES, SUPPLY
from loombench.evidence.complaint import FUSE_SYMPTOMS, HISTORIES
from loombench.text.functions import loads_of
from loombench.vehicle.model import Vehicle

DOES = (
    "dead", "dim", "slow", "always-on", "glows", "pulsing", "quick", "steady", "backwards", "wrong-place", "cuts-out",
    "works",
)  # fmt: skip
"""What is said of one load without naming another."""
NO_EVENTS = ("together", "moved", "crushed")
"""Histories that are no event before the complaint, or are told of a place."""
PRESENT = ("moved", "hot", "wet", "sometimes")


@dataclass(frozen=True)
class LoadPicked:
    """A load: its name, what is written on it, where it is."""

    name: str
    label: str
    place: str


@dataclass(frozen=True)
class LoadGroup:
    """The loads of a function."""

    title: str
    loads: tuple[LoadPicked, ...]


@dataclass(frozen=True)
class ControlPicked:
    """What can be set: its name, what is written on it, its place, its positions."""

    name: str
    label: str
    place: str
    positions: tuple[str, ...]


@dataclass(frozen=True)
class Picking:
    """What a complaint is made of. `does`, `present`, `before` and `when` are phrases as a complaint has them."""

    vehicle: str
    name: str
    groups: tuple[LoadGroup, ...]
    does: tuple[str, ...]
    fuses: tuple[LoadPicked, ...]
    blows: tuple[str, ...]
    present: tuple[str, ...]
    before: tuple[str, ...]
    controls: tuple[ControlPicked, ...]
    when: str
    problems: tuple[Told, ...]


def picking(desk: Desk, asked: Asked, vehicle: str) -> Picking:
    """All that a complaint about a vehicle can be picked from."""
    found, words = desk.vehicle(vehicle), asked.words
    if found.value is None:
        return Picking(vehicle, "", (), (), (), (), (), (), (), "", told(found.problems, words))
    here = found.value.opened.vehicle
    named = [one for one in found.value.drawings.functions if one.key not in (SUPPLY, BUS_LINES)]
    groups = [LoadGroup(function_title(one, words), tuple(_load(here, load) for load in one.loads)) for one in named]
    taken = {load for one in named for load in one.loads}
    others = tuple(_load(here, one) for one in loads_of(here) if one not in taken)
    groups += [LoadGroup(words.say("web.finding.other-loads"), others)] if others else []
    fuses = tuple(_load(here, one.id) for one in here.parts.values() if one.kind in ("fuse", "fuselink", "breaker"))
    return Picking(
        vehicle=vehicle,
        name=found.value.shelved.name,
        groups=tuple(one for one in groups if one.loads),
        does=tuple(_first(words, f"complaint.{one}") for one in DOES),
        fuses=fuses,
        blows=tuple(_first(words, f"complaint.{one}") for one in FUSE_SYMPTOMS),
        present=tuple(_first(words, f"presence.{one}") for one in PRESENT),
        before=tuple(
            f"{_first(words, 'history.after')} {_first(words, f'history.{one}')}"
            for one in HISTORIES
            if one not in NO_EVENTS
        ),
        controls=tuple(
            ControlPicked(
                one.id,
                here.parts[one.part].label,
                place_of_part(here, one.part),
                tuple(place.name for place in one.positions),
            )
            for one in here.controls.values()
        ),
        when=_first(words, "complaint.when"),
        problems=told(found.value.opened.problems, words),
    )


def _first(words: Catalogue, key: str) -> str:
    return words.say(key).partition(";")[0].strip()


def _load(vehicle: Vehicle, name: str) -> LoadPicked:
    part = vehicle.parts.get(name) or vehicle.parts.get(name.partition(".")[0])
    if part is None:
        return LoadPicked(name, "", "")
    inner = next((one.label for one in part.elements if f"{part.id}.{one.name}" == name and one.label), "")
    return LoadPicked(name, inner or part.label, place_of_part(vehicle, part.id))


TASKS: Mapping[str, Task] = MappingProxyType({"finding.picking": picking})
