"""Rates learned from closed jobs: counted from a record, written to a plain file and read back.

counted = from_jobs(folder)            Counted: rates, the jobs that count, those that do not and why
text = rates_text(counted.rates)       CSV: vehicle, what, mode, surroundings, found, expected
load_rates(path)                       Outcome[Rates]; each line fails alone
rates_lines(counted)                   what a person is told
"""

import csv
import io
import math
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from loombench.app.case import Case
from loombench.app.search import digest_of, take_up
from loombench.app.vehicles import open_vehicle
from loombench.base.outcome import Outcome
from loombench.base.problems import Problem, Span, error
from loombench.base.wording import Catalogue, catalogue
from loombench.diagnose.hypothesis import halves
from loombench.diagnose.rates import Count, Rates, of_job, together
from loombench.evidence.envelope import Envelope
from loombench.evidence.events import CaseClosed, CaseOpened
from loombench.evidence.replay import effective
from loombench.record.jsonl import JsonlStore
from loombench.record.store import EventStore

HEAD = ("vehicle", "what", "mode", "surroundings", "found", "expected")
PRACTICE = "practice-"
"""What the names of practice cases begin with: what was hidden on purpose says nothing of how often it fails."""
MOST_LINES = 100_000


@dataclass(frozen=True)
class Counted:
    """Rates, the jobs they are from, and those left out with why: `open`, `unproven`, `practice`, `no-drawing`,
    `drawing-changed`, `unfit` or `no-cause`."""

    rates: Rates
    jobs: tuple[str, ...]
    left: tuple[tuple[str, str], ...]
    problems: tuple[Problem, ...] = ()


def from_jobs(folder: Path, added: Iterable[Rates] = (), store: EventStore | None = None) -> Counted:
    """The rates of the closed jobs of a record, each weighed as it stood at its end, with those of others added."""
    kept = store or JsonlStore(folder)
    every: list[Rates] = []
    jobs: list[str] = []
    left: list[tuple[str, str]] = []
    problems: list[Problem] = []
    for name in kept.cases():
        read = kept.read(name)
        problems += read.problems
        found = _of_case(name, read.value, folder, kept)
        if isinstance(found, Rates):
            every.append(found)
            jobs.append(name)
        else:
            left.append((name, found))
    return Counted(together([*every, *added]), tuple(jobs), tuple(left), tuple(problems))


def _of_case(name: str, events: tuple[Envelope, ...], folder: Path, store: EventStore) -> Rates | str:
    """The counts of a job, or why it has none."""
    if name.startswith(PRACTICE):
        return "practice"
    closed = [one.payload for one in effective(events) if isinstance(one.payload, CaseClosed)]
    if not closed:
        return "open"
    if not closed[-1].proven or not closed[-1].cause:
        return "unproven"
    first = events[0].payload
    if not isinstance(first, CaseOpened) or not first.file:
        return "no-drawing"
    opened = open_vehicle(str(folder / first.file))
    if opened.broken:
        return "no-drawing"
    if first.digest != digest_of(opened):
        return "drawing-changed"
    case = take_up(opened, events, store).value
    if case is None:
        return "unfit"
    return _counts(case, closed[-1].cause)


def _counts(case: Case, cause: str) -> Rates | str:
    known = case.bench.hypotheses
    if not all(known.faults_of(group) for group in halves(cause)):
        return "no-cause"
    # Two faults at once come after the single ones, where they were looked for.
    return of_job(case.bench.vehicle, known, case.belief.share[: len(known.members)], cause)


def rates_text(rates: Rates) -> str:
    """The counts as CSV, from which the same are read back."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(HEAD)
    for one in rates.counts:
        writer.writerow([one.vehicle, one.what, one.mode, " ".join(one.surroundings), one.found, one.expected])
    return out.getvalue()


def read_rates(text: str, file: str = "") -> Outcome[Rates]:
    """The counts of a file; a line that is none is a problem and left out, kinds that are there twice are added up."""
    found: list[Rates] = []
    problems: list[Problem] = []
    lines = text.removeprefix("\ufeff").splitlines()[:MOST_LINES]
    for number, line in enumerate(lines, 1):
        row = [field.strip() for field in next(csv.reader([line]), [])]
        if not any(row) or tuple(row) == HEAD:
            continue
        count = _count(row)
        if count is None:
            problems.append(error("rates-line", Span(file, number, 1, len(line) + 1), line=line[:80]))
        else:
            found.append(Rates((count,)))
    return Outcome(together(found), tuple(problems))


def load_rates(path: Path | None) -> Outcome[Rates]:
    """The counts of the file at a path, none for no path; none and the problem where it cannot be read."""
    if path is None:
        return Outcome(Rates())
    try:
        text = path.read_text(encoding="utf-8")
    except FileNotFoundError:
        return Outcome(Rates(), (error("file-missing", Span(str(path), 1), name=path),))
    except (OSError, ValueError) as wrong:
        reason = getattr(wrong, "strerror", None) or type(wrong).__name__
        return Outcome(Rates(), (error("file-unreadable", Span(str(path), 1), name=path, reason=reason),))
    return read_rates(text, str(path))


def rates_lines(counted: Counted, words: Catalogue | None = None) -> tuple[str, ...]:
    """The jobs counted and left out, and the kinds that were found, with what each was and what its weight becomes."""
    say, rates = (words or catalogue()).say, counted.rates
    lines = [say("rates.jobs", count=len(counted.jobs), left=len(counted.left))]
    lines += [f"  {name}: {say(f'rates.left-{why}')}" for name, why in counted.left]
    kinds = dict.fromkeys((one.what, one.mode) for one in rates.counts if one.found > 0.0)
    for what, mode in kinds:
        own = [one for one in rates.counts if (one.what, one.mode) == (what, mode)]
        found, expected = sum(one.found for one in own), sum(one.expected for one in own)
        factor = rates.factor("", what, mode, ())
        lines.append(
            say(
                "rates.kind",
                what=what,
                mode=mode,
                found=f"{found:.3g}",
                expected=f"{expected:.3g}",
                factor=f"{factor:.2f}",
            )
        )
    return tuple(lines)


def _count(row: list[str]) -> Count | None:
    if len(row) != len(HEAD) or not row[1] or not row[2]:
        return None
    try:
        numbers = [float(text) for text in row[4:]]
    except ValueError:
        return None
    if not all(math.isfinite(number) and number >= 0.0 for number in numbers):
        return None
    return Count(row[0], row[1], row[2], tuple(sorted(set(row[3].split()))), numbers[0], numbers[1])
