"""Where the workers come from: a process that has read the program once, and makes a worker by splitting off a copy.

So a worker is there at once, also one in place of another that died, and all share the memory of what was read. The
system of some machines has no such way; there each worker reads the program for itself.
"""

import multiprocessing
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from multiprocessing.context import ForkServerContext, SpawnContext

WORKER = "loombench.shell.web.ready"


def worker_context() -> "ForkServerContext | SpawnContext":
    """How workers are made on this machine."""
    if "forkserver" not in multiprocessing.get_all_start_methods():
        return multiprocessing.get_context("spawn")
    context = multiprocessing.get_context("forkserver")
    context.set_forkserver_preload([WORKER])
    return context


def begin_reading() -> None:
    """Let that process read the program from now on, beside whatever the server does until it needs a worker."""
    if worker_context().get_start_method() == "forkserver":
        from multiprocessing import forkserver  # noqa: PLC0415  (there is none where there is no such way)

        forkserver.ensure_running()
