"""A document as plain values, before anything knows whether it becomes a PDF or a page in the browser.

Texts are texts: nothing in them is markup, whatever they hold. A newline in one is a line break.
"""

import re
from dataclasses import dataclass

LEFT, RIGHT, CENTRE = "left", "right", "centre"
NARROW = 24
"""A column whose cells all have at most so many characters is as wide as they are; others share what is left."""

_DROPPED = re.compile(
    # Control signs, half characters, and the signs that turn the direction of text by force: with those a reading could
    # be made to look like another.
    "[\x00-\x08\x0b-\x1f\x7f-\x9f\ud800-\udfff\u202a-\u202e\u2066-\u2069\ufeff\ufffe\uffff]"
)
_LINE_END = re.compile("\r\n|[\r\x0b\x0c\x85\u2028\u2029]")


@dataclass(frozen=True)
class Heading:
    """The heading of a part."""

    text: str


@dataclass(frozen=True)
class Paragraph:
    """A paragraph. `weight` is normal, strong (what must not be missed) or quiet (small print)."""

    text: str
    weight: str = "normal"


@dataclass(frozen=True)
class Caution:
    """Cautions in a frame; they stand before what they are about."""

    title: str
    texts: tuple[str, ...]


@dataclass(frozen=True)
class Facts:
    """Pairs of label and value, in one or two columns; those of two read across."""

    pairs: tuple[tuple[str, str], ...]
    columns: int = 1


@dataclass(frozen=True)
class Table:
    """A table. `align` has left, right or centre for each column; `strong` are the rows (from 0) set in bold.

    Raises:
        ValueError: a row or `align` has another number of cells than the header.
    """

    header: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    align: tuple[str, ...] = ()
    strong: frozenset[int] = frozenset()

    def __post_init__(self) -> None:
        width = len(self.header)
        if any(len(row) != width for row in self.rows) or (self.align and len(self.align) != width):
            raise ValueError(f"every row of this table has {width} cells")

    @property
    def alignment(self) -> tuple[str, ...]:
        """How each column is set; left unless said."""
        return self.align or (LEFT,) * len(self.header)

    @property
    def narrow(self) -> tuple[bool, ...]:
        """Which columns are as wide as what is in them; if none shares the rest, the first does."""
        columns = list(zip(self.header, *self.rows, strict=True))
        found = [all(len(cell) <= NARROW and "\n" not in cell for cell in column) for column in columns]
        if all(found):
            found[:1] = [False]
        return tuple(found)


@dataclass(frozen=True)
class Steps:
    """Numbered steps."""

    texts: tuple[str, ...]


@dataclass(frozen=True)
class Svg:
    """A drawing of ours as SVG, with what it shows in words for who cannot see it."""

    text: str
    width_mm: float
    alt: str


@dataclass(frozen=True)
class Rule:
    """A line across."""


@dataclass(frozen=True)
class PageBreak:
    """What follows starts on a new page."""


@dataclass(frozen=True)
class SignatureLines:
    """Lines to sign on, side by side, each with its label below."""

    labels: tuple[str, ...]


Piece = Heading | Paragraph | Caution | Facts | Table | Steps


@dataclass(frozen=True)
class Together:
    """What stays on one page. It must be shorter than one: the setting does not part it."""

    blocks: tuple[Piece, ...]


Block = Piece | Svg | Rule | PageBreak | SignatureLines | Together


@dataclass(frozen=True)
class Sheet:
    """A drawing that fills a page of its own, with the size of its paper, and what it shows in words. One unit of the
    SVG is a millimetre."""

    svg: str
    width_mm: float
    height_mm: float
    alt: str


@dataclass(frozen=True)
class Document:
    """What is printed. `footer` stands at the foot of each page beside its number; `language` as in BCP 47 (`en`). With
    `one_page` a PDF is set somewhat smaller where that brings its blocks onto one page. `sheets` come after them."""

    title: str
    subtitle: str
    blocks: tuple[Block, ...]
    footer: str = ""
    language: str = "en"
    one_page: bool = False
    sheets: tuple[Sheet, ...] = ()


def clean(text: str) -> str:
    """A text without what cannot or must not be printed; everything else stays as it is."""
    return _DROPPED.sub("", _LINE_END.sub("\n", text).replace("\t", " "))
