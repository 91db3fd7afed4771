"""Whatever is done to a program that keeps events: each event it acknowledged is there, once."""

import random
import subprocess
import sys
import tempfile
import time
from collections.abc import Sequence
from pathlib import Path

from loombench.record.jsonl import JsonlStore
from tests.record.samples import CASE, event

ROOT = Path(__file__).parents[2]
KILLS = 30


def start(mode: str, folder: Path) -> subprocess.Popen[str]:
    command = [sys.executable, "-m", "tests.record.child", mode, str(folder)]
    return subprocess.Popen(command, cwd=ROOT, stdout=subprocess.PIPE, text=True)


def finished(mode: str, folder: Path) -> list[str]:
    with start(mode, folder) as child:
        assert child.stdout is not None
        return child.stdout.read().splitlines()


def check_kept(folder: Path, acknowledged: Sequence[int]) -> list[str]:
    """Every number acknowledged is there once, in order, and unaltered; the codes of the problems that are said."""
    found = JsonlStore(folder).read(CASE)
    numbers = [one.number for one in found.value]
    assert numbers == list(range(1, len(numbers) + 1))
    assert set(acknowledged) <= set(numbers)
    assert len(numbers) <= len(acknowledged) + KILLS
    assert all(one == event(one.number) for one in found.value)
    return [item.code for item in found.problems]


def test_killed_at_random_moments(tmp_path: Path) -> None:
    moments = random.Random(20260302)
    acknowledged: list[int] = []
    for _ in range(KILLS):
        with start("append", tmp_path) as child:
            assert child.stdout is not None
            wanted = moments.randint(1, 40)
            for _ in range(wanted):
                acknowledged.append(int(child.stdout.readline()))
            time.sleep(moments.random() * 0.002)
            child.kill()
            acknowledged.extend(int(line) for line in child.stdout if line.endswith("\n"))
        assert len(acknowledged) == len(set(acknowledged))
        assert set(check_kept(tmp_path, acknowledged)) <= {"record-torn"}
    assert len(acknowledged) >= KILLS


def test_killed_in_the_middle_of_a_line(tmp_path: Path) -> None:
    for number in (1, 2, 3):
        assert finished("half", tmp_path) == []
        assert check_kept(tmp_path, range(1, number))[-1] == "record-torn"
        JsonlStore(tmp_path).append(event(number))
        assert check_kept(tmp_path, range(1, number + 1)) == ["record-torn"] * number


def test_a_full_disk_is_said_and_costs_nothing_kept(tmp_path: Path) -> None:
    *numbers, last = finished("small", tmp_path)
    assert last.startswith("record-full There is no room left: ")
    assert check_kept(tmp_path, [int(number) for number in numbers]) == []
    assert len(JsonlStore(tmp_path).read(CASE).value) == len(numbers) > 5
    JsonlStore(tmp_path).append(event(len(numbers) + 1))
    assert check_kept(tmp_path, range(1, len(numbers) + 2)) == []


def test_a_folder_that_may_not_be_written_can_still_be_read() -> None:
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        JsonlStore(folder).append(event(1))
        (folder / f"case-{CASE}.jsonl").chmod(0o444)
        folder.chmod(0o555)
        count, said = finished("barred", folder)
        folder.chmod(0o755)
    assert count == "1"
    assert said.startswith("record-unwritable Nothing can be written here: ")


def test_two_programs_at_once_share_the_numbers(tmp_path: Path) -> None:
    """Each keeps events until the other was first with a number; together they kept each number once."""
    with start("append", tmp_path) as one, start("append", tmp_path) as other:
        assert one.stdout is not None
        assert other.stdout is not None
        first = one.stdout.readline()
        lines = other.stdout.readline()
        one.kill()
        other.kill()
        said = (first + one.stdout.read() + lines + other.stdout.read()).splitlines()
    numbers = [int(line) for line in said if line.isdigit()]
    assert len(numbers) == len(set(numbers))
    assert check_kept(tmp_path, numbers) == []
