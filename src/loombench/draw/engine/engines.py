"""The JavaScript engines that can run the layout script: the one installed with the drawings, and a small one instead.

All of them give the same coordinates for the same graph (measured over both and two browsers' engines).
"""

import importlib
import weakref
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from typing import Any, Protocol

from loombench.base.outcome import Outcome
from loombench.base.problems import error
from loombench.draw.engine.script import FUNCTION, source

MOST_S = 60.0
"""A layout that takes longer is stopped."""
_FLAGS = ("--single-threaded", "--no-opt")
"""No optimizing compiler: for the few drawings of a run it takes longer over the script than it saves (a function of 60
parts: 1.45 s with it, 1.0 s without), and from the third round on both are even."""


class Engine(Protocol):
    """Runs the layout script."""

    def lay(self, graph: str) -> str:
        """The answer of the script to a graph, both as JSON.

        Raises:
            EngineError: the script did not come to an end.
        """


class EngineError(Exception):
    """The engine gave up: time, memory, or an error of the script."""


class _MiniRacer:
    def __init__(self, module: Any) -> None:
        # In a thread of its own: in one that runs an event loop this engine would wait for itself.
        self._thread = ThreadPoolExecutor(1, "layout")
        module.init_mini_racer(flags=_FLAGS, ignore_duplicate_init=True)
        self._racer = self._thread.submit(module.MiniRacer).result()
        # Left to the interpreter's own end its thread is stopped too late, and the program hangs.
        weakref.finalize(self, self._racer.close)
        self._errors: tuple[type[BaseException], ...] = (module.JSEvalException,)
        self._thread.submit(self._racer.eval, source()).result()

    def lay(self, graph: str) -> str:
        try:
            return str(self._thread.submit(self._racer.call, FUNCTION, graph, timeout_sec=MOST_S).result())
        except self._errors as wrong:
            raise EngineError(str(wrong)[:200]) from wrong


class _QuickJs:
    def __init__(self, module: Any) -> None:
        self._context = module.Context()
        self._errors: tuple[type[BaseException], ...] = (module.JSException,)
        self._context.set_max_stack_size(8 << 20)
        self._context.eval(source())
        self._function = self._context.get(FUNCTION)

    def lay(self, graph: str) -> str:
        self._context.set_time_limit(MOST_S)
        try:
            return str(self._function(graph))
        except self._errors as wrong:
            raise EngineError(str(wrong)[:200]) from wrong


_ENGINES: tuple[tuple[str, Callable[[Any], Engine]], ...] = (("py_mini_racer", _MiniRacer), ("quickjs", _QuickJs))
"""By the name of the module each needs, the fastest first."""


def load_engine() -> Outcome[Engine | None]:
    """The first engine that is installed, with the script loaded; None with the problem where none is."""
    for name, made in _ENGINES:
        try:
            module = importlib.import_module(name)
        except ImportError:
            continue
        return Outcome(made(module))
    return Outcome(None, (error("drawing-engine-missing"),))
