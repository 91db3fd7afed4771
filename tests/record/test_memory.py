"""The store in memory keeps the contract."""

from loombench.record.memory import MemoryStore
from tests.record.contract import StoreContract


class TestMemoryStore(StoreContract):
    def store(self) -> MemoryStore:
        return MemoryStore()
