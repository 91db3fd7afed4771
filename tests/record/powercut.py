"""A disk as a power cut leaves it, made from what `syncshim.c` wrote down of a program that was watched.

Two answers of a disk to a cut: `LOST`, all that was not synced is gone, bytes and names; `TORN`, of each sector of 512
bytes that was not synced, and of each name, a seeded coin says whether it reached the disk.
What was there when the watching began counts as synced.
"""

import os
import random
import shutil
import struct
import subprocess
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path

SECTOR = 512
LOST, TORN = "lost", "torn"
SHIM = Path(__file__).with_name("syncshim.c")
_HEAD = struct.Struct("<QQQQ")


@dataclass(frozen=True)
class Call:
    """One call that was written down; see the head of `syncshim.c`."""

    letter: str
    path: str
    position: int
    data: bytes


def build_shim(folder: Path) -> Path:
    """The shim, compiled into a folder.

    Raises:
        subprocess.CalledProcessError: the compiler refused it.
    """
    made = folder / "syncshim.so"
    words = ["cc", "-shared", "-fPIC", "-O1", "-o", str(made), str(SHIM), "-ldl", "-lpthread"]
    subprocess.run(words, check=True, capture_output=True)
    return made


def watched(shim: Path, folder: Path, log: Path) -> Mapping[str, str]:
    """The environment in which a program is watched."""
    return {**os.environ, "LD_PRELOAD": str(shim), "SHIM_FOLDER": str(folder.resolve()), "SHIM_LOG": str(log)}


def calls(log: bytes) -> Iterator[Call]:
    """The calls of a log, up to the last whole one."""
    at = 0
    while at + _HEAD.size <= len(log):
        letter, name, position, size = _HEAD.unpack_from(log, at)
        at += _HEAD.size
        if at + name + size > len(log):
            return
        yield Call(chr(letter), os.fsdecode(log[at : at + name]), position, log[at + name : at + name + size])
        at += name + size


@dataclass
class _File:
    """A file: what the program sees, and of what was not synced yet the pieces, each a position and its bytes or a
    length it was cut to."""

    now: bytearray = field(default_factory=bytearray)
    synced: bytes = b""
    waiting: list[tuple[int, bytes | None]] = field(default_factory=list)

    def write(self, position: int, data: bytes) -> None:
        _put(self.now, position, data)
        self.waiting.append((position, data))

    def cut(self, size: int) -> None:
        _cut(self.now, size)
        self.waiting.append((size, None))

    def sync(self) -> None:
        self.synced, self.waiting = bytes(self.now), []

    def after(self, answer: str, draw: random.Random) -> bytes:
        """Its bytes after a power cut."""
        left = bytearray(self.synced)
        for position, data in self.waiting if answer == TORN else ():
            if data is None:
                if draw.random() < 0.5:
                    _cut(left, position)
                continue
            for start in range(0, len(data), SECTOR):
                if draw.random() < 0.5:
                    _put(left, position + start, data[start : start + SECTOR])
        return bytes(left)


def _put(there: bytearray, position: int, data: bytes) -> None:
    there.extend(bytes(max(0, position - len(there))))
    there[position : position + len(data)] = data


def _cut(there: bytearray, size: int) -> None:
    del there[size:]
    there.extend(bytes(size - len(there)))


class Disk:
    """The files of a folder that a program was watched in."""

    def __init__(self, folder: Path) -> None:
        self._root = str(folder.resolve())
        self._now: dict[str, _File] = {}
        for path in sorted(folder.rglob("*")):
            if path.is_file() and not path.name.endswith("-shm"):
                data = path.read_bytes()
                self._now[str(path.resolve())] = _File(bytearray(data), data)
        self._synced = dict(self._now)

    def apply(self, call: Call) -> None:
        """What a call did. The shared memory beside a store is rebuilt after a cut and is left out."""
        if call.path.endswith("-shm"):
            return
        match call.letter:
            case "O":
                there = self._now.setdefault(call.path, _File())
                if call.position:
                    there.cut(0)
            case "W":
                self._now.setdefault(call.path, _File()).write(call.position, call.data)
            case "T":
                self._now.setdefault(call.path, _File()).cut(call.position)
            case "S":
                self._now.setdefault(call.path, _File()).sync()
            case "U":
                self._now.pop(call.path, None)
            case "R" | "L":
                there = self._now.pop(call.path) if call.letter == "R" else self._now[call.path]
                self._now[os.fsdecode(call.data)] = there
            case "D":
                self._sync_names(call.path)

    def _sync_names(self, folder: str) -> None:
        ours = {path for path in {*self._now, *self._synced} if os.path.dirname(path) == folder}
        for path in ours:
            if path in self._now:
                self._synced[path] = self._now[path]
            else:
                del self._synced[path]

    def after_cut(self, answer: str, draw: random.Random, target: Path) -> None:
        """Lay the folder, as a power cut leaves it, at a place that is free."""
        shutil.rmtree(target, ignore_errors=True)
        target.mkdir()
        for path in sorted({*self._now, *self._synced}):
            side = self._now if answer == TORN and draw.random() < 0.5 else self._synced
            if path in side:
                place = target / os.path.relpath(path, self._root)
                place.parent.mkdir(parents=True, exist_ok=True)
                place.write_bytes(side[path].after(answer, draw))
