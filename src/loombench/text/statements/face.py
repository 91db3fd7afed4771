"""The face of a plug: `face X12 rows 2 zigzag from wires`, below it latch, lock, tool, blind cavities, its rows."""

from collections.abc import Iterable
from dataclasses import replace

from loombench.text.draft import Draft
from loombench.text.resolve import unknown_part
from loombench.text.syntax import Line, Statement
from loombench.text.tokens import STRING, Token
from loombench.vehicle.face import EDGES, NUMBERINGS, SIDES, Face
from loombench.vehicle.model import Part

FACE_EXAMPLE = "face X12 rows 2 zigzag from wires"
FACE_ROWS = ("latch", "lever", "lock", "tool", "blind", "grid")
GAP = "-"
MOST_ROWS = 20


def read_face(draft: Draft, statement: Statement) -> None:
    """Keep the statement until all parts are known."""
    line = statement.line
    if len(line.tokens) < 2 or not line.tokens[1].is_word():
        draft.missing(line, "face", FACE_EXAMPLE)
    else:
        draft.face_lines.append(statement)


def read_faces(draft: Draft) -> None:
    """The faces of the kept statements, each with its own part, plug or half."""
    for statement in draft.face_lines:
        line = statement.line
        face, cavities = _owner(draft, line)
        if face is None:
            continue
        other = draft.faces.get(face.name)
        if other is not None:
            draft.wrong("name-twice", face.span, other.span, name=face.name)
            continue
        face = _head(draft, line, face)
        for row in statement.block:
            face = _row(draft, row, face, cavities)
        draft.faces[face.name] = face


def _owner(draft: Draft, line: Line) -> tuple[Face | None, tuple[str, ...]]:
    """A face for what the line names, with the cavities it has."""
    token = line.tokens[1]
    owner, _, half = token.text.partition("@")
    name, _, plug = owner.partition(".")
    part = draft.parts.get(name)
    if part is None:
        unknown_part(draft, line, token, name)
        return None, ()
    near = f"{part.id}.{draft.near(plug, part.plugs)}" if plug else ""
    if plug and plug not in part.plugs:
        draft.unexpected(line, token, "face", (f"{part.id}.{one}" for one in part.plugs if one), near)
        return None, ()
    if half and half not in part.halves:
        draft.unexpected(line, token, "face", (f"{part.id}@{one}" for one in part.halves))
        return None, ()
    return Face(owner, half, span=line.span(token)), _cavities(part, plug)


def _cavities(part: Part, plug: str) -> tuple[str, ...]:
    return tuple(pin.removeprefix(f"{plug}/") for pin in (part.plugs.get(plug, part.pins) if plug else part.pins))


def _head(draft: Draft, line: Line, face: Face) -> Face:
    rest = list(line.tokens[2:])
    while rest:
        token = rest.pop(0)
        if token.is_word("rows") and rest and rest[0].is_word():
            count = rest.pop(0)
            if count.text.isdecimal() and 1 <= int(count.text[:4]) <= MOST_ROWS:
                face = replace(face, rows=int(count.text))
            else:
                draft.wrong("number-range", line.span(count), text=count.text[:40], limits=f"1 to {MOST_ROWS} rows")
        elif token.is_word("from") and rest and rest[0].is_word(*SIDES):
            face = replace(face, seen_from=rest.pop(0).text)
        elif token.is_word(*NUMBERINGS):
            face = replace(face, numbering=token.text)
        else:
            draft.unexpected(line, token, "face", ("rows", *NUMBERINGS, *(f"from {side}" for side in SIDES)))
    return face


def _row(draft: Draft, row: Line, face: Face, cavities: tuple[str, ...]) -> Face:
    rest = row.tokens[1:]
    text = " ".join(token.text for token in rest if token.kind == STRING)
    words = tuple(token for token in rest if token.kind != STRING)
    if row.keyword in ("latch", "lever"):
        return _latch(draft, row, replace(face, opens=text, lever=row.keyword == "lever"), words)
    if row.keyword == "lock":
        _nothing_more(draft, row, words)
        return replace(face, lock=text)
    if row.keyword == "tool":
        side = words[1].text if len(words) == 2 and words[0].is_word("from") and words[1].is_word(*SIDES) else ""
        if not side:
            _nothing_more(draft, row, words, tuple(f"from {one}" for one in SIDES))
        return replace(face, tool=text, tool_from=side)
    if row.keyword == "blind":
        return replace(face, blind=_known(draft, row, rest, cavities))
    if row.keyword == "grid":
        return replace(face, grid=_grid(draft, row, cavities))
    draft.unexpected(row, row.tokens[0], "face", FACE_ROWS)
    return face


def _latch(draft: Draft, row: Line, face: Face, words: tuple[Token, ...]) -> Face:
    edges = [token.text for token in words if token.is_word(*EDGES)]
    _nothing_more(draft, row, (token for token in words if not token.is_word(*EDGES)), EDGES)
    return replace(face, latch=edges[0] if edges else "")


def _nothing_more(draft: Draft, row: Line, words: Iterable[Token], allowed: tuple[str, ...] = ()) -> None:
    for token in words:
        draft.unexpected(row, token, row.keyword, (*allowed, '"text"'))


def _known(draft: Draft, row: Line, words: tuple[Token, ...], cavities: tuple[str, ...]) -> tuple[str, ...]:
    for token in words:
        if token.text not in cavities:
            draft.unexpected(row, token, row.keyword, cavities[:40])
    return tuple(dict.fromkeys(token.text for token in words if token.text in cavities))


def _grid(draft: Draft, row: Line, cavities: tuple[str, ...]) -> tuple[tuple[str, ...], ...]:
    """`grid 1 2 3 / 4 - 6`: the rows as they are seen, a dash where there is no cavity."""
    rows: list[tuple[str, ...]] = [()]
    for token in row.tokens[1:]:
        if token.text == "/":
            rows.append(())
        elif token.text == GAP or token.text in cavities:
            rows[-1] = (*rows[-1], "" if token.text == GAP else token.text)
        else:
            draft.unexpected(row, token, "grid", cavities[:40])
    return tuple(one for one in rows if one)[:MOST_ROWS]
