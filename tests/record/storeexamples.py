"""What a page about the store of jobs shows: the events of its record are kept in a store, and things are done to it.

foreign            a data base of another program lies in the store's place
noise N            bytes from the Nth on are overwritten
newer              a newer version of the program had it
barred             the file may not be written
folder             a folder stands in its place
lock               another program holds it
altered N          a byte of event N was changed
full               files may not grow beyond what a store needs to be opened
attach NAME TEXT   the text is kept with the job under that name
long NAME          100 kB are kept with the job
huge NAME          more than may be kept with a job is to be kept
lost NAME          the content of what has that name is gone
open               the store is opened
read               the job is read, with all that belongs to it
add NUMBER TIME    a note of that number and time is added to the job
"""

import resource
import sqlite3
import tempfile
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import ExitStack, closing, contextmanager
from pathlib import Path
from unittest.mock import patch

from loombench.base.problems import Problem
from loombench.evidence.codec import decode_line
from loombench.evidence.envelope import envelope
from loombench.evidence.events import Note
from loombench.record import attachment
from loombench.record.attachment import FILE, attach_as
from loombench.record.sqlite import SqliteStore, open_store
from loombench.record.store import NotKept

CASE = "2026-014"


def store_problems(files: Mapping[str, str], ask: str) -> Sequence[Problem]:
    """The problems of all that is done."""
    with tempfile.TemporaryDirectory() as name, ExitStack() as stack:
        path = Path(name) / "jobs.sqlite"
        lines = [line for text in files.values() for line in text.splitlines()]
        problems = [*_with(path, lambda store: _keep(store, lines))]
        for line in ask.splitlines():
            problems += _do(path, line, stack)
        return problems


def _keep(store: SqliteStore, lines: Sequence[str]) -> Sequence[Problem]:
    for line in lines:
        event = decode_line(line).value
        assert event is not None
        store.append(event)
    return ()


def _with(path: Path, act: Callable[[SqliteStore], Sequence[Problem]]) -> Iterator[Problem]:
    """What opening the store and doing something with it says."""
    opened = open_store(path, 0.0)
    yield from opened.problems
    if opened.value is None:
        return
    try:
        yield from act(opened.value)
    except NotKept as refused:
        yield refused.problem
    finally:
        opened.value.close()


def alter(path: Path, *statements: str) -> None:
    """Do to a store what no program of ours does: what guards its rows is taken away first."""
    with closing(sqlite3.connect(path)) as connection, connection:
        for (name,) in connection.execute("select name from sqlite_schema where type = 'trigger'").fetchall():
            connection.execute(f"drop trigger {name}")
        for statement in statements:
            connection.execute(statement)


@contextmanager
def no_growth(limit: int) -> Iterator[None]:
    """No file may grow beyond so many bytes."""
    before = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (limit, before[1]))
    try:
        yield
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, before)


def _do(path: Path, line: str, stack: ExitStack) -> Sequence[Problem]:
    verb, _, rest = line.partition(" ")
    match verb:
        case "foreign":
            path.unlink()
            alter(path, "create table songs (title)")
        case "noise":
            data = bytearray(path.read_bytes())
            data[int(rest) : int(rest) + 2000] = bytes(range(250)) * 8
            path.write_bytes(data)
        case "newer":
            alter(path, "update alembic_version set version_num = '0009'")
        case "barred":
            stack.enter_context(patch("loombench.record.database.os.access", return_value=False))
        case "folder":
            path.unlink()
            path.mkdir()
        case "lock":
            holder = stack.enter_context(closing(sqlite3.connect(path, isolation_level=None)))
            holder.execute("pragma locking_mode=exclusive")
            holder.execute("begin exclusive")
        case "altered":
            alter(path, f"update event set line = replace(line, 'dead', 'dim') where number = {int(rest)}")
        case "full":
            stack.enter_context(no_growth(40_000))
        case "lost":
            alter(path, "delete from content")
        case _:
            said = list(_with(path, lambda store: _ask(store, verb, rest)))
            return said if verb == "open" else [one for one in said if one not in _with(path, lambda _: ())]
    return ()


def _ask(store: SqliteStore, verb: str, rest: str) -> Sequence[Problem]:
    name, _, text = rest.partition(" ")
    match verb:
        case "open":
            return ()
        case "read":
            found = store.attached(CASE)
            contents = [problem for one in found.value for problem in store.content(one).problems]
            return (*store.read(CASE).problems, *found.problems, *contents)
        case "add":
            store.append(envelope(int(name), text, CASE, "M. Holm", Note("a note")))
        case "attach":
            store.attach(CASE, attach_as(FILE, name, "text/plain", text.encode()), text.encode())
        case "long" | "huge":
            data = bytes(100_000 if verb == "long" else attachment.LARGEST + 1)
            store.attach(CASE, attach_as(FILE, name, "image/jpeg", data), data)
        case _:
            raise ValueError(verb)
    return ()
