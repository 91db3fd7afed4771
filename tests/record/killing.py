"""Killing a program that keeps jobs, and cutting its power: what must be there afterwards.

A child program keeps events and says each number once it was acknowledged. It is killed after a drawn number of them,
at a drawn moment. Where it was watched (`powercut`), the power is cut besides at drawn places of what it did.
"""

import random
import sqlite3
import subprocess
import sys
import time
from collections.abc import Callable, Mapping, Sequence
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path

from loombench.record.sqlite import open_store
from tests.record.powercut import LOST, TORN, Call, Disk, calls
from tests.record.samples import CASE, event

ROOT = Path(__file__).parents[2]
MOST_BEFORE_KILL = 30
LONGEST_WAIT_S = 0.02


@dataclass(frozen=True)
class Found:
    """What is wrong with a store: how many acknowledged events are gone, how many numbers are there twice or altered,
    how many times it did not open clean; and how many events it has."""

    lost: int
    doubled: int
    unclean: int
    events: int


def start(place: Path, environment: Mapping[str, str] | None = None, mode: str = "append") -> subprocess.Popen[str]:
    """The child that keeps events until it is killed."""
    command = [sys.executable, "-m", "tests.record.child", mode, str(place)]
    return subprocess.Popen(command, cwd=ROOT, stdout=subprocess.PIPE, text=True, env=environment)


def kill(
    place: Path,
    draw: random.Random,
    environment: Mapping[str, str] | None = None,
    mode: str = "append",
    least: int = 0,
    most: int = MOST_BEFORE_KILL,
) -> list[int]:
    """Start the child and kill it at a drawn moment, at least and at most so many events on; the numbers it said were
    kept."""
    said: list[int] = []
    with start(place, environment, mode) as child:
        assert child.stdout is not None
        for _ in range(draw.randint(least, most)):
            said.append(int(child.stdout.readline()))
        time.sleep(draw.random() * LONGEST_WAIT_S)
        child.kill()
        said.extend(int(line) for line in child.stdout if line.endswith("\n"))
    return said


def look(place: Path, acknowledged: Sequence[int]) -> Found:
    """Open a store that was left behind, and hold it against what was acknowledged."""
    opened = open_store(place)
    if opened.value is None:
        return Found(len(acknowledged), 0, 1, 0)
    read = opened.value.read(CASE)
    opened.value.close()
    with closing(sqlite3.connect(place)) as connection:
        try:
            sound = connection.execute("pragma integrity_check").fetchall() == [("ok",)]
        except sqlite3.DatabaseError:
            sound = False
    numbers = [one.number for one in read.value]
    wrong = sum(one != event(one.number) for one in read.value) + sum(
        after != before + 1 for before, after in zip([0, *numbers], numbers, strict=False)
    )
    clean = sound and not opened.problems and not read.problems
    return Found(len(set(acknowledged) - set(numbers)), wrong, int(not clean), len(numbers))


@dataclass(frozen=True)
class Cut:
    """A power cut after so many calls, what the disk made of it, and what was wrong afterwards."""

    calls: int
    answer: str
    found: Found


def numbers(call: Call) -> list[int]:
    """The numbers a call acknowledged."""
    return [int(word) for word in call.data.split()] if call.letter == "A" else []


Said = Callable[[Call], list[int]]
Look = Callable[[Path, Sequence[int]], Found]


def cut_power(
    disk: Disk, log: Path, before: Sequence[int], draw: random.Random, most: int, target: Path,
    said: Said = numbers, looked: Look = look,
) -> list[Cut]:  # fmt: skip
    """Cut the power after calls of a log: at each drawn place, at most `most`, and at its end. `disk` is as it was when
    the log began, `before` was acknowledged until then; `said` is what a call acknowledged."""
    done = list(calls(log.read_bytes()))
    places = sorted({*draw.sample(range(len(done)), min(most, len(done))), len(done)})
    acknowledged, cuts, row = list(before), list[Cut](), 0
    for place in places:
        for call in done[row:place]:
            disk.apply(call)
            acknowledged += said(call)
        row = place
        for answer in (LOST, TORN):
            disk.after_cut(answer, draw, target)
            left = target / "jobs.sqlite"
            found = looked(left, acknowledged) if left.exists() or acknowledged else Found(0, 0, 0, 0)
            cuts.append(Cut(place, answer, found))
    return cuts


def unsynced(done: Sequence[Call], said: Said = numbers) -> tuple[int, int]:
    """How many acknowledgements there are, and how many of them came while something written was not synced."""
    waiting, acknowledged, early = set[str](), 0, 0
    for call in done:
        match call.letter:
            case "W" | "T" if not call.path.endswith("-shm"):
                waiting.add(call.path)
            case "S":
                waiting.discard(call.path)
            case "A":
                acknowledged += len(said(call))
                early += len(said(call)) if waiting else 0
    return acknowledged, early
