"""What a page about the record shows: its files are laid in a folder, and things are done there.

cut N             N bytes are lost at the end of the record
long              a line longer than any event follows in the record
folder            a folder stands in the record's place
blocked           a plain file stands in the place of the store's folder
lock              somebody else holds the record's lock
full              the disk takes no more bytes
read CASE         the case is read
add CASE NUMBER   a note of that number is added to the case (the case is the rest of the line before the number)
"""

import errno
import os
import tempfile
from collections.abc import Mapping, Sequence
from contextlib import ExitStack
from pathlib import Path
from unittest.mock import patch

from loombench.base.problems import Problem
from loombench.evidence.envelope import envelope
from loombench.evidence.events import Note
from loombench.record.jsonl import JsonlStore
from loombench.record.lines import LONGEST_LINE
from loombench.record.lock import locked
from loombench.record.store import NotKept

TIME = "2026-03-02T14:05:00+01:00"


def record_problems(files: Mapping[str, str], ask: str) -> Sequence[Problem]:
    """The problems of all that is done."""
    with tempfile.TemporaryDirectory() as name, ExitStack() as stack:
        folder = Path(name) / "cases"
        folder.mkdir()
        for file, text in files.items():
            (folder / file).write_text(text, encoding="utf-8", newline="")
        return [item for line in ask.splitlines() for item in _do(folder, line, stack)]


def _do(folder: Path, line: str, stack: ExitStack) -> Sequence[Problem]:
    store = JsonlStore(folder, wait_s=0.0)
    verb, _, rest = line.partition(" ")
    match verb:
        case "cut":
            (path,) = folder.iterdir()
            os.truncate(path, path.stat().st_size - int(rest))
        case "long":
            (path,) = folder.iterdir()
            path.write_bytes(path.read_bytes() + b"x" * (LONGEST_LINE + 1) + b"\n")
        case "folder":
            (folder / "case-2026-014.jsonl").mkdir()
        case "blocked":
            folder.rmdir()
            folder.write_text("")
        case "lock":
            (path,) = folder.iterdir()
            file = stack.enter_context(path.open("rb"))
            stack.enter_context(locked(file.fileno(), 0.0))
        case "full":
            full = OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
            stack.enter_context(patch("loombench.record.jsonl.os.write", side_effect=full))
        case "read":
            return store.read(rest).problems
        case "add":
            case, _, number = rest.rpartition(" ")
            try:
                store.append(envelope(int(number), TIME, case, "M. Holm", Note("a note")))
            except NotKept as refused:
                return [refused.problem]
        case _:
            raise ValueError(line)
    return []
