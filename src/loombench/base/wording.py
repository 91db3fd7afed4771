"""Wording catalogues: every sentence a user reads, by key and language.

A catalogue is the set of `base/data/<language>/*.toml` files; a key is its path through the tables, joined by dots
(`problem.unknown-part.seen`). `{name}` in a sentence is replaced by the fact of that name.
"""

import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files
from types import MappingProxyType
from typing import Any

from loombench.base.nearest import NONE

PARTS = ("title", "seen", "expected", "fix")
NAMES = frozenset({"allowed", "known", "near", "nearest", "others"})
"""Facts that are names out of the data, where `NONE` is no name."""


@dataclass(frozen=True)
class Phrase:
    """A fact that is itself a sentence of the catalogue, looked up when it is said, in the language it is said in."""

    key: str
    facts: tuple[tuple[str, "Fact"], ...] = ()


Fact = str | Phrase
"""What a sentence is filled with: a text as it is to be read, or a phrase of the catalogue."""


def phrase(key: str, **facts: object) -> Phrase:
    """A phrase from keyword facts."""
    return Phrase(key, tuple((name, one if isinstance(one, Phrase) else str(one)) for name, one in facts.items()))


class _Facts(dict[str, str]):
    def __missing__(self, key: str) -> str:
        return "{" + key + "}"


@dataclass(frozen=True)
class Catalogue:
    """Sentences of one language."""

    language: str
    sentences: Mapping[str, str]

    def say(self, key: str, **facts: object) -> str:
        """The sentence of `key` with its facts filled in.

        Raises:
            KeyError: the key has no sentence: a mistake of ours, since keys never come from users.
        """
        filled = _Facts({name: self.text(value) for name, value in facts.items()})
        return self.sentences[key].format_map(filled)

    def text(self, fact: object) -> str:
        """A fact as it is read: a phrase in words, anything else as it prints."""
        return self.say(fact.key, **dict(fact.facts)) if isinstance(fact, Phrase) else str(fact)

    def has(self, key: str) -> bool:
        """Whether there is a sentence for `key`."""
        return key in self.sentences

    def problem(self, code: str, facts: Mapping[str, Fact]) -> dict[str, str]:
        """Title, seen, expected and fix of a problem code."""
        told = {name: phrase("report.none") if name in NAMES and fact == NONE else fact for name, fact in facts.items()}
        return {part: self.say(f"problem.{code}.{part}", **told) for part in PARTS}


def _flatten(prefix: str, table: Mapping[str, Any]) -> Iterator[tuple[str, str]]:
    for name, value in table.items():
        key = f"{prefix}.{name}" if prefix else name
        if isinstance(value, Mapping):
            yield from _flatten(key, value)
        else:
            yield key, str(value)


def languages() -> tuple[str, ...]:
    """The languages there is a catalogue of, by their two letters (ISO 639-1)."""
    return tuple(sorted(entry.name for entry in (files("loombench.base") / "data").iterdir() if entry.is_dir()))


@lru_cache
def catalogue(language: str = "en") -> Catalogue:
    """All sentences of a language.

    Raises:
        FileNotFoundError: there is no catalogue of that language.
        ValueError: two files give the same key.
    """
    folder = files("loombench.base") / "data" / language
    sentences: dict[str, str] = {}
    for page in sorted(folder.iterdir(), key=lambda entry: entry.name):
        if not page.name.endswith(".toml"):
            continue
        for key, text in _flatten("", tomllib.loads(page.read_text(encoding="utf-8"))):
            if key in sentences:
                raise ValueError(f"{page.name}: the key {key} has a sentence already")
            sentences[key] = text
    return Catalogue(language, MappingProxyType(sentences))
