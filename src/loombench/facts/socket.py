"""Contacts of trailer and diagnostic sockets, and what terminal numbers usually mean.

From memory or common practice: hints to check a drawing by, never a proof. A terminal number names the terminal of a
device, not the wire; 30 and 86 change places between relay layouts, and older vehicles use other numbers.
"""

from dataclasses import dataclass
from functools import cache

from loombench.facts.table import Provenance, load_table


@dataclass(frozen=True)
class SocketContact:
    """A contact of a standard socket; `terminal` and `wire` (colour word) are empty where not laid down."""

    socket: str
    contact: str
    terminal: str
    use: str
    wire: str
    provenance: Provenance


@dataclass(frozen=True)
class TerminalMeaning:
    """What a terminal number of DIN 72552 usually means."""

    terminal: str
    use: str
    provenance: Provenance


@cache
def socket_names() -> tuple[str, ...]:
    """The standards whose sockets are known, in the order of the table."""
    return tuple(dict.fromkeys(row.text("socket") for row in load_table("socket")))


@cache
def socket_contacts(name: str) -> tuple[SocketContact, ...]:
    """The contacts of a socket by its standard, spaces and case aside (`ISO1724`); empty for an unknown one."""
    wanted = name.replace(" ", "").upper()
    return tuple(
        SocketContact(
            row.text("socket"),
            row.text("contact"),
            row.text("terminal"),
            row.text("use"),
            row.text("wire"),
            row.provenance,
        )
        for row in load_table("socket")
        if row.text("socket").replace(" ", "").upper() == wanted
    )


@cache
def terminal_meanings() -> tuple[TerminalMeaning, ...]:
    """All terminal numbers of the table."""
    return tuple(
        TerminalMeaning(row.text("terminal"), row.text("use"), row.provenance) for row in load_table("terminal")
    )


def terminal_meaning(terminal: str) -> TerminalMeaning | None:
    """What a terminal number usually means, None where the table has none; letters keep their case (`33L`, `87a`)."""
    return next((entry for entry in terminal_meanings() if entry.terminal == terminal.strip()), None)
