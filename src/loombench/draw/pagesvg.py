"""A circuit page written out as SVG, by the contract of `docs/drawing.md`: one unit is a millimetre."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from loombench.base.ink import INK, PAPER, QUIET
from loombench.draw.blockline import block_line
from loombench.draw.itemsvg import item_svg, line_svg, text_svg
from loombench.draw.layout.arrange import Spot
from loombench.draw.layout.items import WIRE, Run
from loombench.draw.layout.labels import PAD_MM, SIZE_MM, Box, Label
from loombench.draw.marks import marks_svg
from loombench.draw.overlay import NOTHING, Overlay
from loombench.draw.page import Page
from loombench.draw.papers import Sheet
from loombench.draw.piece import Piece
from loombench.draw.shapes import moved
from loombench.draw.shapesvg import escaped, number, page_svg, shapes_svg
from loombench.draw.textwidth import fitted
from loombench.draw.wirecolours import colour_hex
from loombench.draw.working import discs_svg, working_svg
from loombench.vehicle.model import Vehicle, Wire

EDGE_MM, WIRE_MM, STRIPE_MM, LINK_MM = 1.7, 1.1, 0.4, 0.35
STRIPE_LONG_MM = 3.0
BAND_MM = 3.4
BAND = "#ffe08a"
BESIDE_MM, ABOVE_MM = 12.0, 4.0
"""What stands beside the outermost wires: volts, amperes."""
AIR_MM = 6.0
"""Least between the circuit and the line of blocks."""
JOINT_R_MM = 0.9
TITLE_MM, SUBTITLE_MM, FOOT_MM = 5.0, 2.8, 2.5


@dataclass(frozen=True)
class Heading:
    """The words of a page: its head, its foot, and what is read out to who cannot see it. `joins` gives for each cut
    line its letter, the words beside it and the name of the page where it goes on."""

    title: str
    subtitle: str
    foot: str
    description: str
    joins: Mapping[str, tuple[str, str, str]]
    loads: tuple[str, ...] = ()
    language: str = "en"


@dataclass(frozen=True)
class Layers:
    """The pieces of a page from below: bands under what is live, the circuit itself, what is laid over it."""

    live: str
    still: str
    over: str


def circuit_svg(vehicle: Vehicle, page: Page, heading: Heading, overlay: Overlay = NOTHING) -> str:
    """The page as text."""
    layers = layers_of(page, still_svg(vehicle, page, heading), overlay)
    foot = _blocks(vehicle, page, heading)
    named = (("live-layer", layers.live), ("still-layer", layers.still), ("over-layer", layers.over))
    body = "".join((*_frame(page.sheet, heading), foot, *(f'<g class="{name}">{text}</g>' for name, text in named)))
    return page_svg(body, page.sheet.width_mm, page.sheet.height_mm, heading.title, heading.description)


def still_svg(vehicle: Vehicle, page: Page, heading: Heading) -> str:
    """What does not hang on the state but for how switches and relays of the page stand, without head and foot."""
    pieces = [_Writer(vehicle, piece, at, heading) for piece, at in page.pieces]
    return "".join(text for piece in pieces for text in piece.still())


def circuit_box(page: Page) -> Box:
    """Where the circuit is on its sheet, with room for what is laid over, in mm."""
    sheet = page.sheet
    left = min(x for _, (x, _) in page.pieces) - BESIDE_MM
    right = max(x + piece.placed.width_mm for piece, (x, _) in page.pieces) + BESIDE_MM
    top = min(y for _, (_, y) in page.pieces) - ABOVE_MM
    bottom = max(y + piece.placed.height_mm for piece, (_, y) in page.pieces) + ABOVE_MM
    left, right, top, bottom = max(0.0, left), min(sheet.width_mm, right), max(0.0, top), min(sheet.height_mm, bottom)
    return Box(round(left, 2), round(top, 2), round(right - left, 2), round(bottom - top, 2))


def layers_of(page: Page, still: str, overlay: Overlay) -> Layers:
    """The layers of a page whose still one is known."""
    live = (
        _band(_points(piece, run, at)) for piece, at in page.pieces for run in piece.plan.runs
        if run.wire in overlay.live
    )  # fmt: skip
    discs = (text for piece, at in page.pieces for text in discs_svg(piece, overlay.works, *at, BAND))
    works = (text for piece, at in page.pieces for text in working_svg(piece, overlay.works, *at))
    over = (text for piece, at in page.pieces for text in marks_svg(piece, overlay, *at))
    return Layers("".join((*live, *discs)), still, "".join((*works, *over)))


def _frame(sheet: Sheet, heading: Heading) -> Iterator[str]:
    left, right, top = sheet.margin_mm, sheet.width_mm - sheet.margin_mm, sheet.margin_mm
    wide = right - left
    yield text_svg(left, top + 5.0, fitted(heading.title, wide, TITLE_MM, True), TITLE_MM, INK, 'font-weight="600"')
    yield text_svg(left, top + 9.2, fitted(heading.subtitle, wide, SUBTITLE_MM), SUBTITLE_MM, QUIET)
    yield line_svg(left, top + 11.0, right, top + 11.0, 0.25)
    foot = fitted(heading.foot, wide, FOOT_MM)
    yield text_svg(left, sheet.height_mm - sheet.margin_mm, foot, FOOT_MM, QUIET)


def _blocks(vehicle: Vehicle, page: Page, heading: Heading) -> str:
    """What the circuit comes to: source, protection, control, load, return, in a line above the foot; nothing where
    nothing is to be said or the circuit needs the room."""
    if not heading.loads:
        return ""
    sheet = page.sheet
    shapes, high = block_line(vehicle, heading.loads, sheet.width_mm - 2 * sheet.margin_mm, heading.language)
    top = sheet.height_mm - sheet.margin_mm - sheet.foot_mm - high
    drawn_to = max(y + piece.placed.height_mm for piece, (_, y) in page.pieces)
    return shapes_svg([moved(shape, sheet.margin_mm, top) for shape in shapes]) if drawn_to + AIR_MM <= top else ""


class _Writer:
    def __init__(self, vehicle: Vehicle, piece: Piece, at: Spot, heading: Heading) -> None:
        self.vehicle, self.piece, self.heading = vehicle, piece, heading
        self.dx, self.dy = at

    def still(self) -> Iterator[str]:
        """Lines first, then items, dots, labels."""
        runs = self.piece.plan.runs
        yield from (self._link(run) for run in runs if run.sort != WIRE)
        yield from (self._wire(run) for run in runs if run.sort == WIRE)
        for item in self.piece.plan.items.values():
            yield item_svg(item, self.piece.placed, self.dx, self.dy, self.heading.joins)
        yield from (self._joint(spot) for spot in self.piece.lines.joints)
        yield from (self._label(label) for label in self.piece.labels)

    def _points(self, run: Run) -> str:
        return _points(self.piece, run, (self.dx, self.dy))

    def _link(self, run: Run) -> str:
        return _line(run.sort, self._points(run), INK, LINK_MM, "2.4 0.8 0.4 0.8")

    def _wire(self, run: Run) -> str:
        wire = self.vehicle.wire_by_id[run.wire]
        points = self._points(run)
        colours = colour_hex(wire.colour.words)
        name, said = f' data-wire="{escaped(wire.id)}"', f"<title>{escaped(_said(wire))}</title>"
        # A wire whose colour is not known is broken white, so that nobody takes it for a white one.
        dashes = "" if wire.colour.words else "2 1"
        stripes = colours[1:]
        rhythm = f"{number(STRIPE_LONG_MM)} {number(STRIPE_LONG_MM * (len(stripes) - 1))}" if len(stripes) > 1 else ""
        return (
            _line("wire-edge", points, INK, EDGE_MM)
            + _line("wire", points, colours[0], WIRE_MM, dashes, name, said)
            + "".join(
                _line("wire-stripe", points, stripe, STRIPE_MM, rhythm, f' stroke-dashoffset="{number(-3.0 * at)}"')
                for at, stripe in enumerate(stripes)
            )
        )

    def _joint(self, spot: Spot) -> str:
        at = f'cx="{number(spot[0] + self.dx)}" cy="{number(spot[1] + self.dy)}" r="{JOINT_R_MM}"'
        return f'<circle class="joint" {at} fill="{INK}"/>'

    def _label(self, label: Label) -> str:
        box = label.ground
        x, y = box.x + self.dx, box.y + self.dy
        size = f'width="{number(box.wide)}" height="{number(box.high)}"'
        ground = f'<rect class="label-ground" x="{number(x)}" y="{number(y)}" {size} fill="{PAPER}"/>'
        more = 'class="label" text-anchor="middle"'
        if not label.turned:
            return ground + text_svg(x + box.wide / 2, y + box.high - PAD_MM - 0.2, label.text, SIZE_MM, INK, more)
        cx, cy = x + box.wide - PAD_MM - 0.2, y + box.high / 2
        turn = f'transform="rotate(-90 {number(cx)} {number(cy)})"'
        return ground + text_svg(cx, cy, label.text, SIZE_MM, INK, f"{more} {turn}")


def _points(piece: Piece, run: Run, at: Spot) -> str:
    way: Sequence[Spot] = piece.lines.ways[run.key]
    return " ".join(f"{number(x + at[0])},{number(y + at[1])}" for x, y in way)


def _band(points: str) -> str:
    # Dots along both edges: on a grey copy the band alone would be gone.
    return _line("live-edge", points, INK, BAND_MM + 0.8, "0.4 1.2") + _line("live", points, BAND, BAND_MM)


def _line(sort: str, points: str, stroke: str, width: float, dashes: str = "", more: str = "", inner: str = "") -> str:
    dash = f' stroke-dasharray="{dashes}"' if dashes else ""
    head = f'<polyline class="{sort}"{more} points="{points}" fill="none" stroke="{stroke}" '
    return f'{head}stroke-width="{number(width)}" stroke-linejoin="round"{dash}>{inner}</polyline>'


def _said(wire: Wire) -> str:
    length = f"{wire.length_m.nominal:g} m" if wire.length_m.known else "? m"
    return f"{wire.id} {wire.colour} {wire.size_text or '?'} {length}"
