"""A copy of the whole store in one file, made while others may go on writing, and checked after it was written."""

import hashlib
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path

from sqlalchemy import func, select, text
from sqlalchemy.exc import DBAPIError

from loombench.base.outcome import Outcome
from loombench.base.problems import error
from loombench.record import database
from loombench.record.disk import new_file
from loombench.record.sqlite import SqliteStore
from loombench.record.tables import attached, content, event


@dataclass(frozen=True)
class Backup:
    """What a copy holds."""

    file: Path
    jobs: int
    events: int
    contents: int
    size: int


class _Unsound(Exception):  # noqa: N818  (it says what was found)
    pass


def back_up(store: SqliteStore, target: Path) -> Outcome[Backup | None]:
    """Copy the store into one file that must not be there yet; None where that failed, and nothing is left of it."""
    try:
        with new_file(target) as beside:
            store.backup_into(beside)
            found = checked(beside, target)
    except FileExistsError:
        return Outcome(None, (error("export-exists", file=target),))
    except (OSError, ValueError) as wrong:
        reason = getattr(wrong, "strerror", None) or type(wrong).__name__
        return Outcome(None, (error("export-unwritten", file=target, reason=reason),))
    except database.FAILED as wrong:
        return Outcome(None, (error("export-unwritten", file=target, reason=str(wrong)[:200]),))
    except _Unsound as wrong:
        return Outcome(None, (error("backup-unsound", file=target, seen=str(wrong)),))
    return Outcome(found)


def checked(file: Path, called: Path) -> Backup:
    """What is in a store that nobody writes to, every byte of it held against its checksum.

    Raises:
        _Unsound: something does not fit.
    """
    engine = database.connected(file, 0.0, "mode=ro&immutable=1")
    try:
        with closing(engine.connect()) as connection:
            said = connection.execute(text("pragma integrity_check(5)")).scalars().all()
            if said != ["ok"]:
                raise _Unsound("; ".join(str(one) for one in said)[:200])
            for number, job, line, seal in connection.execute(
                select(event.c.number, event.c.job, event.c.line, event.c.sha256)
            ):
                if hashlib.sha256(line.encode()).digest() != seal:
                    raise _Unsound(f"entry {number} of job {job}")
            sizes = 0
            for seal, data in connection.execute(select(content.c.sha256, content.c.data)):
                sizes += 1
                if hashlib.sha256(data).digest() != seal:
                    raise _Unsound(f"a content, {seal.hex()[:12]}")
            lost = select(attached.c.name).where(attached.c.sha256.not_in(select(content.c.sha256)))
            if name := connection.execute(lost).scalar():
                raise _Unsound(f"no content of {name}")
            counts = select(func.count(event.c.job.distinct()), func.count())
            jobs, events = connection.execute(counts.select_from(event)).one()
    except DBAPIError as wrong:
        raise _Unsound(database.meaning(wrong)[1]) from wrong
    finally:
        engine.dispose()
    return Backup(called, jobs, events, sizes, file.stat().st_size)
