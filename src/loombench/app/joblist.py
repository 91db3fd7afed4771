"""The cases of a folder where they were left: whose they are, how far they got, and how to go on."""

from dataclasses import dataclass
from pathlib import Path

from loombench.app.cardrecord import runs_since
from loombench.app.eventwords import plain_text
from loombench.base.outcome import Outcome
from loombench.base.problems import Problem
from loombench.base.wording import Catalogue, catalogue
from loombench.evidence.envelope import Envelope
from loombench.evidence.events import CaseClosed, CaseOpened
from loombench.evidence.replay import effective
from loombench.record.jsonl import JsonlStore
from loombench.record.store import EventStore

OPEN, PROVEN, UNPROVEN = "open", "closed-proven", "closed-unproven"


@dataclass(frozen=True)
class Job:
    """A case as a list shows it. `state` is open, closed-proven or closed-unproven; `last` the last entry in words, at
    `time`; `file` where its vehicle lies, empty where that was not kept; `clock_since` since when its work clock runs,
    empty where it stands."""

    case: str
    vehicle: str
    complaint: str
    state: str
    count: int
    time: str
    last: str
    file: str
    clock_since: str = ""


def job_list(folder: Path, words: Catalogue | None = None, store: EventStore | None = None) -> Outcome[tuple[Job, ...]]:
    """The cases kept in a folder: open ones first, then the one that was worked on last; what cannot be read is said.

    Raises: nothing; a folder that is none has no cases.
    """
    kept, words = store or JsonlStore(folder), words or catalogue()
    jobs, problems = list[Job](), list[Problem]()
    for name in kept.cases():
        read = kept.read(name)
        problems += read.problems
        if read.value:
            jobs.append(_job(name, read.value, folder, words))
    latest = sorted(jobs, key=lambda one: (one.time, one.case), reverse=True)
    return Outcome(tuple(sorted(latest, key=lambda one: one.state != OPEN)), tuple(problems))


def _job(name: str, events: tuple[Envelope, ...], folder: Path, words: Catalogue) -> Job:
    first = events[0].payload
    opened = first if isinstance(first, CaseOpened) else CaseOpened("-", "", "-")
    valid = effective(events)
    closed = [one.payload for one in valid if isinstance(one.payload, CaseClosed)]
    state = OPEN if not closed else PROVEN if closed[-1].proven else UNPROVEN
    last = events[-1]
    file = (folder / opened.file).resolve() if opened.file else None
    return Job(
        name, opened.vehicle, opened.complaint, state, len(events), last.time[:16].replace("T", " "),
        plain_text(last.payload, words, events), _near(file) if file else "",
        runs_since(valid)[:16].replace("T", " "),
    )  # fmt: skip


def _near(file: Path) -> str:
    """The path as one would type it here."""
    here = Path.cwd()
    return file.relative_to(here).as_posix() if file.is_relative_to(here) else file.as_posix()


def job_lines(jobs: tuple[Job, ...], folder: Path, words: Catalogue | None = None) -> tuple[str, ...]:
    """The list for a terminal, three lines a case."""
    words = words or catalogue()
    if not jobs:
        return (words.say("joblist.none", folder=folder),)
    lines = list[str]()
    for one in jobs:
        state = words.say(f"joblist.{one.state}")
        lines.append(words.say("joblist.line", case=one.case, vehicle=one.vehicle, complaint=one.complaint))
        lines.append(words.say("joblist.left", state=state, count=one.count, time=one.time, last=one.last))
        if one.file:
            lines.append(
                words.say("joblist.go-on", file=quoted(one.file), case=quoted(one.case), folder=quoted(str(folder)))
            )
    return tuple(lines)


def quoted(text: str) -> str:
    """The text as one would type it as one word."""
    return f'"{text}"' if " " in text else text
