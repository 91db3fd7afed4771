"""What a server is told when it starts."""

import ipaddress
from dataclasses import dataclass
from pathlib import Path

from loombench.app.desk.desk import DeskPlace
from loombench.base.problems import Problem, error

LOOPBACK = "127.0.0.1"
PORT = 8137
"""Free in the registry of IANA service names and port numbers as far as we know (from memory)."""


@dataclass(frozen=True)
class Settings:
    """It listens on loopback, and on `lan`, a named address of this machine in the workshop's network, if there is
    one. `quick` and `deep` are numbers of workers."""

    folder: Path
    store: Path
    host: str = LOOPBACK
    port: int = PORT
    quick: int = 2
    deep: int = 1
    lan: str = ""

    @property
    def place(self) -> DeskPlace:
        """Where the workers find vehicles and jobs."""
        return DeskPlace(self.folder, self.store)

    def is_local(self, received_on: str) -> bool:
        """Whether what was received on an address of this machine can only have come from this machine."""
        return received_on == self.host

    def hosts(self, local: bool) -> frozenset[str]:
        """What may stand in the Host header of a request."""
        names = {self.host, "localhost"} if local else {bracketed(self.lan)}
        return frozenset(f"{name}:{self.port}" if self.port != 80 else name for name in names)

    def address(self, local: bool = True) -> str:
        """What opens the first screen in a browser, on this machine or elsewhere in the network."""
        return f"http://{self.host if local else bracketed(self.lan)}:{self.port}/"


def bracketed(address: str) -> str:
    """An address as it stands in a URL."""
    return f"[{address}]" if ":" in address else address


def lan_problem(address: str) -> Problem | None:
    """Why an address is not one to serve a workshop's network on: it has to be one, numeric, and not reached from the
    internet."""
    try:
        read = ipaddress.ip_address(address)
    except ValueError:
        return error("serve-lan", address=address[:60])
    usable = read.is_private and not (read.is_unspecified or read.is_multicast or str(read) in {LOOPBACK, "::1"})
    return None if usable else error("serve-lan", address=address[:60])
