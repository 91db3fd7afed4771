"""How often Python looks through its memory for what nothing refers to any more."""

import gc

# A bench keeps millions of values for good, next to none of which refer to each other in circles; with Python's own
# numbers (700, 10, 10) a fifth of a long forecast went into looking through them.
_NEW_VALUES, _YOUNG, _MIDDLE = 20_000, 20, 50


def look_seldom() -> None:
    """From now on this process looks for waste seldom. For those who start a process, as it is the whole of it that is
    changed."""
    gc.set_threshold(_NEW_VALUES, _YOUNG, _MIDDLE)
