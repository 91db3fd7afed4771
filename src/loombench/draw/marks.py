"""What an overlay puts on a page: volts at pins, arrows of current, leads, readings, suspects, what is pulled.

Nothing is said by colour alone: a lead has its sign, a reading its frame and mark, a suspect a dashed frame and a `?`.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from itertools import pairwise
from types import MappingProxyType

from loombench.base.ink import INK, PAPER, QUIET
from loombench.draw.itemsvg import line_svg, text_svg
from loombench.draw.layout.arrange import Spot
from loombench.draw.layout.items import RAIL, WIRE, Item, Port
from loombench.draw.layout.labels import Box, Field, field_of
from loombench.draw.layout.rails import BAR_MM
from loombench.draw.overlay import BAD, BETWEEN, GOOD, Overlay
from loombench.draw.piece import Piece, solid
from loombench.draw.shapes import TOP
from loombench.draw.shapesvg import escaped, number
from loombench.draw.textwidth import text_width_mm

SIZE_MM, HIGH_MM = 2.5, 2.9
ASIDE_MM = 1.9
"""From the middle of a wire to words beside it: clear of the dots along a live one."""
STEPS_MM = (0.4, 1.7, 3.0, 4.3, 5.6)
"""From a pin along its wire to words about it."""
SAID_ONCE, FRAMES, NOUGHT = ("connector", "splice", "socket", "plug", "stud", "body"), ("stud", "body"), "0.00 V"
LEAD_RED = "#d2232a"
_SIGNS: Mapping[str, str] = MappingProxyType({GOOD: "\u2713", BAD: "\u2717", BETWEEN: "~"})
_DASHES: Mapping[str, str] = MappingProxyType({GOOD: "", BAD: "", BETWEEN: "0.8 0.6"})


@dataclass(frozen=True)
class _Pin:
    item: Item
    port: Port
    at: Spot


def marks_svg(piece: Piece, overlay: Overlay, dx_mm: float, dy_mm: float) -> Iterator[str]:
    """All marks on a piece that stands at dx and dy."""
    boxes = [box for item in piece.plan.items.values() for box in solid(item, piece.placed.corners[item.key])]
    boxes += [label.ground for label in piece.labels]
    field = field_of(piece.lines.ways, boxes, piece.lines.joints)
    pins = list(_pins(piece))
    yield from _gone(piece, overlay, dx_mm, dy_mm)
    yield from _suspects(piece, overlay, field, dx_mm, dy_mm)
    for pin in pins:
        yield _spoken(pin, overlay, dx_mm, dy_mm)
        for name, sign, fill in ((overlay.red, "+", LEAD_RED), (overlay.black, "\u2212", INK)):
            if name and pin.port.name == name:
                yield _lead(pin, sign, fill, dx_mm, dy_mm)
    for pin in pins:
        for reading in (one for one in overlay.readings if one.point == pin.port.name):
            yield _reading(pin, f"{reading.text} {_SIGNS[reading.verdict]}", reading.verdict, field, dx_mm, dy_mm)
    told: set[str] = set()
    used = {end for run in piece.plan.runs for end in (run.start, run.end)}
    for pin in pins:
        words = overlay.volts.get(pin.port.name, "")
        # Of two halves plugged together, of a splice and of the rings of a stud one says it for all that have the same.
        key = f"{pin.item.key} {words}" if pin.item.kind in SAID_ONCE else pin.port.name
        # Nought at a frame says nothing; anything else there is what a bad earth shows itself by.
        silent = pin.item.kind in FRAMES and words == NOUGHT
        if words and (pin.item.key, pin.port.key) in used and key not in told and not silent:
            told.add(key)
            yield _volts(pin, words, field, dx_mm, dy_mm)
    yield from _arrows(piece, overlay, field, dx_mm, dy_mm)


def _pins(piece: Piece) -> Iterator[_Pin]:
    for item in piece.plan.items.values():
        for port in item.ports:
            if port.name and not port.name.startswith("join:"):
                x, y = piece.placed.ports[item.key, port.key]
                yield _Pin(item, port, (x, piece.placed.corners[item.key][1] + BAR_MM) if item.sort == RAIL else (x, y))


def _places(pin: _Pin, wide: float) -> Iterator[Box]:
    """Where words about a pin may stand: outside of the symbol beside the wire, right before left, near before far."""
    x, y = pin.at
    up = pin.port.side == TOP
    for step in STEPS_MM:
        top = y - step - HIGH_MM if up else y + step
        for left in (x + ASIDE_MM, x - ASIDE_MM - wide):
            yield Box(left, top, wide, HIGH_MM)


def _volts(pin: _Pin, words: str, field: Field, dx: float, dy: float) -> str:
    wide = text_width_mm(words, SIZE_MM, True) + 0.6
    for box in _places(pin, wide):
        if field.free(box, ""):
            field.add(box, f"volts {pin.port.name}")
            return text_svg(box.x + dx + 0.3, box.y + dy + 2.3, words, SIZE_MM, INK, 'class="volts" font-weight="600"')
    return ""


def _reading(pin: _Pin, words: str, verdict: str, field: Field, dx: float, dy: float) -> str:
    wide = text_width_mm(words, SIZE_MM, True) + 1.6
    places = list(_places(pin, wide))
    box = next((one for one in places if field.free(one.grown(0.4), "")), places[0])
    field.add(box.grown(0.4), f"reading {pin.port.name}")
    stroke = 0.7 if verdict == BAD else 0.3
    dash = f' stroke-dasharray="{_DASHES[verdict]}"' if _DASHES[verdict] else ""
    frame = (
        f'<rect class="reading" x="{number(box.x + dx)}" y="{number(box.y + dy - 0.2)}" width="{number(box.wide)}" '
        f'height="{number(box.high + 0.4)}" fill="{PAPER}" stroke="{INK}" stroke-width="{stroke}"{dash}/>'
    )
    return frame + text_svg(box.x + dx + 0.8, box.y + dy + 2.3, words, SIZE_MM, INK, 'font-weight="600"')


def _spoken(pin: _Pin, overlay: Overlay, dx: float, dy: float) -> str:
    """What is read out where a finger touches the pin: nothing to see."""
    volts = overlay.volts.get(pin.port.name, "")
    words = "  ".join(text for text in (pin.port.name, volts) if text)
    at = f'cx="{number(pin.at[0] + dx)}" cy="{number(pin.at[1] + dy)}" r="1.5"'
    return (
        f'<circle class="read" data-read="{escaped(pin.port.name)}" {at} fill="none" stroke="none" '
        f'pointer-events="all"><title>{escaped(words)}</title></circle>'
    )


def _lead(pin: _Pin, sign: str, fill: str, dx: float, dy: float) -> str:
    x, y = pin.at[0] + dx, pin.at[1] + dy
    at = f'cx="{number(x)}" cy="{number(y)}" r="2"'
    disc = f'<circle class="lead" {at} fill="{fill}" stroke="{PAPER}" stroke-width="0.4"/>'
    return disc + text_svg(x, y + 1.2, sign, 3.4, PAPER, 'font-weight="600" text-anchor="middle"')


def _arrows(piece: Piece, overlay: Overlay, field: Field, dx: float, dy: float) -> Iterator[str]:
    for run in piece.plan.runs:
        amps = overlay.amps.get(run.wire, 0.0) if run.sort == WIRE else 0.0
        if not amps:
            continue
        way = piece.lines.ways[run.key]
        if (amps < 0) != run.backwards:
            way = way[::-1]
        pieces = sorted(pairwise(way), key=lambda one: -abs(one[0][0] - one[1][0]) - abs(one[0][1] - one[1][1]))
        found = next((spot for a, b in pieces for spot in _free_on(a, b, field, f"line {run.key}")), None)
        if found is None:
            continue
        yield _arrow(*found, dx, dy)
        words = f"{abs(amps):.2f} A"
        wide = text_width_mm(words, SIZE_MM) + 0.6
        (x, y), (across, _) = found
        places = [Box(x + 1.4, y - 1.45, wide, HIGH_MM), Box(x - 1.4 - wide, y - 1.45, wide, HIGH_MM)]
        if across:
            places = [Box(x - wide / 2, y - 1.4 - HIGH_MM, wide, HIGH_MM), Box(x - wide / 2, y + 1.4, wide, HIGH_MM)]
        box = next((one for one in places if field.free(one, "")), None)
        if box is not None:
            field.add(box, f"amps {run.key}")
            yield text_svg(box.x + dx + 0.3, box.y + dy + 2.3, words, SIZE_MM, QUIET, 'class="amps"')


def _free_on(a: Spot, b: Spot, field: Field, owner: str) -> Iterator[tuple[Spot, Spot]]:
    """Places for an arrow on a straight piece, with the direction it points in."""
    length = abs(a[0] - b[0]) + abs(a[1] - b[1])
    if length < 4.0:
        return
    way = ((b[0] - a[0]) / length, (b[1] - a[1]) / length)
    for far in (length - 2.6, 2.6, length / 2, length * 0.75, length * 0.25):
        x, y = a[0] + way[0] * far, a[1] + way[1] * far
        if field.free(Box(x - 1.3, y - 1.3, 2.6, 2.6), owner):
            yield (x, y), way


def _arrow(at: Spot, way: Spot, dx: float, dy: float) -> str:
    x, y = at[0] + dx, at[1] + dy
    tip = (x + 1.4 * way[0], y + 1.4 * way[1])
    back = [(x - 1.2 * way[0] + side * 1.2 * way[1], y - 1.2 * way[1] - side * 1.2 * way[0]) for side in (1, -1)]
    points = " ".join(f"{number(px)},{number(py)}" for px, py in (tip, *back))
    return f'<polygon class="current" points="{points}" fill="{INK}" stroke="{PAPER}" stroke-width="0.35"/>'


def _gone(piece: Piece, overlay: Overlay, dx: float, dy: float) -> Iterator[str]:
    for item in piece.plan.items.values():
        names = {item.part, *(symbol.part for symbol, _, _ in item.inside)} & overlay.gone
        if not names:
            continue
        x, y = piece.placed.corners[item.key][0] + dx, piece.placed.corners[item.key][1] + dy
        inside = [(x + left, y + top, s.width_mm, s.height_mm) for s, left, top in item.inside if s.part in names]
        for left, top, wide, high in inside or [(x, y, item.width_mm, item.height_mm)]:
            side = min(wide, high, 10.0)
            yield line_svg(left, top + (high - side) / 2, left + side, top + (high + side) / 2, 0.5)
            yield line_svg(left + side, top + (high - side) / 2, left, top + (high + side) / 2, 0.5)


def _suspects(piece: Piece, overlay: Overlay, field: Field, dx: float, dy: float) -> Iterator[str]:
    for item in piece.plan.items.values():
        x, y = piece.placed.corners[item.key]
        boxes = [Box(x, y, item.width_mm, item.height_mm)] if item.part in overlay.suspects else []
        boxes += [
            Box(x + left, y + top, symbol.width_mm, symbol.height_mm)
            for symbol, left, top in item.inside
            if symbol.part in overlay.suspects and symbol.part != item.part
        ]
        for box in boxes:
            yield _framed(Box(box.x + dx - 0.8, box.y + dy - 0.8, box.wide + 1.6, box.high + 1.6))
    for run in piece.plan.runs:
        if run.wire and run.wire in overlay.suspects:
            a, b = max(
                pairwise(piece.lines.ways[run.key]),
                key=lambda one: abs(one[0][0] - one[1][0]) + abs(one[0][1] - one[1][1]),
            )
            spots = [spot for spot, _ in _free_on(a, b, field, f"line {run.key}")]
            x, y = spots[0] if spots else ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)
            field.add(Box(x - 2.0, y - 2.0, 4.0, 4.0), f"suspect {run.key}")
            at = f'cx="{number(x + dx)}" cy="{number(y + dy)}" r="2"'
            look = f'fill="{PAPER}" stroke="{INK}" stroke-width="0.5" stroke-dasharray="1 0.6"'
            yield f'<circle class="suspect" {at} {look}/>'
            yield text_svg(x + dx, y + dy + 1.1, "?", 3.2, INK, 'font-weight="600" text-anchor="middle"')


def _framed(box: Box) -> str:
    at = f'x="{number(box.x)}" y="{number(box.y)}" width="{number(box.wide)}" height="{number(box.high)}"'
    look = f'fill="none" stroke="{INK}" stroke-width="0.7" stroke-dasharray="2.2 1.2"'
    frame = f'<rect class="suspect" {at} rx="1.5" {look}/>'
    disc = f'<circle cx="{number(box.x)}" cy="{number(box.y)}" r="2" fill="{PAPER}" stroke="{INK}" stroke-width="0.5"/>'
    return frame + disc + text_svg(box.x, box.y + 1.1, "?", 3.2, INK, 'font-weight="600" text-anchor="middle"')
