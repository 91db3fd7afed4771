"""Switches: each pole a control whose positions join pins."""

from types import MappingProxyType

from loombench.text.draft import Draft
from loombench.text.partline import NAME, PartLine, common_words, example_of
from loombench.text.statements.doubt import doubt_positions
from loombench.text.statements.positions import Positions, read_positions
from loombench.text.syntax import Statement
from loombench.text.tokens import Token
from loombench.vehicle.model import Control

POLE_EXAMPLE = "wash  off | wash!: W=15"


def read_switch(draft: Draft, statement: Statement) -> None:
    """`switch S4 off | on: 1=2`; a word after the id is its other name; several poles on indented lines."""
    line = statement.line
    if len(line.tokens) < 2 or not line.tokens[1].is_word():
        draft.missing(line, "switch", example_of("switch"))
        return
    name = line.tokens[1]
    if not NAME.fullmatch(name.text):
        draft.wrong("name-bad", line.span(name), name=name.text[:40])
        return
    label, place, net_class, rest = common_words(draft, line, line.tokens[2:])
    said = PartLine(line, "switch", name.text, label, place, net_class)
    controls: list[Control] = []
    pins: dict[str, None] = {}
    if statement.block:
        alias = rest[0].text if rest and rest[0].is_word() else ""
        for token in rest[1:]:
            draft.unexpected(line, token, "switch", (POLE_EXAMPLE,))
        _poles(draft, statement, said, alias, controls, pins)
    else:
        _single(draft, said, rest, controls, pins)
    if not controls:
        draft.missing(line, "switch", example_of("switch"))
    order = tuple(pins)
    draft.add_part(said.part(order, controls=tuple(controls), plugs=MappingProxyType({"": order})))


def _single(
    draft: Draft, said: PartLine, rest: tuple[Token, ...], controls: list[Control], pins: dict[str, None]
) -> None:
    read = read_positions(draft, said.line, rest, "switch")
    for token in read.lead[1:]:
        draft.unexpected(said.line, token, "switch", (example_of("switch"),))
    doubt_positions(draft, said.line, read)
    if read.positions:
        alias = read.lead[0].text if read.lead else ""
        controls.append(Control(said.id, said.id, read.positions, read.rest, alias=alias))
        pins.update(dict.fromkeys(read.pins))


def _poles(
    draft: Draft, statement: Statement, said: PartLine, alias: str, controls: list[Control], pins: dict[str, None]
) -> None:
    for row in statement.block:
        read: Positions = read_positions(draft, row, row.tokens, "switch")
        pole = read.lead[0] if len(read.lead) == 1 else None
        if pole is None or not read.positions or not NAME.fullmatch(pole.text):
            draft.missing(row, "switch", POLE_EXAMPLE)
            continue
        doubt_positions(draft, row, read)
        name = f"{said.id}.{pole.text}"
        if any(control.id == name for control in controls):
            draft.wrong("name-twice", row.span(pole), said.span, name=name)
            continue
        other = f"{alias}.{pole.text}" if alias else ""
        controls.append(Control(name, said.id, read.positions, read.rest, alias=other))
        pins.update(dict.fromkeys(read.pins))
