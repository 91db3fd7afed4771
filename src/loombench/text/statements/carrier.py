"""Carriers: fuse and relay boxes whose internal bars nobody draws as wires."""

import re
from types import MappingProxyType

from loombench.text.draft import Draft
from loombench.text.partline import leftover, read_part_line
from loombench.text.resolve import pin_problem, unknown_part
from loombench.text.syntax import Line, Statement
from loombench.text.tokens import Token
from loombench.vehicle.kinds import KINDS
from loombench.vehicle.model import Part
from loombench.vehicle.points import PIN, Point, read_point

HELD = (
    "fuse", "fuselink", "breaker", "relay", "flasher", "timer", "diode", "resistor", "cutout", "converter", "module",
)  # fmt: skip
"""Kinds that sit in a carrier when one of its bars names them; others (a key switch) are wired to it all the same."""
BAR_EXAMPLE = "bar 30 from in : F8 F9 K1.30"
_CAVITY = re.compile(r"[^\W_]+/[\w+-]+|in\d*")
"""A carrier's own pins: `in`, `in2` ... and cavities such as `C/7`."""


def read_carrier(draft: Draft, statement: Statement) -> None:
    """`carrier B1 at cab-box` with its bars and joins; these are looked up once all parts are known."""
    said = read_part_line(draft, statement.line)
    if not said:
        return
    leftover(draft, said)
    own: dict[str, None] = {"in": None}
    for row in statement.block:
        own.update({token.text: None for token in row.tokens if token.is_word() and _CAVITY.fullmatch(token.text)})
    pins = tuple(own)
    if draft.add_part(said.part(pins, plugs=MappingProxyType({"": pins}))):
        draft.joins.append(statement)


def join_carriers(draft: Draft) -> None:
    """Give each carrier its links, and what they name its holder."""
    for statement in draft.joins:
        carrier = draft.parts.get(statement.line.tokens[1].text)
        if carrier is None:
            continue
        links: dict[tuple[Point, Point], None] = {}
        for row in statement.block:
            links.update(dict.fromkeys(_links(draft, row, carrier)))
        draft.amend(carrier.id, links=tuple(links))
        for point in dict.fromkeys(point for link in links for point in link):
            held = draft.parts.get(point.part)
            if held is not None and held.kind in HELD and not held.holder:
                draft.amend(held.id, holder=carrier.id, place=held.place or carrier.place)
            elif held is not None and held.kind in HELD and held.holder != carrier.id:
                draft.wrong("holder-twice", held.span, carrier.span, part=held.id, one=held.holder, two=carrier.id)


def _links(draft: Draft, row: Line, carrier: Part) -> tuple[tuple[Point, Point], ...]:
    if row.keyword == "bar":
        colon = next((index for index, token in enumerate(row.tokens) if token.is_mark(":")), 0)
        head, named = row.tokens[:colon], row.tokens[colon + 1 :]
        if len(head) != 4 or not head[2].is_word("from") or not named:
            draft.missing(row, "bar", BAR_EXAMPLE)
            return ()
        start = _point(draft, row, head[3], carrier, leaving=True)
        ends = [_point(draft, row, token, carrier, leaving=False) for token in named]
        return tuple((start, end) for end in ends if start is not None and end is not None and end != start)
    words = row.tokens
    if len(words) != 3 or not words[1].is_mark("="):
        draft.missing(row, "carrier", "F8.out = K3.30")
        return ()
    one = _point(draft, row, words[0], carrier, leaving=True)
    two = _point(draft, row, words[2], carrier, leaving=False)
    return ((one, two),) if one is not None and two is not None and one != two else ()


def _point(draft: Draft, row: Line, token: Token, carrier: Part, leaving: bool) -> Point | None:
    """A point inside a carrier: a pin of its own, or a contact of what sits in it."""
    if not token.is_word():
        draft.missing(row, "carrier", BAR_EXAMPLE)
        return None
    if token.text in carrier.pins and token.text not in draft.parts:
        return Point(carrier.id, token.text, layer=PIN)
    point = read_point(token.text)
    if point is not None and point.part == carrier.id and point.pin in carrier.pins:
        return Point(carrier.id, point.pin, layer=PIN)
    part = draft.parts.get(point.part) if point is not None else None
    if point is None or part is None:
        unknown_part(draft, row, token, point.part if point else token.text)
        return None
    if point.pin:
        if point.pin in part.pins:
            return Point(part.id, point.pin)
        pin_problem(draft, row, token, part, point.pin)
        return None
    through = KINDS[part.kind].through if part.kind in KINDS else ()
    if through:
        return Point(part.id, through[1] if leaving else through[0])
    if not part.pins:
        return Point(part.id)
    pin_problem(draft, row, token, part, "")
    return None
