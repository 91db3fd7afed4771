"""One box for "which vehicle, what is wrong": what was understood, before a job is begun with it."""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from loombench.app.complaints import understand
from loombench.app.desk.asking import Asked
from loombench.app.desk.desk import Desk, Task
from loombench.app.desk.saying import Told, told
from loombench.app.desk.shelf import Shelved
from loombench.app.desk.whichvehicle import parted
from loombench.base.wording import Catalogue
from loombench.evidence.complaint import Complaint
from loombench.text.complaint import Said, read_complaint
from loombench.vehicle.model import Vehicle

MOST_VEHICLES = 8
MOST_LOADS = 6


@dataclass(frozen=True)
class Meant:
    """One thing that was understood: what it is about, what that does, and when, empty where that was not said."""

    about: str
    does: str
    when: str


@dataclass(frozen=True)
class BoxRead:
    """What a text means: one vehicle, or those it may be; the complaint in it, and what of that is understood."""

    vehicles: tuple[Shelved, ...]
    complaint: str
    meant: tuple[Meant, ...]
    problems: tuple[Told, ...]


def box_read(desk: Desk, asked: Asked, text: str, vehicle: str = "") -> BoxRead:
    """Read what was typed; of a `vehicle` that is known already all of it is the complaint."""
    shelf = desk.shelf()
    known = tuple(one for one in shelf.value if one.id == vehicle)
    found, complaint = (known, " ".join(text.split())) if known else parted(text, shelf.value)
    asked.go_on()
    if len(found) != 1 or not complaint:
        return BoxRead(found[:MOST_VEHICLES], complaint, (), told(shelf.problems, asked.words))
    opened = desk.vehicle(found[0].id)
    if opened.value is None:
        return BoxRead(found, complaint, (), told(opened.problems, asked.words))
    circuit = opened.value.opened.vehicle
    read = read_complaint(circuit, complaint, asked.words)
    meant = tuple(
        Meant(_named(circuit, one.targets, asked.words), _word(one.symptom, asked.words), str(one.condition or ""))
        if isinstance(one, Said)
        else Meant(one.text, "", "")
        for one in read.value
    )
    return BoxRead(found, complaint, meant, told(read.problems, asked.words))


def box_states(desk: Desk, asked: Asked, vehicle: str, complaint: str) -> BoxRead:
    """The same with the states in which it should work looked for: the longer question."""
    opened = desk.vehicle(vehicle)
    if opened.value is None:
        return BoxRead((), complaint, (), told(opened.problems, asked.words))
    circuit = opened.value.opened.vehicle
    understood = understand(circuit, complaint, asked.words)
    asked.go_on()
    by_state: dict[tuple[str, str], list[str]] = {}
    for one in understood.value:
        if isinstance(one, Complaint):
            by_state.setdefault((one.symptom, str(one.condition)), []).append(one.target)
    meant = tuple(
        Meant(_named(circuit, tuple(targets), asked.words), _word(symptom, asked.words), state)
        for (symptom, state), targets in by_state.items()
    )
    wrong = tuple(one for one in understood.problems if one.code != "state-taken")
    return BoxRead((opened.value.shelved,), complaint, meant, told(wrong, asked.words))


def _named(vehicle: Vehicle, targets: tuple[str, ...], words: Catalogue) -> str:
    """The loads with what is written on them."""
    named = [_with_label(vehicle, target) for target in targets[:MOST_LOADS]]
    more = [words.say("wire.more", count=len(targets) - MOST_LOADS)] if len(targets) > MOST_LOADS else []
    return ", ".join((*named, *more))


def _with_label(vehicle: Vehicle, target: str) -> str:
    part = vehicle.parts.get(target) or vehicle.parts.get(target.rpartition(".")[0])
    element = target.removeprefix(f"{part.id}.") if part is not None else ""
    inner = next((one.label for one in part.elements if one.name == element), "") if part is not None else ""
    label = inner or (part.label if part is not None else "")
    return f"{target} ({label})" if label else target


def _word(symptom: str, words: Catalogue) -> str:
    return words.say(f"complaint.{symptom}").partition(";")[0].strip()


TASKS: Mapping[str, Task] = MappingProxyType({"box.read": box_read, "box.states": box_states})
