"""Whether the words and colours on a wire are those of the wire that its lines make it: a wrong one misleads a cut.

Letters are those the vehicle's file has, or the IEC's; colours are told by which of the plain colours below they are
nearest to. These are coarse on purpose: what a page calls red must not look blue, its exact red is its own choice.
"""

import re
from collections.abc import Iterator, Mapping, Sequence
from itertools import pairwise
from types import MappingProxyType
from typing import Any

from benchmarks.drawnnets import Segment, far, off, segments
from benchmarks.drawnpage import Page
from loombench.vehicle.model import Vehicle, Wire

# IEC 60757, from memory.
LETTERS = MappingProxyType({
    "black": "BK", "brown": "BN", "red": "RD", "orange": "OG", "yellow": "YE", "green": "GN", "blue": "BU",
    "violet": "VT", "grey": "GY", "white": "WH", "pink": "PK", "gold": "GD", "turquoise": "TQ", "silver": "SR",
})  # fmt: skip
UNLABELLED = " has no label"
BESIDE_MM, APART_MM = 3.0, 0.4
"""A label may stand beside its wire, so near, and so much nearer to it than to any other."""
_NUMBER = re.compile(r"\d+(?:\.\d+)?")
PLAIN = MappingProxyType({
    "black": (0, 0, 0), "brown": (120, 70, 30), "red": (220, 20, 30), "orange": (250, 140, 0), "yellow": (250, 220, 0),
    "green": (0, 140, 50), "blue": (20, 80, 200), "violet": (130, 50, 170), "grey": (140, 140, 140),
    "white": (255, 255, 255), "pink": (250, 160, 190), "turquoise": (20, 170, 170),
})  # fmt: skip


def wrong_labels(vehicle: Vehicle, page: Page, seen: Mapping[str, Any]) -> Iterator[str]:
    """Labels that say another colour, size or number than their wire has, and wires that no label stands on."""
    named = set()
    for text in seen["texts"]:
        if not text["label"] or not text["seen"]:
            continue
        box = text["box"]
        off_box: dict[str, float] = {}
        for drawn in page.wires:
            gap = min(_gap(box, piece) for piece in segments(drawn))
            off_box[drawn.claims] = min(gap, off_box.get(drawn.claims, gap))
        claims = min(off_box, key=lambda name: off_box[name], default="")
        if not claims or off_box[claims] > BESIDE_MM:
            yield f"label '{text['text']}' at ({box[0]:.1f}, {box[1]:.1f}) stands on no wire"
            continue
        as_near = [name for name, gap in off_box.items() if name != claims and gap < off_box[claims] + APART_MM]
        if as_near:
            yield f"label '{text['text']}' at ({box[0]:.1f}, {box[1]:.1f}) may be that of {claims} or {as_near[0]}"
        named.add(claims)
        wire = vehicle.wire_by_id.get(claims)
        if wire is not None:
            yield from _label(wire, text["text"])
    for wire_name in sorted({wire.claims for wire in page.wires} - named):
        yield f"wire {wire_name}{UNLABELLED}"


def _gap(box: Sequence[float], piece: Segment) -> float:
    """How far a straight piece along an axis is from a box, in mm."""
    (ax, ay), (bx, by) = piece
    across = max(0.0, box[0] - max(ax, bx), min(ax, bx) - box[2])
    down = max(0.0, box[1] - max(ay, by), min(ay, by) - box[3])
    return float((across**2 + down**2) ** 0.5)


def _label(wire: Wire, said: str) -> Iterator[str]:
    words = said.casefold()
    iec = "/".join(LETTERS.get(word, "?") for word in wire.colour.words)
    own = {wire.colour.text.casefold(), iec.casefold(), iec.replace("/", "").casefold()} - {""}
    if wire.colour.words and not any(one in words for one in own):
        yield f"label '{said}' is on wire {wire.id}, which is {wire.colour} ({iec})"
    if not wire.colour.words and "?" not in said:
        yield f"label '{said}' is on wire {wire.id}, whose colour is not known"
    area = wire.area_mm2.nominal
    known = {f"{area:g}"} if area is not None else set()
    known |= {
        number for text in (wire.size_text, wire.number, wire.cable, wire.label) for number in _NUMBER.findall(text)
    }
    for number in _NUMBER.findall(said):
        if number not in known:
            yield f"label '{said}' is on wire {wire.id}, which has no {number}"


def wrong_colours(vehicle: Vehicle, page: Page, seen: Mapping[str, Any]) -> Iterator[str]:
    """Wires painted in another colour than theirs, or whose stripe is missing or another; those that cannot be seen."""
    lines = [shape for shape in seen["shapes"] if shape["wire"]]
    for drawn in page.wires:
        wire = vehicle.wire_by_id.get(drawn.claims)
        if wire is None:
            continue
        same = [line for line in lines if _same(line["corners"], drawn.points)]
        main = [line["stroke"] for line in same if line["wire"] == "wire"]
        edges = [line["stroke"] for line in same if line["wire"] == "wire-edge"]
        stripes = [line["stroke"] for line in same if line["wire"] == "wire-stripe"]
        if not main:
            yield f"wire {wire.id} is not seen"
            continue
        words = wire.colour.words
        if words and words[0] in PLAIN and words[0] not in nearest(main[0]):
            yield f"wire {wire.id} is {words[0]} and painted {main[0]}"
        if words and words[0] in ("white", "yellow", "pink") and not edges:
            yield f"wire {wire.id} is {words[0]} and has no outline"
        for word in words[1:]:
            if word in PLAIN and not any(word in nearest(stripe) for stripe in stripes):
                yield f"wire {wire.id} has no stripe that looks {word}"
        if len(words) < 2 and stripes:
            yield f"wire {wire.id} has one colour and a stripe"


def nearest(stroke: str) -> tuple[str, ...]:
    """The two plain colours that a stroke, as `rgb(r, g, b)`, is nearest to."""
    rgb = [float(one) for one in stroke[stroke.index("(") + 1 : -1].split(",")[:3]]
    far_off = {word: sum((a - b) ** 2 for a, b in zip(rgb, plain, strict=True)) for word, plain in PLAIN.items()}
    return tuple(sorted(far_off, key=lambda word: far_off[word])[:2])


def _same(corners: list[list[float]], points: tuple[tuple[float, float], ...]) -> bool:
    ends = ((corners[0], points[0]), (corners[-1], points[-1])) if corners else ()
    return bool(ends) and all(far((a[0], a[1]), b) < 0.02 for a, b in ends) and _long(corners, points)


def _long(corners: list[list[float]], points: tuple[tuple[float, float], ...]) -> bool:
    """Whether each corner of one lies on the other: two lines may have ends in common and run apart."""
    pieces = list(pairwise(points))
    return all(min(off((x, y), piece) for piece in pieces) < 0.02 for x, y in corners)
