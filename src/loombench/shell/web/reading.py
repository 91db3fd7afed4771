"""Reading the program in one go."""

import gc
from collections.abc import Iterator
from contextlib import contextmanager


@contextmanager
def undisturbed() -> Iterator[None]:
    """While modules are read nothing is looked through for waste: all they make stays. It is put aside after."""
    gc.disable()
    try:
        yield
    finally:
        gc.freeze()
        gc.enable()
