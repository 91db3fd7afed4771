"""Which steps touch an airbag, high-voltage or mains circuit: read from the declarations alone.

This knows nothing of `vehicle.nets` or `diagnose.safety`. It takes the pins that the file marks, follows wires from end
to end, splices and the two halves of connectors, and says which points and parts are on such a circuit. A mark goes no
further than a stud, a body, a battery or a carrier, where everything meets.
"""

from collections.abc import Iterator

from loombench.diagnose.looking import CheckPosition, LookFuse, Mend, See
from loombench.diagnose.measuring import Measure
from loombench.diagnose.step import Step
from loombench.vehicle.condition import Condition
from loombench.vehicle.model import Vehicle
from loombench.vehicle.points import Point

DANGEROUS = ("pyro", "hv", "mains")
MEETING = ("stud", "body", "battery", "carrier", "strap")
DRAWN = ("unplug", "plug", "pull", "insert", "couple", "uncouple")
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
    """What a step touches that it must not, as words; empty where nothing."""
    return next(_touched(vehicle, dangerous, step), "")


def _touched(vehicle: Vehicle, dangerous: frozenset[Pin], step: Step) -> Iterator[str]:
    match step:
        case Measure():
            for point in (step.setup.red, step.setup.black):
                if point is not None and (point.part, point.pin) in dangerous:
                    yield f"a lead on {point}"
            yield from _handled(vehicle, dangerous, step.setup.condition)
        case See():
            # To see a load it is set going: a charge of an airbag never is.
            if _on_part(dangerous, step.load.partition(".")[0]):
                yield f"{step.load} set going"
            yield from _handled(vehicle, dangerous, step.condition)
        case LookFuse():
            if _on_part(dangerous, step.fuse):
                yield f"{step.fuse} drawn"
        case CheckPosition():
            part = vehicle.controls[step.control].part
            if _on_part(dangerous, part):
                yield f"{part} handled"
        case Mend():
            yield from (f"{text} mended" for text in _mended(vehicle, dangerous, step.group))
            yield from _handled(vehicle, dangerous, step.condition)
        case _:
            yield f"a step nothing is known of: {step.id}"


def _handled(vehicle: Vehicle, dangerous: frozenset[Pin], condition: Condition) -> Iterator[str]:
    for operation in condition.operations:
        name = operation.target if operation.target in vehicle.parts else operation.target.partition(".")[0]
        if operation.verb in DRAWN and _on_part(dangerous, name):
            yield f"{operation}"


def _on_part(dangerous: frozenset[Pin], part: str) -> bool:
    return any(name == part for name, _ in dangerous)


def _mended(vehicle: Vehicle, dangerous: frozenset[Pin], group: str) -> Iterator[str]:
    wire = vehicle.wire_by_id.get(group)
    if wire is not None:
        ends = [wire.a, wire.b]
    else:
        words = group.replace("<", " ").split()
        names = [word for word in words if word.partition(".")[0].partition("/")[0] in vehicle.parts]
        ends = [point for name in names if (point := _point(name)) is not None]
        if not ends and _on_part(dangerous, group):
            yield group
    for end in ends:
        whole = not end.pin and _on_part(dangerous, end.part) and vehicle.parts[end.part].kind not in MEETING
        if (end.part, end.pin) in dangerous or whole:
            yield str(end)


def _point(name: str) -> Point | None:
    if "~" in name:
        return None
    body = name.partition(":")[0].partition("@")[0]
    mark = "/" if "/" in body else "."
    part, _, pin = body.partition(mark)
    return Point(part, pin)
