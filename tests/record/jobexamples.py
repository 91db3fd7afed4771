"""What a page about jobs as files shows: its files lie beside an empty store of jobs.

take FILE       the job of a file is taken into the store
small FILE      the same where a file may have 100 bytes, so that an example of a large one stays small
give JOB        a job is written as a file
vehicle JOB     the vehicle's text of a job is written to a folder
dim             a byte of each event that says dead is changed in the store
copy            the store is copied
"""

import tempfile
from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from unittest.mock import patch

from loombench.app.jobs import SqliteStore, back_up, export_job, open_store, take_in, unpack
from loombench.base.problems import Problem
from loombench.base.wording import catalogue
from tests.record.storeexamples import alter

SMALL = 100


def job_problems(files: Mapping[str, str], ask: str) -> Sequence[Problem]:
    """The problems of all that is done."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        for file, text in files.items():
            (folder / file).write_text(text, encoding="utf-8", newline="")
        problems = [problem for line in ask.splitlines() for problem in _do(folder, line)]
        return [_bare(problem, f"{folder}/") for problem in problems]


def _bare(problem: Problem, folder: str) -> Problem:
    return replace(
        problem, facts=tuple((name, catalogue().text(fact).replace(folder, "")) for name, fact in problem.facts)
    )


def _do(folder: Path, line: str) -> Sequence[Problem]:
    verb, _, rest = line.partition(" ")
    path = folder / "jobs.sqlite"
    if verb == "dim":
        alter(path, "update event set line = replace(line, 'dead', 'dim')")
        return ()
    store = open_store(path).value
    assert store is not None
    try:
        return _asked(store, folder, verb, rest)
    finally:
        store.close()


def _asked(store: SqliteStore, folder: Path, verb: str, rest: str) -> Sequence[Problem]:
    match verb:
        case "take":
            return take_in(store, folder / rest).problems
        case "small":
            with patch("loombench.record.jobfile.MOST_BYTES", SMALL):
                return take_in(store, folder / rest).problems
        case "give":
            return export_job(store, rest, folder / "given.jsonl").problems
        case "vehicle":
            return unpack(store, rest, folder / "vehicle").problems
        case "copy":
            return back_up(store, folder / "copy.sqlite").problems
    raise ValueError(verb)
