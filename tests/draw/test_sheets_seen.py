"""Faces, plans and trees in a browser: no text on another, none outside, none too small; and with hostile words."""

import xml.etree.ElementTree as ET
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from loombench.draw.blockline import block_line
from loombench.draw.cavities import cavities_of
from loombench.draw.face import FaceAsked, face_svg
from loombench.draw.places import places_svg
from loombench.draw.shapesvg import page_svg, shapes_svg
from loombench.draw.treepages import Load, ground_pages, power_pages
from loombench.text.load import load_file, load_text
from loombench.vehicle.model import Vehicle
from loombench.vehicle.trace import loads
from tests.browser import browser_page
from tests.draw.hostile import WORDS, hostile

EXAMPLES = Path(__file__).parents[2] / "examples"
PLUGS = ("connector", "socket", "plug", "module")
SEEN = """() => [...document.querySelectorAll('svg')].flatMap(svg => {
  const page = svg.getBoundingClientRect(), said = [];
  const all = [...svg.querySelectorAll('text')].map(text => {
    const box = text.getBoundingClientRect();
    return {words: text.textContent, size: parseFloat(text.getAttribute('font-size')), left: box.x, right: box.right,
            top: box.y + box.height * 0.2, low: box.bottom - box.height * 0.22};
  });
  all.forEach((one, at) => {
    if (one.size < 2.5) said.push('small: ' + one.words);
    if (one.left < page.x || one.right > page.right || one.top < page.y || one.low > page.bottom)
      said.push('outside: ' + one.words);
    for (const two of all.slice(0, at))
      if (Math.min(one.right, two.right) - Math.max(one.left, two.left) > 0.5
          && Math.min(one.low, two.low) - Math.max(one.top, two.top) > 0.5)
        said.push(one.words + ' on ' + two.words);
  });
  return said;
})"""


def faces(vehicle: Vehicle) -> Iterator[str]:
    """The face of each plug and half from both sides, its middle cavity wanted."""
    for part in vehicle.parts.values():
        for plug in [name for name in part.plugs if name] or [""]:
            for half in part.halves or ("",) if part.kind in PLUGS and cavities_of(part, plug) else ():
                cavities = cavities_of(part, plug)
                for side in ("wires", "mating"):
                    yield face_svg(vehicle, FaceAsked(part.id, plug, half, cavities[len(cavities) // 2], side))


def sheets(vehicle: Vehicle) -> Iterator[str]:
    """All pages but circuits."""
    yield from faces(vehicle)
    yield from places_svg(vehicle, frozenset(vehicle.places))
    through = {part: Load(12.3456, 10.0) for part in vehicle.parts}
    yield from power_pages(vehicle, through, "in some state")
    yield from ground_pages(vehicle, through, "in some state")
    shapes, height = block_line(vehicle, tuple(load.via for load in loads(vehicle)), 180.0)
    yield page_svg(shapes_svg(shapes), 180.0, height, "Blocks", "The line of blocks")


@pytest.mark.chromium
def test_no_text_lies_on_another_or_outside_and_none_is_small() -> None:
    """A van with a trailer has all there is; of its faces the coach's and the handler's are enough."""
    van = load_file(EXAMPLES / "library-van").value
    pages = [*places_svg(van), *power_pages(van, {}), *ground_pages(van, {})]
    pages += [
        page for name in ("touring-coach", "telehandler-roof") for page in sheets(load_file(EXAMPLES / name).value)
    ]
    with browser_page() as tab:

        def seen(*shown: str) -> Any:
            tab.set_content(f'<body style="margin:0">{"".join(shown)}</body>')
            return tab.evaluate(SEEN)

        assert seen(*pages) == []
        planted = page_svg(
            '<text x="-5" y="9" font-size="2">out</text><text x="20" y="9" font-size="3">one</text>'
            '<text x="21" y="9" font-size="3">two</text>', 60.0, 20.0, "Planted", "Planted",
        )  # fmt: skip
        assert seen(planted) == ["small: out", "outside: out", "two on one"]


BENCH = load_text(
    """loombench 1
vehicle "Bench" 12V
place nose reach 1min lies front opens lid "behind the grille"
body chassis
stud W1 on chassis at nose
battery G1 70Ah "starter"
fuse F1 10A "lamps"
connector X12 2way chassis | boom at nose
lamp E7 55W "work lamp" at nose
loom chassis
G1.- (BK 16mm2 0.4m) W1/a
G1.+ (RD 1mm2 1m) F1 (RD 1mm2 1m) X12.1
X12.2 (BN 1mm2 1m) W1/b
loom boom
X12.1 (RD 1mm2 1m) E7 (BN 1mm2 1m) X12.2
""",
    "bench.circuit",
).value
TAGS = frozenset(
    ("svg", "title", "desc", "rect", "text", "circle", "path", "line", "polygon", "polyline"),
)


@pytest.mark.parametrize("words", sorted(WORDS))
def test_hostile_words_stay_words(words: str) -> None:
    spoilt = hostile(BENCH, WORDS[words])
    pages = list(sheets(spoilt))
    assert len(pages) >= 8
    for page in pages:
        for element in ET.fromstring(page.encode("utf-8")).iter():
            assert element.tag.rpartition("}")[2] in TAGS
            assert not [name for name in element.attrib if name.startswith("on") or name.endswith("href")]
