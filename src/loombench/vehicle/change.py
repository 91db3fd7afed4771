"""Changes: how a particular vehicle differs from its drawing. As-built = base + options + changes in their order.

A change never raises for what a user asks: where it does not fit, the vehicle comes back as it was, with the problem.
"""

import re
from collections.abc import Iterable
from dataclasses import dataclass, replace
from types import MappingProxyType

from loombench.base.band import Band
from loombench.base.outcome import Outcome
from loombench.base.problems import Problem, error
from loombench.vehicle.kinds import KINDS
from loombench.vehicle.model import Colour, Part, Vehicle, Wire
from loombench.vehicle.naming import end_name, name_wires
from loombench.vehicle.points import Point
from loombench.vehicle.rename import renamed

NONE = "none"
_SPLICE = re.compile(r"SP\d+")


@dataclass(frozen=True)
class Rename:
    """Give a part another name; everything that refers to it follows."""

    old: str
    new: str


@dataclass(frozen=True)
class SetSize:
    """A wire's conductor size."""

    wire: str
    area_mm2: Band
    size_text: str = ""


@dataclass(frozen=True)
class SetLength:
    """A wire's length."""

    wire: str
    length_m: Band


@dataclass(frozen=True)
class SetColour:
    """A wire's colour."""

    wire: str
    colour: Colour


@dataclass(frozen=True)
class AddWire:
    """One more wire; its id is given when it is added."""

    wire: Wire


@dataclass(frozen=True)
class RemoveWire:
    """A wire taken out."""

    wire: str


@dataclass(frozen=True)
class MoveEnd:
    """An end of a wire put at another point: a re-pinned connector, another splice."""

    wire: str
    old: Point
    new: Point


@dataclass(frozen=True)
class SetNumber:
    """A number of a part, or of one of its inner elements; `name` as in `vehicle.kinds`."""

    part: str
    name: str
    value: Band
    element: str = ""


@dataclass(frozen=True)
class ChooseOption:
    """An option that this vehicle has. Its lines have to be read, so it is chosen before loading."""

    name: str


@dataclass(frozen=True)
class AddPart:
    """One more part."""

    part: Part


Action = Rename | SetSize | SetLength | SetColour | AddWire | RemoveWire | MoveEnd | SetNumber | ChooseOption | AddPart


@dataclass(frozen=True)
class Change:
    """An action with why it was done and when (`2026-11-03`)."""

    action: Action
    reason: str = ""
    date: str = ""


def apply(vehicle: Vehicle, change: Change) -> Outcome[Vehicle]:
    """The vehicle after a change, or as it was with what keeps the change from being made."""
    action = change.action
    if isinstance(action, Rename):
        return _rename(vehicle, action)
    if isinstance(action, AddPart):
        other = vehicle.parts.get(action.part.id)
        if other is not None:
            return _refuse(vehicle, error("name-twice", action.part.span, other.span, name=action.part.id))
        return Outcome(_with_parts(vehicle, {**vehicle.parts, action.part.id: action.part}))
    if isinstance(action, SetNumber):
        return _set_number(vehicle, action)
    if isinstance(action, ChooseOption):
        return _choose(vehicle, action)
    if isinstance(action, AddWire):
        return _add_wire(vehicle, action.wire, len(vehicle.wires))
    return _on_wire(vehicle, action)


def apply_all(vehicle: Vehicle, changes: Iterable[Change]) -> Outcome[Vehicle]:
    """The vehicle after several changes in order; one that does not fit is left out and said."""
    problems: list[Problem] = []
    for change in changes:
        outcome = apply(vehicle, change)
        vehicle = outcome.value
        problems.extend(outcome.problems)
    return Outcome(vehicle, tuple(problems))


def _refuse(vehicle: Vehicle, *problems: Problem) -> Outcome[Vehicle]:
    return Outcome(vehicle, problems)


def _with_parts(vehicle: Vehicle, parts: dict[str, Part]) -> Vehicle:
    return replace(vehicle, parts=MappingProxyType(parts))


def _unknown_part(name: str) -> Problem:
    return error("part-unknown", name=name, nearest=NONE, count=1)


def _rename(vehicle: Vehicle, action: Rename) -> Outcome[Vehicle]:
    part = vehicle.parts.get(action.old)
    if part is None:
        return _refuse(vehicle, _unknown_part(action.old))
    if action.new in vehicle.parts:
        return _refuse(vehicle, error("name-twice", vehicle.parts[action.new].span, name=action.new))
    return Outcome(renamed(vehicle, action.old, action.new))


def _choose(vehicle: Vehicle, action: ChooseOption) -> Outcome[Vehicle]:
    if action.name in vehicle.options:
        return Outcome(vehicle)
    code = "option-reload" if action.name in vehicle.offers else "option-unknown"
    return _refuse(vehicle, error(code, name=action.name, nearest=next(iter(vehicle.offers), NONE)))


def _set_number(vehicle: Vehicle, action: SetNumber) -> Outcome[Vehicle]:
    part = vehicle.parts.get(action.part)
    if part is None:
        return _refuse(vehicle, _unknown_part(action.part))
    targets = [item for item in part.elements if not action.element or item.name == action.element]
    if action.element and not targets:
        names = ", ".join(item.name for item in part.elements) or NONE
        facts = {"part": part.id, "name": action.element, "allowed": names, "nearest": NONE}
        return _refuse(vehicle, error("element-unknown", part.span, **facts))
    kind = targets[0].kind if action.element else part.kind
    kind = "relay" if kind == "relay-coil" else "strap" if kind == "conductor" else kind
    known = KINDS[kind].numbers if kind in KINDS else MappingProxyType({})
    if action.name not in known.values() or (len(targets) > 1 and kind != "relay"):
        unit = next((unit for unit, name in known.items() if name == action.name), action.name)
        return _refuse(vehicle, error("number-unknown", part.span, part=part.id, unit=unit, allowed=", ".join(known)))
    chosen = targets[:1] if kind == "relay" and action.name != "rated_a" else targets
    if kind == "relay" and action.name == "rated_a":
        chosen = [item for item in targets if item.kind == "relay-contact"]
    elements = tuple(
        replace(item, params=MappingProxyType({**item.params, action.name: action.value})) if item in chosen else item
        for item in part.elements
    )
    own = not action.element and kind != "relay"
    params = MappingProxyType({**part.params, action.name: action.value}) if own else part.params
    return Outcome(_with_parts(vehicle, {**vehicle.parts, part.id: replace(part, elements=elements, params=params)}))


def _add_wire(vehicle: Vehicle, wire: Wire, index: int) -> Outcome[Vehicle]:
    parts = dict(vehicle.parts)
    for point in (wire.a, wire.b):
        problem = _seat(parts, point)
        if problem is not None:
            return _refuse(vehicle, problem)
    if wire.a == wire.b:
        return _refuse(vehicle, error("wire-to-itself", wire.span, point=str(wire.a)))
    wires = (*vehicle.wires[:index], wire, *vehicle.wires[index:])
    looms = vehicle.looms if not wire.loom or wire.loom in vehicle.looms else (*vehicle.looms, wire.loom)
    changed = replace(vehicle, wires=name_wires(wires), parts=MappingProxyType(parts), looms=looms)
    return Outcome(_without_loose_splices(changed, vehicle))


def _seat(parts: dict[str, Part], point: Point) -> Problem | None:
    """Make room for a wire's end: a new splice, a new ring on a stud; the problem where there can be none."""
    part = parts.get(point.part)
    if part is None:
        if _SPLICE.fullmatch(point.part) and not point.pin:
            parts[point.part] = Part(point.part, "splice", ())
            return None
        return _unknown_part(point.part)
    if part.kind == "stud" and point.ring:
        if point.pin not in part.pins:
            parts[part.id] = replace(part, pins=(*part.pins, point.pin))
        return None
    if (not point.pin and part.kind in ("splice", "body", "stud")) or point.pin in part.pins:
        return None
    allowed = ", ".join(part.pins[:40]) or NONE
    return error("pin-unknown", part.span, part=part.id, pin=point.pin or NONE, nearest=NONE, allowed=allowed)


def _on_wire(vehicle: Vehicle, action: SetSize | SetLength | SetColour | RemoveWire | MoveEnd) -> Outcome[Vehicle]:
    index = next((at for at, wire in enumerate(vehicle.wires) if wire.id == action.wire), None)
    if index is None:
        return _refuse(vehicle, error("wire-unknown", name=action.wire, nearest=NONE))
    wire = vehicle.wires[index]
    rest = (*vehicle.wires[:index], *vehicle.wires[index + 1 :])
    if isinstance(action, RemoveWire):
        return Outcome(_without_loose_splices(replace(vehicle, wires=name_wires(rest)), vehicle))
    if isinstance(action, MoveEnd):
        if action.old not in (wire.a, wire.b):
            ends = f"{wire.a}, {wire.b}"
            return _refuse(vehicle, error("end-unknown", wire.span, wire=wire.id, point=str(action.old), allowed=ends))
        own = {"a": action.new} if wire.a == action.old else {"b": action.new}
        moved = replace(wire, loom=action.new.half or wire.loom, **own)  # type: ignore[arg-type]
        outcome = _add_wire(replace(vehicle, wires=rest), moved, index)
        return outcome if outcome.usable else _refuse(vehicle, *outcome.problems)
    if isinstance(action, SetSize):
        wire = replace(wire, area_mm2=action.area_mm2, size_text=action.size_text, assumed=_known(wire, "size"))
    elif isinstance(action, SetLength):
        wire = replace(wire, length_m=action.length_m, assumed=_known(wire, "length"))
    else:
        wire = replace(wire, colour=action.colour)
    return Outcome(replace(vehicle, wires=(*vehicle.wires[:index], wire, *vehicle.wires[index + 1 :])))


def _known(wire: Wire, name: str) -> tuple[str, ...]:
    return tuple(other for other in wire.assumed if other != name)


def _without_loose_splices(vehicle: Vehicle, before: Vehicle) -> Vehicle:
    """Without the splices and rings that had a wire before and have none now: they only stood for their wires."""
    used = {point for wire in vehicle.wires for point in (wire.a, wire.b)}
    left = {point for wire in before.wires for point in (wire.a, wire.b)} - used
    if not left:
        return vehicle
    parts = dict(vehicle.parts)
    for point in sorted(left):
        part = parts.get(point.part)
        if part is None:
            continue
        if part.kind == "stud" and point.ring:
            parts[part.id] = replace(part, pins=tuple(pin for pin in part.pins if pin != point.pin))
        elif part.kind == "splice" and not (part.place or part.label or part.class_marks):
            del parts[part.id]
    return _with_parts(vehicle, parts)


def wire_ends(wire: Wire) -> tuple[str, str]:
    """The two ends as they stand in the wire's name."""
    return end_name(wire.a), end_name(wire.b)
