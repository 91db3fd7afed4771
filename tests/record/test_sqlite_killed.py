"""Whatever is done to a program that keeps jobs in a store: each event it acknowledged is there, once."""

import random
import tempfile
from pathlib import Path

import pytest

from tests.record.killing import Found, cut_power, kill, look, start, unsynced
from tests.record.powercut import LOST, Call, Disk, build_shim, calls, watched
from tests.record.samples import CASE, event
from tests.record.test_sqlite import opened

KILLS = 5


def test_killed_at_random_moments(tmp_path: Path) -> None:
    place, draw = tmp_path / "jobs.sqlite", random.Random(1)
    said: list[int] = []
    for _ in range(KILLS):
        said += kill(place, draw, most=8)
        found = look(place, said)
        assert (found.lost, found.doubled, found.unclean) == (0, 0, 0)
        assert len(said) == len(set(said)) <= found.events <= len(said) + KILLS
    assert len(said) >= KILLS


@pytest.mark.compiler
def test_the_power_is_cut_while_the_store_is_made_and_written(tmp_path: Path) -> None:
    place, log, draw = tmp_path / "store" / "jobs.sqlite", tmp_path / "log", random.Random(2)
    place.parent.mkdir()
    disk = Disk(place.parent)
    said = kill(place, draw, watched(build_shim(tmp_path), place.parent, log), least=2, most=8)
    acknowledged, early = unsynced(list(calls(log.read_bytes())))
    assert acknowledged >= len(said) > 0
    assert early == 0
    cuts = cut_power(disk, log, [], draw, 12, tmp_path / "cut")
    assert {(cut.found.lost, cut.found.doubled, cut.found.unclean) for cut in cuts} == {(0, 0, 0)}
    assert max(cut.found.events for cut in cuts) >= len(said)


@pytest.mark.compiler
def test_a_store_without_syncs_is_caught(tmp_path: Path) -> None:
    place, log, draw = tmp_path / "store" / "jobs.sqlite", tmp_path / "log", random.Random(3)
    place.parent.mkdir()
    disk = Disk(place.parent)
    said = kill(place, draw, watched(build_shim(tmp_path), place.parent, log), "careless", 2, 8)
    acknowledged, early = unsynced(list(calls(log.read_bytes())))
    assert early == acknowledged >= len(said) > 0
    assert max(cut.found.lost for cut in cut_power(disk, log, [], draw, 0, tmp_path / "cut")) > 0


def test_a_disk_after_a_cut_has_what_was_synced(tmp_path: Path) -> None:
    """The judge itself: bytes and names that were not synced are gone, and a file that was there is as it was."""
    folder, target = tmp_path / "disk", tmp_path / "cut"
    folder.mkdir()
    (folder / "old").write_bytes(b"old")
    disk, draw = Disk(folder), random.Random(1)
    old, new = str(folder.resolve() / "old"), str(folder.resolve() / "new")
    for call in (
        Call("W", old, 1, b"XX"), Call("O", new, 0, b""), Call("W", new, 0, b"new"), Call("S", new, 0, b""),
        Call("W", new, 3, b"er"),
    ):  # fmt: skip
        disk.apply(call)
    disk.after_cut(LOST, draw, target)
    assert {path.name: path.read_bytes() for path in target.iterdir()} == {"old": b"old"}
    for call in (Call("D", str(folder.resolve()), 0, b""), Call("T", old, 1, b""), Call("S", old, 0, b"")):
        disk.apply(call)
    disk.after_cut(LOST, draw, target)
    assert {path.name: path.read_bytes() for path in target.iterdir()} == {"old": b"o", "new": b"new"}


def test_the_judge_sees_what_is_lost_and_what_is_altered(tmp_path: Path) -> None:
    place = tmp_path / "jobs.sqlite"
    store = opened(place)
    for number in (1, 2):
        store.append(event(number))
    store.append(event(3, payload=event(7).payload))
    store.close()
    assert look(place, [1, 2, 3, 4, 5]) == Found(2, 1, 0, 3)
    place.write_bytes(b"nothing" * 1000)
    assert look(place, [1]) == Found(1, 0, 1, 0)


def test_two_programs_at_once_share_the_numbers(tmp_path: Path) -> None:
    """Each keeps events until the other was first with a number; together they kept each number once."""
    place = tmp_path / "jobs.sqlite"
    with start(place) as one, start(place) as other:
        assert one.stdout is not None
        assert other.stdout is not None
        first, second = one.stdout.readline(), other.stdout.readline()
        one.kill()
        other.kill()
        said = (first + one.stdout.read() + second + other.stdout.read()).splitlines()
    numbers = [int(line) for line in said if line.isdigit()]
    assert len(numbers) == len(set(numbers)) > 0
    assert all(line.isdigit() or line.startswith("record-next ") for line in said)
    assert look(place, numbers).lost == 0


def test_a_store_that_may_not_be_written_can_still_be_read() -> None:
    with tempfile.TemporaryDirectory() as name:
        place = Path(name) / "jobs.sqlite"
        store = opened(place)
        store.append(event(1))
        store.close()
        place.chmod(0o444)
        place.parent.chmod(0o555)
        with start(place, mode="barred") as child:
            assert child.stdout is not None
            opening, count, said = child.stdout.read().splitlines()
        place.parent.chmod(0o755)
        place.chmod(0o644)
        assert opening == "store-read-only"
        assert count == "1"
        assert said.startswith("record-unwritable Nothing can be written here: ")
        assert opened(place).read(CASE).value == (event(1),)
