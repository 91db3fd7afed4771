"""Starting and resuming a search: the vehicle, the complaint, the store, and a practice vehicle if wanted."""

import hashlib
import os
from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path

from loombench.app.asbuilt import as_built, unfit
from loombench.app.case import Case, bench_for
from loombench.app.complaints import understand
from loombench.app.finding import complain, open_case, replay
from loombench.app.practice import PracticeVehicle, complaint_of, hide, usual_conditions
from loombench.app.vehicles import Opened, open_vehicle
from loombench.base.outcome import Outcome
from loombench.base.problems import Level, Problem, error, warning
from loombench.base.wording import Catalogue, catalogue, phrase
from loombench.circuit.fault import Fault, read_fault
from loombench.circuit.lower import lower
from loombench.diagnose.rates import NO_RATES, Rates
from loombench.diagnose.safety import handleable
from loombench.evidence.complaint import Complaint, History
from loombench.evidence.envelope import Envelope
from loombench.evidence.events import CaseOpened, ComplaintGiven, HistoryTold
from loombench.record.attachment import VEHICLE, attach_as
from loombench.record.jsonl import JsonlStore
from loombench.record.store import EventStore, JobStore, NotKept
from loombench.vehicle.model import Vehicle
from loombench.vehicle.nets import nets


@dataclass(frozen=True)
class Search:
    """A case under way; `practice` answers in place of a real vehicle."""

    opened: Opened
    case: Case
    practice: PracticeVehicle | None


def start(
    file: str, complaint: str, folder: Path, case_id: str, time: str, hidden: str = "", seed: int | None = None,
    author: str = "", rates: Rates = NO_RATES, jobs: JobStore | None = None, words: Catalogue | None = None,
) -> Outcome[Search | None]:  # fmt: skip
    """Open a case, or take one up again where the store has it, which needs no complaint. `hidden`, one fault or
    several with semicolons between, or `seed` make it a practice case. `rates` learned from closed jobs are in the
    weights. Kept is it in the folder, or in `jobs` together with the vehicle's text.

    Raises:
        NotKept: the first events could not be kept.
    """
    opened = open_vehicle(file)
    if opened.broken:
        return Outcome(None, opened.problems)
    vehicle = opened.vehicle
    store: EventStore = jobs or JsonlStore(folder)
    kept = store.read(case_id)
    read = {text.strip(): read_fault(text) for text in hidden.split(";") if text.strip()}
    faults = tuple(fault for fault in read.values() if fault is not None)
    if unread := [text for text, fault in read.items() if fault is None]:
        return Outcome(None, (error("fault-unread", text=unread[0]),))
    if faults and (wrong := lower(vehicle, faults).problems):
        return Outcome(None, wrong)
    words = words or catalogue()
    said, fault, problems = _complaints(vehicle, complaint, faults or None, seed, words)
    practice = PracticeVehicle(vehicle, fault) if fault is not None else None
    given = _given(kept.value)
    if given and not _cut_off(vehicle, kept.value, words):
        taken_up = take_up(opened, kept.value, store, author, rates)
        if taken_up.value is None:
            return Outcome(None, (*kept.problems, *taken_up.problems))
        said_of_text = embed(jobs, case_id, opened)
        return Outcome(Search(opened, taken_up.value, practice), (*kept.problems, *taken_up.problems, *said_of_text))
    if not said and (told := _told(kept.value)):
        said = understand(vehicle, told, words).value
    complaints = tuple(one for one in said if isinstance(one, Complaint))
    if not complaints:
        return Outcome(None, problems or (error("complaint-needed", hidden=hidden or phrase("report.nothing")),))
    if kept_off := off_limits(vehicle, complaints):
        return Outcome(None, kept_off)
    if kept.value:
        begun = replay(vehicle, kept.value, store, author, bench_for(as_built(vehicle, kept.value).value, rates))
    else:
        place, bench = stored_path(file, jobs.file.parent if jobs else folder), bench_for(vehicle, rates)
        problems = (*problems, *embed(jobs, case_id, opened))
        begun = open_case(vehicle, digest_of(opened), complaints[0], store, case_id, time, author, bench, place)
        given = said[:1]
    for one in said:
        if one not in given:
            begun = complain(begun, one, time)
    return Outcome(Search(opened, begun, practice), (*kept.problems, *problems))


def off_limits(vehicle: Vehicle, said: tuple[Complaint, ...]) -> tuple[Problem, ...]:
    """Complaints about what is on an airbag, high-voltage or mains circuit: nothing is planned there."""
    known = nets(vehicle)
    names = dict.fromkeys(one.target.partition(".")[0] for one in said)
    return tuple(
        error("complaint-kept-off", vehicle.parts[name].span, target=name)
        for name in names
        if name in vehicle.parts and not handleable(vehicle, known, name)
    )


def _cut_off(vehicle: Vehicle, events: tuple[Envelope, ...], words: Catalogue) -> bool:
    """Whether the program died before all that was complained about was kept."""
    given = _given(events)
    return len(given) == len(events) - 1 and len(understand(vehicle, _told(events), words).value) > len(given)


def only_opened(case: Case) -> bool:
    """Whether nothing has been done in a case since it was told what is wrong."""
    return len(_given(case.events)) == len(case.events) - 1


def _given(events: tuple[Envelope, ...]) -> tuple[Complaint | History, ...]:
    """All that was told so far."""
    payloads = (one.payload for one in events)
    told = (one for one in payloads if isinstance(one, ComplaintGiven | HistoryTold))
    return tuple(one.history if isinstance(one, HistoryTold) else one.complaint for one in told)


def take_up(
    opened: Opened, events: tuple[Envelope, ...], store: EventStore, author: str = "", rates: Rates = NO_RATES
) -> Outcome[Case | None]:
    """A case from its events, if they fit the vehicle; says where the drawing is another than at its opening."""
    bench = bench_for(as_built(opened.vehicle, events).value, rates)
    case = replay(opened.vehicle, events, store, author, bench)
    wrong = unfit(case.bench, events)
    if wrong:
        return Outcome(None, wrong)
    said = list(as_built(opened.vehicle, events).problems)
    first = events[0].payload
    if isinstance(first, CaseOpened) and first.digest != digest_of(opened):
        said.append(warning("drawing-changed", case=case.id, vehicle=opened.vehicle.name))
    return Outcome(case, tuple(said))


def embed(jobs: JobStore | None, case: str, opened: Opened) -> tuple[Problem, ...]:
    """Keep the vehicle's text with a job, its first file first; what of it could not be kept is said."""
    if jobs is None:
        return ()
    problems = list[Problem]()
    bundle = digest_of(opened)
    first = opened.vehicle.files[:1]
    base = Path(first[0]).parent if first else Path()
    for name in sorted(opened.sources, key=lambda one: (one not in first, one)):
        data = opened.sources[name].encode()
        called = Path(os.path.relpath(name, base)).as_posix()
        try:
            jobs.attach(case, attach_as(VEHICLE, called, "text/plain", data, bundle), data)
        except NotKept as refused:
            problems.append(replace(refused.problem, level=Level.WARNING))
    return tuple(problems)


def kept_in(case: Case, folder: Path) -> Path:
    """Where a case is kept: the file of its store of jobs, else the folder."""
    return case.store.file if isinstance(case.store, JobStore) else folder


def digest_of(opened: Opened) -> str:
    """The SHA-256 of all the text a vehicle was read from."""
    return text_digest(opened.sources)


def text_digest(texts: Mapping[str, str]) -> str:
    """The SHA-256 of a vehicle's files, given as texts by name, in the order of their names."""
    return hashlib.sha256("\n".join(texts[name] for name in sorted(texts)).encode()).hexdigest()


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


def _complaints(
    vehicle: Vehicle, text: str, fault: tuple[Fault, ...] | None, seed: int | None, words: Catalogue
) -> tuple[tuple[Complaint | History, ...], tuple[Fault, ...] | None, tuple[Problem, ...]]:
    """What is complained about: as told, else as what is hidden shows; and that, drawn where it was not given."""
    tried = usual_conditions(vehicle) if not text or seed is not None else ()
    said: tuple[Complaint | History, ...] = ()
    problems: tuple[Problem, ...] = ()
    if text:
        understood = understand(vehicle, text, words)
        said, problems = understood.value, understood.problems
    elif fault is not None:
        shown = complaint_of(vehicle, fault, tried)
        said = (shown,) if shown is not None else ()
    if fault is None and seed is not None:
        drawn = hide(vehicle, seed, tuple(one.condition for one in said if isinstance(one, Complaint)) or tried)
        if drawn is not None:
            fault, said = (drawn[0],), (drawn[1],)
    return said, fault, problems


def practice_answer(search: Search, step_id: str) -> float | str:
    """What the practice vehicle answers to a step on offer.

    Raises:
        ValueError: there is no practice vehicle.
    """
    if search.practice is None:
        raise ValueError("no practice vehicle")
    return search.practice.reply(search.case.offered(step_id), search.case.course.situation.repaired)
