"""Changing a text: a change's own lines are altered, and the result is read back before anyone gets it."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from loombench.base.outcome import Outcome
from loombench.base.problems import Problem, error
from loombench.text.changes import write_change
from loombench.text.colour import spell
from loombench.text.edit_lines import (
    Cut,
    Stretch,
    colour_cut,
    cut,
    find_stretch,
    number_cut,
    opening_of,
    point_cut,
    with_lines,
    without_line,
)
from loombench.text.edit_names import rename_cuts
from loombench.text.load import load_text
from loombench.text.numbers import write_number
from loombench.text.partline import line_in
from loombench.text.resolve import SPLICE
from loombench.text.sources import ReadInclude
from loombench.text.syntax import read_statements
from loombench.text.write import NO_LOOM, speaks_for_itself, write_point, write_wire
from loombench.text.write_parts import part_lines
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
from loombench.vehicle.model import Vehicle, Wire


@dataclass(frozen=True)
class _Page:
    """A text that is edited, with the vehicle that it is, or is a part of."""

    text: str
    file: str
    vehicle: Vehicle


def edit(
    text: str,
    change: Change,
    file: str = "vehicle.circuit",
    read_include: ReadInclude | None = None,
    options: Sequence[str] = (),
) -> Outcome[str]:
    """The text with a change made in its own lines; the text as it was, with problems, where that cannot be done.

    Only touched lines differ; comments and layout stay. The new text is loaded and compared with the changed vehicle:
    an edit that would say anything else than the change is refused (`edit-nothing`), and can still be noted with
    `note_change`.
    """
    vehicle = load_text(text, file, read_include, options).value
    if isinstance(change.action, ChooseOption):
        return note_change(text, change, file, read_include, options)
    after = apply(vehicle, change)
    if not after.usable:
        return Outcome(text, after.problems)
    edited = _edited(_Page(text, file, vehicle), change.action)
    if edited is not None and edited != text:
        again = load_text(edited, file, read_include, options).value
        if _said(again) == _said(after.value):
            return Outcome(edited)
    elif _said(after.value) == _said(vehicle):
        return Outcome(text)
    return Outcome(text, (error("edit-nothing", name=_target(change.action)),))


def note_change(
    text: str,
    change: Change,
    file: str = "vehicle.circuit",
    read_include: ReadInclude | None = None,
    options: Sequence[str] = (),
) -> Outcome[str]:
    """The text with the change noted as a `change` line at its end: the drawing above stays as it is."""
    vehicle = load_text(text, file, read_include, options).value
    problems: tuple[Problem, ...] = ()
    if isinstance(change.action, ChooseOption):
        if change.action.name not in vehicle.offers:
            problems = apply(vehicle, change).problems
    else:
        problems = apply(vehicle, change).problems
    if problems:
        return Outcome(text, problems)
    return Outcome(with_lines(text, len(text.splitlines()), (write_change(change, vehicle),)))


def _said(vehicle: Vehicle) -> list[str]:
    """All that a vehicle says, in an order of its own: two texts that say the same give the same."""
    used = {point.part for wire in vehicle.wires for point in (wire.a, wire.b)}
    parts = vehicle.parts.values()
    said = [" / ".join(part_lines(part)) for part in parts if not speaks_for_itself(part, part.id in used)]
    said.extend(f"{wire.loom}: {write_wire(wire, vehicle.colours)}" for wire in vehicle.wires)
    said.extend(f"{part.id}: {part.holder} {sorted(part.class_marks)}" for part in parts)
    said.extend(str(mating) for mating in ((item.socket, item.plug) for item in vehicle.matings))
    return sorted(said)


def _target(action: Action) -> str:
    for name in ("wire", "part", "old", "name"):
        value = getattr(action, name, "")
        if value:
            return str(getattr(value, "id", value)) or "wire"
    return "wire"


def _edited(page: _Page, action: Action) -> str | None:
    """The edited text; None where the action's place is not in it."""
    if isinstance(action, Rename):
        return _renamed(page, action)
    if isinstance(action, AddPart):
        return with_lines(page.text, _last_line(page, lambda word: word in KINDS), part_lines(action.part))
    if isinstance(action, AddWire):
        return _with_wire(page, action.wire)
    if isinstance(action, SetNumber):
        return _with_number(page, action)
    if isinstance(action, ChooseOption):
        return None
    wire = page.vehicle.wire_by_id[action.wire]
    if wire.span is None or wire.span.file != page.file:
        return None
    stretch = find_stretch(page.text, wire.span.line, wire.span.column)
    return None if stretch is None else _on_wire(page, action, wire, stretch)


def _renamed(page: _Page, action: Rename) -> str:
    """The text under the new name; a splice that only its wires name needs a line of its own if that is no `SP7`."""
    edited = cut(page.text, rename_cuts(page.text, page.file, action.old, action.new))
    part = page.vehicle.parts[action.old]
    heads = [item.line.tokens[:2] for item in read_statements(page.text, page.file).value]
    declared = any(head[-1].is_word(action.old) for head in heads if head[0].is_word("splice"))
    if part.kind != "splice" or declared or SPLICE.fullmatch(action.new):
        return edited
    return with_lines(edited, _last_line(page, lambda word: word in KINDS), (f"splice {action.new}",))


def _on_wire(
    page: _Page, action: SetSize | SetLength | SetColour | RemoveWire | MoveEnd, wire: Wire, stretch: Stretch
) -> str | None:
    last = stretch.bracket[-1] if stretch.bracket else opening_of(stretch)
    if isinstance(action, SetSize):
        size = action.size_text or write_number(action.area_mm2, "mm2")
        return cut(page.text, [number_cut(stretch.line, stretch.bracket, ("mm2", "AWG"), size, last)])
    if isinstance(action, SetLength):
        length = write_number(action.length_m, "m")
        return cut(page.text, [number_cut(stretch.line, stretch.bracket, ("m",), length, last)])
    if isinstance(action, SetColour):
        return cut(page.text, [colour_cut(stretch, spell(page.vehicle.colours, action.colour))])
    if isinstance(action, MoveEnd):
        return _moved(page, action, wire, stretch)
    return _removed(page, stretch)


def _starts_at(page: _Page, stretch: Stretch, index: int) -> str:
    """How the point of that index is written where a line begins with it: with a connector's half if it has one."""
    token = stretch.way.points[index]
    for wire in page.vehicle.wires:
        span = wire.span
        if span and (span.file, span.line, span.column) == (page.file, stretch.line.number, token.column):
            return write_point(wire.a) if wire.a.half else token.text
    return token.text


def _removed(page: _Page, stretch: Stretch) -> str:
    number, points, index = stretch.line.number, stretch.way.points, stretch.index
    if len(points) == 2:
        return without_line(page.text, number)
    start, end = points[index], points[index + 1]
    if index == 0:
        return cut(page.text, [Cut(number, start.column - 1, end.end - 1, _starts_at(page, stretch, 1))])
    if stretch.last:
        return cut(page.text, [Cut(number, start.end - 1, end.end - 1, "")])
    return cut(page.text, [Cut(number, start.end - 1, end.end - 1, f"\n{_starts_at(page, stretch, index + 1)}")])


def _moved(page: _Page, action: MoveEnd, wire: Wire, stretch: Stretch) -> str:
    number, points, index = stretch.line.number, stretch.way.points, stretch.index
    new = write_point(action.new, wire.loom)
    if wire.a == action.old:
        token = points[index]
        text = new if index == 0 else f"{token.text}\n{new}"
        return cut(page.text, [point_cut(number, token, text)])
    token = points[index + 1]
    text = new if stretch.last else f"{new}\n{_starts_at(page, stretch, index + 1)}"
    return cut(page.text, [point_cut(number, token, text)])


def _with_number(page: _Page, action: SetNumber) -> str | None:
    part = page.vehicle.parts[action.part]
    inner = next((item for item in part.elements if item.name == action.element), None)
    span = inner.span if inner is not None and action.element else part.span
    kind = inner.kind if inner is not None and action.element else part.kind
    if span is None or span.file != page.file or kind not in KINDS:
        return None
    line = line_in(page.text, span.line)
    units = [unit for unit, name in KINDS[kind].numbers.items() if name == action.name]
    behind = next((at for at, token in enumerate(line.tokens) if token.column == span.column), None)
    if behind is None or not units:
        return None
    behind += 1 if action.element and behind + 1 < len(line.tokens) else 0
    text = write_number(action.value, units[0])
    return cut(page.text, [number_cut(line, line.tokens[behind + 1 :], units, text, line.tokens[behind])])


def _last_line(page: _Page, wanted: Callable[[str], bool]) -> int:
    """The number of the last line of the last statement whose first word is wanted; of the text where there is none."""
    statements = read_statements(page.text, page.file).value
    found = [
        item.block[-1].number if item.block else item.line.number for item in statements if wanted(item.line.keyword)
    ]
    return max(found, default=len(page.text.splitlines()))


def _with_wire(page: _Page, wire: Wire) -> str:
    line = write_wire(wire, page.vehicle.colours)
    loom, last, now = "", 0, ""
    for statement in read_statements(page.text, page.file).value:
        head = statement.line
        if head.keyword == "loom" and len(head.tokens) > 1:
            now = "" if head.tokens[1].text == NO_LOOM else head.tokens[1].text
        if now == wire.loom and (len(head.tokens) > 1 and head.tokens[1].is_mark("(")):
            last = head.number
        loom = now
    if last:
        return with_lines(page.text, last, (line,))
    added = (line,) if loom == wire.loom else (f"loom {wire.loom or NO_LOOM}", line)
    return with_lines(page.text, len(page.text.splitlines()), added)
