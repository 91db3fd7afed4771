"""An answer to what hangs on a connector, as a part of the notation with its pins; without one an open generic part."""

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

from loombench.exchange.assembly.meanings import is_ground
from loombench.exchange.assembly.plan import Device, Pin
from loombench.exchange.assembly.sheet import PartText
from loombench.exchange.missing import Answer
from loombench.vehicle.kinds import KINDS
from loombench.vehicle.points import Point

ANSWERABLE = tuple(
    kind for kind in KINDS if kind not in ("connector", "body", "stud", "strap", "cable", "carrier", "splice")
)
OPEN = "open"
_ROW = re.compile(r"\S+-\S+\s+[a-z]")
_POINT = re.compile(r"[^\W_][\w+-]*\.[^\s@:>=;]+")
_STUD = re.compile(r"stud(?:\s+(?P<id>[^\W_][\w+-]*))?\s+on\s+(?P<body>[^\W_][\w+-]*)")
_POST = re.compile(r"post(?:\s+(?P<id>[^\W_][\w+-]*))?")


@dataclass(frozen=True)
class Bolted:
    """Where a ring goes: a post of a part, a stud on a body, or (with neither) a post that stands by itself."""

    point: Point | None = None
    stud: str = ""
    body: str = ""
    post: str = ""


@dataclass(frozen=True)
class Unusable:
    """Why an answer cannot be taken: `reason` is the key of a sentence."""

    reason: str


def read_bolted(text: str, name: str) -> Bolted | None:
    """Where an answer puts a ring, `name` being the stud's where it says none; None where it says no such thing."""
    words = " ".join(text.split())
    if _POINT.fullmatch(words):
        part, _, pin = words.partition(".")
        return Bolted(Point(part, pin))
    stud, post = _STUD.fullmatch(words), _POST.fullmatch(words)
    if stud:
        return Bolted(stud=stud["id"] or name, body=stud["body"])
    return Bolted(post=post["id"] or name) if post else None


def open_part(device: Device) -> tuple[PartText, Mapping[str, Point]]:
    """A generic part with the device's pins: nothing conducts between them."""
    pins = " ".join(pin.name for pin in device.pins) or "1"
    text = PartText("generic", device.id, pins, (), device.place, _labelled(device))
    return text, {pin.name: Point(device.id, pin.name) for pin in device.pins}


def told_part(device: Device, answer: Answer) -> tuple[PartText, Mapping[str, Point]] | Unusable:
    """The part that an answer makes of a device, and the point of each of its pins."""
    words = " ".join(answer.text.split())
    kind, _, rest = words.partition(" ")
    kind = kind.rstrip(";")
    if words.casefold() in (OPEN, "generic"):
        text, points = open_part(device)
        return _placed(text, answer), points
    if kind not in ANSWERABLE:
        return Unusable("kind")
    pin_map = read_pins(answer.pins)
    if pin_map is None or not set(pin_map) <= {pin.name for pin in device.pins}:
        return Unusable("pin-map")
    spec = KINDS[kind]
    rows: tuple[str, ...] = ()
    names = {pin.name: pin_map.get(pin.name, pin.name) for pin in device.pins}
    fixed = spec.pins if not (kind == "motor" and "reversing" in rest) else ("a", "b")
    if kind in ("unit", "generic", "module", "switch") and (";" in words or _ROW.match(rest)):
        head, rows = _rows(rest)
    elif kind == "generic":
        head = " ".join((*names.values(), rest)).strip()
    elif fixed and not pin_map and not set(names) <= set(fixed):
        if len(device.pins) != 2 or not spec.through:
            return Unusable("pins")
        feed, back = in_order(device.pins)
        kind, head, rows = "unit", "", (f"{feed}-{back} {kind} {rest}".strip(),)
    elif fixed and not set(names.values()) <= set(fixed):
        return Unusable("pins")
    else:
        head = rest
    text = PartText(kind, device.id, head, rows, device.place, _labelled(device))
    return _placed(text, answer), {pin: Point(device.id, name) for pin, name in names.items()}


def in_order(pins: Sequence[Pin]) -> tuple[str, str]:
    """The two pins of a device, the one to ground last."""
    one, other = pins[0], pins[1]
    turned = is_ground(one.signals) and not is_ground(other.signals)
    return (other.name, one.name) if turned else (one.name, other.name)


def read_pins(text: str) -> Mapping[str, str] | None:
    """`1=+ 2=-` as printed pin to the kind's pin; None where it is something else."""
    pairs = [word.partition("=") for word in text.replace(",", " ").replace(";", " ").split()]
    if any(not (one and mark and other) for one, mark, other in pairs):
        return None
    return MappingProxyType({one: other for one, _, other in pairs})


def _rows(text: str) -> tuple[str, tuple[str, ...]]:
    """The words of the part's own line and the rows below it."""
    pieces = [piece.strip() for piece in _split(text)]
    first = pieces[0] if pieces and not _ROW.match(pieces[0]) and not pieces[0].startswith(("cam ", "process ")) else ""
    rows = pieces[1:] if first or (pieces and not pieces[0]) else pieces
    return first, tuple(row for row in rows if row)


def _split(text: str) -> Iterable[str]:
    """Parted at semicolons that are not in quotes."""
    quoted, piece = False, ""
    for mark in text:
        quoted = quoted != (mark == '"')
        if mark == ";" and not quoted:
            yield piece
            piece = ""
        else:
            piece += mark
    yield piece


def _labelled(device: Device) -> str:
    return device.words or (device.key if device.key != device.id else "")


def _placed(text: PartText, answer: Answer) -> PartText:
    return PartText(
        text.kind, text.id, text.words, text.rows, answer.place or text.place, answer.label or text.label, answer.span
    )
