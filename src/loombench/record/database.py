"""The connection to the store's SQLite file, and its opening: made, brought to the present version, or only read.

Every connection syncs fully: in write-ahead mode a commit is on the disk only then. The file itself is never opened by
anything but SQLite while a store is open, since closing it would lift SQLite's locks (POSIX record locks).
"""

import contextlib
import os
import sqlite3
import time
from pathlib import Path
from types import MappingProxyType

from sqlalchemy import Connection, Engine, create_engine, event, text
from sqlalchemy.exc import DBAPIError
from sqlalchemy.pool import QueuePool

from loombench.base.outcome import Outcome
from loombench.base.problems import Problem, error, warning
from loombench.record.disk import make_folder, sync_folder
from loombench.record.tables import APPLICATION_ID, VERSIONS

MIGRATIONS = Path(__file__).parent / "migrations"
FULL, BUSY, DAMAGED = "full", "busy", "damaged"
_MEANINGS = MappingProxyType(
    {
        sqlite3.SQLITE_FULL: FULL,
        sqlite3.SQLITE_BUSY: BUSY,
        sqlite3.SQLITE_LOCKED: BUSY,
        sqlite3.SQLITE_CORRUPT: DAMAGED,
        sqlite3.SQLITE_NOTADB: DAMAGED,
        # What is bound is of the right kind: a wrong kind or a missing table comes out of the file.
        sqlite3.SQLITE_ERROR: DAMAGED,
        sqlite3.SQLITE_MISMATCH: DAMAGED,
    }
)
FAILED = (sqlite3.Error, DBAPIError)
"""What SQLite raises by itself and through the library."""
PRAGMAS = ("synchronous=full", "fullfsync=on", "foreign_keys=on", "trusted_schema=off")
"""Of each connection. `fullfsync` is for macOS, where a plain sync leaves bytes in the drive."""
_STEP_S = 0.02


def meaning(wrong: DBAPIError) -> tuple[str, str]:
    """What an error of SQLite means, FULL, BUSY, DAMAGED or '' for anything else, and its own words."""
    found = wrong.orig
    code = getattr(found, "sqlite_errorcode", None)
    if isinstance(found, OverflowError | UnicodeDecodeError) or (code is None and "decode" in str(found)):
        return DAMAGED, str(found)[:200]
    return _MEANINGS.get((code or 0) & 0xFF, ""), str(found)[:200]


def connected(path: Path, wait_s: float, query: str) -> Engine:
    """An engine on the file with SQLite's `query` (`mode=rw`). Its transactions begin as the option `begin` says."""

    def connect() -> sqlite3.Connection:
        address = f"{path.absolute().as_uri()}?{query}"
        opened = sqlite3.connect(address, wait_s, isolation_level=None, check_same_thread=False, uri=True)
        for pragma in PRAGMAS:
            opened.execute(f"pragma {pragma}")
        return opened

    engine = create_engine("sqlite://", creator=connect, poolclass=QueuePool)

    @event.listens_for(engine, "begin")
    def begin(connection: Connection) -> None:
        connection.exec_driver_sql(connection.get_execution_options().get("begin", "begin"))

    return engine


def writing(engine: Engine) -> Engine:
    """The engine for what writes: its transactions take the lock at once, so that what they read stays true."""
    return engine.execution_options(begin="begin immediate")


def barred(path: Path) -> str:
    """Why a file that is there cannot be written, as the system says it; '' where it can."""
    for place in (path, path.parent):
        if not os.access(place, os.W_OK):
            return f"{place.name} may not be written"
    return ""


def make(path: Path) -> None:
    """Make the file and its folder, for the user alone, both names forced to disk. Raises `OSError`."""
    make_folder(path.parent, 0o700)
    try:
        handle = os.open(path, os.O_RDWR | os.O_CREAT | os.O_EXCL, 0o600)
    except FileExistsError:
        return
    os.close(handle)
    sync_folder(path.parent)


def prepare(path: Path, wait_s: float) -> Outcome[Engine | None]:
    """An engine on a file that is there and may be written, of the present version; None where it is not the store's,
    is damaged or stays locked. A newer version is given as it is, with the warning `store-newer`."""
    engine = connected(path, wait_s, "mode=rw")
    try:
        problem = _prepared(engine, path, time.monotonic() + wait_s)
    except DBAPIError as wrong:
        problem = said_at_opening(wrong, path)
    except OSError as wrong:
        problem = error("store-unreadable", file=path.name, reason=wrong.strerror or type(wrong).__name__)
    if problem is not None and problem.code != "store-newer":
        engine.dispose()
        return Outcome(None, (problem,))
    return Outcome(engine, () if problem is None else (problem,))


def said_at_opening(wrong: DBAPIError, path: Path) -> Problem:
    """An error of SQLite at opening, as a problem."""
    kind, reason = meaning(wrong)
    codes = {BUSY: "store-busy", DAMAGED: "store-damaged"}
    return error(codes.get(kind, "store-unreadable"), file=path.name, reason=reason)


def look(engine: Engine, path: Path) -> tuple[str, Problem | None]:
    """The version of the store ('' for an empty file), and what is wrong with it."""
    with engine.connect() as connection:
        pages = connection.execute(text("pragma page_count")).scalar_one()
        if not pages:
            broken = path.stat().st_size > 0
            return "", error("store-damaged", file=path.name, reason="file is not a database") if broken else None
        owner = connection.execute(text("pragma application_id")).scalar_one()
        tables = set(connection.execute(text("select name from sqlite_schema where type = 'table'")).scalars())
        if owner != APPLICATION_ID:
            return "", error("store-foreign", file=path.name, seen=", ".join(sorted(tables))[:80] or "no table")
        if "alembic_version" not in tables:
            return "", error("store-damaged", file=path.name, reason="no version") if tables else None
        version = str(connection.execute(text("select version_num from alembic_version")).scalar())
        damage = _damage(connection, tables)
    if damage:
        return version, error("store-damaged", file=path.name, reason=damage)
    newer = warning("store-newer", file=path.name, version=version, known=VERSIONS[-1])
    return version, None if version in VERSIONS else newer


def _damage(connection: Connection, tables: set[str]) -> str:
    """Why not all that was kept can be found; '' where it can. A damaged page may look like an empty one: what is in
    the index of each table is held against the number of rows that SQLite has given out."""
    try:
        for table, column in (("event", "job"), ("attached", "kept")):
            if table in tables:
                found = connection.execute(text(f"select count({column}) from {table}")).scalar_one()
                given = connection.execute(text(f"select seq from sqlite_sequence where name = '{table}'")).scalar()
                if found != (given or 0):
                    return f"of {given or 0} rows in the table {table}, {found} are found"
    except DBAPIError as wrong:
        kind, reason = meaning(wrong)
        if kind != DAMAGED:
            raise
        return reason
    return ""


def _prepared(engine: Engine, path: Path, until: float) -> Problem | None:
    version, problem = look(engine, path)
    if problem is not None:
        return problem
    if version != VERSIONS[-1]:
        if not version:
            _own(engine)
        elif not (aside := path.with_name(f"{path.name}.before-{VERSIONS[-1]}")).exists():
            _set_aside(engine, aside)
        _migrate(engine)
    _write_ahead(engine, until)
    return None


def _own(engine: Engine) -> None:
    with writing(engine).begin() as connection:
        connection.exec_driver_sql(f"pragma application_id={APPLICATION_ID}")


def _set_aside(engine: Engine, aside: Path) -> None:
    """A copy of an older version before it is migrated."""
    os.close(os.open(aside, os.O_RDWR | os.O_CREAT | os.O_EXCL, 0o600))
    copy_into(engine, aside)


def copy_into(engine: Engine, target: Path) -> None:
    """SQLite's online backup into an empty file, which is then one file and synced. Raises what SQLite raises."""
    raw = engine.raw_connection()
    try:
        source = raw.driver_connection
        assert isinstance(source, sqlite3.Connection)
        with contextlib.closing(sqlite3.connect(target, isolation_level=None)) as copy:
            copy.execute("pragma synchronous=full")
            source.backup(copy)
            copy.execute("pragma journal_mode=delete")
    finally:
        raw.close()
    sync_folder(target.parent)


def _migrate(engine: Engine) -> None:
    """Alembic is loaded only where there is something to do. One transaction: a version is reached or nothing done."""
    from alembic import command  # noqa: PLC0415
    from alembic.config import Config  # noqa: PLC0415

    config = Config()
    config.set_main_option("script_location", str(MIGRATIONS).replace("%", "%%"))
    with writing(engine).begin() as connection:
        config.attributes["connection"] = connection
        command.upgrade(config, VERSIONS[-1])


def _write_ahead(engine: Engine, until: float) -> None:
    """Switching asks for the file alone, and SQLite does not wait for that."""
    with engine.connect() as connection:
        raw = connection.connection.driver_connection
        assert isinstance(raw, sqlite3.Connection)
        while True:
            try:
                raw.execute("pragma journal_mode=wal")
            except sqlite3.OperationalError as wrong:
                if wrong.sqlite_errorcode & 0xFF != sqlite3.SQLITE_BUSY or time.monotonic() >= until:
                    raise DBAPIError("pragma journal_mode=wal", None, wrong) from wrong
                time.sleep(_STEP_S)
            else:
                return
