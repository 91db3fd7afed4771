"""Switches: every position named, the one asked for drawn and marked, poles moved by one hand linked."""

import math
from dataclasses import dataclass

from loombench.draw.shapes import NOTE, PIN_NAME, START, THIN, Polyline, Rect, Shape, Symbol, Text, Wanted
from loombench.draw.symbols.contacts import contact, link_mm, mover, throw
from loombench.draw.symbols.frame import (
    LABEL_MM,
    LINE_MM,
    NOTE_MM,
    TEXT_WIDTH_MM,
    point_name,
    side_texts,
    text_bottom_mm,
)
from loombench.draw.symbols.ladder import Rung, ladder, rung
from loombench.draw.textwidth import fitted, text_width_mm, wrapped
from loombench.vehicle.model import Control, Part, Position

THROW_MM = 5.0
_NOTE_MM, MOST_MM = 16.0, 60.0


def switch(part: Part, wanted: Wanted) -> Symbol:
    """The symbol of a switch; with several poles all of them whose pins are wanted."""
    poles = [control for control in part.controls if control_rungs(part, control, wanted)]
    rungs: list[Rung] = []
    linked: list[tuple[int, ...]] = []
    for control in poles:
        own = control_rungs(part, control, wanted)
        linked.append(tuple(range(len(rungs), len(rungs) + len(own))))
        rungs += own
    texts: tuple[Shape, ...] = side_texts(part, 0.0, 0.0)
    for control in poles or part.controls:
        texts += strip(part, control, wanted, text_bottom_mm(texts) + 0.6)
    return ladder(part, rungs, wanted, texts, tuple(linked), framed=len(rungs) > 1)


def drawn_position(control: Control, wanted: Wanted) -> str:
    """The position a control is drawn in: the one asked for, else at rest."""
    asked = wanted.positions.get(control.id, control.rest)
    return asked if control.position(asked) else control.rest


def control_rungs(part: Part, control: Control, wanted: Wanted) -> list[Rung]:
    """The contacts of one control, what moves them at the left of the first."""
    pairs = [pair for pair in _every(control) if all(wanted.takes(point_name(part, pin)) for pin in pair)]
    now = control.position(drawn_position(control, wanted)) or Position("")
    common = _common(control)
    by = "cam" if control.follows else control.by
    if common and len(pairs) == len(_every(control)) and _one_way(part, common, pairs, wanted):
        return [_thrown(control, common, tuple(pairs), now, by)]
    found: list[Rung] = []
    for pair in pairs:
        closed = pair in now.pairs
        shapes = contact(closed)
        if not found:
            shapes = (*shapes, *mover(by, link_mm(closed), now.springs_back))
        notes = wrapped(_closing(control, pair), _NOTE_MM, NOTE_MM, 4) if len(_every(control)) > 1 else ()
        found.append(rung(pair[0], pair[1], shapes, notes, link_mm(closed)))
    return found


def _closing(control: Control, pair: tuple[str, str]) -> str:
    """The positions in which a pair is joined."""
    names = ", ".join(position.name for position in control.positions if pair in position.pairs)
    return fitted(names, MOST_MM, NOTE_MM)


def _every(control: Control) -> tuple[tuple[str, str], ...]:
    return tuple(dict.fromkeys(pair for position in control.positions for pair in position.pairs))


def _common(control: Control) -> str:
    """The pin that a single movable piece joins to one of several others; empty where it is no such switch."""
    pairs = _every(control)
    if any(len(position.pairs) > 1 for position in control.positions) or len(pairs) < 2:
        return ""
    shared = [pin for pin in pairs[0] if all(pin in pair for pair in pairs)]
    return shared[0] if len(shared) == 1 else ""


def _one_way(part: Part, common: str, pairs: list[tuple[str, str]], wanted: Wanted) -> bool:
    """Whether all fixed contacts leave on one side and the movable piece on the other."""
    up = {point_name(part, pin) in wanted.upward for pair in pairs for pin in pair if pin != common}
    return up == {False} or (up == {True} and point_name(part, common) not in wanted.upward)


def _thrown(control: Control, common: str, pairs: tuple[tuple[str, str], ...], now: Position, by: str) -> Rung:
    """One movable piece over its fixed contacts, each with the positions in which it lies there."""
    others = [next(pin for pin in pair if pin != common) for pair in pairs]
    names = [_closing(control, pair) for pair in pairs]
    widest = max(text_width_mm(name, NOTE_MM) for name in names)
    step = THROW_MM * math.ceil((widest + 1.8) / THROW_MM)
    first = -step / 2.0 * (len(others) - 1)
    spots = tuple(first + step * at for at in range(len(others)))
    said = tuple(Text(x + 0.7, 13.4, name, NOTE_MM, START, NOTE) for x, name in zip(spots, names, strict=True))
    chosen = next((at for at, pair in enumerate(pairs) if pair in now.pairs), None)
    aside = 0.0 if 0.0 not in spots else first - 2.0
    reach = aside if chosen is None else spots[chosen]
    shapes = (*throw(spots, chosen, aside), *said, *mover(by, reach / 2.0, now.springs_back, first - 4.2))
    lowers = tuple(zip(others, spots, strict=True))
    return Rung(((common, 0.0),), lowers, shapes, left_mm=5.5 - first)


@dataclass(frozen=True)
class _Row:
    x_mm: float
    y_mm: float


def strip(part: Part, control: Control, wanted: Wanted, y_mm: float) -> tuple[Shape, ...]:
    """The positions of a control side by side, the drawn one framed; one that springs back has a triangle."""
    now = drawn_position(control, wanted)
    shapes: list[Shape] = []
    at = _Row(0.0, y_mm + LABEL_MM)
    if len(part.controls) > 1:
        pole = control.id.removeprefix(f"{part.id}.")
        name = fitted(f"{pole}:", 12.0, NOTE_MM)
        shapes.append(Text(0.0, at.y_mm, name, NOTE_MM, START, NOTE))
        at = _Row(text_width_mm(name, NOTE_MM) + 1.2, at.y_mm)
    for position in control.positions:
        name = fitted(position.name, 14.0, NOTE_MM)
        width = text_width_mm(name, NOTE_MM) + (2.6 if position.springs_back else 1.2)
        if at.x_mm > 0.0 and at.x_mm + width > TEXT_WIDTH_MM:
            at = _Row(0.0, at.y_mm + LINE_MM + 0.4)
        shapes.append(Text(at.x_mm + 0.6, at.y_mm, name, NOTE_MM, START, PIN_NAME if position.name == now else NOTE))
        if position.springs_back:
            x, y = at.x_mm + width - 1.6, at.y_mm - 0.9
            shapes.append(Polyline(((x, y), (x + 1.1, y - 0.7), (x + 1.1, y + 0.7)), THIN, closed=True))
        if position.name == now:
            shapes.append(Rect(at.x_mm, at.y_mm - 2.4, width, 3.2, corner_mm=0.5))
        at = _Row(at.x_mm + width + 0.8, at.y_mm)
    return tuple(shapes)
