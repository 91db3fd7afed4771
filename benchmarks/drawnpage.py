"""What stands on a drawn page, read from its SVG alone: pins, wires, joints, joins; nothing of the program is used.

Coordinates are in units of the page (mm), transforms of groups worked in. A wire is a `polyline` of class `wire`, a pin
a `circle` of class `pin` with `data-pin`, a joint a `circle` of class `joint`. What belongs to a page join lies in a
group of class `join`. Any other mark that could carry a wire is a fault, and is told as one.
"""

import math
import re
import xml.etree.ElementTree as ET
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, replace

SVG = "{http://www.w3.org/2000/svg}"
_NUMBER = re.compile(r"[-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?")
_TRANSFORM = re.compile(r"([a-zA-Z]+)\s*\(([^)]*)\)")
_HIDDEN = ("defs", "clipPath", "mask", "pattern", "symbol", "marker")

Matrix = tuple[float, float, float, float, float, float]
SAME: Matrix = (1.0, 0.0, 0.0, 1.0, 0.0, 0.0)
Spot = tuple[float, float]


@dataclass(frozen=True)
class Pin:
    """A point where a wire may end. `part` is the part whose symbol it lies in, empty outside of any.

    `symbol` parts the symbols of one part: `X12`, the next `X12 (2)`.
    """

    name: str
    at: Spot
    part: str = ""
    symbol: str = ""


@dataclass(frozen=True)
class Drawn:
    """One polyline of class `wire`: its corners, and the name that it claims to have.

    `inner` are those of class `link` or `mate`: what is joined inside of a box or by plugging, and no wire.
    """

    points: tuple[Spot, ...]
    claims: str = ""
    inner: bool = False


@dataclass(frozen=True)
class Join:
    """A mark that says where a wire goes on: its key, the page it names and the words a reader sees."""

    key: str
    page: str
    words: str


@dataclass(frozen=True)
class Page:
    """All of a page. `second_lines` are outlines and stripes, `faults` what cannot be read as the contract has it."""

    width_mm: float
    height_mm: float
    title: str = ""
    pins: tuple[Pin, ...] = ()
    wires: tuple[Drawn, ...] = ()
    inner: tuple[Drawn, ...] = ()
    joints: tuple[Spot, ...] = ()
    joins: tuple[Join, ...] = ()
    parts: tuple[tuple[str, str], ...] = ()
    second_lines: tuple[tuple[Spot, ...], ...] = ()
    faults: tuple[str, ...] = ()


def read_page(text: str) -> Page:
    """The page that an SVG shows.

    Raises:
        xml.etree.ElementTree.ParseError: the text is no well-formed XML.
    """
    root = ET.fromstring(text)
    faults: list[str] = [] if root.tag == f"{SVG}svg" else [f"the root is {root.tag}"]
    width, height, scale = _size(root, faults)
    title = next((found.text or "" for found in root.findall(f"{SVG}title")), "")
    pins: list[Pin] = []
    wires: list[Drawn] = []
    inner: list[Drawn] = []
    joints: list[Spot] = []
    joins: list[Join] = []
    parts: list[tuple[str, str]] = []
    second: list[tuple[Spot, ...]] = []
    for element, matrix, (part, symbol) in _walk(root, scale, ("", ""), Counter()):
        kind = element.tag.removeprefix(SVG)
        classes = element.get("class", "").split()
        if kind == "g" and "part" in classes:
            parts.append((part, element.get("data-kind", "")))
        if kind == "g" and "join" in classes:
            words = " ".join("".join(text.itertext()) for text in element.iter(f"{SVG}text"))
            joins.append(Join(element.get("data-join", ""), element.get("data-page", ""), " ".join(words.split())))
        if "pin" in classes and element.get("data-pin") is None:
            faults.append("a pin without a name")
        elif "pin" in classes:
            pins.append(Pin(element.get("data-pin", ""), _centre(element, matrix), part, symbol))
            if kind != "circle":
                faults.append(f"pin {element.get('data-pin')} is a {kind}")
        if "joint" in classes:
            joints.append(_centre(element, matrix))
        if "wire" in classes and kind == "polyline":
            wires.append(Drawn(_corners(element, matrix), element.get("data-wire", "")))
        elif {"link", "mate"} & set(classes) and kind == "polyline":
            inner.append(Drawn(_corners(element, matrix), f"{classes[0]} {len(inner) + 1}", inner=True))
        elif {"wire", "link", "mate"} & set(classes) and kind != "g":
            faults.append(f"a wire drawn as {kind}")
        if {"wire-edge", "wire-stripe"} & set(classes) and kind == "polyline":
            second.append(_corners(element, matrix))
        if kind in ("use", "svg", "image") and element is not root:
            faults.append(f"{kind} on the page: what it shows cannot be followed")
    faults += [f"wire {one.claims} has {len(one.points)} corner(s)" for one in (*wires, *inner) if len(one.points) < 2]
    kept, within = (tuple(one for one in lines if len(one.points) > 1) for lines in (wires, inner))
    marks = (tuple(joints), tuple(joins), tuple(parts), tuple(second), tuple(faults))
    return Page(width, height, title, tuple(pins), kept, within, *marks)


def whole(page: Page) -> Page:
    """The page with every line that a reader takes for a conductor among its wires."""
    return replace(page, wires=(*page.wires, *page.inner), inner=())


def _size(root: ET.Element, faults: list[str]) -> tuple[float, float, Matrix]:
    """Width and height on paper in mm, and what takes units of the view box to mm on paper."""
    sizes = []
    for name in ("width", "height"):
        text = root.get(name, "")
        if not re.fullmatch(r"[\d.]+mm", text):
            faults.append(f"{name} is '{text}', not in mm")
        sizes.append(float(_NUMBER.findall(text)[0]) if _NUMBER.findall(text) else 0.0)
    box = [float(one) for one in _NUMBER.findall(root.get("viewBox", ""))]
    if len(box) != 4 or not all(box[2:]) or not all(sizes):
        faults.append(f"viewBox is '{root.get('viewBox')}'")
        return sizes[0], sizes[1], SAME
    across, down = sizes[0] / box[2], sizes[1] / box[3]
    if abs(across - 1) > 1e-6 or abs(down - 1) > 1e-6:
        faults.append(f"a unit is {across:g} x {down:g} mm on paper, not 1 mm")
    return sizes[0], sizes[1], (across, 0.0, 0.0, down, -box[0] * across, -box[1] * down)


def _walk(
    element: ET.Element, matrix: Matrix, within: tuple[str, str], times: Counter[str]
) -> Iterator[tuple[ET.Element, Matrix, tuple[str, str]]]:
    """All that is shown, with the part and the symbol each lies in; a symbol may lie in the frame of another."""
    matrix = _times(matrix, _matrix(element.get("transform", "")))
    if "part" in element.get("class", "").split():
        part = element.get("data-part", "")
        times[part] += 1
        within = (part, part if times[part] == 1 else f"{part} ({times[part]})")
    yield element, matrix, within
    for child in element:
        if isinstance(child.tag, str) and child.tag.removeprefix(SVG) not in _HIDDEN:
            yield from _walk(child, matrix, within, times)


def _matrix(text: str) -> Matrix:
    result = SAME
    for name, inside in _TRANSFORM.findall(text):
        given = [float(one) for one in _NUMBER.findall(inside)]
        result = _times(result, _one(name, given))
    return result


def _one(name: str, given: list[float]) -> Matrix:
    if name == "translate":
        return (1.0, 0.0, 0.0, 1.0, given[0], given[1] if len(given) > 1 else 0.0)
    if name == "scale":
        return (given[0], 0.0, 0.0, given[-1], 0.0, 0.0)
    if name == "rotate":
        sine, cosine = math.sin(math.radians(given[0])), math.cos(math.radians(given[0]))
        turn: Matrix = (cosine, sine, -sine, cosine, 0.0, 0.0)
        if len(given) == 3:
            back: Matrix = (1.0, 0.0, 0.0, 1.0, -given[1], -given[2])
            return _times(_times((1.0, 0.0, 0.0, 1.0, given[1], given[2]), turn), back)
        return turn
    if name == "matrix" and len(given) == 6:
        return (given[0], given[1], given[2], given[3], given[4], given[5])
    raise ValueError(f"transform {name}")


def _times(one: Matrix, two: Matrix) -> Matrix:
    a, b, c, d, e, f = one
    g, h, i, j, k, m = two
    return (a * g + c * h, b * g + d * h, a * i + c * j, b * i + d * j, a * k + c * m + e, b * k + d * m + f)


def _through(matrix: Matrix, x: float, y: float) -> Spot:
    a, b, c, d, e, f = matrix
    return (a * x + c * y + e, b * x + d * y + f)


def _centre(element: ET.Element, matrix: Matrix) -> Spot:
    return _through(matrix, float(element.get("cx", 0)), float(element.get("cy", 0)))


def _corners(element: ET.Element, matrix: Matrix) -> tuple[Spot, ...]:
    """The corners, those left out where the line goes straight on or stays where it is."""
    numbers = [float(one) for one in _NUMBER.findall(element.get("points", ""))]
    spots = [_through(matrix, x, y) for x, y in zip(numbers[::2], numbers[1::2], strict=False)]
    kept: list[Spot] = []
    for spot in spots:
        if kept and math.dist(kept[-1], spot) < 1e-6:
            continue
        if len(kept) > 1 and _straight(kept[-2], kept[-1], spot):
            kept[-1] = spot
        else:
            kept.append(spot)
    return tuple(kept)


def _straight(a: Spot, b: Spot, c: Spot) -> bool:
    """Whether b lies on the way from a to c, which goes straight on there."""
    cross = (b[0] - a[0]) * (c[1] - b[1]) - (b[1] - a[1]) * (c[0] - b[0])
    dot = (b[0] - a[0]) * (c[0] - b[0]) + (b[1] - a[1]) * (c[1] - b[1])
    return abs(cross) < 1e-6 and dot > 0
