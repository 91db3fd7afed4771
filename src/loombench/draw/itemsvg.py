"""What stands on a page written out as SVG: symbols, frames of boxes, rails, joins to other pages."""

from collections.abc import Mapping
from itertools import pairwise

from loombench.base.ink import INK, QUIET
from loombench.draw.layout.arrange import Placed
from loombench.draw.layout.items import CARRIER, GROUND, JOIN, PAIR, RAIL, Item
from loombench.draw.layout.rails import BAR_MM, LINE_MM, NAME_MM, NOTE_MM, bar_width_mm, meets_mm
from loombench.draw.shapes import TOP
from loombench.draw.shapesvg import PIN_R_MM, escaped, number, shapes_svg, symbol_svg
from loombench.draw.textwidth import text_width_mm

JOIN_LETTER_MM = 3.2


def text_svg(x_mm: float, y_mm: float, words: str, size_mm: float, fill: str, more: str = "") -> str:
    """A line of text on its baseline; `more` are further attributes."""
    at = f'x="{number(x_mm)}" y="{number(y_mm)}" font-size="{number(size_mm)}"'
    return f'<text {at} fill="{fill}"{" " if more else ""}{more}>{escaped(words)}</text>'


def pin_svg(name: str, x_mm: float, y_mm: float) -> str:
    """A contact that wires may meet."""
    at = f'cx="{number(x_mm)}" cy="{number(y_mm)}" r="{PIN_R_MM}"'
    return f'<circle class="pin" data-pin="{escaped(name)}" {at} fill="{INK}"/>'


def line_svg(x1_mm: float, y1_mm: float, x2_mm: float, y2_mm: float, width_mm: float) -> str:
    """A straight line in ink with round ends."""
    ends = f'x1="{number(x1_mm)}" y1="{number(y1_mm)}" x2="{number(x2_mm)}" y2="{number(y2_mm)}"'
    return f'<line {ends} stroke="{INK}" stroke-width="{number(width_mm)}" stroke-linecap="round"/>'


def item_svg(item: Item, placed: Placed, dx_mm: float, dy_mm: float, joins: Mapping[str, tuple[str, str, str]]) -> str:
    """An item moved by dx and dy; `joins` gives for a join's key its letter, the words beside it, the page's name."""
    x, y = placed.corners[item.key]
    x, y = x + dx_mm, y + dy_mm
    if item.sort == RAIL:
        return _rail(item, placed, x, y, dx_mm)
    if item.sort == CARRIER:
        return _carrier(item, x, y)
    if item.sort == PAIR:
        return "".join(symbol_svg(symbol, x + left, y + top) for symbol, left, top in item.inside)
    if item.sort == JOIN:
        return _join(item, x, y, joins[item.part])
    return symbol_svg(item.symbol, x, y) if item.symbol else ""


def _head(item: Item) -> str:
    return f'<g class="part" data-part="{escaped(item.part)}" data-kind="{escaped(item.kind)}">'


def _carrier(item: Item, x: float, y: float) -> str:
    inside = "".join(symbol_svg(symbol, x + left, y + top) for symbol, left, top in item.inside)
    named = [(port.name or port.key.partition(">")[2], port) for port in item.ports if not port.fork_of]
    pins = "".join(pin_svg(name, x + (port.x_mm or 0.0), y + port.y_mm) for name, port in named)
    return f"{_head(item)}{shapes_svg(item.shapes, x, y)}{inside}{pins}</g>"


def _rail(item: Item, placed: Placed, x: float, y: float, dx: float) -> str:
    bar = y + BAR_MM
    at = {port.key: placed.ports[item.key, port.key][0] + dx for port in item.ports}
    xs = sorted(at.values())
    ground = item.level == GROUND
    parts = [_head(item)]
    if xs and (ground or xs[0] != xs[-1]):
        parts.append(line_svg(xs[0] - 0.9, bar, xs[-1] + 0.9, bar, 1.6))
    elif xs:
        parts.append(f'<circle cx="{number(xs[0])}" cy="{number(bar)}" r="1" fill="{INK}"/>')
    if ground and xs:
        parts.append(_earth((xs[0] + xs[-1]) / 2, bar))
    parts += [pin_svg(port.name or item.part, at[port.key], y + meets_mm(item, port.side)) for port in item.ports]
    left = x + bar_width_mm(item)
    for row, words in enumerate(item.texts):
        size, fill, more = (NAME_MM, INK, 'font-weight="600"') if row == 0 else (NOTE_MM, QUIET, "")
        parts.append(text_svg(left, y + NAME_MM - 0.4 + LINE_MM * row, words, size, fill, more))
    parts.append("</g>")
    if item.note and xs:
        pages = escaped(" ".join(item.note.functions))
        # The rings of a stud are points of their own, so no mark of the whole stud may lie on one.
        pin = pin_svg(f"join:{item.note.key}", xs[0], bar) if item.kind == "splice" else ""
        parts.append(f'<g class="join" data-join="{escaped(item.note.key)}" data-page="{pages}">{pin}</g>')
    return "".join(parts)


def _earth(x: float, y: float) -> str:
    """The sign of a connection to the frame: a stem and three strokes, each shorter than the one above."""
    strokes = [(x - half, y + 2.6 + row * 0.9, x + half) for row, half in enumerate((2.2, 1.4, 0.6))]
    return line_svg(x, y, x, y + 2.6, 0.4) + "".join(line_svg(a, b, c, b, 0.4) for a, b, c in strokes)


def _join(item: Item, x: float, y: float, said: tuple[str, str, str]) -> str:
    letter, words, page = said
    port = item.ports[0]
    px, py = x + (port.x_mm or 0.0), y + port.y_mm
    leaves = port.side == TOP
    tip, foot = (py + 3.4, py) if leaves else (py, py - 3.4)
    corners = ((px - 1.7, foot), (px + 1.7, foot), (px, tip))
    outline = "".join(line_svg(*a, *b, 0.4) for a, b in pairwise((*corners, corners[0])))
    left = px + 2.6
    return (
        f'<g class="join" data-join="{escaped(item.part)}" data-page="{escaped(page)}">{outline}'
        + text_svg(left, y + 3.6, letter, JOIN_LETTER_MM, INK, 'font-weight="600"')
        + text_svg(left + text_width_mm(letter, JOIN_LETTER_MM, True) + 0.8, y + 3.6, words, NOTE_MM, QUIET)
        + pin_svg(port.name, px, py)
        + "</g>"
    )
