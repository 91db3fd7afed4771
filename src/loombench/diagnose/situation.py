"""Where the person stands: what is open, what state the vehicle is in, what has been done. Costs hang on it."""

from dataclasses import dataclass, field, replace
from types import MappingProxyType

from loombench.diagnose.place import place_of_part, reach_s
from loombench.facts.typical import typical
from loombench.vehicle.condition import AIDS, PROVOKING, Condition, Operation
from loombench.vehicle.model import Vehicle
from loombench.vehicle.points import read_point

PLUGGING = ("unplug", "plug", "couple", "uncouple")
FUSES = ("pull", "insert")
REMOVE = "remove"
"""An aid (its verb is then the value) is taken off again. What that takes is in the cost of putting it on."""
LEADS = ("ground", "feed")
FROM_AFAR = ("set", "wait", "supply", "actuate")
"""What is done without going to the part."""


@dataclass(frozen=True)
class Situation:
    """`reached` are the places open now, `condition` what the vehicle is set to, `meter_out` whether the meter is at
    hand and proven, `clipped` where the black lead sits, `repaired` what was put right, `done` the steps not to be
    offered again (taken, or declined as not reachable)."""

    reached: frozenset[str] = frozenset()
    condition: Condition = field(default_factory=Condition)
    meter_out: bool = False
    clipped: str = ""
    repaired: tuple[str, ...] = ()
    done: frozenset[str] = frozenset()

    def at(self, *places: str) -> "Situation":
        """With more places opened."""
        more = {place for place in places if place} - self.reached
        return replace(self, reached=self.reached | more) if more else self


def cost_of(name: str) -> float:
    """Seconds by `step_cost.csv`."""
    return typical("step_cost", name).value


def reaching_s(vehicle: Vehicle, situation: Situation, *places: str) -> float:
    """Seconds to reach places that are not open yet; a place the file does not name counts as unknown each time."""
    wanted = dict.fromkeys(place for place in places if place not in situation.reached or not place)
    return sum(reach_s(vehicle, place) for place in wanted)


def differing(vehicle: Vehicle, now: Condition, wanted: Condition) -> tuple[Operation, ...]:
    """What has to be done to get from one condition to another; the verb `remove` takes an aid off.

    Where `wanted` goes on from `now` it is what comes after; else each control, plug and fuse that is to be elsewhere
    is put there, back to rest first, in the order of the conditions. A pause (`Condition.pause`) is made anew.
    """
    count = len(now.operations)
    if wanted.operations[:count] == now.operations:
        return wanted.operations[count:]
    if wanted.pause:
        first = Condition(wanted.operations[: -len(wanted.pause)])
        return (*differing(vehicle, now, first), *wanted.pause)
    before, after = _stands(now), _stands(wanted)
    back = [_at_rest(vehicle, operation) for key, operation in before.items() if key not in after]
    on = [operation for key, operation in after.items() if before.get(key) != operation]
    return (*(one for one in back if one is not None), *on)


_KINDS = MappingProxyType({"unplug": "plug", "pull": "insert", "couple": "uncouple"})


def _stands(condition: Condition) -> dict[tuple[str, str], Operation]:
    """The last operation on each thing, without those that only put it back to rest."""
    found: dict[tuple[str, str], Operation] = {}
    for operation in condition.operations:
        kind = next((away for away, back in _KINDS.items() if operation.verb in (away, back)), operation.verb)
        found.pop((kind, operation.target), None)
        if operation.verb not in _KINDS.values():
            found[kind, operation.target] = operation
    return found


def _at_rest(vehicle: Vehicle, operation: Operation) -> Operation | None:
    if operation.verb in _KINDS:
        return Operation(_KINDS[operation.verb], operation.target)
    if operation.verb in AIDS and operation.verb not in PROVOKING:
        return Operation(REMOVE, operation.target, operation.verb)
    if operation.verb != "set":
        return None
    control = vehicle.controls.get(operation.target)
    return Operation("set", operation.target, control.rest if control else "off")


def setting_s(vehicle: Vehicle, now: Condition, wanted: Condition) -> float:
    """Seconds to set another condition: each control, plug and fuse that has to be moved."""
    total = 0.0
    for operation in differing(vehicle, now, wanted):
        if operation.verb in PLUGGING:
            total += cost_of("unplug")
        elif operation.verb in FUSES:
            total += cost_of("pull-fuse")
        elif operation.verb == "wait":
            total += float(operation.value or 0.0)
        elif operation.verb == "set":
            total += cost_of("set-state")
        elif operation.verb in AIDS:
            total += cost_of(f"aid-{operation.verb}")
    return total


def helper_s(vehicle: Vehicle, condition: Condition, *places: str) -> float:
    """Seconds for a second person: a control that springs back has to be held, and one is elsewhere meanwhile.

    Where it is not known where something is, nobody is called.
    """
    known = frozenset(place for place in places if place)
    for operation in condition.operations:
        control = vehicle.controls.get(operation.target) if operation.verb == "set" else None
        position = control.position(operation.value) if control is not None else None
        if control is None or position is None or not position.springs_back:
            continue
        own = place_of_part(vehicle, control.part)
        if own and known and own not in known:
            return cost_of("second-person")
    return 0.0


def hands_at(vehicle: Vehicle, now: Condition, wanted: Condition) -> tuple[str, ...]:
    """The places where something is unplugged, pulled, put on or moved to get from one condition to another."""
    found: dict[str, None] = {}
    for operation in differing(vehicle, now, wanted):
        verb = operation.value if operation.verb == REMOVE else operation.verb
        if verb in FROM_AFAR:
            continue
        point = read_point(operation.target.partition("~")[0])
        names = [point.part if point is not None else operation.target]
        names += [operation.value] if operation.verb == "swap" else []
        if verb in LEADS:
            names.append(next((part.id for part in vehicle.parts.values() if part.kind == "battery"), ""))
        found.update(dict.fromkeys(place_of_part(vehicle, name) for name in names))
    return tuple(found)
