"""The store of a workshop's folder: one file for each case, one event for each line, lines are only ever added.

A line is written in one go, forced to disk, and only then acknowledged; a new file's entry in the folder is forced too.
A program that is killed in between leaves at most a piece of a line behind. It is reported by `read`, and the next
`append` moves it into a file of its own beside the case's, so that it neither disappears nor spoils the next line.
"""

import contextlib
import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from loombench.base.outcome import Outcome
from loombench.base.problems import Problem, Span, error, warning
from loombench.evidence.codec import encode_line
from loombench.evidence.envelope import Envelope
from loombench.record.disk import make_folder, sync_folder
from loombench.record.lines import Content, understand
from loombench.record.lock import Busy, locked
from loombench.record.names import case_name, file_name
from loombench.record.refusal import from_system, not_next, understood
from loombench.record.store import NotKept

WAIT_S = 5.0
TORN = ".torn"
_BINARY = getattr(os, "O_BINARY", 0)


class JsonlStore:
    """Cases in a folder, which is made with the first event."""

    def __init__(self, folder: Path | str, wait_s: float = WAIT_S) -> None:
        self._folder = Path(folder)
        self._wait_s = wait_s
        # What a file held after our last line, by its identity and size: then it need not be read again.
        self._known: dict[str, tuple[tuple[int, int], int]] = {}

    def append(self, event: Envelope) -> None:
        """Keep one more event; on return it is on the disk. Raises `NotKept`."""
        line = encode_line(event)
        understood(line)
        path = self._folder / file_name(event.case)
        try:
            with self._opened(path) as handle, locked(handle, self._wait_s):
                self._add(handle, path, event, line)
        except Busy:
            raise NotKept(error("record-busy", case=event.case, seconds=f"{self._wait_s:g}")) from None
        except OSError as wrong:
            raise from_system(event, wrong) from wrong

    def read(self, case: str) -> Outcome[tuple[Envelope, ...]]:
        """The events of a case, and what is wrong with its file."""
        try:
            path = self._folder / file_name(case)
        except NotKept as refused:
            return Outcome((), (refused.problem,))
        try:
            data = self._data(path)
        except FileNotFoundError:
            return Outcome((), self._aside(path))
        except OSError as wrong:
            reason = wrong.strerror or type(wrong).__name__
            return Outcome((), (error("record-unreadable", kept=path.name, reason=reason),))
        except Busy:
            return Outcome((), (error("record-busy", case=case, seconds=f"{self._wait_s:g}"),))
        content = understand(data, path.name, case)
        torn: tuple[Problem, ...] = ()
        if content.torn:
            place = Span(path.name, content.lines + 1)
            torn = (warning("record-torn", place, size=len(content.torn), kept=path.name),)
        return Outcome(content.events, (*content.problems, *self._aside(path), *torn))

    def next_number(self, case: str) -> int:
        """The number the next event of the case must have; 1 where there is no file, or none that can be read."""
        try:
            path = self._folder / file_name(case)
            return understand(self._data(path), path.name, case).next_number
        except (OSError, NotKept, Busy):
            return 1

    def cases(self) -> tuple[str, ...]:
        """The names of all cases of the folder, in alphabetical order."""
        try:
            names = [entry.name for entry in self._folder.iterdir()]
        except OSError:
            return ()
        found = (case_name(name) for name in names)
        return tuple(sorted(case for case in found if case is not None))

    def _data(self, path: Path) -> bytes:
        with path.open("rb") as file, locked(file.fileno(), self._wait_s, shared=True):
            return file.read()

    def _aside(self, path: Path) -> tuple[Problem, ...]:
        """Pieces of lines that were moved out of a file stay worth a word."""
        problems = []
        with contextlib.suppress(OSError):
            for kept in sorted(self._folder.glob(f"{_escaped(path.name)}{TORN}-*")):
                problems.append(warning("record-torn", size=kept.stat().st_size, kept=kept.name))
        return tuple(problems)

    @contextmanager
    def _opened(self, path: Path) -> Iterator[int]:
        make_folder(self._folder)
        handle = os.open(path, os.O_RDWR | os.O_APPEND | os.O_CREAT | _BINARY, 0o644)
        try:
            yield handle
        finally:
            os.close(handle)

    def _add(self, handle: int, path: Path, event: Envelope, line: str) -> None:
        size = os.fstat(handle).st_size
        known = self._known.pop(event.case, None)
        if known is not None and known[0] == (os.fstat(handle).st_ino, size):
            expected, start = known[1], b""
        else:
            # Whoever made the file may have died before its name was on the disk.
            sync_folder(self._folder)
            content = understand(_all(handle, size), path.name, event.case)
            if content.newer:
                raise NotKept(error("record-newer", case=event.case))
            if any(problem.code == "record-foreign" for problem in content.problems) and not content.events:
                raise NotKept(next(problem for problem in content.problems if problem.code == "record-foreign"))
            size = self._move_torn(handle, path, size, content)
            expected, start = content.next_number, b"\n" if content.unfinished else b""
        if event.number != expected:
            raise not_next(event, expected)
        data = start + line.encode("utf-8") + b"\n"
        try:
            _write(handle, data)
            os.fsync(handle)
        except OSError:
            # Best effort: what is left of the line is else found as torn.
            with contextlib.suppress(OSError):
                os.ftruncate(handle, size)
                os.fsync(handle)
            raise
        self._known[event.case] = ((os.fstat(handle).st_ino, size + len(data)), expected + 1)

    def _move_torn(self, handle: int, path: Path, size: int, content: Content) -> int:
        """Move a piece of a line into a file of its own, and only then cut it off; the size that is left."""
        if not content.torn:
            return size
        number = 1
        while (aside := path.with_name(f"{path.name}{TORN}-{number}")).exists():
            number += 1
        other = os.open(aside, os.O_WRONLY | os.O_CREAT | os.O_EXCL | _BINARY, 0o644)
        try:
            _write(other, content.torn)
            os.fsync(other)
        finally:
            os.close(other)
        sync_folder(self._folder)
        os.ftruncate(handle, size - len(content.torn))
        os.fsync(handle)
        return size - len(content.torn)


def _all(handle: int, size: int) -> bytes:
    os.lseek(handle, 0, os.SEEK_SET)
    pieces = []
    while size > 0 and (piece := os.read(handle, size)):
        pieces.append(piece)
        size -= len(piece)
    return b"".join(pieces)


def _write(handle: int, data: bytes) -> None:
    while data:
        data = data[os.write(handle, data) :]


def _escaped(name: str) -> str:
    return name.replace("[", "[[]").replace("*", "[*]").replace("?", "[?]")
