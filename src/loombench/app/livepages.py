"""The pages of a function as layers that follow the state: what did not change need not be written or sent again."""

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

from loombench.app.circuits import Circuits, Oldest
from loombench.app.drawing import Drawings, headings_of
from loombench.base.outcome import Outcome
from loombench.base.wording import Catalogue
from loombench.circuit.operate import Situation
from loombench.draw.circuit.functions import Function
from loombench.draw.layout.arrange import Layouts
from loombench.draw.overlay import Overlay
from loombench.draw.page import Page, posed_page
from loombench.draw.pagesvg import Heading, foot_svg, layers_of, still_svg

STILL_KEPT = 200
KEY_LETTERS = 16


@dataclass(frozen=True)
class LivePage:
    """A page as three layers of SVG, from below. `key` names what the still layer holds: a page that has one of that
    key already needs no other."""

    number: int
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
    circuits: Circuits

    @cached_property
    def _stills(self) -> Oldest[tuple[object, ...], _Still]:
        return Oldest(STILL_KEPT)

    @cached_property
    def _feet(self) -> Oldest[tuple[object, ...], str]:
        return Oldest(STILL_KEPT)

    def pages(
        self, function: Function, situation: Situation, layouts: Layouts, words: Catalogue, red: str = "",
        black: str = "", suspects: Mapping[str, str] | None = None,
    ) -> Outcome[tuple[LivePage, ...]]:  # fmt: skip
        """The pages of a function where the vehicle stands so, with the leads of a meter at points by their names and
        what is to be marked as broken."""
        arranged = self.drawings.arranged(function, layouts, words=words)
        headings = headings_of(self.drawings.vehicle, function, arranged.value, words)
        names = {port.name for page in arranged.value for item in page.items for port in item.ports if port.name}
        wires = {run.wire for page in arranged.value for piece, _ in page.pieces for run in piece.plan.runs if run.wire}
        overlay = self.circuits.overlay(situation, names, wires, function.loads, red, black, suspects)
        found = []
        for number, (page, heading) in enumerate(zip(arranged.value, headings, strict=True), 1):
            still = self._still(function, page, number, heading, overlay, words)
            layers = layers_of(still.page, still.svg, overlay)
            sheet = page.sheet
            found.append(
                LivePage(
                    number, sheet.width_mm, sheet.height_mm, heading.title, heading.description, still.key,
                    layers.live, layers.still, layers.over,
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
            foot = self._feet.or_made(which, lambda: foot_svg(self.drawings.vehicle, page, heading.loads))
            svg = still_svg(self.drawings.vehicle, posed, heading, foot)
            return _Still(posed, hashlib.sha256(svg.encode()).hexdigest()[:KEY_LETTERS], svg)

        return self._stills.or_made((*which, tuple(sorted(poses.items()))), made)
