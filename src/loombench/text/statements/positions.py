"""Positions of a switch, a cam or a dry contact: `off | on: 1=2`, several pairs in one, `name!` springs back."""

import re
from collections.abc import Sequence
from dataclasses import dataclass

from loombench.text.draft import Draft
from loombench.text.syntax import Line
from loombench.text.tokens import Token
from loombench.vehicle.model import Position

_DASHED = re.compile(r"(?P<one>\w+)[-/+,](?P<two>\w+)")
"""A pair whose pins are joined by another mark than `=`."""
OFF = "off"


@dataclass(frozen=True)
class Positions:
    """`lead` are the words before the first position's name (an alias or a pole's name)."""

    lead: tuple[Token, ...]
    positions: tuple[Position, ...]
    rest: str

    @property
    def pins(self) -> tuple[str, ...]:
        """The pins of all pairs, in the order they are written."""
        found = (pin for position in self.positions for pair in position.pairs for pin in pair)
        return tuple(dict.fromkeys(found))


def read_positions(
    draft: Draft, line: Line, found: tuple[Token, ...], statement: str, need_rest: bool = True
) -> Positions:
    """Positions from the tokens behind the name; `rest NAME` at the end says which one it rests in.

    Without it `usual_rest` is.
    """
    tokens, wish = _rest_wish(found)
    lead: tuple[Token, ...] = ()
    made: dict[str, Position] = {}
    for index, group in enumerate(_split(draft, line, tokens, statement)):
        names, pairs = _group(draft, line, group, statement)
        if index == 0 and len(names) > 1:
            lead, names = names[:-1], names[-1:]
        if len(names) != 1 or not names[0].is_word():
            if group:
                draft.unexpected(line, names[1] if len(names) > 1 else group[0], statement, ("off | on: 1=2",))
            continue
        name = names[0].text.removesuffix("!")
        position = Position(name, _pairs(draft, line, pairs, statement), names[0].text.endswith("!"))
        if not name or name in made:
            draft.wrong("name-twice", line.span(names[0]), name=name or "!")
            continue
        made[name] = position
    positions = tuple(made.values())
    rest = usual_rest(positions)
    if wish is not None:
        if wish.text in made:
            rest = wish.text
        else:
            near = draft.near(wish.text, made)
            names_text = ", ".join(made) or "none"
            draft.wrong("position-unknown", line.span(wish), name=wish.text[:40], nearest=near, allowed=names_text)
    elif need_rest and positions and all(position.springs_back for position in positions):
        draft.missing(
            line, statement, f"{statement} {line.tokens[1].text if len(line.tokens) > 1 else 'S7'} off | push!: 1=2"
        )
    return Positions(lead, positions, rest)


def usual_rest(positions: Sequence[Position]) -> str:
    """The rest that need not be said: the position called `off`, else the first one that does not spring back."""
    steady = [position.name for position in positions if not position.springs_back]
    if OFF in steady:
        return OFF
    return steady[0] if steady else positions[0].name if positions else ""


def _rest_wish(found: tuple[Token, ...]) -> tuple[tuple[Token, ...], Token | None]:
    if len(found) > 2 and found[-2].is_word("rest") and found[-1].is_word() and not found[-3].is_mark("|"):
        return found[:-2], found[-1]
    return found, None


def _split(draft: Draft, line: Line, found: tuple[Token, ...], statement: str) -> list[tuple[Token, ...]]:
    """The tokens of each position. Where a second colon shows that a bar was forgotten, it is said and taken."""
    groups: list[list[Token]] = [[]]
    for index, token in enumerate(found):
        if token.is_mark("|"):
            groups.append([])
            continue
        colon = index + 1 < len(found) and found[index + 1].is_mark(":")
        if colon and token.is_word() and any(other.is_mark(":") for other in groups[-1]):
            draft.unexpected(line, token, statement, ("1=2", "|"), f"| {token.text}:")
            groups.append([])
        groups[-1].append(token)
    return [tuple(group) for group in groups]


def _group(
    draft: Draft, line: Line, group: tuple[Token, ...], statement: str
) -> tuple[tuple[Token, ...], tuple[Token, ...]]:
    """The name's words and the tokens of the pairs. Where the colon between them was forgotten, that is said."""
    for index, token in enumerate(group):
        if token.is_mark(":"):
            return group[:index], group[index + 1 :]
    equals = next((index for index, token in enumerate(group) if token.is_mark("=")), 0)
    if equals > 1 and group[equals - 2].is_word():
        name = group[equals - 2]
        draft.unexpected(line, name, statement, ("off | on: 1=2",), f"{name.text}:")
        return group[: equals - 1], group[equals - 1 :]
    return group, ()


def _pairs(draft: Draft, line: Line, found: tuple[Token, ...], statement: str) -> tuple[tuple[str, str], ...]:
    made: dict[tuple[str, str], None] = {}
    index = 0
    while index < len(found):
        three = found[index : index + 3]
        fits = len(three) == 3 and three[0].is_word() and three[1].is_mark("=") and three[2].is_word()
        if fits and three[0].text != three[2].text:
            made.setdefault((three[0].text, three[2].text))
            index += 3
        else:
            dashed = _DASHED.fullmatch(found[index].text) if found[index].is_word() and not fits else None
            meant = f"{dashed['one']}={dashed['two']}" if dashed else ""
            draft.unexpected(line, found[index], statement, ("1=2",), meant)
            if dashed and dashed["one"] != dashed["two"]:
                made.setdefault((dashed["one"], dashed["two"]))
            index += 3 if fits else 1
    return tuple(made)
