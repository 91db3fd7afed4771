"""The store of jobs in one SQLite file: many jobs, with the vehicle's text and the photos of each.

An event is committed and synced before `append` returns. What a killed program had begun is undone by SQLite when the
file is opened next. What cannot be written (a newer version's store, a folder without permission) is still read.
"""

import hashlib
from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path

from sqlalchemy import Connection, Engine, Select, func, insert, literal_column, select
from sqlalchemy.dialects.sqlite import insert as insert_new
from sqlalchemy.exc import DBAPIError

from loombench.base.outcome import Outcome
from loombench.base.problems import Problem, Span, error, warning
from loombench.evidence.codec import decode_line, encode_line
from loombench.evidence.envelope import FORMAT, Envelope
from loombench.record import database
from loombench.record.attachment import Attached, too_large, unfit
from loombench.record.clock import clock_warnings
from loombench.record.names import checked_name
from loombench.record.refusal import not_next, understood
from loombench.record.store import NotKept
from loombench.record.tables import attached, content, entry, event

WAIT_S = 5.0


def open_store(path: Path | str, wait_s: float = WAIT_S) -> Outcome["SqliteStore | None"]:
    """The store in a file, which is made, with its folder, where there is none; only its user may read it then.

    A problem says where it can only be read (with the store), or is none or damaged (with None). `wait_s` seconds are
    waited for another program that is writing.
    """
    file = Path(path)
    try:
        if not file.exists():
            database.make(file)
        elif not file.is_file():
            return Outcome(None, (error("store-unreadable", file=file.name, reason="no file"),))
    except (OSError, ValueError) as wrong:
        reason = getattr(wrong, "strerror", None) or type(wrong).__name__
        return Outcome(None, (error("store-unreadable", file=file.name, reason=reason),))
    why = database.barred(file)
    if why:
        return _only_read(file, wait_s, warning("store-read-only", file=file.name, reason=why))
    opened = database.prepare(file, wait_s)
    if opened.value is None and opened.problems[0].code == "store-unreadable":
        # A full disk has no room for what SQLite keeps beside the file while it may be written.
        return _only_read(file, wait_s, warning("store-read-only", **dict(opened.problems[0].facts)))
    if opened.value is None and opened.problems[0].code == "store-damaged":
        return _only_read(file, wait_s, opened.problems[0])
    if opened.value is None:
        return Outcome(None, opened.problems)
    if opened.problems:
        opened.value.dispose()
        return _only_read(file, wait_s, opened.problems[0])
    return Outcome(SqliteStore(opened.value, file, wait_s))


def _only_read(file: Path, wait_s: float, why: Problem) -> Outcome["SqliteStore | None"]:
    """Without the right to write beside it SQLite reads a file only if nothing waits in its log."""
    waiting = file.with_name(f"{file.name}-wal")
    settled = not waiting.exists() or not waiting.stat().st_size
    queries = ("mode=ro", "mode=ro&immutable=1") if settled else ("mode=ro",)
    said = error("store-unreadable", file=file.name, reason=why.fact("reason"))
    for query in queries:
        engine = database.connected(file, wait_s, query)
        try:
            version, problem = database.look(engine, file)
        except DBAPIError as wrong:
            engine.dispose()
            said = database.said_at_opening(wrong, file)
            continue
        if problem is None and version:
            return Outcome(SqliteStore(engine, file, wait_s, why), (why,))
        if problem is not None and version:
            return Outcome(SqliteStore(engine, file, wait_s, problem), (problem,))
        engine.dispose()
        return Outcome(None, (problem or said,))
    return Outcome(None, (said,))


class SqliteStore:
    """Jobs in an SQLite file. `barred` says why nothing can be kept, None where it can."""

    def __init__(self, engine: Engine, file: Path, wait_s: float, barred: Problem | None = None) -> None:
        self._engine = engine
        self._writing = database.writing(engine)
        self._wait_s = wait_s
        self.file = file
        self.barred = barred

    def close(self) -> None:
        """Let the file go; what waits in the log is moved into it."""
        self._engine.dispose()

    def append(self, one: Envelope) -> None:
        """Keep one more event; on return it is on the disk. Raises `NotKept`."""
        self.append_all((one,))

    def append_all(self, some: Sequence[Envelope], called: str = "") -> bool:
        """Keep events of one job that belong together: on return all are on the disk. False, and nothing is done, where
        an entry `called` so was kept before: a page that heard no answer sends it again.

        Raises:
            NotKept: they could not be kept; then none of them was.
            ValueError: there are none, or they are of several jobs.
        """
        if len({one.case for one in some}) != 1:
            raise ValueError("events of one job belong together")
        first = some[0]
        checked_name(first.case)
        lines = [(one, encode_line(one)) for one in some]
        for _, line in lines:
            understood(line)
        self._allowed(first.number, first.case)
        try:
            with self._writing.begin() as connection:
                if called and _number_of(connection, first.case, called) is not None:
                    return False
                expected, newer = _next(connection, first.case)
                if newer:
                    raise NotKept(error("record-newer", case=first.case))
                for number, (one, line) in enumerate(lines, expected):
                    if one.number != number:
                        raise not_next(one, number)
                    add_line(connection, one, line)
                if called:
                    row = {"job": first.case, "entry": called, "number": first.number}
                    connection.execute(insert(entry).values(row))
        except DBAPIError as wrong:
            raise self._refusal(wrong, first.number, first.case) from wrong
        return True

    def knows(self, case: str, called: str) -> bool:
        """Whether an entry that its page called so was kept."""
        asked = select(entry.c.number).where(entry.c.job == case, entry.c.entry == called)
        return bool(list(self._rows(asked, [])))

    def read(self, case: str) -> Outcome[tuple[Envelope, ...]]:
        """The events of a job, and what is wrong with them."""
        events: list[Envelope] = []
        problems: list[Problem] = []
        before = 0
        for number, line, seal in self._entries(case, problems):
            place = Span(case, number)
            if number > before + 1:
                problems.append(warning("record-gap", place, number=number, before=before))
            before = number
            if not _whole(line, seal):
                problems.append(error("store-entry", place, file=self.file.name, number=number))
                continue
            found = decode_line(line, place)
            problems.extend(found.problems)
            if found.value is not None:
                events.append(found.value)
        return Outcome(tuple(events), (*problems, *clock_warnings(events, case)))

    def next_number(self, case: str) -> int:
        """The number the next event of the job must have; 1 where that cannot be read."""
        asked = select(func.max(event.c.number)).where(event.c.job == case)
        rows = list(self._rows(asked, [])) if _possible(case) else []
        return int(rows[0][0] or 0) + 1 if rows else 1

    def cases(self) -> tuple[str, ...]:
        """The names of all jobs, in alphabetical order."""
        return tuple(sorted(row[0] for row in self._rows(select(event.c.job).distinct(), [])))

    def latest(self) -> tuple[str, ...]:
        """The names of all jobs, the one that was added to last first, whatever the clock said."""
        last = func.max(event.c.kept)
        rows = self._rows(select(event.c.job).group_by(event.c.job).order_by(last.desc()), [])
        return tuple(row[0] for row in rows)

    def attach(self, case: str, one: Attached, data: bytes) -> None:
        """Keep something that belongs to a job, on the disk on return; nothing is done where it is there already.

        Raises:
            NotKept: it could not be kept.
            ValueError: `data` is not the content whose hash `one` bears.
        """
        checked_name(case)
        if hashlib.sha256(data).hexdigest() != one.sha256:
            raise ValueError(f"{one.name} is not what its hash says")
        wrong_name = unfit(one) or too_large(one.name, len(data))
        if wrong_name is not None:
            raise NotKept(wrong_name)
        if one in self.attached(case).value:
            return
        self._allowed(0, case, one.name)
        try:
            with self._writing.begin() as connection:
                add_attached(connection, case, one, data)
        except DBAPIError as wrong:
            raise self._refusal(wrong, 0, case, one.name) from wrong

    def attached(self, case: str) -> Outcome[tuple[Attached, ...]]:
        """What belongs to a job, in the order in which it was kept."""
        if not _possible(case):
            return Outcome(())
        problems: list[Problem] = []
        columns = [attached.c[name] for name in ("kind", "bundle", "name", "media", "sha256")]
        rows = self._rows(select(*columns).where(attached.c.job == case).order_by(attached.c.kept), problems)
        return Outcome(tuple(Attached(row[0], row[1], row[2], row[3], row[4].hex()) for row in rows), tuple(problems))

    def content(self, one: Attached) -> Outcome[bytes | None]:
        """The bytes of something attached; None where they are missing or are not what was kept."""
        problems: list[Problem] = []
        asked = select(content.c.data).where(content.c.sha256 == bytes.fromhex(one.sha256))
        data = next((bytes(row[0]) for row in self._rows(asked, problems)), b"")
        if problems or hashlib.sha256(data).hexdigest() != one.sha256:
            return Outcome(None, (error("store-content", file=self.file.name, name=one.name), *problems))
        return Outcome(data)

    def lines(self, case: str) -> tuple[tuple[int, str], ...]:
        """The number and the line of each of a job's events that is as it was kept, whatever is in it."""
        return tuple((number, line) for number, line, seal in self._entries(case, []) if _whole(line, seal))

    def add_job(
        self, case: str, lines: Sequence[tuple[Envelope, str]], contents: Iterable[tuple[Attached, bytes]]
    ) -> None:
        """Keep all of a job's events from the next number on, and what belongs to it: all of it or nothing. A number
        may be left out, where its line was damaged before it came here.

        Raises:
            NotKept: it could not be kept, or a number is there already.
        """
        checked_name(case)
        self._allowed(lines[0][0].number if lines else 0, case)
        try:
            with self._writing.begin() as connection:
                expected, newer = _next(connection, case)
                if newer:
                    raise NotKept(error("record-newer", case=case))
                for one, line in lines:
                    if one.number < expected:
                        raise not_next(one, expected)
                    add_line(connection, one, line)
                    expected = one.number + 1
                for called, data in contents:
                    add_attached(connection, case, called, data)
        except DBAPIError as wrong:
            raise self._refusal(wrong, lines[0][0].number if lines else 0, case) from wrong

    def backup_into(self, target: Path) -> None:
        """SQLite's online backup into an empty file, while others may go on writing. Raises what SQLite raises."""
        database.copy_into(self._engine, target)

    def _entries(self, case: str, problems: list[Problem]) -> Iterator[Sequence]:  # type: ignore[type-arg]
        if not _possible(case):
            return
        # Where something is damaged the index may be, and hide what is in the table.
        index_free = self.barred is not None and self.barred.code == "store-damaged"
        job = literal_column("+job") if index_free else event.c.job
        asked = select(event.c.number, event.c.line, event.c.sha256).where(job == case).order_by(event.c.number)
        yield from self._rows(asked, problems)

    def _rows(self, asked: Select[*tuple[object, ...]], problems: list[Problem]) -> Iterator[Sequence]:  # type: ignore[type-arg]
        """The rows as far as they can be read."""
        try:
            with self._engine.connect() as connection:
                yield from connection.execute(asked)
        except DBAPIError as wrong:
            problems.append(database.said_at_opening(wrong, self.file))

    def _allowed(self, number: int, case: str, name: str = "") -> None:
        if self.barred is None:
            return
        if self.barred.code in ("store-newer", "store-damaged"):
            raise NotKept(error(self.barred.code, **dict(self.barred.facts)))
        raise NotKept(_unkept("record-unwritable", number, case, name, self.barred.fact("reason")))

    def _refusal(self, wrong: DBAPIError, number: int, case: str, name: str = "") -> NotKept:
        kind, reason = database.meaning(wrong)
        if kind == database.BUSY:
            return NotKept(error("record-busy", case=case, seconds=f"{self._wait_s:g}"))
        if kind == database.DAMAGED:
            return NotKept(error("store-damaged", file=self.file.name, reason=reason))
        return NotKept(
            _unkept("record-full" if kind == database.FULL else "record-unwritable", number, case, name, reason)
        )


def _whole(line: str, seal: bytes) -> bool:
    return hashlib.sha256(line.encode()).digest() == seal


def _possible(case: str) -> bool:
    """Whether a job can have this name at all; half a character cannot even be asked for."""
    try:
        return bool(checked_name(case))
    except NotKept:
        return False


def _unkept(code: str, number: int, case: str, name: str, reason: str) -> Problem:
    if name:
        return error("attachment-unkept", name=name, case=case, reason=reason)
    return error(code, number=number, case=case, reason=reason)


def _next(connection: Connection, case: str) -> tuple[int, bool]:
    """The next number of a job, and whether it holds an event of a format that is not known."""
    asked = select(func.max(event.c.number), func.max(event.c.format)).where(event.c.job == case)
    number, newest = connection.execute(asked).one()
    return (number or 0) + 1, (newest or 0) > FORMAT


def _number_of(connection: Connection, case: str, called: str) -> int | None:
    """The number of the first event of an entry that was kept."""
    found: int | None = connection.execute(
        select(entry.c.number).where(entry.c.job == case, entry.c.entry == called)
    ).scalar()
    return found


def add_line(connection: Connection, one: Envelope, line: str) -> None:
    """Add an event's line inside a transaction."""
    seal = hashlib.sha256(line.encode()).digest()
    row = {"job": one.case, "number": one.number, "format": one.format, "line": line, "sha256": seal}
    connection.execute(insert(event).values(row))


def add_attached(connection: Connection, case: str, one: Attached, data: bytes) -> None:
    """Add a content and its name inside a transaction, where they are not there yet."""
    seal = bytes.fromhex(one.sha256)
    connection.execute(insert_new(content).values(sha256=seal, data=data).on_conflict_do_nothing())
    row = {"job": case, "kind": one.kind, "bundle": one.bundle, "name": one.name, "media": one.media, "sha256": seal}
    connection.execute(insert_new(attached).values(row).on_conflict_do_nothing())
