"""Metal: bodies, the studs on them, the straps between them."""

from types import MappingProxyType

from loombench.text.draft import Draft
from loombench.text.partline import example_of, leftover, read_part_line
from loombench.text.syntax import Statement
from loombench.vehicle.model import Inner
from loombench.vehicle.points import Point


def read_body(draft: Draft, statement: Statement) -> None:
    """`body chassis`: one piece of metal."""
    said = read_part_line(draft, statement.line)
    if said:
        draft.add_part(said.part(()))
        leftover(draft, said)


def read_stud(draft: Draft, statement: Statement) -> None:
    """`stud W1 on chassis at seat-box`; its rings are the pins that wires end at."""
    said = read_part_line(draft, statement.line)
    if not said:
        return
    rest = said.rest
    body = rest[1].text if len(rest) > 1 and rest[0].is_word("on") and rest[1].is_word() else ""
    if not body:
        draft.missing(said.line, "stud", example_of("stud"))
        leftover(draft, said, tuple(token for token in rest if not token.is_word()))
    else:
        leftover(draft, said, rest[2:])
    draft.add_part(said.part((), body=body))


def read_strap(draft: Draft, statement: Statement) -> None:
    """`strap W9 boom chassis 0.3m 16mm2`: a conductor bolted to two bodies."""
    said = read_part_line(draft, statement.line)
    if not said:
        return
    named = [token for token in said.rest if token.is_word()]
    if len(named) < 2:
        draft.missing(said.line, "strap", example_of("strap"))
    leftover(draft, said, (*named[2:], *(token for token in said.rest if not token.is_word())))
    pins = ("a", "b")
    links = tuple((Point(said.id, pin), Point(token.text)) for pin, token in zip(pins, named, strict=False))
    inner = Inner("conductor", "conductor", pins, said.numbers, span=said.span)
    draft.add_part(
        said.part(pins, elements=(inner,), params=said.numbers, links=links, plugs=MappingProxyType({"": pins}))
    )


def check_metal(draft: Draft) -> None:
    """Say what studs and straps stand on that is no body; such a stud or strap hangs in the air."""
    bodies = [part.id for part in draft.parts.values() if part.kind == "body"]
    for part in tuple(draft.parts.values()):
        if part.kind == "stud" and part.body and not _is_body(draft, part.body):
            _say(draft, part.id, part.body, bodies)
            draft.amend(part.id, body="")
        if part.kind == "strap":
            kept = tuple(link for link in part.links if _is_body(draft, link[1].part))
            for link in part.links:
                if link not in kept:
                    _say(draft, part.id, link[1].part, bodies)
            if kept != part.links:
                draft.amend(part.id, links=kept)


def _is_body(draft: Draft, name: str) -> bool:
    part = draft.parts.get(name)
    return part is not None and part.kind in ("body", "stud")


def _say(draft: Draft, part_id: str, name: str, bodies: list[str]) -> None:
    span, other = draft.parts[part_id].span, draft.parts.get(name)
    draft.wrong(
        "body-unknown", span, other.span if other else None, part=part_id, name=name, nearest=draft.near(name, bodies)
    )  # fmt: skip


def read_splice(draft: Draft, statement: Statement) -> None:
    """`splice SP7 at PLACE`."""
    said = read_part_line(draft, statement.line)
    if said:
        draft.add_part(said.part(()))
        leftover(draft, said)
