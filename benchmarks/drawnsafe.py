"""Whether an SVG file may be opened anywhere: well formed, it says what it is, and nothing in it acts or fetches.

Read as XML, not as a browser forgives it.
"""

import re
import xml.etree.ElementTree as ET
from collections.abc import Iterator

from benchmarks.drawnpage import SVG

ALLOWED = frozenset({
    "svg", "g", "title", "desc", "text", "tspan", "line", "polyline", "polygon", "rect", "circle", "ellipse", "path",
    "a", "style", "defs", "metadata",
})  # fmt: skip
"""Elements a page is made of. No script, foreignObject, image, use, animation, filter or anything with a source."""
_FETCHES = re.compile(r"url\(|@import|expression\(|javascript:|data:|https?:|//|file:", re.IGNORECASE)


def unsafe(text: str) -> tuple[str, ...]:
    """One line for each thing that does not belong into a page's SVG."""
    try:
        root = ET.fromstring(text)
    except ET.ParseError as wrong:
        return (f"no XML: {wrong}",)
    return (*_head(root, text), *_inside(root))


def _head(root: ET.Element, text: str) -> Iterator[str]:
    if "<!DOCTYPE" in text or "<!ENTITY" in text or "<?xml-stylesheet" in text:
        yield "a document type, an entity or a style sheet"
    for name in ("title", "desc"):
        children = [child for child in root if child.tag == f"{SVG}{name}"]
        if len(children) != 1 or not (children[0].text or "").strip():
            yield f"no {name}, or more than one"
    if root.get("role") != "img":
        yield "the root has not the role of an image"
    if not root.get("width", "").endswith("mm") or not root.get("height", "").endswith("mm") or not root.get("viewBox"):
        yield "no size in mm, or no view box"
    if not any((element.text or "").strip() for element in root.iter(f"{SVG}text")):
        yield "no text"


def _inside(root: ET.Element) -> Iterator[str]:
    for element in root.iter():
        if not isinstance(element.tag, str):
            continue
        name = element.tag.removeprefix(SVG)
        if name not in ALLOWED:
            yield f"element {name[:40]}"
        for attribute, value in element.attrib.items():
            plain = attribute.rpartition("}")[2].lower()
            if plain.startswith("on"):
                yield f"attribute {plain[:40]} acts"
            elif plain == "href" and not value.startswith("#"):
                yield f"a link to {value[:40]}"
            elif (
                not plain.startswith("data-") and plain not in ("aria-label", "class", "id") and _FETCHES.search(value)
            ):
                yield f"{plain} has {value[:40]}"
        if name == "style" and _FETCHES.search(element.text or ""):
            yield "a style that fetches"
