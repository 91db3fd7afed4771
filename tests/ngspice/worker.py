"""The process that holds ngspice: reads a sheet a line of JSON on stdin, writes the answer as a line of JSON.

The library is one global instance and may end its process; it lives here alone so that only this process is lost.
Answers go to the descriptor given as first argument, since the library itself writes to stdout.
"""

import ctypes as c
import json
import os
import sys
from typing import Any

import numpy as np

LINE = c.CFUNCTYPE(c.c_int, c.c_char_p, c.c_int, c.c_void_p)
EXIT = c.CFUNCTYPE(c.c_int, c.c_int, c.c_bool, c.c_bool, c.c_int, c.c_void_p)


class Vector(c.Structure):
    """What the library tells of a vector (`pvector_info` of sharedspice.h)."""

    _fields_ = (
        ("name", c.c_char_p),
        ("type", c.c_int),
        ("flags", c.c_short),
        ("real", c.POINTER(c.c_double)),
        ("complex", c.c_void_p),
        ("length", c.c_int),
    )


class Library:
    """The library, with what it has said since the last question."""

    def __init__(self) -> None:
        self.said: list[str] = []
        self.lib = c.CDLL("libngspice.so.0")
        # The references are kept, since the library calls them for as long as it lives.
        self.calls = (LINE(self._heard), LINE(lambda *_: 0), EXIT(self._gone))
        self.lib.ngSpice_Init(*self.calls, None, None, None, None)
        self.lib.ngGet_Vec_Info.restype = c.POINTER(Vector)
        self.lib.ngSpice_CurPlot.restype = c.c_char_p
        self.lib.ngSpice_AllVecs.restype = c.POINTER(c.c_char_p)

    def _heard(self, text: bytes, *_: object) -> int:
        self.said.append(text.decode(errors="replace"))
        return 0

    def _gone(self, *_: object) -> int:
        # After this the library cannot be used again; the other side starts a new process.
        os._exit(3)

    def command(self, text: str) -> None:
        """Give a command."""
        self.lib.ngSpice_Command(text.encode())

    def run(self, lines: list[str], tail_from: float) -> dict[str, Any]:
        """Run a sheet with its own analysis card; the last value of each vector, and its swing from a time on."""
        self.said.clear()
        sheet = [line.encode() for line in lines if line.strip()]
        if self.lib.ngSpice_Circ((c.c_char_p * (len(sheet) + 1))(*sheet, None)):
            return {"failed": "the sheet is not understood", "said": self.said[-20:]}
        self.command("run")
        plot = self.lib.ngSpice_CurPlot()
        names = self.lib.ngSpice_AllVecs(plot)
        found: dict[str, Any] = {}
        k = 0
        while names and names[k]:
            name = names[k]
            info = self.lib.ngGet_Vec_Info(plot + b"." + name)
            k += 1
            if info and info.contents.real and info.contents.length:
                found[name.decode().lower()] = np.ctypeslib.as_array(info.contents.real, (info.contents.length,))
        answer: dict[str, Any] = {"plot": plot.decode(), "end": {}, "swing": {}, "said": self.said[-20:]}
        time = found.get("time")
        for name, values in found.items():
            answer["end"][name] = float(values[-1])
            if time is not None:
                late = values[time >= tail_from]
                answer["swing"][name] = float(late.max() - late.min()) if late.size else 0.0
        found.clear()
        self.command("destroy all")
        self.command("remcirc")
        return answer


def main() -> None:
    """Answer questions until stdin ends."""
    library = Library()
    with os.fdopen(int(sys.argv[1]), "w") as out:
        for line in sys.stdin:
            question = json.loads(line)
            out.write(json.dumps(library.run(question["lines"], question["tail_from"])) + "\n")
            out.flush()


if __name__ == "__main__":
    main()
