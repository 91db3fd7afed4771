"""Colours as harness data writes them, and which colour system a file means.

The letters of a colour say nothing without their system (`facts.colour`), and a file seldom names it. So each system is
tried on all colours of a file: it is taken only where no other reading of the file is possible. Two systems that say
the same of every colour met are one reading; then the first in the order of `facts.colour.SYSTEMS` is named. Otherwise
somebody has to be asked, with what each system would make of the file.

Whole words (`rot`, `blue`) mean the same in every system; they are in `colour_word.csv` (common practice).
"""

import re
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache, lru_cache
from types import MappingProxyType

from loombench.exchange.harness import ColourText
from loombench.facts.colour import (
    LONGEST_TEXT,
    MOST_COLOURS,
    SYSTEMS,
    ColourReading,
    ColourState,
    WireColour,
    colour_system,
    read_colour,
)
from loombench.facts.table import load_table

WORDS = "words"
"""The system of a file whose colours are all whole words."""

_NONE = frozenset({"", "/null", "null", "-", "--", "?", "none", "nd", "n/a", "na.", "n.a."})
_CODES = MappingProxyType(
    {"gb": "British", "uk": "British", "jp": "Japanese", "jis": "Japanese",
     "us": "North American", "usa": "North American", "sae": "North American", "fr": "French", "it": "Italian",
     "se": "Swedish", "de": "DIN", "iec": "IEC", "din": "DIN", "60757": "IEC", "bsau": "British", "words": WORDS}
)  # fmt: skip
# A size written in front of the colour or behind it: `0,5 rt/ge`, `1.25R`, `W/G 20`.
_SIZE_BEFORE = re.compile(r"^\d+(?:[.,]\d+)?\s*(?:mm2|mm²|mm\^2|qmm|awg|ga)?[\s-]*(?=[A-Za-z])", re.IGNORECASE)
_SIZE_BEHIND = re.compile(r"(?<=[A-Za-z])\s+\d+(?:[.,]\d+)?\s*(?:mm2|mm²|mm\^2|qmm|awg|ga)?$", re.IGNORECASE)
_REMARK = re.compile(r"\s*\([^()]*\)\s*$")
_STROKES = re.compile(r"\s*[/\\,;+_|‐‑‒–—−-]+\s*")
_LIGHT_DARK = re.compile(r"^(?:lt|dk)[ .]", re.IGNORECASE)


@dataclass(frozen=True)
class SystemChoice:
    """Which system a file's colours are in.

    Attributes:
        system: its name in `SYSTEMS`, `WORDS`, or an empty text where it has to be asked.
        candidates: the systems that can read every colour, in the order of `SYSTEMS`.
        failing: for each other system the colours it cannot read, in the file's order.
        differing: colours that the candidates read differently, with what each makes of it, in their order.
    """

    system: str
    candidates: tuple[str, ...] = ()
    failing: tuple[tuple[str, tuple[str, ...]], ...] = ()
    differing: tuple[tuple[str, tuple[tuple[str, str], ...]], ...] = ()


@cache
def _words() -> MappingProxyType[str, str]:
    return MappingProxyType({_folded(row.text("word")): row.text("colour") for row in load_table("colour_word")})


def _folded(text: str) -> str:
    return " ".join(text.casefold().split())


def system_named(text: str) -> str:
    """The system that a text names (`IEC60757`, `DIN 72551-7`, `US`), or an empty text."""
    key = re.sub(r"[^a-z0-9]", "", text.casefold())
    norm = re.match(r"iec|din|bsau", key)
    return _CODES.get(key) or colour_system(key) or (_CODES.get(norm[0], "") if norm else "")


@lru_cache(maxsize=4096)
def colour_parts(text: str) -> tuple[str, ...]:
    """A cell's colour as its parts: main colour, then stripes; nothing where the cell says that there is none.

    A size beside the colour and a remark in brackets are left off. Letters without a stroke between (`RDYE`) stay one
    part until the system is known (`in_system`).
    """
    word = _REMARK.sub("", text.strip()[: 2 * LONGEST_TEXT])
    if word.casefold() in _NONE or word == "":
        return ()
    word = _SIZE_BEHIND.sub("", _SIZE_BEFORE.sub("", word))
    parts = tuple(part for part in _STROKES.split(word) if part)
    if len(parts) == 1 and " " in parts[0] and _folded(parts[0]) not in _words() and not _LIGHT_DARK.match(parts[0]):
        parts = tuple(parts[0].split())
    return parts


@lru_cache(maxsize=8192)
def read_parts(system: str, parts: tuple[str, ...]) -> ColourReading:
    """What the parts of a colour say in a system, words counting in each; `facts.colour.read_colour` for the rest."""
    text = "/".join(parts)
    colours = [_words().get(_folded(part)) for part in parts]
    if not any(colours) or len(parts) > MOST_COLOURS:
        return read_colour(system, text)
    name = system_named(system) or system
    found: list[str] = []
    for part, colour in zip(parts, colours, strict=True):
        said = read_colour(system, part)
        if colour is None and (said.colour is None or said.colour.stripes):
            return ColourReading(text, name, ColourState.UNKNOWN, unknown=(part,))
        found.append(colour or (said.colour.main if said.colour else ""))
    return ColourReading(text, name, ColourState.CERTAIN, (WireColour(found[0], tuple(found[1:])),))


def in_system(parts: tuple[str, ...], system: str) -> ColourText:
    """The colour in a system, joined letters parted where they can be parted in one way only."""
    if len(parts) == 1 and system in SYSTEMS:
        said = read_parts(system, parts)
        if said.colour is not None and said.colour.stripes:
            return ColourText(_parted(parts[0], system, said.colour) or parts, system)
    return ColourText(parts, system if parts else "")


@lru_cache(maxsize=4096)
def _parted(word: str, system: str, wanted: WireColour) -> tuple[str, ...]:
    if not wanted.stripes:
        return (word,) if read_colour(system, word).colour == wanted else ()
    for end in range(1, len(word)):
        if read_colour(system, word[:end]).colour == WireColour(wanted.main):
            rest = _parted(word[end:], system, WireColour(wanted.stripes[0], wanted.stripes[1:]))
            if rest:
                return (word[:end], *rest)
    return ()


def meaning(colour: ColourText) -> WireColour | None:
    """The colours a text stands for; None where its system is not known, or where it is not certain."""
    if not colour.parts:
        return None
    return read_parts(colour.system or WORDS, colour.parts).colour


def choose_system(colours: Iterable[tuple[str, ...]]) -> SystemChoice:
    """The one system that all colours of a file, as `colour_parts` gives them, can be in."""
    met = tuple(dict.fromkeys(parts for parts in colours if parts))
    if not met:
        return SystemChoice("")
    if all(read_parts(WORDS, parts).state is ColourState.CERTAIN for parts in met):
        return SystemChoice(WORDS, (WORDS,))
    candidates: list[str] = []
    failing: list[tuple[str, tuple[str, ...]]] = []
    for system in SYSTEMS:
        bad = tuple("/".join(parts) for parts in met if not read_parts(system, parts).candidates)
        if bad:
            failing.append((system, bad))
        else:
            candidates.append(system)
    differing = tuple(_differing(met, candidates)) if len(candidates) > 1 else ()
    system = candidates[0] if candidates and not differing else ""
    return SystemChoice(system, tuple(candidates), tuple(failing), differing)


def _differing(
    met: tuple[tuple[str, ...], ...], candidates: list[str]
) -> Iterable[tuple[str, tuple[tuple[str, str], ...]]]:
    for parts in met:
        said = tuple((system, spoken(read_parts(system, parts))) for system in candidates)
        if len({words for _, words in said}) > 1:
            yield "/".join(parts), said


def spoken(reading: ColourReading) -> str:
    """The candidates of a reading in words (`brown or black / red`), empty where there is none."""
    return " or ".join(str(colour) for colour in reading.candidates)
