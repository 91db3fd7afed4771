"""In which state a load should work: found for a complaint that does not say when.

What the drawing's ways ask for is tried on the sound vehicle, and taken only where the load then works there: the way
by relays, modules and plugs (`check.ways`), the way by the driver's controls alone, each of them with the engine
running, then one position after another of every control.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import chain, islice

from loombench.check.view import View
from loombench.check.ways import Ways, settable
from loombench.circuit.lower import lower
from loombench.circuit.netlist import Netlist
from loombench.circuit.observe import LoadSight, seen
from loombench.circuit.operate import operate, target_of
from loombench.circuit.point import Settled
from loombench.circuit.ready import Ready, ready_for
from loombench.circuit.settle import settle
from loombench.diagnose.region import works_when
from loombench.vehicle.condition import ENGINE, Condition, Operation
from loombench.vehicle.model import Control, Vehicle
from loombench.vehicle.trace import loads

MOST_TRIED = 60
"""So many states are looked at for one load."""
MOST_TURNED = 400
"""So many to find the one in which it turns the other way."""
SHORTLY = Operation("wait", "", "2")
"""What runs for a time only is looked at before that has passed."""


@dataclass(frozen=True, eq=False)
class States:
    """The sound vehicle, to be looked at in one state after another."""

    vehicle: Vehicle

    @cached_property
    def _netlist(self) -> Netlist:
        return lower(self.vehicle).value

    @cached_property
    def _ready(self) -> Ready:
        return ready_for(self._netlist)

    @cached_property
    def _rest(self) -> Settled:
        return settle(self._ready, {}, {})

    @cached_property
    def _ways(self) -> Ways:
        return Ways(View(self.vehicle))

    def sights(self, condition: Condition) -> tuple[LoadSight, ...]:
        """What is seen in a state; nothing where the vehicle cannot be put into it."""
        try:
            for operation in condition.operations:
                if operation.verb not in ("wait", "supply"):
                    target_of(self._netlist, operation)
        except KeyError:
            return ()
        settled = operate(self._ready, condition, self._rest).settled
        return seen(self.vehicle, self._netlist, settled).loads

    def lit(self, condition: Condition) -> frozenset[str]:
        """The loads that do something in a state."""
        return frozenset(sight.id for sight in self.sights(condition) if sight.light != "dead")

    def works(self, target: str, condition: Condition) -> bool:
        """Whether a load, or anything inside a part, does something in a state."""
        return any(_inside(name, target) for name in self.lit(condition))

    def ways(self, target: str, condition: Condition) -> int:
        """Which way the current goes through a load, or the busiest thing inside a part: 1 or -1, 0 where none does."""
        inside = [sight for sight in self.sights(condition) if _inside(sight.id, target) and sight.light != "dead"]
        busiest = max(inside, key=lambda sight: sight.share, default=None)
        return busiest.way if busiest is not None else 0

    def turned(self, target: str, condition: Condition) -> Condition | None:
        """A state like this one in which a load turns the other way: another control, or one of its own in another
        position, and if need be one more besides. None where none was found."""
        way = self.ways(target, condition)
        first = list(_varied(self.vehicle, condition))
        second = (state.then(one) for state in first for one in self._settings(state))
        for state in islice(chain(first, second), MOST_TURNED if way else 0):
            if self.ways(target, state) == -way:
                return self._turned_least(target, state, -way)
        return None

    def _turned_least(self, target: str, condition: Condition, way: int) -> Condition:
        for operation in reversed(condition.operations):
            fewer = Condition(tuple(one for one in condition.operations if one is not operation))
            if self.ways(target, fewer) == way:
                condition = fewer
        return condition

    def _settings(self, condition: Condition) -> Iterator[Operation]:
        """Each position of the controls that a state does not set."""
        done = {operation.target for operation in condition.operations}
        for control in self.vehicle.controls.values():
            for position in control.positions:
                if control.id not in done and position.name != control.rest and _settable(control):
                    yield Operation("set", control.id, position.name)

    def working(self, target: str) -> Condition | None:
        """A state in which a load should work, of those by its ways the one in which least else does; None where none
        was found."""
        ways = [condition for condition in self._direct(target) if self.works(target, condition)]
        if ways:
            return min((self._least(target, one) for one in ways), key=lambda one: len(self.lit(one)))
        tried: dict[Condition, None] = {}
        for condition in self._candidates(target):
            if condition not in tried:
                if len(tried) == MOST_TRIED:
                    return None
                tried[condition] = None
                if self.works(target, condition):
                    return self._least(target, condition)
        return None

    def _least(self, target: str, condition: Condition) -> Condition:
        """Without the operations that it works without."""
        for operation in reversed(condition.operations):
            fewer = Condition(tuple(one for one in condition.operations if one is not operation))
            if self.works(target, fewer):
                condition = fewer
        return condition

    def together(self, targets: Iterable[str]) -> dict[str, Condition | None]:
        """A state for each of some loads, the same one wherever it serves them all."""
        found: dict[str, Condition | None] = {}
        common = Condition()
        for target in targets:
            if self.works(target, common):
                found[target] = common
                continue
            alone = self.working(target)
            found[target] = alone
            if alone is None:
                continue
            wider = _joined(common, alone)
            earlier = [name for name, condition in found.items() if condition == common]
            if wider is not None and all(self.works(name, wider) for name in (*earlier, target)):
                found |= dict.fromkeys((*earlier, target), wider)
                common = wider
        return found

    def _candidates(self, target: str) -> Iterator[Condition]:
        first = self._direct(target)
        running = Operation("set", ENGINE, "run")
        for condition in first:
            yield condition.then(running)
        for condition in first:
            yield condition.then(SHORTLY)
            yield condition.then(running, SHORTLY)
        for base in dict.fromkeys((*first, Condition())):
            for operation in self._settings(base):
                yield base.then(operation)

    def _direct(self, target: str) -> tuple[Condition, ...]:
        return tuple(dict.fromkeys((*self._by_ways(target), works_when(self.vehicle, target))))

    def _by_ways(self, target: str) -> Iterator[Condition]:
        for load in loads(self.vehicle):
            way = self._ways.way(load) if _inside(load.via, target) else None
            if way is not None:
                yield self._ways.condition(settable(dict(way.needs)))


def _inside(name: str, target: str) -> bool:
    return name == target or name.startswith(f"{target}.")


def _settable(control: Control) -> bool:
    return control.by != "engine" and not control.follows


def _varied(vehicle: Vehicle, condition: Condition) -> Iterator[Condition]:
    """The states in which one control that a state sets is in another position."""
    for place, operation in enumerate(condition.operations):
        control = vehicle.controls.get(operation.target) if operation.verb == "set" else None
        for position in control.positions if control is not None else ():
            if position.name not in (operation.value, control.rest if control else ""):
                turned = replace(operation, value=position.name)
                yield Condition((*condition.operations[:place], turned, *condition.operations[place + 1 :]))


def _joined(one: Condition, two: Condition) -> Condition | None:
    """Both done, one after the other; None where they want one thing differently."""
    before = {operation.target: operation for operation in one.operations}
    if any(before.get(operation.target, operation) != operation for operation in two.operations):
        return None
    return one.then(*(operation for operation in two.operations if operation.target not in before))


def at_rest_after(vehicle: Vehicle, condition: Condition) -> Condition:
    """A state in which what was switched on by the driver is off again, the last thing first; what feeds all (a key, an
    isolator that stays) is left: only the controls of the last operation go back."""
    for operation in reversed(condition.operations):
        control = vehicle.controls.get(operation.target) if operation.verb == "set" else None
        if control is not None:
            return condition.then(Operation("set", control.id, control.rest))
    return condition
