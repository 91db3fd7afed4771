"""ngspice kept warm with one sheet in it, whose resistors are altered and put back; and a sheet anew for each question.

It runs in a process of its own, since the library may end it, and tells how much processor time the library took for
each answer, so that neither the pipe nor Python counts against it. Wants libngspice0.
"""

import ctypes as c
import json
import os
import sys
import time
from collections.abc import Sequence
from pathlib import Path
from types import TracebackType
from typing import Any

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from tests.ngspice.driver import piped
from tests.ngspice.worker import Library


class WarmSpice:
    """One ngspice with a sheet. Use as a context manager. A question it cannot answer gives None."""

    def __init__(self, sheet: Sequence[str]) -> None:
        self.sheet = list(sheet)
        self._process, self._answers = piped("benchmarks.spicewarm")
        self._out = os.fdopen(self._answers)

    def __enter__(self) -> "WarmSpice":
        return self

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, at: TracebackType | None) -> None:
        self._process.kill()
        self._process.wait()
        self._out.close()

    def fresh(self, sheet: Sequence[str]) -> tuple[float, dict[str, float]] | None:
        """Seconds and node volts of a sheet that is read, run and thrown away."""
        return self._ask({"sheet": list(sheet), "keep": False})

    def load(self) -> tuple[float, dict[str, float]] | None:
        """Take in the sheet that is altered afterwards, and solve it."""
        return self._ask({"sheet": self.sheet, "keep": True})

    def altered(self, resistor: str, ohm: float, back_ohm: float) -> tuple[float, dict[str, float]] | None:
        """Seconds and node volts with a resistor of the sheet at another value, which is put back after."""
        return self._ask({"resistor": resistor, "ohm": ohm, "back": back_ohm})

    def _ask(self, question: dict[str, Any]) -> tuple[float, dict[str, float]] | None:
        assert self._process.stdin is not None
        try:
            self._process.stdin.write(json.dumps(question) + "\n")
            self._process.stdin.flush()
        except BrokenPipeError:
            return None
        line = self._out.readline()
        if not line:
            return None
        answer = json.loads(line)
        return (answer["seconds"], answer["volts"]) if answer["volts"] else None


def _volts(library: Library) -> dict[str, float]:
    """The end of each node's vector in the plot that was made last, nothing if that is no operating point."""
    plot = library.lib.ngSpice_CurPlot()
    names = library.lib.ngSpice_AllVecs(plot)
    found: dict[str, float] = {}
    k = 0
    while plot.startswith(b"op") and names and names[k]:
        info = library.lib.ngGet_Vec_Info(plot + b"." + names[k])
        if b"#" not in names[k] and info and info.contents.real and info.contents.length:
            found[names[k].decode().lower()] = float(info.contents.real[info.contents.length - 1])
        k += 1
    return found


def _answer(library: Library, question: dict[str, Any]) -> dict[str, Any]:
    begun = time.process_time()
    if "sheet" in question:
        lines = [line.encode() for line in question["sheet"] if line.strip()]
        library.lib.ngSpice_Circ((c.c_char_p * (len(lines) + 1))(*lines, None))
        library.command("run")
    else:
        library.command(f"alter {question['resistor']} = {question['ohm']!r}")
        library.command("op")
    seconds, volts = time.process_time() - begun, _volts(library)
    begun = time.process_time()
    library.command("destroy all")
    if not question.get("keep", True):
        library.command("remcirc")
    if "back" in question:
        library.command(f"alter {question['resistor']} = {question['back']!r}")
    return {"seconds": seconds + time.process_time() - begun, "volts": volts}


def main() -> None:
    """Answer questions until stdin ends."""
    library = Library()
    with os.fdopen(int(sys.argv[1]), "w") as out:
        for line in sys.stdin:
            out.write(json.dumps(_answer(library, json.loads(line))) + "\n")
            out.flush()


if __name__ == "__main__":
    main()
