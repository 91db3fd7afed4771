"""The pages of a function as layers that follow the state: what did not change need not be written or sent again."""

import hashlib
from collections.abc import Callable, Collection
from dataclasses import dataclass
from functools import cached_property

from loombench.app.circuits import Oldest
from loombench.app.drawing import Drawings, headings_of
from loombench.app.functionfacts import FunctionFacts
from loombench.base.outcome import Outcome
from loombench.base.wording import Catalogue
from loombench.draw.circuit.functions import Function
from loombench.draw.layout.arrange import Layouts
from loombench.draw.overlay import Overlay
from loombench.draw.page import Page, posed_page
from loombench.draw.pagesvg import Heading, circuit_box, layers_of, still_svg

STILL_KEPT, FACTS_KEPT = 200, 60
KEY_LETTERS = 16
Laid = Callable[[Collection[str], Collection[str]], Overlay]
"""What is laid over some points and wires, by their names."""


@dataclass(frozen=True)
class LivePage:
    """A page as three layers of SVG, from below, and the piece of the sheet that they cover. `key` names what the still
    layer holds: who has one of that key already needs no other, and gets an empty one."""

    number: int
    left_mm: float
    top_mm: float
    width_mm: float
    height_mm: float
    title: str
    description: str
    key: str
    live: str
    still: str
    over: str


@dataclass(frozen=True)
class _Still:
    page: Page
    key: str
    svg: str


@dataclass(frozen=True, eq=False)
class LivePages:
    """The live pages of one vehicle's drawings."""

    drawings: Drawings

    @cached_property
    def _stills(self) -> Oldest[tuple[object, ...], _Still]:
        return Oldest(STILL_KEPT)

    @cached_property
    def kept(self) -> Oldest[tuple[str, str], FunctionFacts]:
        """The facts of functions by key and language, as they were asked for."""
        return Oldest(FACTS_KEPT)

    def pages(
        self, function: Function, laid: Laid, layouts: Layouts, words: Catalogue, have: Collection[str] = ()
    ) -> Outcome[tuple[LivePage, ...]]:
        """The pages of a function with what `laid` gives for the names of their points and wires; `have` are the keys
        of the still layers that need not be given."""
        arranged = self.drawings.arranged(function, layouts, words=words)
        headings = headings_of(self.drawings.vehicle, function, arranged.value, words)
        names = {port.name for page in arranged.value for item in page.items for port in item.ports if port.name}
        wires = {run.wire for page in arranged.value for piece, _ in page.pieces for run in piece.plan.runs if run.wire}
        overlay = laid(names, wires)
        found = []
        for number, (page, heading) in enumerate(zip(arranged.value, headings, strict=True), 1):
            still = self._still(function, page, number, heading, overlay, words)
            layers = layers_of(still.page, still.svg, overlay)
            box = circuit_box(still.page)
            found.append(
                LivePage(
                    number, box.x, box.y, box.wide, box.high, heading.title, heading.description, still.key,
                    layers.live, "" if still.key in have else layers.still, layers.over,
                )
            )  # fmt: skip
        return Outcome(tuple(found), arranged.problems)

    def _still(
        self, function: Function, page: Page, number: int, heading: Heading, overlay: Overlay, words: Catalogue
    ) -> _Still:
        parts = {item.part for item in page.items} | {one.part for item in page.items for one, _, _ in item.inside}
        poses = {
            name: at for name, at in overlay.positions.items() if name in parts or name.rpartition(".")[0] in parts
        }
        which = (function.key, number, words.language)

        def made() -> _Still:
            posed = posed_page(self.drawings.vehicle, page, poses)
            svg = still_svg(self.drawings.vehicle, posed, heading)
            return _Still(posed, hashlib.sha256(svg.encode()).hexdigest()[:KEY_LETTERS], svg)

        return self._stills.or_made((*which, tuple(sorted(poses.items()))), made)
