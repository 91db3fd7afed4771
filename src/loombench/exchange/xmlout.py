"""XML to write: elements as values, and names for them that are valid and used once."""

import re
from collections.abc import Iterable
from dataclasses import dataclass, field
from decimal import Decimal
from xml.sax.saxutils import escape, quoteattr

_NOT_XML = re.compile("[\x00-\x1f\ud800-\udfff\ufffe\uffff]")
NULL = "/NULL"
"""What files write for a text that is not known."""


@dataclass(slots=True)
class Tag:
    """An element: attributes in order; either a text or children. Children that are None were optional and are left."""

    name: str
    attributes: dict[str, str]
    text: str = ""
    children: list["Tag"] = field(default_factory=list)


def tag(name: str, *inside: "Tag | str | None", **attributes: str) -> Tag:
    """An element of children, or of one text. An attribute `xsi_type` is written `xsi:type`."""
    made = Tag(name, {key.replace("_", ":", 1) if key == "xsi_type" else key: at for key, at in attributes.items()})
    for one in inside:
        if isinstance(one, Tag):
            made.children.append(one)
        elif one is not None:
            made.text = one
    return made


def optional(name: str, text: str) -> Tag | None:
    """An element with a text, or none where the text is empty."""
    return tag(name, text) if text else None


def each(name: str, texts: Iterable[str]) -> Tag:
    """An element with a list of references."""
    return tag(name, " ".join(texts))


@dataclass
class Names:
    """Gives out ids: valid XML names, each once, the same ones for the same harness. Local to one file."""

    given: dict[str, int] = field(default_factory=dict)

    def new(self, kind: str) -> str:
        """The next id of a kind: `w1`, `w2` ..."""
        self.given[kind] = self.given.get(kind, 0) + 1
        return f"{kind}{self.given[kind]}"


def document(root: Tag) -> str:
    """The text of a file."""
    lines = ['<?xml version="1.0" encoding="UTF-8"?>\n']
    _lines(root, "", lines)
    return "".join(lines)


def _lines(one: Tag, space: str, lines: list[str]) -> None:
    head = "".join([f" {key}={quoteattr(_clean(value))}" for key, value in one.attributes.items()])
    if one.children:
        lines.append(f"{space}<{one.name}{head}>\n")
        for child in one.children:
            _lines(child, f"{space}  ", lines)
        lines.append(f"{space}</{one.name}>\n")
    else:
        lines.append(f"{space}<{one.name}{head}>{escape(_clean(one.text))}</{one.name}>\n")


def _clean(text: str) -> str:
    """Without what XML 1.0 cannot hold: control characters, halves of surrogate pairs."""
    return text if text.isalnum() and text.isascii() else _NOT_XML.sub(" ", text)


def plain(number: float) -> str:
    """A number so that it reads back as the same one, whole ones without a point."""
    return str(int(number)) if number == int(number) and abs(number) < 1e15 else repr(float(number))


def millimetres(length_m: float) -> str:
    """Metres as millimetres, without the noise of a binary product."""
    return plain(float(Decimal(repr(float(length_m))) * 1000))
