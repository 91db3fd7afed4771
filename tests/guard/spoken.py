"""Sentences that nothing says: keys of a catalogue looked for in what calls them.

A key is said where it stands in quotes, whole; or where a piece in quotes begins it and all words of the rest are words
of the sources, as in `say("state-" ~ one.state)`, or `f"web.{key}-{one.light}"`.
"""

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

_QUOTED = re.compile(r"""(?<=["'])[\w.-]+(?=["'{])""")
"""A word in quotes, or the beginning of a text with a fact in it."""
_WORD = re.compile(r"\w+")


@dataclass(frozen=True)
class Sources:
    """What stands in quotes in some sources, and all their words."""

    quoted: frozenset[str]
    words: frozenset[str]


def sources_of(texts: Iterable[str]) -> Sources:
    """What is there to be looked for."""
    every = tuple(texts)
    return Sources(
        frozenset(one for text in every for one in _QUOTED.findall(text)),
        frozenset(one for text in every for one in _WORD.findall(text)),
    )


def unsaid(sentences: Mapping[str, str], root: str, sources: Sources) -> Iterator[str]:
    """The keys below `root.` that nothing says; it may be left out where they are said."""
    for key in sorted(sentences):
        short = key.removeprefix(f"{root}.")
        if short != key and not any(_is_said(name, sources) for name in (key, short)):
            yield key


def _is_said(name: str, sources: Sources) -> bool:
    if name in sources.quoted:
        return True
    ends = (at for at, letter in enumerate(name, 1) if letter in ".-")
    return any(name[:at] in sources.quoted and sources.words.issuperset(_WORD.findall(name[at:])) for at in ends)
