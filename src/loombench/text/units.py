"""Numbers and their units as they are typed: apart from each other, a size in millimetres; what is possible."""

import re
from collections.abc import Mapping

from loombench.base.quantity import Quantity, read_quantity
from loombench.text.numbers import BOUNDS, UNITS
from loombench.text.tokens import Token

_IN_MM = re.compile(r"(?P<number>\d{1,4}(?:[.,]\d{1,4})?)mm")
_SHORTEST_MM = 20
_BARE = re.compile(r"\d[\d.,]*|\?")
_KEYWORDS = ("in",)
"""Words that mean something else where a number stands before them: `in C4` is a cable, not inches."""
_LONGEST_UNIT = 6


def joined(
    found: tuple[Token, ...], units: Mapping[str, str] | None = None, every_spelling: bool = False
) -> tuple[Token, ...]:
    """The tokens with numbers and units that stand apart put together: `12 V`.

    With `every_spelling` so are those of `units` in any spelling that reads as one (`70 AH`, `10 amp`); without, where
    a word may be a pin, only those that no pin is called.
    """
    made: list[Token] = []
    for token in found:
        before = made[-1] if made else None
        bare = before is not None and before.is_word() and _BARE.fullmatch(before.text)
        sure = before is not None and before.text != "?"
        if before is not None and bare and token.is_word() and _is_unit(token.text, units, every_spelling, sure):
            made[-1] = Token(before.text + token.text, before.column, token.end)
        else:
            made.append(token)
    return tuple(made)


def _is_unit(word: str, units: Mapping[str, str] | None, every_spelling: bool, sure: bool) -> bool:
    """Whether a word is the unit of the number before it; behind a `?` only a unit that is taken here."""
    if sure and word in UNITS and (units is None or units):
        return True
    if not every_spelling or units is None or word in _KEYWORDS or word[0].isdigit() or len(word) > _LONGEST_UNIT:
        return False
    read = read_quantity(f"1{word}")
    return isinstance(read, Quantity) and read.unit in units


def size_in_mm(text: str, surely: bool = False) -> str:
    """The size meant by one in millimetres, `1.5mm2` by `1.5mm`; empty where the text may be a length.

    No wire or strap is shorter than 20 mm. With `surely` a longer one is no length either.
    """
    found = _IN_MM.fullmatch(text)
    if found is None or not (surely or float(found["number"].replace(",", ".")) < _SHORTEST_MM):
        return ""
    return f"{found['number']}mm2"


def limits_text(units: Mapping[str, str], text: str = "") -> str:
    """The possible range of each unit; of one alone where the text has it."""
    read = read_quantity(text.rpartition("..")[2])
    if isinstance(read, Quantity) and read.unit in units:
        units = {read.unit: ""}
    return ", ".join(f"{BOUNDS[unit][0]:g} to {BOUNDS[unit][1]:g} {unit}" for unit in units if unit in BOUNDS)
