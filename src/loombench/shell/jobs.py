"""`loombench jobs`: the jobs kept in a store; one given out or taken in as a file, a copy of all, a vehicle's text."""

import json
import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, TypeVar

import typer

from loombench.base.outcome import Outcome
from loombench.base.problems import Problem
from loombench.base.wording import Catalogue
from loombench.shell.language import spoken
from loombench.shell.saying import harmless

if TYPE_CHECKING:
    from loombench.app.jobs import SqliteStore

T = TypeVar("T")
STORE = Annotated[Path | None, typer.Option("--store", help="the store's file; the usual one unless said")]
JOB = Annotated[str, typer.Argument(help="the job's number, as the list has it")]
JSON = Annotated[bool, typer.Option("--json", help="for machines")]

jobs = typer.Typer(help="The jobs kept in a store: where they were left; give one out, take one in, back all up.")


@jobs.callback(invoke_without_command=True)
def listed(context: typer.Context, store: STORE = None, as_json: JSON = False) -> None:
    """The jobs kept in a store, where they were left, and how to go on with each."""
    context.obj = store
    if context.invoked_subcommand is not None:
        return
    from loombench.app.jobs import stored_jobs, stored_lines  # noqa: PLC0415

    path, words = place(store), spoken(context)
    if not path.exists():
        _say(json.dumps({"store": str(path), "jobs": []}) if as_json else "\n".join(stored_lines((), path, words)))
        return
    with opened(path, words, as_json) as kept:
        found = stored_jobs(kept, words)
    _problems(found.problems, words, as_json)
    if as_json:
        _say(json.dumps({"store": str(path), "jobs": [vars(one) for one in found.value]}))
        return
    for line in stored_lines(found.value, path, words):
        _say(line)


@jobs.command("export")
def export_job(
    context: typer.Context,
    job: JOB,
    out: Annotated[Path, typer.Option("-o", help="the file to write; it must not exist")],
    store: STORE = None,
) -> None:
    """Write one job as a file: its entries, the vehicle's text, its photos."""
    from loombench.app.jobs import export_job as given_out  # noqa: PLC0415

    words = spoken(context)
    with opened(existing(context, store), words) as kept:
        done = given_out(kept, job, out)
    _say(words.say("jobs.exported", case=job, file=_made(done, words)))


@jobs.command("import")
def import_job(
    context: typer.Context,
    file: Annotated[Path, typer.Argument(help="a job's file, or the plain record of a case")],
    store: STORE = None,
) -> None:
    """Take a job's file into the store, whole or not at all."""
    from loombench.app.jobs import take_in  # noqa: PLC0415

    words = spoken(context)
    with opened(place(store or context.obj), words) as kept:
        done = take_in(kept, file)
    taken = _made(done, words)
    count, contents = len(taken.entries), len(taken.contents)
    _say(words.say("jobs.imported", case=taken.case, count=count, contents=contents))


@jobs.command("backup")
def back_up(
    context: typer.Context,
    file: Annotated[Path, typer.Argument(help="the file to write; it must not exist")],
    store: STORE = None,
) -> None:
    """Copy the whole store into one file, also while it is in use, and check the copy."""
    from loombench.app.jobs import back_up as copied  # noqa: PLC0415

    words = spoken(context)
    with opened(existing(context, store), words) as kept:
        done = copied(kept, file)
    made = _made(done, words)
    _say(words.say("jobs.backed-up", file=file, jobs=made.jobs, events=made.events, contents=made.contents))


@jobs.command()
def vehicle(
    context: typer.Context,
    job: JOB,
    out: Annotated[Path, typer.Option("-o", help="the folder to make; it must not exist")],
    store: STORE = None,
) -> None:
    """Write the vehicle's text a job was worked with to a folder, to go on with elsewhere."""
    from loombench.app.jobs import unpack  # noqa: PLC0415

    words = spoken(context)
    with opened(existing(context, store), words) as kept:
        done = unpack(kept, job, out)
    _problems(done.problems, words)
    if not done.value:
        raise typer.Exit(1)
    for path in done.value:
        _say(str(path))


def place(said: Path | None) -> Path:
    """Where the store lies."""
    from loombench.app.jobs import usual_place  # noqa: PLC0415

    return said or usual_place(sys.platform, os.environ, Path.home())


def existing(context: typer.Context, said: Path | None) -> Path:
    """Where the store lies; says so and ends where there is none, since one that is empty is of no use here."""
    path = place(said or context.obj)
    if not path.exists():
        words = spoken(context)
        _say(words.say("jobs.store", file=path))
        _say(words.say("jobs.none"))
        raise typer.Exit(1)
    return path


@contextmanager
def opened(path: Path, words: Catalogue, machine: bool = False) -> Iterator["SqliteStore"]:
    """The store of a file, closed afterwards; what is wrong with it is said, and where it is none that is the end."""
    from loombench.app.jobs import open_store  # noqa: PLC0415

    found = open_store(path)
    _problems(found.problems, words, machine)
    if found.value is None:
        raise typer.Exit(1)
    try:
        yield found.value
    finally:
        found.value.close()


def _made(done: Outcome[T | None], words: Catalogue) -> T:
    """What was made, its problems said; the command ends where nothing was."""
    _problems(done.problems, words)
    if done.value is None:
        raise typer.Exit(1)
    return done.value


def _problems(problems: tuple[Problem, ...], words: Catalogue, machine: bool = False) -> None:
    if problems:
        from loombench.shell.finding import problem_lines  # noqa: PLC0415

        typer.echo(problem_lines(problems, {}, machine, words), err=not machine)


def _say(text: str) -> None:
    typer.echo(harmless(text))
