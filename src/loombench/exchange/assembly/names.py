"""Names that the notation takes, made from the file's own; what had to be altered is kept for a table."""

import re
import unicodedata
from dataclasses import dataclass, field
from types import MappingProxyType

from loombench.vehicle.kinds import KINDS

LONGEST = 48
RESERVED = frozenset(KINDS) | {
    "loombench", "vehicle", "colours", "place", "loom", "include", "option", "if", "not", "change", "class", "at",
    "via", "in", "on", "from", "into", "to", "and", "or", "then", "engine", "bar", "cam", "process", "coil", "contact",
    "as",
}  # fmt: skip
RESERVED_IN_LINES = frozenset({"at", "class", "via", "in", "reach", "opens"})
"""What no loom or place may be called, since it would be read as another word of the line it stands in."""
_ODD_IN_NAME = re.compile(r"[^\w+-]+")
_ODD_IN_PIN = re.compile(r"[^\w+/]+")
_POLES = MappingProxyType({"+": "+", "-": "-", "plus": "+", "minus": "-"})
"""Files in which a dash alone means that nothing is said have words for the poles."""
_READ_AS_PIN = re.compile(r"\d+[a-z]?\d*|[^\d?].*", re.S)
"""What a list of pins takes for a pin and not for a number with a unit (`12V`)."""
_CUT = re.compile(r"[^\w+]+")


@dataclass(frozen=True, order=True)
class Renamed:
    """A text of the file that the notation cannot take as a name: `what` it names, as it was, as it is now."""

    what: str
    was: str
    now: str


@dataclass
class Names:
    """Gives out names, each once; local to one assembly."""

    taken: set[str] = field(default_factory=set)
    counts: dict[str, int] = field(default_factory=dict)
    renamed: list[Renamed] = field(default_factory=list)

    def give(self, text: str, what: str, prefix: str = "X") -> str:
        """A name that no other has, as near to `text` as the notation allows."""
        near = near_name(text, prefix)
        name, number = near, self.counts.get(near, 2)
        while name in self.taken:
            name, number = f"{near}-{number}", number + 1
        self.counts[near] = number
        self.taken.add(name)
        if name != text:
            self.renamed.append(Renamed(what, text, name))
        return name


def near_name(text: str, prefix: str = "X", reserved: frozenset[str] = RESERVED) -> str:
    """The nearest name of letters, digits, `-`, `_` and `+` that begins with a letter and is no word we use."""
    name = re.sub("-{2,}", "-", _ODD_IN_NAME.sub("-", unicodedata.normalize("NFC", text))).lstrip("-_+")[:LONGEST]
    name = name if text.endswith("-") else name.rstrip("-")
    if not name:
        return prefix
    return f"{prefix}{name}" if not name[0].isalpha() or name.casefold() in reserved else name


def near_pin(text: str) -> str:
    """The nearest name of a pin: one word without `-`, which parts the two pins of an element."""
    if text.casefold() in _POLES:
        return _POLES[text.casefold()]
    pin = _ODD_IN_PIN.sub("_", unicodedata.normalize("NFC", text)).strip("_")[:LONGEST]
    if not pin or pin.strip("/") == "":
        return "1"
    return pin if _READ_AS_PIN.fullmatch(pin) else f"p{pin}"


def own_pin(text: str, taken: dict[str, int]) -> str:
    """The nearest name of a pin that no other has; it is taken from then on."""
    first = pin = near_pin(text)
    number = taken.get(first, 1)
    while pin in taken:
        number += 1
        pin = near_pin(f"{first}_{number}")
    taken[first] = number
    taken.setdefault(pin, 1)
    return pin


def cavity_of_box(text: str) -> str:
    """A cavity of a box as `PLUG/CAVITY`: parted at the last mark, under plug C where there is none."""
    pieces = [piece for piece in _CUT.split(unicodedata.normalize("NFC", text)) if piece.strip("_")]
    plug = "".join(mark for mark in "".join(pieces[:-1]) if mark.isalnum())[:LONGEST]
    return f"{plug or 'C'}/{pieces[-1][:LONGEST] if pieces else '1'}"


def unique(name: str, taken: dict[str, int]) -> str:
    """The name, numbered where it is taken already; it is taken from then on. `taken` counts how often each was."""
    found, number = name, taken.get(name, 1)
    while found in taken:
        number += 1
        found = f"{name}_{number}"
    taken[name] = number
    taken.setdefault(found, 1)
    return found
