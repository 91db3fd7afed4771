"""What words and signal names of harness data hint at: kinds of devices, grounds, battery posts, relay terminals.

Hints are for proposals alone: names in harness data may be shifted or made unreadable on purpose.
"""

import re
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache, lru_cache

from loombench.facts.table import load_table

GROUND, PLUS, MINUS = "ground", "battery-plus", "battery-minus"
KIND_ORDER = (
    "relay", "module", "switch", "sensor", "alternator", "motor", "solenoid", "horn", "heater", "lamp",
    MINUS, PLUS, GROUND,
)  # fmt: skip
"""Which hint wins where several are found: what a thing is for comes first in `lamp switch` and in `Lampenrelais`."""
LOADS = ("motor", "solenoid", "horn", "heater", "lamp")
_FIELDS = re.compile(r"[\s._/:;,()\[\]-]+")
_CLAMP = re.compile(r"(?:kl|klemme|term|t)(?=\d)", re.IGNORECASE)
_LONGEST = 400


@dataclass(frozen=True)
class Hint:
    """A meaning of the table and the word of the file that hints at it."""

    meaning: str
    word: str


@cache
def _words() -> tuple[tuple[str, bool, str], ...]:
    rows = load_table("harness_word")
    return tuple((row.text("word").casefold(), row.text("match") == "word", row.text("meaning")) for row in rows)


@cache
def _finder() -> re.Pattern[str]:
    """All words at once, so that a text is gone through a single time to see whether there is any."""
    return re.compile("|".join(re.escape(word) for word, _, _ in sorted(_words(), key=lambda row: -len(row[0]))))


@lru_cache(maxsize=16384)
def hint(text: str) -> Hint | None:
    """What a text hints at, None if nothing; of several meanings the first of `KIND_ORDER`, by its longest word."""
    folded = " ".join(text[:_LONGEST].casefold().split())
    if not folded or not _finder().search(folded):
        return None
    found: dict[str, str] = {}
    for word, whole, meaning in _words():
        if word in folded and (not whole or _stands_alone(word, folded)) and len(word) > len(found.get(meaning, "")):
            found[meaning] = word
    return next((Hint(meaning, found[meaning]) for meaning in KIND_ORDER if meaning in found), None)


def _stands_alone(word: str, text: str) -> bool:
    return re.search(rf"(?<![^\W_]){re.escape(word)}(?![^\W_])", text) is not None


def terminals(signal: str) -> tuple[str, ...]:
    """The fields of a signal name that may be terminal designations: of `M.31.G5` there is `31`, of `KL31` too."""
    return tuple(_CLAMP.sub("", field) for field in _FIELDS.split(signal[:_LONGEST].strip()) if field)


def is_ground(signals: Iterable[str]) -> bool:
    """Whether a signal is terminal 31 or says ground; 31b is switched and is none."""
    for signal in signals:
        said = hint(signal)
        if "31" in terminals(signal) or (said is not None and said.meaning in (GROUND, MINUS)):
            return True
    return False


def is_supply(signals: Iterable[str]) -> bool:
    """Whether a signal is terminal 30 or 15, bare or with a letter or number behind, or the battery's plus."""
    for signal in signals:
        said = hint(signal)
        fed = any(re.fullmatch(r"(?:30|15)[A-Za-z]?", field) for field in terminals(signal)[:2])
        if fed or (said is not None and said.meaning == PLUS):
            return True
    return False


def is_battery(signals: Iterable[str]) -> bool:
    """Whether a signal is nothing but terminal 30, or names the battery's plus."""
    for signal in signals:
        said = hint(signal)
        if terminals(signal) == ("30",) or (said is not None and said.meaning == PLUS):
            return True
    return False


@cache
def _terminal_sets() -> dict[frozenset[str], str]:
    return {frozenset(row.text("terminals").split()): row.text("part") for row in load_table("relay_terminal")}


def relay_by_terminals(pins: Iterable[str]) -> str:
    """The relay or flasher that has just these terminals, empty if none is known."""
    return _terminal_sets().get(frozenset(pins), "")
