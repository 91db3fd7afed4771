"""What the head of a column means, by words of several languages (`list_header.csv`, common practice).

A head is a thing (`pin`, `Farbe`, `longueur`), perhaps a side (`from`, `nach`, `A`, `2`) and perhaps a unit (`[mm]`).
"""

import re
import unicodedata
from dataclasses import dataclass
from functools import cache, lru_cache
from types import MappingProxyType

from loombench.facts.table import load_table

FROM, TO, SIDE_A, SIDE_B = "from", "to", "a", "b"
END = "end"
"""The thing of a head that is a side alone (`From`, `Nach`)."""

_ABOUT_SIDES = frozenset({"connector", "cavity", "terminal", "seal", "strip", END})
_SIDE_MARKS = MappingProxyType({"a": SIDE_A, "1": SIDE_A, "b": SIDE_B, "2": SIDE_B})
_PAIRED = frozenset({"colour"})
_UNITS = MappingProxyType({
    "mm2": "mm2", "qmm": "mm2", "mmq": "mm2", "sqmm": "mm2", "sq": "mm2", "awg": "awg", "ga": "awg", "mm": "mm",
    "cm": "cm", "m": "m", "in": "in", "inch": "in", "inches": "in", "ft": "ft", "feet": "ft", "metre": "m",
    "meter": "m",
})  # fmt: skip
_AMPERES = frozenset({"a", "amp", "amps", "ampere", "amperes"})
_AREA = ("mm2", "awg")
_MM2 = re.compile(r"mm\s*(?:²|\^2|2)(?!\d)|sq\.?\s?mm", re.IGNORECASE)
_BRACKET = re.compile(r"[(\[{]([^()\[\]{}]*)[)\]}]")
_HUMP = re.compile(r"(?<=[a-z])(?=[A-Z])")
_COPY = re.compile(r"(?<=[a-z])\.\d+$", re.IGNORECASE)
_LONGEST_HEAD = 80


@dataclass(frozen=True)
class Head:
    """A head as understood: `thing` is a field of the table (empty: none), `side` one of the four."""

    thing: str = ""
    side: str = ""
    unit: str = ""


@cache
def _things() -> MappingProxyType[str, str]:
    return MappingProxyType({_key(row.text("alias")): row.text("field") for row in load_table("list_header")})


def _key(text: str) -> str:
    plain = unicodedata.normalize("NFKD", text.casefold().replace("ß", "ss"))
    plain = "".join(mark for mark in plain if not unicodedata.combining(mark))
    return " ".join(re.findall(r"[a-z]+|\d+", plain))


@lru_cache(maxsize=4096)
def read_head(text: str) -> Head:
    """What a head says; a head without a known thing has an empty one."""
    text = _COPY.sub("", _HUMP.sub(" ", text[:_LONGEST_HEAD]))
    unit = ""
    for said in _BRACKET.findall(text):
        unit = unit or _unit(said)
    if unit:
        text = _BRACKET.sub(" ", text)
    bare = _MM2.sub(" qmm ", text.replace("º", " ").replace("°", " "))
    words = _key(bare).split()
    found = _thing(words)
    if found is None and words and words[-1] in _UNITS:
        unit = unit or _UNITS[words[-1]]
        found = _thing(words[:-1]) if len(words) > 1 else None
        if found is None and len(words) == 1 and unit in _AREA:
            found = "size", ""
    if found is None and len(words) > 1 and words[-1] in _AMPERES and _thing(words[:-1]) == ("rating", ""):
        found = "rating", ""
    if found is None:
        return Head()
    thing, side = found
    return Head(thing, side, unit if thing in ("size", "length") else "")


def _unit(text: str) -> str:
    words = _key(_MM2.sub(" qmm ", text)).split()
    return next((_UNITS[word] for word in words if word in _UNITS), "")


def _thing(words: list[str]) -> tuple[str, str] | None:
    """The thing and side of a head's words; None where they are no head that is known."""
    known = _things()
    whole = _lookup(words)
    if whole not in (None, FROM, TO, END):
        return (whole or ""), ""
    rest, side, bare = [], "", True
    for word in words:
        meant = known.get(word)
        if meant in (FROM, TO) or (word in _SIDE_MARKS and not side):
            side = meant if meant in (FROM, TO) else (side or _SIDE_MARKS[word])
        elif meant == END:
            bare = False
        else:
            rest.append(word)
    if not side or (bare and not rest and side in (SIDE_A, SIDE_B)):
        return None
    thing = _lookup(rest) if rest else END
    if thing in _ABOUT_SIDES or (thing in _PAIRED and side in (SIDE_A, SIDE_B)):
        return (thing or ""), side
    return None


def _lookup(words: list[str]) -> str | None:
    known = _things()
    return known.get(" ".join(words)) or known.get("".join(words)) or _joined().get("".join(words))


@cache
def _joined() -> MappingProxyType[str, str]:
    """Aliases written without blanks, for heads such as `wireno`."""
    return MappingProxyType({alias.replace(" ", ""): thing for alias, thing in _things().items()})


def unit_of(text: str) -> str:
    """The unit a cell names, empty where it is none that is known."""
    return _unit(text)
