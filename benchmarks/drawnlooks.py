"""How a page looks in a browser: what lies on what, what is too small, what is cut off; boxes are the browser's own.

A text is as large as its ink: its advance across, the highest and lowest ink of its letters up and down. A symbol is
the box around its shapes, texts left out. A label may lie on the wire it stands on and on nothing else.
"""

import json
from collections.abc import Iterable, Iterator, Mapping, Sequence, Set
from dataclasses import dataclass
from itertools import combinations, takewhile
from pathlib import Path
from typing import Any

from benchmarks.drawnnets import far, segments
from benchmarks.drawnpage import Drawn, Page, Spot

SCRIPT = Path(__file__).with_name("drawnlooks.js").read_text(encoding="utf-8")
TOUCH_MM = 0.1
"""Boxes that lie on each other by no more than this only touch."""
LEAST_TEXT_MM = 2.5
AT_PIN_MM = 1.3
"""So close to its own pin a wire may meet the strokes of the symbol."""
ALONG_MM = 0.21
"""Strokes are known every 0.4 mm: one that crosses a wire has such a spot within this."""
AROUND = ("cable",)
"""Kinds whose symbol stands around wires: a screen, a twist."""

Box = tuple[float, float, float, float]


@dataclass(frozen=True)
class Looks:
    """What is wrong with how a page looks, a line for each place."""

    overlaps: tuple[str, ...] = ()
    labels_on_symbols: tuple[str, ...] = ()
    small_texts: tuple[str, ...] = ()
    cut_off: tuple[str, ...] = ()


def seen_in(tab: Any) -> Mapping[str, Any]:
    """What the browser's tab shows of the SVG that is in it."""
    measured: Mapping[str, Any] = json.loads(tab.evaluate(SCRIPT))
    return measured


def looks(seen: Mapping[str, Any], page: Page, holders: Mapping[str, Set[str]] | None = None) -> Looks:
    """What is wrong with a page, from what the script measured and the wires read from its text.

    `holders` says of parts which parts they sit in, so that their symbols may be drawn inside of those.
    """
    texts = [text for text in seen["texts"] if text["seen"]]
    boxes = symbols(seen["shapes"])
    kinds = {shape["part"]: shape["kindOf"] for shape in seen["shapes"]}
    around = {part for part, kind in kinds.items() if kind in AROUND}
    inside = dict(holders or {})
    return Looks(
        (
            *_symbols_on_symbols(boxes, around, inside),
            *_wires_through(page, boxes, seen["shapes"], around, inside),
            *_texts_on_texts(texts),
            *_texts_on_strokes(texts, seen["shapes"], labels=False),
            *_wires_on_texts(page, texts),
            *_hidden(page, seen["grounds"]),
        ),
        tuple(_texts_on_strokes(texts, seen["shapes"], labels=True)),
        tuple(
            f"{_words(text)} is {text['size_mm']:.2f} mm" for text in texts if text["size_mm"] < LEAST_TEXT_MM - 1e-3
        ),
        tuple(_cut_off(seen, texts)),
    )


def symbols(shapes: Iterable[Mapping[str, Any]]) -> dict[str, Box]:
    """The box around the shapes of each symbol, texts and pins left out; the second symbol of X1 is `X1 (2)`."""
    boxes: dict[str, Box] = {}
    for shape in shapes:
        if shape["part"] and not shape["wire"] and not shape["pin"]:
            a, b = boxes.get(shape["part"], tuple(shape["box"])), shape["box"]
            boxes[shape["part"]] = (min(a[0], b[0]), min(a[1], b[1]), max(a[2], b[2]), max(a[3], b[3]))
    return boxes


def part_of(symbol: str) -> str:
    """The part that a symbol's name says: `X1` of `X1 (2)`."""
    return symbol.partition(" (")[0]


def _on(a: Sequence[float], b: Sequence[float], least: float = TOUCH_MM) -> bool:
    return min(a[2], b[2]) - max(a[0], b[0]) > least and min(a[3], b[3]) - max(a[1], b[1]) > least


def _words(text: Mapping[str, Any]) -> str:
    of = f" of {text['part']}" if text["part"] else ""
    return f"'{text['text'][:30]}'{of} at ({text['box'][0]:.1f}, {text['box'][1]:.1f})"


def _symbols_on_symbols(boxes: Mapping[str, Box], around: set[str], inside: Mapping[str, Set[str]]) -> Iterator[str]:
    for one, two in combinations(boxes, 2):
        held = part_of(two) in inside.get(part_of(one), ()) or part_of(one) in inside.get(part_of(two), ())
        if not held and not {one, two} & around and _on(boxes[one], boxes[two]):
            yield f"symbol {one} lies on symbol {two}"


def _wires_through(
    page: Page,
    boxes: Mapping[str, Box],
    shapes: Iterable[Mapping[str, Any]],
    around: set[str],
    inside: Mapping[str, Set[str]],
) -> Iterator[str]:
    strokes: dict[str, list[Spot]] = {}
    for shape in shapes:
        strokes.setdefault(shape["part"], []).extend((spot[0], spot[1]) for spot in shape["spots"])
    for wire in page.wires:
        own: dict[str, list[Spot]] = {}
        for pin in page.pins:
            if pin.symbol and any(far(pin.at, end) < 0.02 for end in (wire.points[0], wire.points[-1])):
                own.setdefault(pin.symbol, []).append(pin.at)
        held = {holder for symbol in own for holder in inside.get(part_of(symbol), ())}
        for part, box in boxes.items():
            if part in around or part_of(part) in held:
                continue
            if part not in own:
                if any(_inside(piece, box, 0.2) > 0.2 for piece in segments(wire)):
                    yield f"wire {wire.claims} goes through symbol {part}"
            elif _meets(wire, strokes.get(part, []), own[part]):
                yield f"wire {wire.claims} goes through its own symbol {part}"


def _meets(wire: Drawn, spots: Iterable[Spot], pins: Sequence[Spot]) -> bool:
    """Whether a wire meets strokes of a symbol elsewhere than at its own pin."""
    return any(
        min(far(spot, pin) for pin in pins) > AT_PIN_MM
        and any(_inside(piece, (*spot, *spot), -ALONG_MM) for piece in segments(wire))
        for spot in spots
    )


def _inside(piece: tuple[Spot, Spot], box: Box, less: float) -> float:
    """How long a straight piece runs inside a box that is smaller by `less` all around, in mm."""
    (ax, ay), (bx, by) = piece
    low, high = 0.0, 1.0
    for start, end, near, beyond in ((ax, bx, box[0] + less, box[2] - less), (ay, by, box[1] + less, box[3] - less)):
        if near >= beyond:
            return 0.0
        if abs(end - start) < 1e-9:
            if not near < start < beyond:
                return 0.0
            continue
        one, two = sorted(((near - start) / (end - start), (beyond - start) / (end - start)))
        low, high = max(low, one), min(high, two)
    return max(0.0, high - low) * far((ax, ay), (bx, by))


def _texts_on_texts(texts: Sequence[Mapping[str, Any]]) -> Iterator[str]:
    ordered = sorted(texts, key=lambda text: (text["box"][0], text["box"][1]))
    for place, one in enumerate(ordered):
        for two in takewhile(lambda text, end=one["box"][2]: text["box"][0] < end, ordered[place + 1 :]):
            if _on(one["box"], two["box"]):
                yield f"{_words(one)} lies on {_words(two)}"


def _texts_on_strokes(
    texts: Iterable[Mapping[str, Any]], shapes: Iterable[Mapping[str, Any]], labels: bool
) -> Iterator[str]:
    """Texts with a stroke of a symbol through them, or inside the fill of another part's."""
    of_part: dict[str, list[Mapping[str, Any]]] = {}
    for shape in shapes:
        if shape["part"] and not shape["wire"]:
            of_part.setdefault(shape["part"], []).append(shape)
    around = {part: _around(kept) for part, kept in of_part.items()}
    for text in texts:
        if text["label"] is not labels:
            continue
        for part, own in of_part.items():
            if not _on(text["box"], around[part], 0.0):
                continue
            kind = next((shape["kind"] for shape in own if _struck(text, shape)), "")
            if kind:
                yield f"{_words(text)} lies on a {kind} of {part}"


def _around(shapes: Iterable[Mapping[str, Any]]) -> Box:
    left, top, right, bottom = zip(*(shape["box"] for shape in shapes), strict=True)
    return _grown((min(left), min(top), max(right), max(bottom)))


def _struck(text: Mapping[str, Any], shape: Mapping[str, Any]) -> bool:
    box = text["box"]
    if not _on(box, _grown(shape["box"]), 0.0):
        return False
    if shape["filled"] and shape["part"] != text["part"] and _on(box, shape["box"]):
        return True
    inner = (box[0] + TOUCH_MM, box[1] + TOUCH_MM, box[2] - TOUCH_MM, box[3] - TOUCH_MM)
    return not shape["ground"] and any(inner[0] < x < inner[2] and inner[1] < y < inner[3] for x, y in shape["spots"])


def _grown(box: Sequence[float]) -> Box:
    return (box[0] - 0.01, box[1] - 0.01, box[2] + 0.01, box[3] + 0.01)


def _wires_on_texts(page: Page, texts: Iterable[Mapping[str, Any]]) -> Iterator[str]:
    for text in texts:
        through = [
            wire for wire in page.wires if any(_inside(piece, text["box"], TOUCH_MM) > 0 for piece in segments(wire))
        ]
        own = [wire for wire in through if text["label"] and _stands_on(wire, text["box"])]
        for wire in [one for one in through if one not in own[:1]]:
            yield f"wire {wire.claims} goes through {_words(text)}"


def _stands_on(wire: Drawn, box: Sequence[float]) -> bool:
    """Whether a label's middle is on a wire that runs the way of the text, or that leaves it at both sides."""
    middle = ((box[0] + box[2]) / 2, (box[1] + box[3]) / 2)
    return any(_inside(piece, (*middle, *middle), -0.9) > 0 for piece in segments(wire))


def _hidden(page: Page, grounds: Sequence[Sequence[float]]) -> Iterator[str]:
    for ground in grounds:
        place = f"the white under a label at ({ground[0]:.1f}, {ground[1]:.1f})"
        box: Box = (ground[0], ground[1], ground[2], ground[3])
        if sum(any(_inside(piece, box, 0.05) > 0 for piece in segments(wire)) for wire in page.wires) > 1:
            yield f"{place} covers a second wire"
        for name, spot in [(f"pin {pin.name}", pin.at) for pin in page.pins] + [("a dot", at) for at in page.joints]:
            if box[0] < spot[0] < box[2] and box[1] < spot[1] < box[3]:
                yield f"{place} covers {name}"
        for wire in page.wires:
            for corner in wire.points[1:-1]:
                if box[0] < corner[0] < box[2] and box[1] < corner[1] < box[3]:
                    yield f"{place} covers a corner of wire {wire.claims}"


def _cut_off(seen: Mapping[str, Any], texts: Iterable[Mapping[str, Any]]) -> Iterator[str]:
    view = seen["view"]
    for text in texts:
        if not _within(text["box"], view):
            yield f"{_words(text)} is partly off the page"
    for shape in seen["shapes"]:
        if not _within(shape["box"], view):
            yield f"a {shape['kind']} {'of ' + shape['part'] if shape['part'] else ''} is partly off the page"


def _within(box: Sequence[float], view: Sequence[float]) -> bool:
    return (
        box[0] >= view[0] - 0.01 and box[1] >= view[1] - 0.01 and box[2] <= view[2] + 0.01 and box[3] <= view[3] + 0.01
    )
