"""Starting and resuming a search: the vehicle, the complaint, the store, and a practice vehicle if wanted."""

import hashlib
from dataclasses import dataclass
from pathlib import Path

from loombench.app.case import Case
from loombench.app.finding import open_case, replay
from loombench.app.findingcard import job_card
from loombench.app.practice import PracticeVehicle, complaint_of, hide, usual_conditions
from loombench.app.vehicles import Opened, open_vehicle
from loombench.base.outcome import Outcome
from loombench.base.problems import Problem, error
from loombench.circuit.fault import read_fault
from loombench.circuit.lower import lower
from loombench.evidence.complaint import Complaint
from loombench.paper.output import write_all
from loombench.record.jsonl import JsonlStore
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
    file: str, complaint: str, folder: Path, case_id: str, time: str, hidden: str = "", seed: int | None = None
) -> Outcome[Search | None]:
    """Open a case, or take one up again where the store has it. `hidden` or `seed` make it a practice case."""
    opened = open_vehicle(file)
    if opened.broken:
        return Outcome(None, opened.problems)
    vehicle = opened.vehicle
    tried = usual_conditions(vehicle)
    fault = read_fault(hidden) if hidden else None
    if hidden and fault is None:
        return Outcome(None, (error("fault-unread", text=hidden),))
    if fault is not None and (wrong := lower(vehicle, (fault,)).problems):
        return Outcome(None, wrong)
    said: Complaint | None = None
    problems: tuple[Problem, ...] = ()
    if complaint:
        read = read_complaint(vehicle, complaint)
        said, problems = read.value, read.problems
    elif fault is not None:
        said = complaint_of(vehicle, fault, tried)
    if fault is None and seed is not None:
        drawn = hide(vehicle, seed, (said.condition,) if said else tried)
        if drawn is not None:
            fault, said = drawn
    if said is None:
        return Outcome(None, problems or (error("complaint-needed", hidden=hidden or "nothing"),))
    if said.symptom != "blows-fuse" and (behind := _not_a_load(vehicle, said.target)) is not None:
        part = vehicle.parts.get(said.target.split(".", maxsplit=1)[0])
        return Outcome(
            None, (error("complaint-no-load", part.span if part else None, target=said.target, loads=behind),)
        )
    store = JsonlStore(folder)
    kept = store.read(case_id)
    practice = PracticeVehicle(vehicle, fault) if fault is not None else None
    if kept.value:
        return Outcome(Search(opened, replay(vehicle, kept.value, store), practice), kept.problems)
    text = "\n".join(opened.sources[name] for name in sorted(opened.sources))
    digest = hashlib.sha256(text.encode()).hexdigest()
    return Outcome(Search(opened, open_case(vehicle, digest, said, store, case_id, time), practice), problems)


def _not_a_load(vehicle: Vehicle, target: str) -> str | None:
    """None for a load; else the loads whose current or coil goes through it, as text."""
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
