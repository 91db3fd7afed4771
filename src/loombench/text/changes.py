"""Changes as lines of text: `change 2026-11-03 "previous repair" size S4.2~E7.1 2.5mm2`, applied in their order."""

import re
from dataclasses import replace

from loombench.base.band import Band
from loombench.base.outcome import Outcome
from loombench.text.colour import spell
from loombench.text.dispatch import read_statement
from loombench.text.draft import Draft
from loombench.text.numbers import BOUNDS, Number, read_number, write_number
from loombench.text.partline import NAME
from loombench.text.resolve import FIRST, resolve, say_unknown
from loombench.text.statements.stretch import read_stretch
from loombench.text.statements.wires import read_wires
from loombench.text.syntax import Line, Statement
from loombench.text.tokens import STRING, Token, tokens
from loombench.text.units import joined
from loombench.text.write import write_bracket, write_point
from loombench.text.write_parts import part_lines, quoted
from loombench.vehicle.change import (
    Action,
    AddPart,
    AddWire,
    Change,
    ChooseOption,
    MoveEnd,
    RemoveWire,
    Rename,
    SetColour,
    SetLength,
    SetNumber,
    SetSize,
    apply,
)
from loombench.vehicle.kinds import KINDS
from loombench.vehicle.model import Vehicle
from loombench.vehicle.points import Point

VERBS = ("rename", "size", "length", "colour", "wire", "remove", "move", "number", "option", "part")
FORMS = (
    "rename E7 E17", "size W 1.5mm2", "length W 2m", "colour W GY/RD", "wire A (GY 1mm2 2m) B", "remove W",
    "move W from A to B", "number F12 15A", "option trailer-kit", "part lamp E9 12V 5W",
)  # fmt: skip
_DATE = re.compile(r"\d{4}-\d{2}-\d{2}")
_HEAD = 4


def apply_lines(draft: Draft, vehicle: Vehicle) -> Vehicle:
    """The vehicle with the changes its own text notes; one that does not fit is left out and said, with its line."""
    for line in draft.changes:
        change = read_change(draft, line, vehicle)
        if change is None or isinstance(change.action, ChooseOption):
            continue
        outcome = apply(vehicle, change)
        vehicle = outcome.value
        for item in outcome.problems:
            draft.problems.append(replace(item, spans=(line.span(), *item.spans)))
    return vehicle


def change_of(vehicle: Vehicle, text: str, reason: str, date: str) -> Outcome[Change | None]:
    """The change that a text such as `size S4.2~E7.1 2.5mm2` spells for a loaded vehicle; None with what is wrong."""
    draft = Draft(nominal_v=vehicle.nominal_v, system=vehicle.colours)
    line = Line("", 1, tokens(f"change {date} {quoted(reason)} {text}"))
    change = read_change(draft, line, vehicle)
    # There is no file the words came from.
    return Outcome(change, tuple(replace(item, spans=()) for item in draft.problems))


def read_change(draft: Draft, line: Line, vehicle: Vehicle) -> Change | None:
    """The change a line spells; None, and what is wrong is noted, where it spells none."""
    words = line.tokens
    sound = (
        len(words) > _HEAD
        and words[1].is_word()
        and _DATE.fullmatch(words[1].text)
        and words[2].kind == STRING
        and words[3].is_word(*VERBS)
    )
    known = len(draft.problems)
    action = _action(draft, line, vehicle, words[3].text, words[_HEAD:]) if sound else None
    if action is None:
        if len(draft.problems) == known:
            text = " ".join(token.text for token in words[1:])[:80]
            draft.wrong("change-unread", line.span(), text=text, allowed=", ".join(FORMS))
        return None
    return Change(action, words[2].text, words[1].text)


def _action(draft: Draft, line: Line, vehicle: Vehicle, verb: str, rest: tuple[Token, ...]) -> Action | None:
    first, second = rest[0], rest[1] if len(rest) > 1 else None
    if verb == "option" or (verb == "remove" and second is None):
        return ChooseOption(first.text) if verb == "option" else RemoveWire(first.text)
    if verb in ("wire", "part"):
        return _addition(draft, replace(line, tokens=rest), vehicle, verb)
    if second is None:
        return None
    if verb == "rename" and NAME.fullmatch(second.text):
        return Rename(first.text, second.text)
    if verb == "colour":
        stretch = read_stretch(draft, line, rest[1:])
        return SetColour(first.text, stretch.colour)
    if verb == "move" and len(rest) == 5 and rest[1].is_word("from") and rest[3].is_word("to"):
        return _move(draft, line, vehicle, rest)
    second = joined(rest[1:], dict.fromkeys(BOUNDS, ""), every_spelling=True)[0]
    number = read_number(second.text)
    if not isinstance(number, Number) or number.band is None:
        return None
    return _number(verb, first.text, number.unit, number.band, second.text, vehicle)


def _number(verb: str, name: str, unit: str, band: Band, text: str, vehicle: Vehicle) -> Action | None:
    if verb == "length" and unit == "m":
        return SetLength(name, band)
    if verb == "size" and unit in ("mm2", "AWG"):
        probe = Draft()
        stretch = read_stretch(probe, Line("", 1, (Token(text, 1, 1),)), (Token(text, 1, 1),))
        return None if stretch.area_mm2 is None else SetSize(name, stretch.area_mm2, stretch.size_text)
    if verb != "number":
        return None
    part_id, _, element = name.partition(".")
    part = vehicle.parts.get(part_id)
    inner = next((item for item in part.elements if item.name == element), None) if part else None
    kind = inner.kind if inner else part.kind if part else ""
    return SetNumber(part_id, KINDS[kind].numbers.get(unit, unit) if kind in KINDS else unit, band, element)


def _draft_of(vehicle: Vehicle, draft: Draft) -> Draft:
    return Draft(
        limits=draft.limits, nominal_v=vehicle.nominal_v, system=vehicle.colours, head=draft.head,
        parts=dict(vehicle.parts), places=dict(vehicle.places),
    )  # fmt: skip


def _addition(draft: Draft, line: Line, vehicle: Vehicle, verb: str) -> Action | None:
    own = _draft_of(vehicle, draft)
    if verb == "wire":
        read_wires(own, line, "")
        say_unknown(own)
        draft.problems.extend(own.problems)
        return AddWire(own.wires[0]) if len(own.wires) == 1 else None
    read_statement(own, Statement(line))
    draft.problems.extend(own.problems)
    added = [part for name, part in own.parts.items() if name not in vehicle.parts]
    return AddPart(added[0]) if len(added) == 1 else None


def _move(draft: Draft, line: Line, vehicle: Vehicle, rest: tuple[Token, ...]) -> Action | None:
    wire = vehicle.wire_by_id.get(rest[0].text)
    ends: list[Point] = []
    for token in (rest[2], rest[4]):
        own = _draft_of(vehicle, draft)
        stop = resolve(own, line, token, wire.loom if wire else "", FIRST)
        say_unknown(own)
        draft.problems.extend(own.problems)
        if stop is None:
            return None
        ends.append(stop.leave)
    return MoveEnd(rest[0].text, ends[0], ends[1])


def write_change(change: Change, vehicle: Vehicle) -> str:
    """The change as a line of text, for a vehicle to which it has not been applied yet."""
    return f"change {change.date} {quoted(change.reason)} {write_action(change.action, vehicle)}"


def write_action(action: Action, vehicle: Vehicle) -> str:
    """The action alone, as `not as drawn` in a session takes it."""
    if isinstance(action, Rename):
        return f"rename {action.old} {action.new}"
    if isinstance(action, SetSize):
        return f"size {action.wire} {action.size_text or write_number(action.area_mm2, 'mm2')}"
    if isinstance(action, SetLength):
        return f"length {action.wire} {write_number(action.length_m, 'm')}"
    if isinstance(action, SetColour):
        return f"colour {action.wire} {spell(vehicle.colours, action.colour)}"
    if isinstance(action, RemoveWire):
        return f"remove {action.wire}"
    if isinstance(action, ChooseOption):
        return f"option {action.name}"
    if isinstance(action, MoveEnd):
        return f"move {action.wire} from {write_point(action.old)} to {write_point(action.new)}"
    if isinstance(action, AddPart):
        return f"part {part_lines(action.part)[0]}"
    if isinstance(action, AddWire):
        wire = action.wire
        return f"wire {write_point(wire.a)} {write_bracket(wire, vehicle.colours)} {write_point(wire.b)}"
    return f"number {action.part}{'.' if action.element else ''}{action.element} {_number_text(action, vehicle)}"


def _number_text(action: SetNumber, vehicle: Vehicle) -> str:
    part = vehicle.parts.get(action.part)
    inner = next((item for item in part.elements if item.name == action.element), None) if part else None
    kind = inner.kind if inner else part.kind if part else ""
    units = KINDS[kind].numbers if kind in KINDS else {}
    return write_number(action.value, next((unit for unit, name in units.items() if name == action.name), ""))
