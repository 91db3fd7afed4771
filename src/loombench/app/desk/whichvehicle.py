"""Which of the vehicles somebody means who types `library van horn dead`, and what is left of the text."""

import re
from collections.abc import Sequence

from loombench.app.desk.shelf import Shelved
from loombench.base.nearest import distance

LONGEST = 400
MOST_WORDS = 12
SURE, BEGINNING = 5, 3
"""Words from so many letters on may hold a slip of the hand; so many letters may be the beginning of a word."""
_JOINTS = ("on", "at", "in", "the", "of", "a", "an", "auf", "am", "im", "der", "die", "das")


def parted(text: str, vehicles: Sequence[Shelved]) -> tuple[tuple[Shelved, ...], str]:
    """The vehicles that fit best by the words at the beginning, else at the end, and the words that name none of them.

    All of them, with all of the text, where no word names one.
    """
    words = text[:LONGEST].split()
    begin = _best(words[:MOST_WORDS], vehicles)
    if begin:
        most = max(begin.values())
        return tuple(one for one in vehicles if begin.get(one.id) == most), _rest(words[most:])
    end = _best(words[: -MOST_WORDS - 1 : -1], vehicles)
    if end:
        most = max(end.values())
        return tuple(one for one in vehicles if end.get(one.id) == most), _rest(words[: len(words) - most])
    return tuple(vehicles), _rest(words)


def _best(words: Sequence[str], vehicles: Sequence[Shelved]) -> dict[str, int]:
    """How many of the words, from the first on, name each vehicle; those that none names are left out."""
    found = {}
    for one in vehicles:
        known = _words(f"{one.name} {one.id}")
        count = 0
        for word in words:
            if not (_fits(word, known) or (count and word.casefold() in _JOINTS)):
                break
            count += 1
        while count and words[count - 1].casefold() in _JOINTS:
            count -= 1
        if count:
            found[one.id] = count
    return found


def _words(text: str) -> frozenset[str]:
    return frozenset(re.findall(r"[^\W_]+", text.casefold())) - frozenset(_JOINTS)


def _fits(word: str, known: frozenset[str]) -> bool:
    pieces = _words(word)
    return bool(pieces) and all(
        any(
            piece == name
            or (len(piece) >= BEGINNING and name.startswith(piece))
            or (len(piece) >= SURE and distance(piece, name, 1) <= 1)
            for name in known
        )
        for piece in pieces
    )


def _rest(words: Sequence[str]) -> str:
    """What is left, without the joints between it and the vehicle's name and without marks at its ends."""
    left = list(words)
    while left and left[-1].casefold() in _JOINTS:
        left.pop()
    return " ".join(left).strip(" ,.:;-")
