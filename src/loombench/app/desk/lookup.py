"""The look-up view: one box for all a vehicle has, and which wire this is."""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from loombench.app.desk.asking import Asked
from loombench.app.desk.desk import Desk, Task
from loombench.app.desk.saying import Told, told
from loombench.app.lookup import Found, asks_which, look_up
from loombench.app.whichwire import Candidate, parting_cautions, telling_texts, unparted_text, which_wire


@dataclass(frozen=True)
class LookUp:
    """The page: the vehicle, and what can stand for where."""

    vehicle: str
    name: str
    wheres: tuple[str, ...]
    problems: tuple[Told, ...]


@dataclass(frozen=True)
class LookedUp:
    """What a text means. `where` and `colour` are filled where it asks which wire is in the hand."""

    found: tuple[Found, ...]
    where: str
    colour: str
    problems: tuple[Told, ...]


@dataclass(frozen=True)
class WhichSaid:
    """Which wire it is: the candidates; where there are several what parts them, the cautions before that.

    `readings` are what to read and what its values mean; `forbidden` where nobody may measure; `others` the colours
    that are there.
    """

    where: str
    colour: str
    candidates: tuple[Candidate, ...]
    cautions: tuple[str, ...]
    readings: tuple[tuple[str, str], ...]
    unparted: str
    forbidden: str
    others: tuple[str, ...]
    problems: tuple[Told, ...]


def look_page(desk: Desk, asked: Asked, vehicle: str) -> LookUp:
    """What the page needs before anything is asked."""
    found = desk.vehicle(vehicle)
    if found.value is None:
        return LookUp(vehicle, "", (), told(found.problems, asked.words))
    circuit = found.value.opened.vehicle
    return LookUp(vehicle, found.value.shelved.name, (*circuit.places, *circuit.parts), ())


def looked_up(desk: Desk, asked: Asked, vehicle: str, text: str) -> LookedUp:
    """What a text means in a vehicle."""
    found = desk.vehicle(vehicle)
    if found.value is None:
        return LookedUp((), "", "", told(found.problems, asked.words))
    circuit = found.value.opened.vehicle
    which = asks_which(circuit, text)
    if which is not None:
        return LookedUp((), *which, ())
    asked.go_on()
    meant = look_up(circuit, found.value.drawings, text, asked.words)
    return LookedUp(meant.value, "", "", told(meant.problems, asked.words))


def which_said(desk: Desk, asked: Asked, vehicle: str, where: str, colour: str) -> WhichSaid:
    """Which wire of a colour this is at a place."""
    found = desk.vehicle(vehicle)
    if found.value is None:
        return WhichSaid(where, colour, (), (), (), "", "", (), told(found.problems, asked.words))
    circuit, words = found.value.opened.vehicle, asked.words
    which = which_wire(circuit, where, colour, words)
    if which.value is None:
        return WhichSaid(where, colour, (), (), (), "", "", (), told(which.problems, words))
    parting = which.value.parting
    several = len(which.value.candidates) > 1
    return WhichSaid(
        where,
        colour,
        which.value.candidates,
        parting_cautions(parting, words),
        tuple(telling_texts(circuit, number, one, words) for number, one in enumerate(parting.tellings, 1)),
        unparted_text(parting, words) if several and parting.unparted and not parting.forbidden else "",
        words.say("wire.forbidden").removeprefix("! ") if several and parting.forbidden else "",
        which.value.others,
        (),
    )


TASKS: Mapping[str, Task] = MappingProxyType({"look.page": look_page, "look.up": looked_up, "look.which": which_said})
