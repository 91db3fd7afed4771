"""The bare loops, compiled by numba where it is installed."""

import hashlib
import logging
import sys
from collections.abc import Callable, Sequence
from functools import cache
from pathlib import Path
from types import FunctionType, ModuleType
from typing import Any

from loombench.circuit.bare import arrays, laws, newton, ports, respond, small, sums, walk, whole
from loombench.circuit.loops import BY_LEVEL, Loops, OneByOne

# From this many nodes on, importing numba and reading its compiled code (about a second) pays within one settled state
# or two.
COMPILED_FROM_NODES = 1000
KEPT_IN = "compiled"
"""The folder of a virtual environment that keeps the machine code."""
COMPILING = "Compiling the solver for this machine, once: half a minute ..."
_LOG = logging.getLogger(__name__)
_CALLED = (
    sums.factor_loop,
    sums.backward_loop,
    laws.omega_of,
    laws.tangent_of,
    laws.limited_of,
    small.pivot_of,
    small.inverted,
    small.solved,
    small.noise_of,
    small.residual_loop,
    small.taken_loop,
    small.small_one,
    respond.admitted,
    respond.fed_loop,
    respond.beyond_loop,
    respond.fed_too,
    respond.fed_first,
    respond.response_loop,
    respond.across_loop,
    respond.put_down,
    ports.ports_loop,
    newton.ahead_loop,
    newton.some_factor_loop,
    newton.some_forward_loop,
    newton.some_backward_loop,
    newton.passed_loop,
    newton.alone_loop,
    newton.shown_loop,
    newton.linear_loop,
)
"""Those that others call."""


def compiled_from(nodes: int) -> OneByOne | None:
    """The compiled loops where they are there and pay."""
    loaded = compiled.cache_info().currsize > 0
    return compiled() if loaded or nodes >= COMPILED_FROM_NODES else None


def loops_for(nodes: int) -> Loops:
    """The loops for a network of so many nodes."""
    return compiled_from(nodes) or BY_LEVEL


@cache
def compiled() -> OneByOne | None:
    """The compiled loops, None where numba is not installed."""
    try:
        import numba  # noqa: PLC0415  (half a second, and optional)
        from numba.extending import register_jitable  # noqa: PLC0415
    except ImportError:
        return None
    callable_too: Any = register_jitable(error_model="numpy")
    for loop in _CALLED:
        callable_too(loop)
    types: Any = numba.types
    # Kept where it is told to, else in the virtual environment, whichever command runs there; else where Python keeps
    # its own compiled files, or nowhere if Python may not either.
    config: Any = numba.config
    if not config.CACHE_DIR and sys.prefix != sys.base_prefix:
        config.CACHE_DIR = str(Path(sys.prefix, KEPT_IN))
    keep = bool(config.CACHE_DIR) or not sys.dont_write_bytecode
    digest = _digest((arrays, sums, walk, laws, small, respond, ports, newton, whole))

    def fixed(kind: Any, dimensions: int = 1) -> Any:
        return types.Array(kind, dimensions, "C", readonly=True)

    index, known, whether = fixed(types.intp), fixed(types.float64), fixed(types.boolean)
    line, table = (types.Array(types.float64, n, "C") for n in (1, 2))
    plan = types.NamedUniTuple(index, len(arrays.PlanArrays._fields), arrays.PlanArrays)
    core = types.NamedUniTuple(index, len(arrays.CoreArrays._fields), arrays.CoreArrays)
    numbers = fixed(types.float64, 2)
    whole_table = types.Array(types.intp, 2, "C")
    none, count, real = types.void, types.intp, types.float64

    def made_of(loop: Callable[..., Any], result: Any, *arguments: Any) -> Callable[..., Any]:
        made: Callable[..., Any]
        # What is kept on disk goes by the loop's name and the date of its own file, but it calls loops of other files.
        named = FunctionType(loop.__code__, loop.__globals__, f"{loop.__name__}_{digest}")
        named.__module__, named.__qualname__ = loop.__module__, named.__name__
        try:
            made = numba.njit(result(*arguments), error_model="numpy", cache=keep)(named)
        except Exception:  # noqa: BLE001  (a cache folder that is missing, full or damaged must not stop the work)
            made = numba.njit(result(*arguments), error_model="numpy")(named)
        return made

    first: Any = made_of(sums.factor_loop, none, *[index] * 4, *[line] * 3)
    # All are kept together: where the first was not found, none is.
    if not first.stats.cache_hits:
        _LOG.warning(COMPILING)
    return OneByOne(
        first,
        made_of(sums.forward_loop, none, *[index] * 3, known, line),
        made_of(sums.forward_many_loop, none, *[index] * 3, known, table),
        made_of(sums.backward_loop, none, *[index] * 2, *[known] * 2, line, line),
        made_of(sums.backward_many_loop, none, *[index] * 2, *[known] * 2, table, table),
        made_of(sums.columns_loop, none, *[index] * 5, *[known] * 2, fixed(types.intp, 2), index, table, table, table),
        made_of(sums.islands_loop, none, fixed(types.intp, 2), whether, types.intp[::1]),
        made_of(walk.bridges_loop, none, *[index] * 2, whether, *[types.intp[::1]] * 3),
        made_of(laws.tangents_loop, none, numbers, index, numbers, table, table),
        made_of(
            respond.respond_loop,
            none,
            *[numbers, fixed(count, 2), numbers, *[index] * 3, numbers, *[numbers] * 3, known, index, fixed(count, 2)],
            *[numbers, known, index, table, whole_table, table, types.intp[::1]],
        ),
        made_of(
            newton.newton_loop,
            count,
            *[plan, core, plan, numbers, index, whether, *[index] * 2, *[known] * 2, index, count, fixed(count, 2)],
            *[index, numbers, known, *[real] * 2, count, line, table, *[line] * 4],
        ),
        made_of(
            whole.whole_loop,
            none,
            *[plan, *[known] * 2, fixed(count, 2), *[known] * 2, whether, real, index, count, *[index] * 2],
            *[known, known, numbers, index, whether, *[line] * 3],
        ),
    )


def _digest(modules: Sequence[ModuleType]) -> str:
    """What changes whenever one of the modules does."""
    found = hashlib.sha256()
    for module in modules:
        found.update(Path(str(module.__file__)).read_bytes())
    return found.hexdigest()[:16]
