"""XML of unknown origin, read as a stream: each wanted element whole and with its line, then forgotten.

The standard library's expat does the parsing. A document type is refused, so there are no entities but XML's own five
and nothing outside the file is ever looked for. Depth, attributes, text, number and size are limited, and so is the
memory of what the parser itself holds back.
"""

from collections.abc import Callable, Collection
from dataclasses import dataclass, field
from typing import BinaryIO
from xml.parsers import expat

from loombench.base.problems import Level, Span
from loombench.base.wording import phrase
from loombench.exchange.report import Notes
from loombench.exchange.xmltext import text_pieces

_PIECE = 1 << 16


@dataclass(frozen=True)
class XmlLimits:
    """Far above what harness data needs, low enough that no file stalls the bench or fills its memory.

    `largest_file` in bytes; `deepest` elements in one another; `most_attributes` of one element; `longest_tag` bytes
    of a tag, comment or instruction; `longest_text` characters of one element; `most_inside` elements and
    `most_text` characters in one element that is handed over whole.
    """

    largest_file: int = 256_000_000
    deepest: int = 60
    most_attributes: int = 200
    longest_tag: int = 1_000_000
    longest_text: int = 16_000_000
    most_inside: int = 300_000
    most_text: int = 32_000_000


XML_LIMITS = XmlLimits()


@dataclass(slots=True)
class Element:
    """An element as it stood in the file: names without prefix, attributes, text (of one without children), children.

    `line` counts from 1. Namespace declarations are kept among the attributes as they are written (`xmlns:kbl`).
    """

    tag: str
    attributes: dict[str, str]
    line: int
    text: str = ""
    children: list["Element"] = field(default_factory=list)

    @property
    def id(self) -> str:
        """The attribute `id`, or an empty text."""
        return self.attributes.get("id", "")

    @property
    def type(self) -> str:
        """What `xsi:type` says, without its prefix, or an empty text."""
        return self.attributes.get("type", "").rpartition(":")[2]

    def first(self, tag: str) -> "Element | None":
        """The first child of that name."""
        for child in self.children:
            if child.tag == tag:
                return child
        return None

    def all(self, tag: str) -> "list[Element]":
        """All children of that name, in order."""
        return [child for child in self.children if child.tag == tag]

    def say(self, tag: str) -> str:
        """The text of the first child of that name, or an empty text."""
        child = self.first(tag)
        return child.text if child is not None else ""

    def refs(self, tag: str) -> tuple[str, ...]:
        """The ids that all children of that name list, in order."""
        return tuple(word for child in self.children if child.tag == tag for word in child.text.split())


Take = Callable[[str, Element], bool]
"""Given the parent's name and an element: a container as it opens, without children; any other when it ends."""


def read_xml(
    source: bytes | BinaryIO,
    file: str,
    notes: Notes,
    containers: Collection[str],
    take: Take,
    skipped: Collection[str] = (),
    limits: XmlLimits = XML_LIMITS,
    mixed: bool = False,
) -> bool:
    """Read a document, handing each child of a container to `take`; true when all of it was read.

    The root is always a container, the others are those elements directly in a container whose name is in
    `containers`. Elements named in `skipped` are left out with all that is in them. With `mixed`, text keeps its
    blanks, and text beside children is kept in its place as a child without a name. `take` gives false to stop. Where
    this returns false because the file is bad, one problem says why and where; what was handed over before is of no
    use then.
    """
    pieces = text_pieces(source, file, notes, limits.largest_file)
    if pieces is None:
        return False
    reading = _Reading(file, notes, frozenset(containers), frozenset(skipped), take, limits, mixed)
    try:
        for piece in pieces:
            reading.feed(piece)
        reading.parser.Parse("", True)
    except expat.ExpatError as broken:
        reason = expat.ErrorString(broken.code)
        notes.add("xml-broken", Level.ERROR, Span(file, broken.lineno, broken.offset + 1), reason=reason)
        return False
    except _Stopped:
        return False
    return True


class _Stopped(Exception):  # noqa: N818  (it is no error, but how a handler tells the parser to leave off)
    """Raised by a handler to leave the parser; caught where it was started."""


class _Reading:
    """One document while it is read."""

    def __init__(
        self, file: str, notes: Notes, containers: frozenset[str], skipped: frozenset[str], take: Take,
        limits: XmlLimits, mixed: bool,
    ) -> None:  # fmt: skip
        self.file, self.notes, self.take, self.limits, self.mixed = file, notes, take, limits, mixed
        self.containers, self.skipped = containers, skipped
        self.parser = parser = expat.ParserCreate("utf-8")
        parser.buffer_text = True
        parser.StartDoctypeDeclHandler = self._doctype
        parser.StartElementHandler = self._start
        parser.EndElementHandler = self._end
        parser.CharacterDataHandler = self._text
        self.open: list[str] = []  # the containers we are in
        self.stack: list[Element] = []  # from an element that will be handed over down to the one being read
        self.aside = 0  # how deep in an element that is left out
        self.inside = self.letters = self.own = self.fed = 0
        self.words: list[str] = []
        self.names: dict[str, str] = {}

    def feed(self, piece: str) -> None:
        """Parse one more piece."""
        if not self.fed:
            piece = piece.lstrip("\ufeff \t\r\n")
        self.fed += len(piece) if piece.isascii() else len(piece.encode("utf-8", "replace"))
        self._allow("largest_file", self.fed)
        self.parser.Parse(piece, False)
        # What the parser has not been able to say yet is one unfinished tag or comment, which it holds whole.
        self._allow("longest_tag", self.fed - max(self.parser.CurrentByteIndex, 0) - _PIECE)

    def _allow(self, name: str, count: int) -> None:
        limit: int = getattr(self.limits, name)
        if count > limit:
            self._stop("xml-limit", what=phrase(f"xml.{name}"), limit=limit)

    def _stop(self, code: str, **facts: object) -> None:
        self.notes.add(code, Level.ERROR, Span(self.file, self.parser.CurrentLineNumber), **facts)
        raise _Stopped

    def _doctype(self, name: str, *_more: object) -> None:
        self._stop("xml-doctype", name=name[:60])

    def _start(self, name: str, attributes: dict[str, str]) -> None:
        if self.mixed:
            self._keep_text()
        self.words.clear()
        self.own = 0
        if len(self.open) + len(self.stack) + self.aside >= self.limits.deepest:
            self._allow("deepest", self.limits.deepest + 1)
        if len(attributes) > self.limits.most_attributes:
            self._allow("most_attributes", len(attributes))
        if self.aside:
            self.aside += 1
            return
        tag = self.names.get(name)
        if tag is None:
            tag = self.names[name] = name.rpartition(":")[2]
        if tag in self.skipped and self.open:
            self.aside = 1
            return
        if len(attributes) > 1 or (attributes and "id" not in attributes):
            attributes = _plain(attributes)
        element = Element(tag, attributes, self.parser.CurrentLineNumber)
        if self.stack:
            self.inside += 1
            if self.inside > self.limits.most_inside:
                self._allow("most_inside", self.inside)
            self.stack[-1].children.append(element)
            self.stack.append(element)
        elif not self.open or tag in self.containers:
            parent = self.open[-1] if self.open else ""
            self.open.append(tag)
            if not self.take(parent, element):
                raise _Stopped
        else:
            self.inside = self.letters = 0
            self.stack.append(element)

    def _keep_text(self) -> None:
        """Text that stands beside children, as a child of the innermost element."""
        if self.words and self.stack and not self.aside:
            self.stack[-1].children.append(Element("", {}, self.parser.CurrentLineNumber, "".join(self.words)))
            self.words.clear()

    def _end(self, _name: str) -> None:
        if self.aside:
            self.aside -= 1
        elif self.stack:
            if self.mixed and self.stack[-1].children:
                self._keep_text()
            element = self.stack.pop()
            if self.words:
                if not element.children:
                    element.text = "".join(self.words) if self.mixed else "".join(self.words).strip()
                self.words.clear()
            if not self.stack and not self.take(self.open[-1], element):
                raise _Stopped
        else:
            self.open.pop()

    def _text(self, data: str) -> None:
        if not self.stack or self.aside:
            return
        self.own += len(data)
        self.letters += len(data)
        if self.own > self.limits.longest_text or self.letters > self.limits.most_text:
            self._allow("longest_text", self.own)
            self._allow("most_text", self.letters)
        self.words.append(data)


def _plain(attributes: dict[str, str]) -> dict[str, str]:
    """The attributes with their names' prefixes taken off; one written without a prefix wins over one with it."""
    plain = {name.rpartition(":")[2]: value for name, value in attributes.items() if not name.startswith("xmlns")}
    return plain | {name: value for name, value in attributes.items() if ":" not in name or name.startswith("xmlns")}
