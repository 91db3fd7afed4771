"""What a user types about a loaded vehicle: points, parts, wires, controls and conditions, looked up by name.

An unknown name comes back as None with a problem that offers the nearest one. These problems have no place in a file;
whoever asks knows where the words came from.
"""

from collections.abc import Iterable, Sequence
from dataclasses import replace

from loombench.base.nearest import NONE, nearest
from loombench.base.outcome import Outcome
from loombench.base.problems import Problem, error
from loombench.base.quantity import Quantity, read_quantity
from loombench.text.tokens import plain
from loombench.vehicle.condition import AIDS, ENGINE, ENGINE_STATES, PROVOKING, Condition, Operation, read_operation
from loombench.vehicle.model import Control, Inner, Part, Vehicle, Wire
from loombench.vehicle.points import Point, read_point

LONGEST = 200
SEATED = ("fuse", "fuselink", "breaker", "relay")
FIXED = ("body", "stud", "splice", "strap", "carrier", "cable")
"""Kinds that have no plug to pull."""


def find_part(vehicle: Vehicle, text: str) -> Outcome[Part | None]:
    """The part of that name."""
    name = plain(text).strip()[:LONGEST]
    part = vehicle.parts.get(name)
    return Outcome(part) if part else Outcome(None, (_no_part(vehicle, name),))


def _no_part(vehicle: Vehicle, name: str) -> Problem:
    return error("part-unknown", name=name[:60], nearest=nearest(name, vehicle.parts), count=1)


def find_element(vehicle: Vehicle, text: str) -> Outcome[tuple[Part, Inner | None] | None]:
    """The part, and of `PART.ELEMENT` the element (its name, or its label's first word where that is unique)."""
    name = plain(text).strip()[:LONGEST]
    if name in vehicle.parts:
        return Outcome((vehicle.parts[name], None))
    part_name, _, element = name.partition(".")
    part = vehicle.parts.get(part_name)
    if part is None:
        return Outcome(None, (_no_part(vehicle, part_name),))
    exact = [item for item in part.elements if element == item.name]
    loose = [item for item in part.elements if element and element.casefold() == item.label.casefold()]
    found = exact or (loose if len(loose) == 1 else [])
    if found:
        return Outcome((part, found[0]))
    known = [item.name for item in part.elements]
    facts = {"part": part.id, "name": element[:40], "nearest": nearest(element, known)}
    return Outcome(None, (error("element-unknown", part.span, allowed=", ".join(known) or NONE, **facts),))


def find_wire(vehicle: Vehicle, text: str) -> Outcome[Wire | None]:
    """The wire of that name; its ends may be given the other way round."""
    name = plain(text).strip()[:LONGEST]
    one, _, two = name.partition("~")
    wire = vehicle.wire_by_id.get(name) or vehicle.wire_by_id.get(f"{two}~{one}")
    if wire is not None:
        return Outcome(wire)
    return Outcome(None, (error("wire-unknown", name=name[:80], nearest=nearest(name, vehicle.wire_by_id)),))


def find_point(vehicle: Vehicle, text: str) -> Outcome[Point | None]:
    """The point of that name, with or without a layer (`E7.1:face`); a part that is one point needs no pin.

    A connector's cavity without its half is taken at the half that has a wire, where only one has.
    """
    name = plain(text).strip()[:LONGEST]
    point = read_point(name)
    if point is None:
        return Outcome(None, (error("point-bad", text=name[:60]),))
    part = vehicle.parts.get(point.part)
    if part is None:
        return Outcome(None, (_no_part(vehicle, point.part),))
    if not point.pin:
        return _whole(part, point)
    if part.kind == "stud":
        point = replace(point, ring=True)
    elif point.ring:
        point = replace(point, ring=False)
    if point.pin not in part.pins:
        facts = {"pin": point.pin[:40], "nearest": nearest(point.pin, part.pins), "allowed": " ".join(part.pins[:40])}
        return Outcome(None, (error("pin-unknown", part.span, part=part.id, **facts),))
    return _half(vehicle, part, point) if part.kind == "connector" else Outcome(replace(point, half=""))


def _whole(part: Part, point: Point) -> Outcome[Point | None]:
    if part.kind in ("splice", "stud", "body"):
        return Outcome(Point(part.id, layer=point.layer))
    example = f"{part.id}.{part.pins[0]}" if part.pins else part.id
    facts = {"kind": part.kind, "allowed": " ".join(part.pins[:40]) or NONE, "example": example}
    return Outcome(None, (error("pin-needed", part.span, part=part.id, **facts),))


def _half(vehicle: Vehicle, part: Part, point: Point) -> Outcome[Point | None]:
    if not part.halves:
        return Outcome(replace(point, half=""))
    if point.half in part.halves:
        return Outcome(point)
    wired = [half for half in part.halves if Point(part.id, point.pin, half) in vehicle.wires_at]
    if not point.half and len(wired) == 1:
        return Outcome(replace(point, half=wired[0]))
    near = nearest(point.half, part.halves) if point.half else part.halves[0]
    code = "half-unknown" if point.half else "loom-needed"
    facts = {"half": point.half, "halves": " | ".join(part.halves), "nearest": near}
    return Outcome(None, (error(code, part.span, part=part.id, **facts),))


def find_control(vehicle: Vehicle, text: str) -> Outcome[Control | None]:
    """The control by its id, its other name, the part's other name with the pole, or a pole's name that is unique."""
    name = plain(text).strip()[:LONGEST]
    control = vehicle.controls.get(name)
    if control is None:
        every = tuple(vehicle.controls.values())
        for match in (_by_alias, _by_part, _by_pole):
            found = [item for item in every if match(item, name, vehicle)]
            if len(found) == 1:
                control = found[0]
                break
    if control is not None:
        return Outcome(control)
    known = [*vehicle.controls, *(item.alias for item in vehicle.controls.values() if item.alias), ENGINE]
    return Outcome(None, (error("control-unknown", name=name[:60], nearest=nearest(name, known)),))


def _by_alias(control: Control, name: str, vehicle: Vehicle) -> bool:
    del vehicle
    return bool(control.alias) and control.alias == name


def _by_part(control: Control, name: str, vehicle: Vehicle) -> bool:
    return control.part == name and len(vehicle.parts[name].controls) == 1


def _by_pole(control: Control, name: str, vehicle: Vehicle) -> bool:
    del vehicle
    return control.id.partition(".")[2] == name


def read_condition(vehicle: Vehicle, texts: Iterable[str] | str) -> Outcome[Condition]:
    """The condition that operations spell, in their order; one text may hold several, joined by commas.

    Other names become ids; what cannot be understood or done is left out and said.
    """
    pieces = (texts,) if isinstance(texts, str) else tuple(texts)
    done: list[Operation] = []
    problems: list[Problem] = []
    for piece in (part for text in pieces for part in split_operations(text)):
        outcome = read_one_operation(vehicle, piece)
        problems.extend(outcome.problems)
        if outcome.value is not None:
            done.append(outcome.value)
    return Outcome(Condition(tuple(done)), tuple(problems))


def split_operations(text: str) -> Sequence[str]:
    """The operations of a text: parted by commas (not a decimal comma) and by `and` or `then`."""
    pieces = [""]
    for word in plain(text)[: 20 * LONGEST].split():
        joint = word in ("and", "then", ",")
        ends = word.endswith(",")
        if not joint:
            pieces[-1] = f"{pieces[-1]} {word.rstrip(',')}".strip()
        if (joint or ends) and pieces[-1]:
            pieces.append("")
    return [piece for piece in pieces if piece and piece != "at rest"]


def read_one_operation(vehicle: Vehicle, text: str) -> Outcome[Operation | None]:
    """One operation, its names looked up."""
    operation = read_operation(text)
    if operation is None or (operation.verb == "supply" and not 0 <= _amount(operation.value) <= 100):
        return Outcome(None, (error("condition-unread", text=text[:80]),))
    if operation.verb == "set":
        return _set(vehicle, operation)
    if operation.verb in ("wait", "supply"):
        return Outcome(operation)
    if operation.verb in AIDS:
        return _aid(vehicle, operation, text)
    return _on_part(vehicle, operation, text)


def _aid(vehicle: Vehicle, operation: Operation, text: str) -> Outcome[Operation | None]:
    """What is put on for a test: a point for a lead, a fuse for a limiter, relays of one kind to be changed over."""
    if operation.verb in ("ground", "feed"):
        point = find_point(vehicle, operation.target)
        found = None if point.value is None else replace(operation, target=str(point.value))
        return Outcome(found, point.problems)
    if operation.verb in PROVOKING and "~" in operation.target:
        wire = find_wire(vehicle, operation.target)
        return Outcome(None if wire.value is None else replace(operation, target=wire.value.id), wire.problems)
    element = operation.verb == "substitute"
    name = operation.target if element else operation.target.partition(".")[0]
    named = find_element(vehicle, name)
    if named.value is None:
        return Outcome(None, named.problems)
    part = named.value[0]
    other = vehicle.parts.get(operation.value)
    if operation.verb == "swap" and other is None:
        return Outcome(None, (_no_part(vehicle, operation.value),))
    outputs = [f"{part.id}.{one.pin}" for one in part.module.outputs] if part.module else []
    fits = {
        "limiter": part.kind == "fuse",
        "substitute": bool(part.elements),
        "swap": part.kind == "relay" and other is not None and other.kind == "relay",
        "actuate": operation.target in outputs,
        "release": part.module is not None and operation.target.removeprefix(f"{part.id}.") in part.pins,
    }.get(operation.verb, True)
    if not fits:
        return Outcome(None, (error("operation-target", part.span, text=text[:80], part=part.id, kind=part.kind),))
    return Outcome(operation)


def _amount(text: str) -> float:
    read = read_quantity(text)
    return read.value if isinstance(read, Quantity) and read.value is not None else -1.0


def _set(vehicle: Vehicle, operation: Operation) -> Outcome[Operation | None]:
    if operation.target == ENGINE and ENGINE not in vehicle.controls:
        names: Sequence[str] = ENGINE_STATES
        target = ENGINE
    else:
        outcome = find_control(vehicle, operation.target)
        if outcome.value is None:
            return Outcome(None, outcome.problems)
        target = outcome.value.id
        names = [position.name for position in outcome.value.positions]
    value = operation.value.removesuffix("!")
    if value not in names:
        near = nearest(value, names)
        return Outcome(None, (error("position-unknown", name=value[:40], nearest=near, allowed=", ".join(names)),))
    return Outcome(replace(operation, target=target, value=value))


def _on_part(vehicle: Vehicle, operation: Operation, text: str) -> Outcome[Operation | None]:
    name, _, plug = operation.target.partition(".")
    part = vehicle.parts.get(name)
    if part is None:
        return Outcome(None, (_no_part(vehicle, name),))
    plugs = [key for key in part.plugs if key]
    if plug and plug not in plugs:
        facts = {"pin": plug[:40], "nearest": nearest(plug, plugs), "allowed": ", ".join(plugs) or NONE}
        return Outcome(None, (error("pin-unknown", part.span, part=part.id, **facts),))
    seated = part.kind in SEATED or bool(part.holder)
    fits = {
        "unplug": part.kind not in FIXED and not seated, "plug": part.kind not in FIXED and not seated,
        "pull": seated, "insert": seated,
        "couple": part.kind == "socket", "uncouple": part.kind == "socket",
    }[operation.verb]  # fmt: skip
    if not fits:
        return Outcome(None, (error("operation-target", part.span, text=text[:80], part=part.id, kind=part.kind),))
    return Outcome(operation)
