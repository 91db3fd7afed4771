"""A job out of a store into one file, and out of a file into a store."""

import os
from collections.abc import Iterator
from pathlib import Path

from loombench.base.outcome import Outcome
from loombench.base.problems import Problem, error, note
from loombench.record.attachment import Attached
from loombench.record.disk import new_file
from loombench.record.jobfile import JobFile, job_lines, read_job
from loombench.record.sqlite import SqliteStore
from loombench.record.store import NotKept


def export_job(store: SqliteStore, case: str, target: Path) -> Outcome[Path | None]:
    """Write a job, with all that belongs to it, as one file that must not be there yet; for its user alone.

    What is damaged in the store is left out and said; None where there is no such job or nothing could be written.
    """
    found = store.read(case)
    lines = tuple(line for _, line in store.lines(case))
    if not lines:
        known = ", ".join(store.latest()[:5]) or "none"
        return Outcome(None, (*found.problems, error("job-unknown", case=case[:80], known=known)))
    named = store.attached(case)
    problems = [*found.problems, *named.problems]

    def contents() -> Iterator[tuple[Attached, bytes]]:
        for one in named.value:
            read = store.content(one)
            problems.extend(read.problems)
            if read.value is not None:
                yield one, read.value

    try:
        with new_file(target) as beside, beside.open("wb") as file:
            file.writelines(job_lines(case, lines, contents()))
            file.flush()
            os.fsync(file.fileno())
    except FileExistsError:
        return Outcome(None, (error("export-exists", file=target),))
    except (OSError, ValueError) as wrong:
        reason = getattr(wrong, "strerror", None) or type(wrong).__name__
        return Outcome(None, (error("export-unwritten", file=target, reason=reason),))
    return Outcome(target, tuple(problems))


def import_job(store: SqliteStore, source: Path) -> Outcome[JobFile | None]:
    """Take the job of a file into a store: whole, or not at all. A job that is there already is gone on with where the
    file has more of it; one that went another way is refused."""
    try:
        with source.open("rb") as file:
            read = read_job(file, source.name)
    except (OSError, ValueError) as wrong:
        reason = getattr(wrong, "strerror", None) or type(wrong).__name__
        return Outcome(None, (error("job-file-unread", file=source.name, reason=reason),))
    job = read.value
    if job is None:
        return read
    kept = store.read(job.case).value
    given = tuple(one for one, _ in job.entries)
    shared = min(len(kept), len(given))
    if kept[:shared] != given[:shared]:
        at = next(row for row in range(shared) if kept[row] != given[row])
        return Outcome(None, (*read.problems, error("job-differs", case=job.case, number=given[at].number)))
    said: tuple[Problem, ...] = ()
    if kept:
        said = (note("job-known", case=job.case, count=len(kept), more=len(given) - shared),)
    try:
        store.add_job(job.case, job.entries[shared:], job.contents)
    except NotKept as refused:
        return Outcome(None, (*read.problems, refused.problem))
    return Outcome(job, (*read.problems, *said))
