"""What a server is told when it starts."""

from dataclasses import dataclass
from pathlib import Path

from loombench.app.desk.desk import DeskPlace

LOOPBACK = "127.0.0.1"
PORT = 8137
"""Free in the registry of IANA service names and port numbers as far as we know (from memory)."""


@dataclass(frozen=True)
class Settings:
    """`host` is the address it listens on: loopback, or a named one of the workshop's network. `quick` and `deep` are
    numbers of workers."""

    folder: Path
    store: Path
    host: str = LOOPBACK
    port: int = PORT
    quick: int = 2
    deep: int = 1

    @property
    def place(self) -> DeskPlace:
        """Where the workers find vehicles and jobs."""
        return DeskPlace(self.folder, self.store)

    @property
    def addresses(self) -> frozenset[str]:
        """What may stand in a request's Host header."""
        names = {LOOPBACK, "localhost", self.host}
        return frozenset(f"{name}:{self.port}" for name in names)
