"""Arrangements kept by what was asked: in memory, and in a folder where there is one that can be written.

A file that was cut off or altered is not used: the first line has the digest of what follows. Nothing here may keep a
drawing from being made, so what goes wrong with files is passed over.
"""

import hashlib
import os
import tempfile
from collections import OrderedDict
from collections.abc import Callable
from pathlib import Path

from loombench.draw.engine.engines import Engine

FORMAT = "loombench layout 1, elkjs 0.12.1\n"
MOST_IN_MEMORY = 256
MOST_FILES = 2000
_SUFFIX = ".layout"


class Remembered:
    """Asks the engine that `start` gives, once for each graph; the engine is started when it is needed first."""

    def __init__(self, start: Callable[[], Engine], folder: Path | None = None) -> None:
        self._start = start
        self._folder = folder
        self._engine: Engine | None = None
        self._known: OrderedDict[str, str] = OrderedDict()

    def lay(self, graph: str) -> str:
        """The answer to a graph, both as JSON.

        Raises:
            EngineError: the engine gave up.
        """
        key = hashlib.sha256(f"{FORMAT}{graph}".encode()).hexdigest()
        answer = self._known.get(key) or self._read(key)
        if answer is None:
            if self._engine is None:
                self._engine = self._start()
            answer = self._engine.lay(graph)
            if answer.startswith('{"ok"'):
                self._write(key, answer)
        self._known[key] = answer
        self._known.move_to_end(key)
        while len(self._known) > MOST_IN_MEMORY:
            self._known.popitem(last=False)
        return answer

    def _read(self, key: str) -> str | None:
        if self._folder is None:
            return None
        try:
            digest, _, answer = (self._folder / f"{key}{_SUFFIX}").read_text(encoding="utf-8").partition("\n")
        except (OSError, ValueError):
            return None
        return answer if digest == _digest(answer) else None

    def _write(self, key: str, answer: str) -> None:
        if self._folder is None:
            return
        name = ""
        try:
            self._folder.mkdir(parents=True, exist_ok=True)
            handle, name = tempfile.mkstemp(prefix=".", dir=self._folder)
            with os.fdopen(handle, "w", encoding="utf-8") as file:
                file.write(f"{_digest(answer)}\n{answer}")
            Path(name).replace(self._folder / f"{key}{_SUFFIX}")
            self._tidy()
        except OSError:
            if name:
                Path(name).unlink(missing_ok=True)

    def _tidy(self) -> None:
        """Let the files that were written longest ago go where there are too many."""
        assert self._folder is not None
        files = list(self._folder.glob(f"*{_SUFFIX}"))
        if len(files) > MOST_FILES:
            files.sort(key=lambda path: (path.stat().st_mtime, path.name))
            for path in files[: len(files) - MOST_FILES // 2]:
                path.unlink(missing_ok=True)


def _digest(answer: str) -> str:
    return hashlib.sha256(answer.encode()).hexdigest()
