"""Where the ends of a list's wires go: joined columns parted, holders told apart by name, terminal and use.

A joined text (`X12-3`, `X12:3`, `X12/3`, `X12.3`, `X12(3)`) is parted at its last separator; names have separators too,
so where there is a list of connectors it decides.
"""

import re
from collections.abc import Collection
from dataclasses import dataclass, field

from loombench.base.problems import Span
from loombench.exchange.harness import CONNECTOR, RING, SPLICE
from loombench.exchange.wirelist import words

UNKNOWN = "?"
_BRACKETED = re.compile(r"(.+?)\s*[(\[]\s*([^()\[\]]+?)\s*[)\]]")
_SEPARATORS = re.compile(r"\s*[-:/.,;|]\s*|\s+")
_S_NUMBER = re.compile(r"S[-_ ]?\d{1,4}[A-Z]?", re.IGNORECASE)
_STEM = re.compile(r"(.*\d)[A-Za-z]{1,2}")


@dataclass(frozen=True)
class Parted:
    """A joined text as holder and cavity; `sure` where nothing had to be assumed."""

    holder: str
    cavity: str
    sure: bool = True


def part(text: str, known: Collection[str]) -> Parted:
    """A joined text parted, confirmed by the names of connectors that are known, if any are."""
    if text in known or words.place_word(text)[0]:
        return Parted(text, "")
    bracketed = _BRACKETED.fullmatch(text)
    if bracketed:
        return Parted(bracketed[1], bracketed[2], not known or bracketed[1] in known)
    cuts = [
        (found.start(), found.end())
        for found in _SEPARATORS.finditer(text)
        if found.start() and found.end() < len(text)
    ]
    for start, end in reversed(cuts):
        if text[:start] in known:
            return Parted(text[:start], text[end:])
    if not cuts:
        return Parted(text, "", not known)
    start, end = cuts[-1]
    return Parted(text[:start], text[end:], len(cuts) == 1 and not known)


def stem(number: str) -> str:
    """The number of a circuit without the letter of its branch: `12` of `12A`."""
    found = _STEM.fullmatch(number)
    return found[1] if found else number


@dataclass
class Place:
    """A holder while the rows are read: what its ends say of it."""

    name: str
    span: Span
    listed: str = ""
    cavities: dict[str, None] = field(default_factory=dict)
    ends: int = 0
    terminals: dict[str, None] = field(default_factory=dict)
    looms: dict[str, None] = field(default_factory=dict)

    def kind(self) -> str:
        """Connector, splice or ring, by the companion lists, its name, its terminals and how it is used."""
        if self.listed:
            return self.listed
        word = words.place_word(self.name)[0]
        if word:
            return SPLICE if word == words.SPLICE else RING
        if self.terminals:
            if all(words.speaks_of(one, words.SPLICE) for one in self.terminals):
                return SPLICE
            if all(words.speaks_of(one, words.RING) for one in self.terminals):
                return RING
        one_cavity = set(self.cavities) <= {"1"}
        if _S_NUMBER.fullmatch(self.name) and one_cavity and self.ends > 1:
            return SPLICE
        return CONNECTOR
