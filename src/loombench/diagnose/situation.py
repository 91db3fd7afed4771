"""Where the person stands: what is open, what state the vehicle is in, what has been done. Costs hang on it."""

from dataclasses import dataclass, field, replace

from loombench.diagnose.place import reach_s
from loombench.facts.typical import typical
from loombench.vehicle.condition import Condition, Operation
from loombench.vehicle.model import Vehicle

PLUGGING = ("unplug", "plug", "couple", "uncouple")
FUSES = ("pull", "insert")


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
        return replace(self, reached=self.reached | {place for place in places if place})


def cost_of(name: str) -> float:
    """Seconds by `step_cost.csv`."""
    return typical("step_cost", name).value


def reaching_s(vehicle: Vehicle, situation: Situation, *places: str) -> float:
    """Seconds to reach places that are not open yet; a place the file does not name counts as unknown each time."""
    wanted = dict.fromkeys(place for place in places if place not in situation.reached or not place)
    return sum(reach_s(vehicle, place) for place in wanted)


def differing(now: Condition, wanted: Condition) -> tuple[Operation, ...]:
    """What has to be done to get from one condition to another: the operations that are not shared from the start."""
    shared = 0
    for one, two in zip(now.operations, wanted.operations, strict=False):
        if one != two:
            break
        shared += 1
    return tuple(_undone(one) for one in now.operations[shared:]) + wanted.operations[shared:]


def _undone(operation: Operation) -> Operation:
    back = {"unplug": "plug", "pull": "insert", "couple": "uncouple", "plug": "unplug", "insert": "pull"}
    return replace(operation, verb=back.get(operation.verb, operation.verb))


def setting_s(now: Condition, wanted: Condition) -> float:
    """Seconds to set another condition: each control, plug and fuse that has to be moved."""
    total = 0.0
    for operation in differing(now, wanted):
        if operation.verb in PLUGGING:
            total += cost_of("unplug")
        elif operation.verb in FUSES:
            total += cost_of("pull-fuse")
        elif operation.verb == "wait":
            total += float(operation.value or 0.0)
        else:
            total += cost_of("set-state")
    return total
