"""The bundled typeface for a server of pages: the files by name, and the style rules that name them."""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from loombench.paper.typeface import CUTS, FOLDER, WEIGHTS, face_rule

MEDIA_TYPE = "font/woff2"


@dataclass(frozen=True)
class FontFile:
    """A cut in one weight: its file name, the weight (400 or 600), its characters as a style rule lists them."""

    name: str
    weight: int
    characters: str


FONT_FILES: Mapping[str, FontFile] = MappingProxyType(
    {
        name: FontFile(name, weight, characters)
        for word, weight in WEIGHTS.items()
        for cut, characters in CUTS.items()
        for name in (f"IBMPlexSans-{word}-{cut}.woff2",)
    }
)
"""All there are, by name."""


def font_bytes(name: str) -> bytes | None:
    """The content of a file in `FONT_FILES`; None for any other name, so that no path gets through."""
    return (FOLDER / name).read_bytes() if name in FONT_FILES else None


def font_style(address: str) -> str:
    """The style rules of all files, each at `address` and its name, fetched once a page needs its characters.

    Text is shown in another typeface until its own is there.
    """
    return "".join(
        face_rule(one.weight, f"{address}{one.name}", one.characters, swap=True) for one in FONT_FILES.values()
    )
