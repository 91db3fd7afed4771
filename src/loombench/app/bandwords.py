"""A band of readings in words, no finer than one reads them off a meter."""

from loombench.base.quantity import print_quantity
from loombench.base.wording import Catalogue

FINE_FROM_V = 10.0
"""Of ten volts and more two decimals are read."""


def edge_text(value: float, unit: str) -> str:
    """A value no finer than one reads it off a meter."""
    return print_quantity(value, unit, 4 if unit == "V" and abs(value) >= FINE_FROM_V else 3)


def band_text(low: float | None, high: float | None, near: float | None, unit: str, words: Catalogue) -> str:
    """What is read, from `low` up to `high` (None: open); `near` is what a sound vehicle shows, None if unknown."""
    keys = {(True, True): "any", (True, False): "up-to", (False, True): "over", (False, False): "within"}
    key = f"shell.{keys[low is None, high is None]}"
    if key == "shell.any" and near is not None:
        # Nothing is in doubt any more: the reading is to be that of a sound vehicle.
        key = "shell.near"
    one, two, sound = ("" if edge is None else edge_text(edge, unit) for edge in (low, high, near))
    return words.say(key, low=one, high=two, near=sound)
