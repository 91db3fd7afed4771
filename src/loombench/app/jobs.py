"""The jobs of a store: where they were left, one given out or taken in as a file, a copy of all, a vehicle's text.

store = open_store(path).value               (record.sqlite.SqliteStore), at usual_place(...) unless said
stored_jobs(store)                           the list, open ones first
export_job(store, "2026-014", target)        (record.transfer)
take_in(store, file)                         whole or not at all
back_up(store, target)                       (record.backup)
unpack(store, "2026-014", folder)            the vehicle's text, to go on with on another machine
"""

from pathlib import Path

from loombench.app.joblist import OPEN, Job, job_list, quoted
from loombench.app.search import text_digest
from loombench.base.outcome import Outcome
from loombench.base.problems import Problem, error, warning
from loombench.base.wording import Catalogue, catalogue
from loombench.evidence.events import CaseOpened
from loombench.record.attachment import VEHICLE, Attached
from loombench.record.backup import back_up
from loombench.record.disk import new_file
from loombench.record.gathering import Gathering
from loombench.record.jobfile import JobFile
from loombench.record.place import usual_place
from loombench.record.sqlite import SqliteStore, open_store
from loombench.record.transfer import export_job, import_job

__all__ = [
    "Gathering", "SqliteStore", "back_up", "export_job", "open_store", "stored_jobs", "stored_lines", "take_in",
    "unpack", "usual_place",
]  # fmt: skip


def stored_jobs(store: SqliteStore, words: Catalogue | None = None) -> Outcome[tuple[Job, ...]]:
    """The jobs of a store: open ones first, then the one that was added to last, whatever the clock said."""
    listed = job_list(store.file.parent, words, store)
    place = {case: row for row, case in enumerate(store.latest())}
    latest = sorted(listed.value, key=lambda one: (one.state != OPEN, place.get(one.case, len(place))))
    return Outcome(tuple(latest), listed.problems)


def stored_lines(jobs: tuple[Job, ...], file: Path, words: Catalogue | None = None) -> tuple[str, ...]:
    """The list for a terminal: where the store is, then three lines a job."""
    words = words or catalogue()
    lines = [words.say("jobs.store", file=file)]
    if not jobs:
        return (*lines, words.say("jobs.none"))
    for one in jobs:
        state = words.say(f"joblist.{one.state}")
        lines.append(words.say("joblist.line", case=one.case, vehicle=one.vehicle, complaint=one.complaint))
        lines.append(words.say("joblist.left", state=state, count=one.count, time=one.time, last=one.last))
        case, store = quoted(one.case), quoted(str(file))
        if one.file and Path(one.file).exists():
            lines.append(words.say("jobs.go-on", file=quoted(one.file), case=case, store=store))
        else:
            lines.append(words.say("jobs.unpack-first", case=case, store=store))
    return tuple(lines)


def take_in(store: SqliteStore, file: Path) -> Outcome[JobFile | None]:
    """Take a job's file into a store; where the vehicle's text is not with it, or is another one, is said."""
    read = import_job(store, file)
    if read.value is None:
        return read
    first = read.value.entries[0][0].payload
    texts = _bundles(tuple(read.value.contents))
    said: tuple[Problem, ...] = ()
    if not texts:
        said = (warning("job-no-vehicle", case=read.value.case),)
    elif isinstance(first, CaseOpened) and first.digest not in map(text_digest, texts):
        said = (warning("job-vehicle-other", case=read.value.case, vehicle=first.vehicle[:80]),)
    return Outcome(read.value, (*read.problems, *said))


def _bundles(contents: tuple[tuple[Attached, bytes], ...]) -> tuple[dict[str, str], ...]:
    """The vehicle's texts by name, one for each version of them that belongs to a job."""
    found: dict[str, dict[str, str]] = {}
    for one, data in contents:
        if one.kind == VEHICLE:
            found.setdefault(one.bundle, {})[one.name] = data.decode("utf-8", "replace")
    return tuple(found.values())


def unpack(store: SqliteStore, case: str, folder: Path) -> Outcome[tuple[Path, ...]]:
    """Write the vehicle's text a job was worked with last to a folder that must not be there yet; its files, the one to
    open first."""
    named = store.attached(case)
    texts = [one for one in named.value if one.kind == VEHICLE]
    if not texts:
        known = ", ".join(store.latest()[:5]) or "none"
        unknown = error("job-unknown", case=case[:80], known=known)
        missing = warning("job-no-vehicle", case=case[:80])
        return Outcome((), (*named.problems, missing if store.read(case).value else unknown))
    written, problems = list[Path](), [*named.problems]
    try:
        folder.mkdir(parents=True)
        for one in (one for one in texts if one.bundle == texts[-1].bundle):
            read = store.content(one)
            problems += read.problems
            if read.value is not None:
                target = folder / one.name
                target.parent.mkdir(parents=True, exist_ok=True)
                with new_file(target) as beside:
                    beside.write_bytes(read.value)
                written.append(target)
    except FileExistsError:
        return Outcome((), (error("export-exists", file=folder),))
    except OSError as wrong:
        reason = wrong.strerror or type(wrong).__name__
        return Outcome(tuple(written), (error("export-unwritten", file=folder, reason=reason),))
    return Outcome(tuple(written), tuple(problems))
