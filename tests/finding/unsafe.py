"""Which steps touch an airbag, high-voltage or mains circuit: read from the declarations alone.

This knows nothing of `vehicle.nets` or `diagnose.safety`. It takes the pins that the file marks, follows wires from end
to end, splices and the two halves of connectors, and says which points and parts are on such a circuit. A mark goes no
further than a stud, a body, a battery or a carrier, where everything meets.
"""

import re
from collections.abc import Iterator
from dataclasses import fields, is_dataclass

from loombench.diagnose.step import Step
from loombench.vehicle.condition import Operation
from loombench.vehicle.model import Vehicle
from loombench.vehicle.points import Point

DANGEROUS = ("pyro", "hv", "mains")
MEETING = ("stud", "body", "battery", "carrier", "strap")
NO_NAMES = ("places", "kind", "meter")
"""Fields of a step that name no part."""
Pin = tuple[str, str]


def dangerous_pins(vehicle: Vehicle) -> frozenset[Pin]:
    """(part, pin) of everything on a marked circuit; the pin of a splice is empty."""
    beside: dict[Pin, set[Pin]] = {}
    for wire in vehicle.wires:
        one, other = (wire.a.part, wire.a.pin), (wire.b.part, wire.b.pin)
        beside.setdefault(one, set()).add(other)
        beside.setdefault(other, set()).add(one)
    for mating in vehicle.matings:
        for pin in vehicle.parts[mating.socket].pins if mating.socket in vehicle.parts else ():
            beside.setdefault((mating.socket, pin), set()).add((mating.plug, pin))
            beside.setdefault((mating.plug, pin), set()).add((mating.socket, pin))
    waiting = [
        (part.id, one)
        for part in vehicle.parts.values()
        for pin, name in part.class_marks
        if name in DANGEROUS
        for one in (part.pins or ("",) if pin in ("", "*") else (pin,))
    ]
    found: set[Pin] = set()
    while waiting:
        pin = waiting.pop()
        if pin not in found:
            found.add(pin)
            if vehicle.parts[pin[0]].kind not in MEETING:
                waiting += beside.get(pin, ())
    return frozenset(found)


def touches(vehicle: Vehicle, dangerous: frozenset[Pin], step: Step) -> str:
    """What a step touches that it must not, as words; empty where nothing.

    Whatever the kind of the step, kinds that nobody has thought of yet too: each name in its fields is looked at. To
    set a control is not to touch its part, to see a load is, since it is set going.
    """
    return next(_touched(vehicle, dangerous, step), "")


def _touched(vehicle: Vehicle, dangerous: frozenset[Pin], thing: object) -> Iterator[str]:
    match thing:
        case Point():
            if (thing.part, thing.pin) in dangerous:
                yield f"{thing} touched"
        case Operation():
            words = () if thing.verb in ("set", "wait", "supply") else (thing.target, thing.value)
            if any(_on_part(vehicle, dangerous, word) for word in words):
                yield f"{thing}"
            for word in words:
                yield from _touched(vehicle, dangerous, word)
        case str():
            for word in re.split(r"[\s~<,=]+", re.sub(r"#\d+", "", thing)):
                if _named(vehicle, dangerous, word):
                    yield f"{word} handled"
        case tuple() | frozenset():
            for one in thing:
                yield from _touched(vehicle, dangerous, one)
        case _ if is_dataclass(thing):
            for one in fields(thing):
                if one.name not in NO_NAMES:
                    yield from _touched(vehicle, dangerous, getattr(thing, one.name))


def _named(vehicle: Vehicle, dangerous: frozenset[Pin], word: str) -> bool:
    """Whether a word names a part, a control, a contact or an element on a dangerous circuit."""
    control = vehicle.controls.get(word)
    body = word.partition(":")[0].partition("@")[0] if "::" not in word else word
    part, mark, pin = re.fullmatch(r"((?:[^:./]*::)?[^./]*)([./]?)(.*)", body).groups()  # type: ignore[union-attr]
    if control is not None or not mark:
        return _on_part(vehicle, dangerous, control.part if control is not None else part)
    known = vehicle.parts.get(part)
    if known is None:
        return False
    ends = [pin] if pin in known.pins else pin.split("-")
    return any((part, end) in dangerous for end in ends)


def _on_part(vehicle: Vehicle, dangerous: frozenset[Pin], name: str) -> bool:
    part = vehicle.parts.get(name) or vehicle.parts.get(name.partition(".")[0])
    return part is not None and part.kind not in MEETING and any(one == part.id for one, _ in dangerous)
