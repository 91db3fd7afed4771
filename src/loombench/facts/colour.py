"""Wire colours by letters, which mean something only within a named system.

`B` is black on a Japanese diagram, white on an Italian one and blue or white on a French one. So a text is read with
its system, all readings the system allows are given, and the clashes with other systems are named. Base colour first,
then stripes. (IEC 60757 itself orders a pair by its table and says nothing about base and stripe; on a vehicle diagram
the first is the base.) Letters: `colour.csv`, in part from memory or common practice.
"""

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from enum import StrEnum
from functools import cache
from types import MappingProxyType

from loombench.facts.table import Provenance, load_table

SYSTEMS = ("IEC", "DIN", "British", "Japanese", "North American", "French", "Italian", "Swedish")
LONGEST_TEXT = 40
MOST_COLOURS = 3

_NAMES = MappingProxyType(
    {"iec": "IEC", "iec60757": "IEC", "din": "DIN", "german": "DIN", "british": "British", "bs": "British",
     "japanese": "Japanese", "northamerican": "North American", "american": "North American", "french": "French",
     "italian": "Italian", "swedish": "Swedish"}
)  # fmt: skip
# On North American and French diagrams a pair always has a stroke between; their letters run from one to five.
_JOINED = frozenset({"IEC", "DIN", "British", "Japanese", "Italian", "Swedish"})
_SEPARATORS = re.compile(r"[\s/\\.,+_‐‑‒–—−-]+")
_LIGHT_DARK = re.compile(r"\b(LT|DK)[ .]+(?=[A-Za-z])", re.IGNORECASE)
_CAPITALISED = re.compile(r"(?:[A-Z][a-z]*)+")


class ColourState(StrEnum):
    """How a text was understood."""

    CERTAIN = "certain"
    AMBIGUOUS = "ambiguous"
    UNKNOWN = "unknown"
    NO_SYSTEM = "no such system"


@dataclass(frozen=True)
class WireColour:
    """Base colour and stripes, as English colour words of the table."""

    main: str
    stripes: tuple[str, ...] = ()

    def __str__(self) -> str:
        return " / ".join((self.main, *self.stripes))


@dataclass(frozen=True)
class Elsewhere:
    """The same letters in another system, where they mean another colour."""

    letters: str
    system: str
    colour: str


@dataclass(frozen=True)
class ColourReading:
    """What a colour text says in a system: one candidate, several, or none.

    `unknown` are the parts of the text that are no letters of the system; `elsewhere` are the clashes of its letters
    with other systems, worth a word where the file names no system.
    """

    text: str
    system: str
    state: ColourState
    candidates: tuple[WireColour, ...] = ()
    unknown: tuple[str, ...] = ()
    elsewhere: tuple[Elsewhere, ...] = ()

    @property
    def colour(self) -> WireColour | None:
        """The colour where it is certain, else None."""
        return self.candidates[0] if self.state is ColourState.CERTAIN else None


@dataclass(frozen=True)
class ColourLetters:
    """Letters of a system for a colour; `written` marks those that `write_colour` uses."""

    system: str
    letters: str
    colour: str
    written: bool
    provenance: Provenance


@cache
def colour_letters() -> tuple[ColourLetters, ...]:
    """All letters of all systems."""
    return tuple(
        ColourLetters(
            row.text("system"),
            row.text("letters"),
            row.text("colour"),
            row.text("written") == "yes",
            row.provenance,
        )
        for row in load_table("colour")
    )


def colour_system(text: str) -> str | None:
    """The name in `SYSTEMS` of the system a text names (`iec`, `German`, `north american`), None if there is none."""
    return _NAMES.get(re.sub(r"[^a-z0-9]", "", text.lower()))


@cache
def _meanings(system: str) -> MappingProxyType[str, tuple[str, ...]]:
    found: dict[str, tuple[str, ...]] = {}
    for entry in colour_letters():
        if entry.system == system:
            key = entry.letters.upper()
            found[key] = (*found.get(key, ()), entry.colour)
    return MappingProxyType(found)


def read_colour(system: str, text: str) -> ColourReading:
    """All meanings of a colour text in a system; never raises, never guesses.

    Parts are separated by a stroke, dash, dot, comma, plus or space: `GY/RD`, `GY-RD`, `gy rd`. Without a separator
    the text is one colour or, where the system allows it, joined letters (`GYRD`, `brge`); both readings are given if
    both are possible (Japanese `BR`: brown, or black with red). Mixed case parts them: `Br` is brown only, `BR` is
    not sure. A joined text never repeats a colour. At most three colours.
    """
    name = colour_system(system)
    if name is None:
        return ColourReading(text, system, ColourState.NO_SYSTEM, unknown=(text[:LONGEST_TEXT],))
    word = _LIGHT_DARK.sub(r"\1", text.strip())
    parts = tuple(part for part in _SEPARATORS.split(word[: LONGEST_TEXT + 1]) if part)
    if not parts or len(word) > LONGEST_TEXT or len(parts) > MOST_COLOURS:
        return ColourReading(text, name, ColourState.UNKNOWN, unknown=(word[:LONGEST_TEXT],))
    meanings = _meanings(name)
    if len(parts) == 1:
        splits = tuple(_joined(parts[0], meanings, name in _JOINED))
    else:
        splits = (parts,) if all(part.upper() in meanings for part in parts) else ()
    if not splits:
        bad = tuple(part for part in parts if part.upper() not in meanings)
        return ColourReading(text, name, ColourState.UNKNOWN, unknown=bad)
    found = tuple(dict.fromkeys(colour for split in splits for colour in _colours(split, meanings)))
    state = ColourState.CERTAIN if len(found) == 1 else ColourState.AMBIGUOUS
    used = tuple(dict.fromkeys(part.upper() for split in splits for part in split))
    return ColourReading(text, name, state, found, elsewhere=_clashes(name, used))


def _joined(word: str, meanings: MappingProxyType[str, tuple[str, ...]], allowed: bool) -> Iterator[tuple[str, ...]]:
    """The ways to part a word without separators into letters of the system, the whole word first."""
    if word.upper() in meanings:
        yield (word,)
    if not allowed:
        return
    splits: Iterable[tuple[str, ...]] = _splits(word.upper(), meanings, MOST_COLOURS)
    if _CAPITALISED.fullmatch(word) and any(letter.islower() for letter in word):
        pieces = tuple(piece.upper() for piece in re.findall(r"[A-Z][a-z]*", word))
        splits = (pieces,) if len(pieces) <= MOST_COLOURS and all(piece in meanings for piece in pieces) else ()
    for split in splits:
        colours = [meanings[piece][0] for piece in split]
        if len(split) > 1 and len(set(colours)) == len(colours):
            yield split


def _splits(word: str, meanings: MappingProxyType[str, tuple[str, ...]], most: int) -> Iterator[tuple[str, ...]]:
    if not word:
        yield ()
    elif most > 0:
        for end in range(1, len(word) + 1):
            if word[:end] in meanings:
                for rest in _splits(word[end:], meanings, most - 1):
                    yield (word[:end], *rest)


def _colours(split: Sequence[str], meanings: MappingProxyType[str, tuple[str, ...]]) -> Iterator[WireColour]:
    ways: list[tuple[str, ...]] = [()]
    for piece in split:
        ways = [(*way, colour) for way in ways for colour in meanings[piece.upper()]]
    for way in ways:
        yield WireColour(way[0], way[1:])


def _clashes(system: str, used: Sequence[str]) -> tuple[Elsewhere, ...]:
    own = _meanings(system)
    return tuple(
        Elsewhere(letters, other, colour)
        for letters in used
        for other in SYSTEMS
        if other != system
        for colour in _meanings(other).get(letters, ())
        if colour not in own[letters]
    )


@cache
def _written(system: str | None) -> MappingProxyType[str, str]:
    found = {entry.colour: entry.letters for entry in colour_letters() if entry.system == system and entry.written}
    return MappingProxyType(found)


def write_colour(system: str, main: str, stripes: Sequence[str] = ()) -> str | None:
    """The letters of a colour in a system, strokes between: `GY/RD`.

    None where the system is unknown or has no letters for one of the colours.
    """
    letters = _written(colour_system(system))
    words = [letters.get(colour) for colour in (main, *stripes)]
    found = [word for word in words if word is not None]
    return "/".join(found) if len(found) == len(words) else None
