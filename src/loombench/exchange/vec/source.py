"""A VEC file or package as `vec.content.Content`: frame and version checked, large lists taken piece by piece."""

import re
from typing import BinaryIO

from loombench.base.problems import Level, Span
from loombench.exchange.report import Notes
from loombench.exchange.vec.content import Content, Thing
from loombench.exchange.xmlin import Element, read_xml

ROOT = "VecContent"
_CONTAINERS = frozenset({"DocumentVersion", "Specification"})
# Free remarks of the writing program and shapes in space: nothing of them is read.
_SKIPPED = frozenset({"CustomProperty", "BuildingBlock2D", "BuildingBlock3D", "GeometryNode3D", "GeometrySegment3D"})
_OLDEST, _NEWEST = (1, 1, 3), (2, 2, 99)


def read_content(source: bytes | BinaryIO, file: str, notes: Notes) -> Content | None:
    """The objects of one VEC document; None where it is none or cannot be read, and the notes say why."""
    content = Content(file, notes)
    filling = _Filling(content)
    if not read_xml(source, file, notes, _CONTAINERS, filling.take, _SKIPPED):
        return None
    _check_version(content, filling.root_line)
    return content


class _Filling:
    """Takes the elements as they come; remembers which document and specification is open."""

    def __init__(self, content: Content) -> None:
        self.content = content
        self.document: Thing | None = None
        self.specification: Thing | None = None
        self.root_line = 1

    def take(self, parent: str, element: Element) -> bool:
        """Put one element where it belongs; false where this is no VEC document."""
        content = self.content
        if not parent:
            self.root_line = element.line
            if element.tag != ROOT:
                where = Span(content.file, element.line)
                content.notes.add("vec-root", Level.ERROR, where, root=element.tag[:80])
                return False
        elif parent == ROOT and element.tag == "DocumentVersion":
            self.document = content.add(element, None)
        elif parent == ROOT:
            if element.children:
                content.add(element, None)
            elif element.tag == "VecVersion":
                content.version = element.text
        elif parent == "DocumentVersion" and element.tag == "Specification":
            self.specification = content.add(element, self.document)
            content.specifications.append(self.specification)
        elif parent == "DocumentVersion" and self.document is not None:
            _put(content, self.document, element)
        elif parent == "Specification" and self.specification is not None:
            _put(content, self.specification, element)
        return True


def _put(content: Content, into: Thing, element: Element) -> None:
    if element.children or element.attributes:
        if not isinstance(into.children, list):
            into.children = []
        into.children.append(content.add(element, into))
    else:
        if not isinstance(into.texts, list):
            into.texts = list(into.texts)
        into.texts += [element.tag, element.text]


def _check_version(content: Content, line: int) -> None:
    numbers = tuple(int(word) for word in re.findall(r"\d{1,4}", content.version)[:3])
    if not _OLDEST <= numbers <= _NEWEST:
        said = content.version[:40] or "?"
        content.notes.add("vec-version", Level.WARNING, Span(content.file, line), version=said)
