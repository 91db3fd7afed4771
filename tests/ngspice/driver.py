"""ngspice, kept warm in a process of its own, started again after a crash or when it takes too long.

Wants libngspice0 (39 was used). `operating_point` and `transient_end` take the lines of a sheet with its analysis card.
"""

import json
import math
import os
import select
import subprocess
import sys
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from types import TracebackType
from typing import Any

ROOT = Path(__file__).resolve().parents[2]


def piped(module: str) -> "tuple[subprocess.Popen[str], int]":
    """A module started in a process of its own, and the end of the pipe where its answers come out."""
    answers, theirs = os.pipe()
    process = subprocess.Popen(
        [sys.executable, "-m", module, str(theirs)],
        cwd=ROOT,
        stdin=subprocess.PIPE,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
        text=True,
        pass_fds=(theirs,),
    )
    os.close(theirs)
    return process, answers


class SpiceError(Exception):
    """ngspice gave no answer: not understood, not converged, crashed or too slow."""


@dataclass(frozen=True)
class Transient:
    """Node volts at the end, and how much each still moved from `tail_from` on."""

    end: Mapping[str, float]
    swing: Mapping[str, float]


def _complaint(said: list[str]) -> str:
    """What ngspice complains of, without the values it prints beside."""
    complaints = [line for line in said if line.startswith("stderr")]
    return "; ".join(complaints or said[-3:])


class Spice:
    """One ngspice process. Use as a context manager or call `close`."""

    def __init__(self, timeout_s: float = 60.0) -> None:
        self.timeout_s = timeout_s
        self.restarts = 0
        self._process: subprocess.Popen[str] | None = None
        self._answers = -1
        self._rest = b""

    def __enter__(self) -> "Spice":
        return self

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, at: TracebackType | None) -> None:
        self.close()

    def close(self) -> None:
        """End the process."""
        if self._process is not None:
            self._process.kill()
            self._process.wait()
            if self._process.stdin:
                self._process.stdin.close()
            os.close(self._answers)
            self._process = None

    def operating_point(self, lines: Sequence[str]) -> dict[str, float]:
        """Node volts (lower-case names, no entry for 0) of a sheet with an `.op` card.

        Raises:
            SpiceError: no answer.
        """
        answer = self._ask(lines, 0.0)
        if not answer["plot"].startswith("op"):
            raise SpiceError(_complaint(answer["said"]))
        if not answer["end"] or any(math.isnan(v) for name, v in answer["end"].items() if "#" not in name):
            raise SpiceError("not a number")
        return dict(answer["end"])

    def transient_end(self, lines: Sequence[str], tail_from: float = 0.0) -> Transient:
        """Node volts at the end of a sheet with a `.tran` card. Raises SpiceError if it does not reach its end."""
        stop = next(float(line.split()[2]) for line in lines if line.startswith(".tran"))
        answer = self._ask(lines, tail_from)
        if not answer["plot"].startswith("tran") or answer["end"].get("time", 0.0) < stop * (1.0 - 1e-9):
            raise SpiceError(_complaint(answer["said"]))
        return Transient(answer["end"], answer["swing"])

    def _ask(self, lines: Sequence[str], tail_from: float) -> dict[str, Any]:
        if self._process is None:
            self._start()
        assert self._process is not None
        assert self._process.stdin is not None
        try:
            self._process.stdin.write(json.dumps({"lines": list(lines), "tail_from": tail_from}) + "\n")
            self._process.stdin.flush()
            text = self._read_line()
        except (BrokenPipeError, EOFError, TimeoutError) as error:
            self.close()
            self.restarts += 1
            raise SpiceError(f"{type(error).__name__}: {error}") from error
        answer: dict[str, Any] = json.loads(text)
        if "failed" in answer:
            self.close()
            self.restarts += 1
            raise SpiceError(f"{answer['failed']}: " + "; ".join(answer["said"]))
        return answer

    def _start(self) -> None:
        self._process, self._answers = piped("tests.ngspice.worker")
        self._rest = b""

    def _read_line(self) -> bytes:
        left = self._rest
        while b"\n" not in left:
            ready, _, _ = select.select([self._answers], [], [], self.timeout_s)
            if not ready:
                raise TimeoutError(f"no answer within {self.timeout_s} s")
            piece = os.read(self._answers, 1 << 20)
            if not piece:
                raise EOFError("the process ended")
            left += piece
        line, self._rest = left.split(b"\n", 1)
        return line
