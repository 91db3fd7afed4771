"""Phrases that are read as well as said: those of the notation, which are English, and a language's beside them."""

import re
from collections.abc import Iterable

from loombench.base.wording import Catalogue, catalogue


def alternatives(key: str, words: Catalogue | None = None) -> tuple[str, ...]:
    """All phrases of a key, longest first; in the catalogue they are parted by semicolons."""
    notation = catalogue()
    spoken = (notation,) if words is None or words.language == notation.language else (notation, words)
    found = dict.fromkeys(phrase.strip() for one in spoken for phrase in one.say(key).split(";"))
    return tuple(sorted(found, key=lambda phrase: (-len(phrase), phrase)))


def pattern(phrases: Iterable[str]) -> str:
    """A regular expression for any of some phrases, with any space between their words."""
    return "|".join(re.escape(phrase).replace(r"\ ", r"\s+") for phrase in phrases)
