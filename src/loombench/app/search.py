"""Starting and resuming a search: the vehicle, the complaint, the store, and a practice vehicle if wanted."""

import hashlib
import os
from dataclasses import dataclass
from pathlib import Path

from loombench.app.asbuilt import as_built, unfit
from loombench.app.case import Case
from loombench.app.finding import complain, open_case, replay
from loombench.app.findingcard import job_card
from loombench.app.practice import PracticeVehicle, complaint_of, hide, usual_conditions
from loombench.app.vehicles import Opened, open_vehicle
from loombench.base.outcome import Outcome
from loombench.base.problems import Problem, error, warning
from loombench.circuit.fault import Fault, read_fault
from loombench.circuit.lower import lower
from loombench.evidence.complaint import Complaint
from loombench.evidence.envelope import Envelope
from loombench.evidence.events import CaseOpened, ComplaintGiven
from loombench.paper.output import write_all
from loombench.record.jsonl import JsonlStore
from loombench.record.store import EventStore
from loombench.text.complaint import read_complaint
from loombench.vehicle.model import Vehicle
from loombench.vehicle.trace import runs


@dataclass(frozen=True)
class Search:
    """A case under way; `practice` answers in place of a real vehicle."""

    opened: Opened
    case: Case
    practice: PracticeVehicle | None


def start(
    file: str, complaint: str, folder: Path, case_id: str, time: str, hidden: str = "", seed: int | None = None,
    author: str = "",
) -> Outcome[Search | None]:  # fmt: skip
    """Open a case, or take one up again where the store has it, which needs no complaint. `hidden` or `seed` make it a
    practice case.

    Raises:
        NotKept: the first events could not be kept.
    """
    opened = open_vehicle(file)
    if opened.broken:
        return Outcome(None, opened.problems)
    vehicle = opened.vehicle
    store = JsonlStore(folder)
    kept = store.read(case_id)
    fault = read_fault(hidden) if hidden else None
    if hidden and fault is None:
        return Outcome(None, (error("fault-unread", text=hidden),))
    if fault is not None and (wrong := lower(vehicle, (fault,)).problems):
        return Outcome(None, wrong)
    said, fault, problems = _complaint(vehicle, complaint, fault, seed)
    practice = PracticeVehicle(vehicle, fault) if fault is not None else None
    if any(isinstance(one.payload, ComplaintGiven) for one in kept.value):
        taken_up = take_up(opened, kept.value, store, author)
        resumed = None if taken_up.value is None else Search(opened, taken_up.value, practice)
        return Outcome(resumed, (*kept.problems, *taken_up.problems))
    if said is None and (told := _told(kept.value)):
        said = read_complaint(vehicle, told).value
    if said is None:
        return Outcome(None, problems or (error("complaint-needed", hidden=hidden or "nothing"),))
    if said.symptom != "blows-fuse" and (behind := loads_behind(vehicle, said.target)) is not None:
        part = vehicle.parts.get(said.target.split(".", maxsplit=1)[0])
        return Outcome(
            None, (error("complaint-no-load", part.span if part else None, target=said.target, loads=behind),)
        )
    if kept.value:
        # The program died between the first event and the second.
        begun = complain(replay(vehicle, kept.value, store, author), said, time)
    else:
        place = stored_path(file, folder)
        begun = open_case(vehicle, digest_of(opened), said, store, case_id, time, author, None, place)
    return Outcome(Search(opened, begun, practice), (*kept.problems, *problems))


def take_up(opened: Opened, events: tuple[Envelope, ...], store: EventStore, author: str = "") -> Outcome[Case | None]:
    """A case from its events, if they fit the vehicle; says where the drawing is another than at its opening."""
    case = replay(opened.vehicle, events, store, author)
    wrong = unfit(case.bench, events)
    if wrong:
        return Outcome(None, wrong)
    said = list(as_built(opened.vehicle, events).problems)
    first = events[0].payload
    if isinstance(first, CaseOpened) and first.digest != digest_of(opened):
        said.append(warning("drawing-changed", case=case.id, vehicle=opened.vehicle.name))
    return Outcome(case, tuple(said))


def digest_of(opened: Opened) -> str:
    """The SHA-256 of all the text a vehicle was read from."""
    text = "\n".join(opened.sources[name] for name in sorted(opened.sources))
    return hashlib.sha256(text.encode()).hexdigest()


def stored_path(file: str, folder: Path) -> str:
    """Where a vehicle lies seen from a folder of cases, so that both can be moved together."""
    there = Path(file).resolve()
    try:
        return Path(os.path.relpath(there, folder.resolve())).as_posix()
    except ValueError:
        # On Windows there is no way from one drive to another.
        return there.as_posix()


def _told(events: tuple[Envelope, ...]) -> str:
    first = events[0].payload if events else None
    return first.complaint if isinstance(first, CaseOpened) else ""


def _complaint(
    vehicle: Vehicle, text: str, fault: Fault | None, seed: int | None
) -> tuple[Complaint | None, Fault | None, tuple[Problem, ...]]:
    """What is complained about: as told, else as a hidden fault shows; and that fault, drawn where it was not given."""
    tried = usual_conditions(vehicle) if not text or seed is not None else ()
    said: Complaint | None = None
    problems: tuple[Problem, ...] = ()
    if text:
        read = read_complaint(vehicle, text)
        said, problems = read.value, read.problems
    elif fault is not None:
        said = complaint_of(vehicle, fault, tried)
    if fault is None and seed is not None:
        drawn = hide(vehicle, seed, (said.condition,) if said else tried)
        if drawn is not None:
            fault, said = drawn
    return said, fault, problems


def loads_behind(vehicle: Vehicle, target: str) -> str | None:
    """None for a load; of anything else the loads whose current or coil goes through it, as text."""
    every = runs(vehicle)
    if any(run.load.via == target or run.load.via.startswith(f"{target}.") for run in every):
        return None
    behind = (run.load.via for run in every if any(target in step.link.via for step in (*run.feed, *run.back)))
    return ", ".join(dict.fromkeys(behind)) or "-"


def write_card(case: Case, folder: Path) -> Outcome[tuple[Path, ...]]:
    """The job card as HTML and, where the PDF extra is there, PDF; the paths written."""
    return write_all(job_card(case), folder, case.id)


def practice_answer(search: Search, step_id: str) -> float | str:
    """What the practice vehicle answers to a step on offer.

    Raises:
        ValueError: there is no practice vehicle.
    """
    if search.practice is None:
        raise ValueError("no practice vehicle")
    return search.practice.reply(search.case.offered(step_id), search.case.course.situation.repaired)
