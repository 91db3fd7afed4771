"""Reading the fields of a JSON object: one that is missing, of the wrong kind or too large becomes a problem.

A reader collects problems and hands out harmless values in their place, so that all that is wrong is said at once; the
caller uses the values only where there were no problems.
"""

import math
from collections.abc import Mapping, Sequence
from datetime import datetime
from types import MappingProxyType
from typing import TypeVar

from loombench.base.problems import Problem, Span, error, warning

LONGEST_TEXT = 20_000
LARGEST_NUMBER = 2**53
_OPEN = MappingProxyType({"inf": math.inf, "-inf": -math.inf})
_MISSING = object()
Value = TypeVar("Value")


def shown(value: object) -> str:
    """A value as a problem shows it: short, whatever it is."""
    match value:
        case None | bool():
            return {None: "null", True: "true", False: "false"}[value]
        case str():
            return f'"{value[:40]}..."' if len(value) > 40 else f'"{value}"'
        case int() | float():
            return f"{value:.6g}" if abs(value) < LARGEST_NUMBER else "a huge number"
        case Mapping():
            return "an object"
        case Sequence():
            return f"a list of {len(value)}"
    return type(value).__name__


class Reader:
    """Reads fields from one JSON object and notes what is wrong."""

    def __init__(self, found: Mapping[str, object], span: Span | None, inside: str = "") -> None:
        self._found = found
        self._span = span
        self._inside = inside
        self._asked: set[str] = set()
        self.problems: list[Problem] = []

    def text(self, name: str, default: str | None = None) -> str:
        """A text of at most `LONGEST_TEXT` characters."""
        value = self._get(name, default)
        if isinstance(value, str) and len(value) <= LONGEST_TEXT:
            return value
        return self._wrong(name, value, f"a text of at most {LONGEST_TEXT} characters", "")

    def texts(self, name: str, most: int) -> tuple[str, ...]:
        """The texts of a list with at most `most` entries."""
        value = self._get(name, None)
        if isinstance(value, Sequence) and not isinstance(value, str) and len(value) <= most:
            texts = tuple(item for item in value if isinstance(item, str) and len(item) <= LONGEST_TEXT)
            if len(texts) == len(value):
                return texts
        return self._wrong(name, value, f"a list of at most {most} texts", ())

    def one_of(self, name: str, allowed: Sequence[str], default: str | None = None) -> str:
        """One of the words allowed."""
        value = self._get(name, default)
        if isinstance(value, str) and value in allowed:
            return value
        return self._wrong(name, value, "one of " + ", ".join(word or '""' for word in allowed), allowed[0])

    def whole(self, name: str) -> int:
        """A whole number from 1."""
        value = self._get(name, None)
        if isinstance(value, int) and not isinstance(value, bool) and 1 <= value < LARGEST_NUMBER:
            return value
        return self._wrong(name, value, "a whole number from 1", 1)

    def number(self, name: str, default: float | None = None, endless: bool = False) -> float:
        """A finite number; with `endless` also the text inf, which JSON has no number for."""
        value = self._get(name, default)
        if endless and isinstance(value, str) and value in _OPEN:
            return _OPEN[value]
        if isinstance(value, int | float) and not isinstance(value, bool):
            number = _as_float(value)
            if math.isfinite(number):
                return number
        return self._wrong(name, value, 'a number, or "inf"' if endless else "a number", 0.0)

    def flag(self, name: str, default: bool | None = None) -> bool:
        """True or false."""
        value = self._get(name, default)
        return value if isinstance(value, bool) else self._wrong(name, value, "true or false", False)

    def time(self, name: str) -> str:
        """An ISO time with its zone, as text."""
        value = self._get(name, None)
        if isinstance(value, str) and len(value) <= 40:
            try:
                if datetime.fromisoformat(value).tzinfo is not None:
                    return value
            except ValueError:
                pass
        return self._wrong(name, value, "an ISO time with its zone, as 2026-03-02T14:05:00+01:00", "")

    def inner(self, name: str) -> "Reader":
        """The object in a field; its problems are to be taken over with `take`."""
        value = self._get(name, None)
        if isinstance(value, Mapping):
            return Reader(value, self._span, f"{self._inside}{name}.")
        self._wrong(name, value, "an object", None)
        return _Nothing(self._span)

    def maybe(self, name: str) -> "Reader | None":
        """The object in a field that may be null or left out."""
        self._asked.add(name)
        return None if self._found.get(name) is None else self.inner(name)

    def items(self, name: str, most: int) -> list["Reader"]:
        """The objects of a list with at most `most` entries."""
        value = self._get(name, None)
        if isinstance(value, Sequence) and not isinstance(value, str) and len(value) <= most:
            objects = [item for item in value if isinstance(item, Mapping)]
            if len(objects) == len(value):
                inside = f"{self._inside}{name}"
                return [Reader(item, self._span, f"{inside}[{place}].") for place, item in enumerate(objects)]
        self._wrong(name, value, f"a list of at most {most} objects", None)
        return []

    def take(self, other: "Reader") -> None:
        """Take over what another reader noted, and what it was not asked for."""
        self.problems.extend(other.finished())

    def finished(self) -> list[Problem]:
        """All problems, with a warning for each field that nobody asked for."""
        extra = sorted(set(self._found) - self._asked)
        notes = [warning("event-field-extra", self._span, field=f"{self._inside}{name}"[:80]) for name in extra[:10]]
        return [*self.problems, *notes]

    def _get(self, name: str, default: object) -> object:
        self._asked.add(name)
        if name in self._found:
            return self._found[name]
        if default is None:
            self.problems.append(error("event-field-missing", self._span, field=f"{self._inside}{name}"))
            return _MISSING
        return default

    def _wrong(self, name: str, value: object, expected: str, instead: Value) -> Value:
        if value is not _MISSING:
            facts = {"field": f"{self._inside}{name}", "seen": shown(value), "expected": expected}
            self.problems.append(error("event-field-wrong", self._span, **facts))
        return instead


class _Nothing(Reader):
    """What stands in for an object that was not there: every field is empty and nothing more is said."""

    def __init__(self, span: Span | None) -> None:
        super().__init__({}, span)

    def _get(self, name: str, default: object) -> object:
        del name, default
        return _MISSING

    def maybe(self, name: str) -> Reader | None:
        del name
        return None


def _as_float(value: float) -> float:
    try:
        return float(value)
    except OverflowError:
        return math.inf
