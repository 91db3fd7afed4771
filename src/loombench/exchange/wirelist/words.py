"""Words in the cells of wire lists (`list_word.csv`, common practice): places, row kinds, open ends, shields."""

import re
import unicodedata
from functools import cache, lru_cache

from loombench.facts.table import load_table

SPLICE, GROUND, BATTERY, RING, OPEN, WIRE, CORE, NO_WIRE, SHIELD = (
    "splice", "ground", "battery", "ring", "open", "wire", "core", "nowire", "shield",
)  # fmt: skip
_MARKS = frozenset({"x", "✓", "✔", "•", "●", "*", "yes", "y", "ja", "j", "oui", "o", "si", "s", "true", "wahr", "vrai"})
_NO_MARKS = frozenset({"", "-", "--", "0", "no", "n", "nein", "non", "false", "falsch", "faux"})


@cache
def _words(meaning: str) -> frozenset[str]:
    return frozenset(folded(row.text("word")) for row in load_table("list_word") if row.text("meaning") == meaning)


@cache
def _numbered(meaning: str) -> re.Pattern[str]:
    words = sorted(_words(meaning), key=len, reverse=True)
    return re.compile("(?:" + "|".join(re.escape(word) for word in words) + r")[\s._/-]*(\d{0,4}[a-z]?)")


@lru_cache(maxsize=8192)
def folded(text: str) -> str:
    """A text in small letters without accents, its blanks single."""
    plain = unicodedata.normalize("NFKD", text.casefold())
    return " ".join("".join(mark for mark in plain if not unicodedata.combining(mark)).split())


def means(text: str, meaning: str) -> bool:
    """Whether a text is a word of a meaning."""
    return folded(text) in _words(meaning)


def speaks_of(text: str, meaning: str) -> bool:
    """Whether a word of a meaning is among the words of a text (`RING-M8`)."""
    return any(word in _words(meaning) for word in re.split(r"[^a-z+]+", folded(text)))


@lru_cache(maxsize=8192)
def place_word(text: str) -> tuple[str, bool]:
    """Splice, ground or battery where a name is such a word, and whether a number or letter tells which one."""
    plain = re.sub(r"\s+(?=[+-]$)", "", folded(text))
    for meaning in (SPLICE, GROUND, BATTERY):
        found = _numbered(meaning).fullmatch(plain)
        if found:
            return meaning, bool(found[1]) or meaning == BATTERY
    return "", False


def marked(text: str, head: str) -> bool | None:
    """Whether a cell of a variant's column marks it: a cross, a quantity, the code itself; None for any other text."""
    plain = folded(text)
    if plain in _NO_MARKS:
        return False
    if plain in _MARKS or plain == folded(head):
        return True
    return True if plain.isascii() and plain.isdigit() and len(plain) == 1 else None
