"""Names of cavities that a spreadsheet took for something else: `1-2` became a date, `10E4` a power of ten.

What was typed cannot be told from what is left: 2 January is `1-2` or `2-1`, by the language of the spreadsheet. It is
turned back only where the caller says in which order it was typed; the candidates are named.
"""

import re
from datetime import date
from functools import lru_cache

from loombench.exchange.tables.model import DATE, EXPONENT
from loombench.exchange.wirelist.layout import DAY_FIRST, MONTH_FIRST
from loombench.exchange.wirelist.words import folded

# Short names of the months as spreadsheets show them, in English, German, French, Italian and Spanish (from memory).
_MONTHS = (
    "jan janv gen ene", "feb fev fevr", "mar mars mrz", "apr avr abr", "may mai mag", "jun juin giu", "jul juil lug",
    "aug aout ago", "sep sept set", "oct okt ott", "nov", "dec dez dic",
)  # fmt: skip
_ISO = re.compile(r"(\d{4})-(\d\d)-(\d\d)")
_FULL = re.compile(r"(\d{1,2})[./-](\d{1,2})[./-](?:19|20)\d\d")
_NAMED = re.compile(r"(\d{1,2})(?:[.\s-]|\. )([a-z]{3,4})\.?")
_POWER = re.compile(r"\d(?:[.,]\d+)?e[+-]\d{1,3}", re.IGNORECASE)


@lru_cache(maxsize=8192)
def restored(text: str, kind: str, order: str) -> tuple[str | None, str]:
    """The name as typed, None where it cannot be told; then also what it may have been, for a message."""
    if kind == EXPONENT or _POWER.fullmatch(text):
        return None, "10E4, 1E5, ..."
    found = _date(text, kind)
    if found is None:
        return text, ""
    day, month = found
    if order in (DAY_FIRST, MONTH_FIRST):
        return (f"{day}-{month}" if order == DAY_FIRST else f"{month}-{day}"), ""
    return None, " / ".join(dict.fromkeys((f"{day}-{month}", f"{month}-{day}")))


def _date(text: str, kind: str) -> tuple[int, int] | None:
    """Day and month of a text that is a date, and not a name that only looks like one."""
    iso = _ISO.fullmatch(text)
    if iso:
        return _day(int(iso[3]), int(iso[2]))
    if kind == DATE:
        return None
    full = _FULL.fullmatch(text)
    if full:
        return _day(int(full[1]), int(full[2])) or _day(int(full[2]), int(full[1]))
    named = _NAMED.fullmatch(folded(text))
    if named is None:
        return None
    month = next((at for at, names in enumerate(_MONTHS, 1) if named[2] in names.split()), 0)
    return _day(int(named[1]), month)


def _day(day: int, month: int) -> tuple[int, int] | None:
    try:
        date(2024, month, day)
    except ValueError:
        return None
    return day, month
