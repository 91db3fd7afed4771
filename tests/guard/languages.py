"""Catalogues of sentences held against each other: what one language says the other says too, with the same facts."""

import re
from collections.abc import Collection, Iterator, Mapping
from pathlib import Path

_FACT = re.compile(r"\{[^}]*\}")
_WORD = re.compile(r"[^\W\d_]{2,}")


def unlike(one: Mapping[str, str], other: Mapping[str, str], same: Collection[str] = ()) -> Iterator[str]:
    """One line for each key that a catalogue lacks or has alone, whose facts differ, or whose sentence was left as it
    is, but for the keys in `same` and for sentences without a word of their own; and for each key of `same` that needs
    no leave."""
    for key in sorted(set(one) ^ set(other)):
        yield f"{key}: {'missing' if key in one else 'only there'}"
    for key in sorted(set(one) & set(other)):
        facts, others = (sorted(set(_FACT.findall(text))) for text in (one[key], other[key]))
        if facts != others:
            yield f"{key}: its facts are {', '.join(others) or 'none'}, not {', '.join(facts) or 'none'}"
        left = one[key] == other[key] and _WORD.search(_FACT.sub("", one[key])) is not None
        if left is not (key in same):
            yield f"{key}: the same sentence" if left else f"{key}: no longer the same sentence"


def files_unlike(folder: Path, one: str, other: str) -> tuple[str, ...]:
    """The names of the files that only one of two languages has below `folder`."""
    names = [{page.name for page in (folder / language).glob("*.toml")} for language in (one, other)]
    return tuple(sorted(names[0] ^ names[1]))
