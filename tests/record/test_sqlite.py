"""The store in an SQLite file: the contract, and what happens to files that are damaged, foreign, newer or barred."""

import hashlib
import random
import resource
import shutil
import sqlite3
import subprocess
import sys
import tempfile
from contextlib import closing
from pathlib import Path
from unittest.mock import patch

import pytest
from alembic.autogenerate import compare_metadata
from alembic.config import Config
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory

from loombench.base.outcome import Outcome
from loombench.evidence.codec import encode_line
from loombench.evidence.envelope import envelope
from loombench.evidence.events import Note
from loombench.record import database, tables
from loombench.record.attachment import attach_as
from loombench.record.gathering import Gathering
from loombench.record.place import usual_place
from loombench.record.sqlite import SqliteStore, open_store
from loombench.record.store import EventStore, NotKept
from tests.record.contract import StoreContract, refusal
from tests.record.samples import CASE, event
from tests.record.storeexamples import alter, no_growth


def opened(path: Path, wait_s: float = 5.0) -> SqliteStore:
    """The store of a file that has nothing wrong."""
    outcome = open_store(path, wait_s)
    assert outcome.problems == ()
    assert outcome.value is not None
    return outcome.value


@pytest.fixture(scope="module")
def empty(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """An empty store, to be copied: making one costs a migration."""
    path = tmp_path_factory.mktemp("empty") / "made" / "on demand 100%" / "jobs.sqlite"
    opened(path).close()
    return path


class TestSqliteStore(StoreContract):
    @pytest.fixture(autouse=True)
    def _folder(self, tmp_path: Path, empty: Path) -> None:
        self.root, self.empty = tmp_path, empty

    def store(self) -> EventStore:
        folder = Path(tempfile.mkdtemp(dir=self.root))
        shutil.copy(self.empty, folder)
        return opened(folder / self.empty.name)

    def again(self, store: EventStore) -> EventStore:
        assert isinstance(store, SqliteStore)
        store.close()
        return opened(store.file)


def codes(outcome: Outcome[object]) -> list[str]:
    return [problem.code for problem in outcome.problems]


def filled(folder: Path, empty: Path, count: int) -> Path:
    """A store with so many events and a plan, closed."""
    path = Path(shutil.copy(empty, folder))
    store = opened(path)
    for number in range(1, count + 1):
        store.append(event(number))
    store.attach(CASE, PLAN, b"the plan" * 1000)
    store.close()
    return path


PLAN = attach_as("file", "plan.txt", "text/plain", b"the plan" * 1000)


def test_the_file_and_its_folder_are_for_the_user_alone(empty: Path) -> None:
    assert (empty.stat().st_mode & 0o777, empty.parent.stat().st_mode & 0o777) == (0o600, 0o700)


def test_every_connection_syncs_fully_and_writes_ahead(tmp_path: Path, empty: Path) -> None:
    path = filled(tmp_path, empty, 1)
    engine = database.prepare(path, 0.0).value
    assert engine is not None
    with engine.connect() as one, engine.connect() as other:
        for connection in (one, other):
            said = [connection.exec_driver_sql(f"pragma {name}").scalar() for name in ("synchronous", "journal_mode")]
            assert said == [2, "wal"]
    engine.dispose()


def test_the_tables_are_what_the_migrations_make(empty: Path) -> None:
    engine = database.connected(empty, 0.0, "mode=ro")
    with engine.connect() as connection:
        assert compare_metadata(MigrationContext.configure(connection), tables.metadata) == []
    engine.dispose()
    config = Config()
    config.set_main_option("script_location", str(database.MIGRATIONS))
    known = [script.revision for script in ScriptDirectory.from_config(config).walk_revisions()]
    assert tuple(reversed(known)) == tables.VERSIONS


def test_an_older_version_is_set_aside_and_brought_up_with_all_its_events(tmp_path: Path) -> None:
    path = tmp_path / "jobs.sqlite"
    with patch("loombench.record.database.VERSIONS", tables.VERSIONS[:1]):
        store = opened(path)
        store.append(event(1))
        store.close()
    store = opened(path)
    store.append(event(2))
    store.attach(CASE, PLAN, b"the plan" * 1000)
    assert store.read(CASE).value == (event(1), event(2))
    store.close()
    with patch("loombench.record.database.VERSIONS", tables.VERSIONS[:1]):
        old = opened(tmp_path / f"jobs.sqlite.before-{tables.VERSIONS[-1]}")
        assert old.read(CASE).value == (event(1),)
        old.close()
        newer = open_store(path)
        assert codes(newer) == ["store-newer"]
        assert newer.value is not None
        assert newer.value.read(CASE).value == (event(1), event(2))
        assert refusal(newer.value, event(3)) == "store-newer"
        newer.value.close()
    assert opened(path).read(CASE).value == (event(1), event(2))


def test_a_row_is_neither_changed_nor_deleted(tmp_path: Path, empty: Path) -> None:
    path = filled(tmp_path, empty, 1)
    store = opened(path)
    assert store.append_all((event(2),), "an entry")
    store.close()
    with closing(sqlite3.connect(path)) as connection:
        for table, column in (("event", "line"), ("content", "data"), ("attached", "name"), ("entry", "number")):
            for statement in (f"update {table} set {column} = 'x'", f"delete from {table}"):
                with pytest.raises(sqlite3.IntegrityError):
                    connection.execute(statement)


def test_what_belongs_together_is_kept_whole_or_not_at_all(tmp_path: Path, empty: Path) -> None:
    store = opened(filled(tmp_path, empty, 1))
    with pytest.raises(NotKept) as refused:
        store.append_all((event(2), event(4)))
    assert refused.value.problem.code == "record-next"
    assert store.read(CASE).value == (event(1),)
    with pytest.raises(ValueError, match="together"):
        store.append_all((event(2), event(1, "other")))
    with pytest.raises(ValueError, match="together"):
        store.append_all(())
    assert store.append_all((event(2), event(3)))
    assert [one.number for one in store.read(CASE).value] == [1, 2, 3]
    store.close()


def test_an_entry_that_is_sent_again_is_kept_once_and_that_lasts(tmp_path: Path, empty: Path) -> None:
    path = filled(tmp_path, empty, 1)
    store = opened(path)
    assert store.append_all((event(2), event(3)), "a1")
    store.close()
    store = opened(path)
    for again in ((event(2), event(3)), (event(4),)):
        assert not store.append_all(again, "a1")
    assert store.append_all((event(4),), "a2")
    assert store.append_all((event(1, "other"),), "a1")
    assert [one.number for one in store.read(CASE).value] == [1, 2, 3, 4]
    store.close()


def test_what_is_gathered_is_kept_together_and_under_its_name(tmp_path: Path, empty: Path) -> None:
    store = opened(filled(tmp_path, empty, 1))
    gathering = Gathering(store)
    for number in (2, 3):
        assert gathering.next_number(CASE) == number
        gathering.append(event(number))
    assert gathering.read(CASE).value == (event(1),)
    assert gathering.cases() == (CASE,)
    assert gathering.keep("a1")
    assert gathering.keep("nothing left")
    gathering.append(event(2))
    assert not gathering.keep("a1")
    assert [one.number for one in store.read(CASE).value] == [1, 2, 3]
    store.close()


def test_a_content_is_kept_once_for_all_jobs(tmp_path: Path, empty: Path) -> None:
    path = filled(tmp_path, empty, 1)
    store = opened(path)
    again = attach_as("photo", "bay/plan.jpg", "image/jpeg", b"the plan" * 1000)
    store.attach(CASE, PLAN, b"the plan" * 1000)
    store.attach("other", again, b"the plan" * 1000)
    assert store.attached(CASE).value == (PLAN,)
    assert store.attached("other").value == (again,)
    assert store.content(again).value == b"the plan" * 1000
    with pytest.raises(ValueError, match="hash"):
        store.attach(CASE, PLAN, b"another plan")
    store.close()
    with closing(sqlite3.connect(path)) as connection:
        assert connection.execute("select count(*) from content").fetchone() == (1,)


@pytest.mark.parametrize(
    "name", ["", "..", "../x", "/x", "a/../b", "a//b", "C:x", "a\\b", "nul", "con.txt", "x.", " x", "a\nb", "\u202ex",
             "x" * 181, "\ud800"],
)  # fmt: skip
def test_a_name_that_could_do_harm_is_refused(tmp_path: Path, empty: Path, name: str) -> None:
    store = opened(Path(shutil.copy(empty, tmp_path)))
    with pytest.raises(NotKept) as caught:
        store.attach(CASE, attach_as("photo", name, "image/png", b"x"), b"x")
    assert caught.value.problem.code == "attachment-name"
    assert store.attached(CASE).value == ()


def test_damage_is_said_and_what_is_read_is_true(tmp_path: Path, empty: Path) -> None:
    """Bytes at drawn places are overwritten, or the end is gone: an event that is read is one that was kept."""
    path = filled(tmp_path, empty, 120)
    whole, draw = path.read_bytes(), random.Random(5)
    true = {number: event(number) for number in range(1, 121)}
    damages = [(draw.randrange(len(whole)), draw.randbytes(draw.choice([1, 60, 4096]))) for _ in range(40)]
    said: set[str] = set()
    for at, noise in [*damages, *((size, b"") for size in (1, 50, 100, 4096, 9000, len(whole) - 4096))]:
        data = whole[:at] + (noise + whole[at + len(noise) :] if noise else b"")
        for left in tmp_path.glob("jobs.sqlite-*"):
            left.unlink()
        path.write_bytes(data[: len(whole)])
        found = open_store(path, 0.0)
        read = found.value.read(CASE) if found.value is not None else Outcome(())
        content = found.value.content(PLAN) if found.value is not None else Outcome(None)
        assert all(true[one.number] == one for one in read.value)
        assert len(read.value) == 120 or found.problems or read.problems
        assert content.value in (None, b"the plan" * 1000)
        said.update(codes(found), codes(read))
        if found.value is not None:
            found.value.close()
    assert {"store-damaged", "store-entry"} <= said


def test_a_foreign_file_is_left_alone(tmp_path: Path) -> None:
    foreign, text = tmp_path / "songs.sqlite", tmp_path / "notes.txt"
    with closing(sqlite3.connect(foreign)) as connection, connection:
        connection.execute("create table songs (title)")
    text.write_text("not a data base, but long enough to have a head " * 100)
    for path, code in ((foreign, "store-foreign"), (text, "store-damaged"), (tmp_path, "store-unreadable")):
        before = path.read_bytes() if path.is_file() else b""
        found = open_store(path, 0.0)
        assert found.value is None
        assert codes(found) == [code]
        assert (path.read_bytes() if path.is_file() else b"") == before
    assert sorted(path.name for path in tmp_path.iterdir()) == ["notes.txt", "songs.sqlite"]


@pytest.mark.parametrize("full", ["pages", "bytes"])
def test_a_full_disk_is_said_and_costs_nothing_kept(tmp_path: Path, empty: Path, full: str) -> None:
    path = filled(tmp_path, empty, 3)
    pragmas = (*database.PRAGMAS, *(("max_page_count=20",) if full == "pages" else ()))
    with patch("loombench.record.database.PRAGMAS", pragmas):
        store = opened(path)
        with no_growth(100_000 if full == "bytes" else resource.RLIM_INFINITY):
            number, code = 4, ""
            while not code:
                try:
                    store.append(event(number, payload=Note(f"{number} " * 500)))
                    number += 1
                except NotKept as refused:
                    code = refused.problem.code
            assert refusal(store, event(number, payload=Note("x" * 9000))) == code
            assert [one.number for one in store.read(CASE).value] == list(range(1, number))
        if full == "bytes":
            store.append(event(number))
            number += 1
        store.close()
    assert code == {"pages": "record-full", "bytes": "record-unwritable"}[full]
    store = opened(path)
    store.append(event(number))
    assert [one.number for one in store.read(CASE).value] == list(range(1, number + 1))


def test_who_holds_the_store_is_waited_for_and_then_said(tmp_path: Path, empty: Path) -> None:
    path = filled(tmp_path, empty, 1)
    store = opened(path, 0.05)
    with closing(sqlite3.connect(path, isolation_level=None)) as holder:
        holder.execute("begin immediate")
        assert refusal(store, event(2)) == "record-busy"
        assert store.read(CASE).value == (event(1),)
    store.append(event(2))
    assert store.read(CASE).value == (event(1), event(2))


def test_a_job_with_an_event_of_a_newer_format_is_read_and_not_added_to(tmp_path: Path, empty: Path) -> None:
    path = filled(tmp_path, empty, 2)
    line = encode_line(event(2)).replace('"format":1', '"format":2')
    seal = hashlib.sha256(line.encode()).hexdigest()
    alter(path, f"update event set format = 2, line = '{line}', sha256 = x'{seal}' where number = 2")
    store = opened(path)
    assert store.read(CASE).value == (event(1),)
    assert codes(store.read(CASE)) == ["event-format"]
    assert refusal(store, event(3)) == "record-newer"
    store.append(event(1, "other"))


def test_the_job_added_to_last_is_known_whatever_the_clock_says(tmp_path: Path, empty: Path) -> None:
    store = opened(Path(shutil.copy(empty, tmp_path)))
    for number, case, year in ((1, "a", 2026), (1, "b", 2020), (1, "c", 2030), (2, "a", 2001)):
        store.append(envelope(number, f"{year}-01-01T00:00:00Z", case, "", Note("")))
    assert store.latest() == ("a", "c", "b")


def test_where_the_store_lies() -> None:
    home = Path("anna")
    places = {
        usual_place("linux", {}, home): "anna/.local/share/loombench/jobs.sqlite",
        usual_place("linux", {"XDG_DATA_HOME": "/data"}, home): "/data/loombench/jobs.sqlite",
        usual_place("linux", {"XDG_DATA_HOME": "relative"}, home): "anna/.local/share/loombench/jobs.sqlite",
        usual_place("darwin", {}, home): "anna/Library/Application Support/loombench/jobs.sqlite",
        usual_place("win32", {"LOCALAPPDATA": "local"}, home): "local/loombench/jobs.sqlite",
        usual_place("win32", {}, home): "anna/AppData/Local/loombench/jobs.sqlite",
    }
    assert {path.as_posix(): said for path, said in places.items()} == {said: said for said in places.values()}


def test_the_help_loads_no_data_base() -> None:
    asked = "import sys, loombench.shell.cli; print([one for one in ('sqlalchemy', 'alembic') if one in sys.modules])"
    done = subprocess.run([sys.executable, "-c", asked], check=True, capture_output=True, text=True)
    assert done.stdout == "[]\n"
