"""What changed between two revisions of a harness, from its files: for a person as lines, for machines as values."""

from collections.abc import Iterator
from dataclasses import asdict, dataclass
from pathlib import Path

from loombench.app.importing import open_data
from loombench.base.outcome import Outcome, errors
from loombench.base.problems import Problem
from loombench.base.wording import Catalogue, catalogue
from loombench.exchange.differences import Difference, differences
from loombench.exchange.harness import Harness
from loombench.exchange.joining import merged
from loombench.exchange.reading import read_harnesses
from loombench.exchange.variants import chosen


@dataclass(frozen=True)
class Changes:
    """The two harnesses' names, and what changed from the one to the other."""

    old: str
    new: str
    differences: tuple[Difference, ...]


def what_changed(
    old: str, new: str, codes: tuple[str, ...] | None = None, colours: str = ""
) -> Outcome[Changes | None]:
    """Compare two files of harness data, of any formats; with option codes, the two vehicles that have them.

    None where one of them cannot be read. Without codes all variants are compared, with their conditions.
    """
    found: list[Harness] = []
    problems: list[Problem] = []
    for path in (old, new):
        read = _read(path, codes, colours)
        problems.extend(read.problems)
        if read.value is not None:
            found.append(read.value)
    if len(found) < 2 or errors(problems):
        return Outcome(None, tuple(problems))
    return Outcome(Changes(found[0].name, found[1].name, differences(*found)), tuple(problems))


def _read(path: str, codes: tuple[str, ...] | None, colours: str) -> Outcome[Harness | None]:
    opened = open_data(Path(path))
    if isinstance(opened, Problem):
        return Outcome(None, (opened,))
    with opened:
        read = read_harnesses([(opened, path)], colours)
    problems = [problem for _, one in read for problem in one.problems]
    harnesses = [one.harness for _, one in read if one.harness is not None]
    if not harnesses:
        return Outcome(None, tuple(problems))
    harness = merged(harnesses)
    if codes is not None:
        picked = chosen(harness, codes)
        problems.extend(picked.problems)
        harness = picked.harness or harness
    return Outcome(harness, tuple(problems))


def changed_lines(changes: Changes, words: Catalogue | None = None) -> Iterator[str]:
    """One line for each change, under the name of what it is about."""
    say = (words or catalogue()).say
    last = ""
    for one in changes.differences:
        what = say(f"changed.of.{one.of}", id=one.id)
        if not one.field:
            yield say(f"changed.{one.kind}", what=what)
        else:
            if what != last:
                yield say("changed.about", what=what)
            field = say(f"changed.field.{one.field}")
            nothing = say("changed.nothing")
            yield say("changed.field-line", field=field, before=one.before or nothing, after=one.after or nothing)
        last = what if one.field else ""
    yield say("changed.count" if changes.differences else "changed.same", count=len(changes.differences))


def changed_json(changes: Changes | None) -> dict[str, object]:
    """The changes as plain values."""
    if changes is None:
        return {"differences": None}
    return {"old": changes.old, "new": changes.new, "differences": [asdict(one) for one in changes.differences]}
