"""The store in an SQLite file: the contract, and what happens to files that are damaged, foreign, newer or barred."""

import shutil
import tempfile
from pathlib import Path

import pytest

from loombench.record.sqlite import SqliteStore, open_store
from loombench.record.store import EventStore
from tests.record.contract import StoreContract


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
