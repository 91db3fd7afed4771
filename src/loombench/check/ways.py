"""How a load is switched on: the way from a battery's plus and back, and the operations that close it.

A way is found with as few operations as possible. A relay's contact asks for its coil, a module's output for the inputs
of its rule, and so on down. What cannot be brought about by operating something (a cam that a motor turns, a tick) is
no way.
"""

import heapq
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from itertools import count
from types import MappingProxyType

from loombench.check.view import View
from loombench.vehicle.condition import ENGINE, Condition, Operation
from loombench.vehicle.graph import Link
from loombench.vehicle.model import Control, Part, Position
from loombench.vehicle.module import All, Any, Input, Not, Rule, Test
from loombench.vehicle.points import Point

DEEPEST = 6
"""Relays and modules that switch one another, one behind the other, up to this many."""
Needs = dict[str, Operation]
"""What has to be set, by its name; rest positions too, so that two needs that differ are seen."""
_COST = MappingProxyType({"switch": 2, "output": 3})
"""What a relay contact and an output cost beside a control: they ask for more to be set. Only the order counts."""


@dataclass(frozen=True)
class Stretch:
    """A link walked towards `end`, with the position its control has to be in."""

    link: Link
    start: Point
    end: Point
    position: str = ""


@dataclass(frozen=True)
class Way:
    """A load switched on: its ends at plus and at minus, what has to be set, and the ways as walked from the battery.

    `momentary` where something has to be held; `fuse` is the last protection before the load.
    """

    load: Link
    plus: Point
    minus: Point
    needs: tuple[tuple[str, Operation], ...]
    feed: tuple[Stretch, ...]
    back: tuple[Stretch, ...]
    momentary: bool
    fuse: Link | None


@dataclass(frozen=True)
class Ways:
    """Finds ways in a vehicle."""

    view: View

    @cached_property
    def feeds(self) -> Mapping[Point, Stretch | None]:
        """How each point is reached from a battery's plus."""
        return self._tree(True)

    @cached_property
    def returns(self) -> Mapping[Point, Stretch | None]:
        """How each point is reached from a battery's minus, against the current."""
        return self._tree(False)

    def way(self, load: Link) -> Way | None:
        """The way of a load, either way round; None where nothing that can be set switches it on."""
        for plus, minus in ((load.a, load.b), (load.b, load.a)):
            needs: Needs = {}
            if not (self._met(self.feeds, plus, needs, 0) and self._met(self.returns, minus, needs, 0)):
                continue
            feed, back = _walk(self.feeds, plus), _walk(self.returns, minus)
            fuse = next((step.link for step in reversed(feed) if step.link.kind == "protection"), None)
            held = any(self._held(operation) for operation in needs.values())
            return Way(load, plus, minus, tuple(needs.items()), feed, back, held, fuse)
        return None

    def condition(self, needs: Needs) -> Condition:
        """The operations that are not at rest already."""
        controls = self.view.vehicle.controls
        return Condition(
            tuple(
                operation
                for name, operation in needs.items()
                if not (name in controls and controls[name].rest == operation.value)
            )
        )

    def _held(self, operation: Operation) -> bool:
        control = self.view.vehicle.controls.get(operation.target)
        position = control.position(operation.value) if control else None
        return position is not None and position.springs_back

    def _tree(self, forward: bool) -> Mapping[Point, Stretch | None]:
        view, order = self.view, count()
        power = {view.net(link.a) for link in view.mains}
        starts = [link.a if forward else link.b for link in view.mains]
        reached: dict[Point, Stretch | None] = {}
        queue: list[tuple[int, int, Point, Stretch | None]] = [(0, next(order), point, None) for point in starts]
        heapq.heapify(queue)
        while queue:
            cost, _, point, by = heapq.heappop(queue)
            if point in reached:
                continue
            reached[point] = by
            for link in view.table.get(point, ()):
                end = link.other(point)
                if link.kind in ("load", "source") or end in reached:
                    continue
                if link.one_way and (link.a == point) is not forward:
                    continue
                if view.on_ground(end) if forward else view.net(end) in power:
                    continue
                found = self._priced(link, point, end)
                if found is not None and not (link.kind == "switch" and _contradicts(reached, point, found[1])):
                    heapq.heappush(queue, (cost + found[0], next(order), end, found[1]))
        return reached

    def _priced(self, link: Link, start: Point, end: Point) -> tuple[int, Stretch] | None:
        control = self.view.vehicle.controls.get(link.via) if link.kind == "switch" else None
        if control is None:
            return _COST.get(link.kind, 0), Stretch(link, start, end)
        position = _position(control, (link.a.pin, link.b.pin))
        if position is None:
            return None
        at_rest = position.name == control.rest
        return 0 if at_rest else 1 + position.springs_back, Stretch(link, start, end, position.name)

    def _met(self, tree: Mapping[Point, Stretch | None], point: Point, needs: Needs, depth: int) -> bool:
        """Add what the way to a point needs; False where it is not reached, or needs what contradicts the rest."""
        if point not in tree or depth > DEEPEST:
            return False
        return all(self._closes(step, needs, depth) for step in _walk(tree, point))

    def _closes(self, step: Stretch, needs: Needs, depth: int) -> bool:
        link = step.link
        part = self.view.vehicle.parts[link.a.part]
        if step.position:
            return _add(needs, link.via, Operation("set", link.via, step.position))
        if link.kind == "switch":
            return self._contact(part, link, needs, depth)
        if link.kind == "output" and part.module:
            return self._output(part, link, needs, depth)
        if link.kind == "joint" and link.a.part != link.b.part:
            socket = next(
                (m.socket for m in self.view.vehicle.matings if {m.socket, m.plug} == {link.a.part, link.b.part}), ""
            )
            return not socket or _add(needs, socket, Operation("couple", socket))
        return True

    def _contact(self, part: Part, link: Link, needs: Needs, depth: int) -> bool:
        name = link.via.removeprefix(part.id).lstrip(".")
        if part.module:
            rest = [pair for contact in part.module.contacts if contact.name == name for pair in contact.rest]
            return (link.a.pin, link.b.pin) in rest
        made = name.startswith("make") or len([e for e in part.elements if e.kind == "relay-contact"]) == 0
        marker = f"relay {part.id}"
        if not _add(needs, marker, Operation("set", marker, "pulled" if made else "released")):
            return False
        if not made:
            return True
        coil = next((link for link in self.view.links if link.kind == "load" and link.via == f"{part.id}.coil"), None)
        if coil is None:
            return False
        for one, two in ((coil.a, coil.b), (coil.b, coil.a)):
            tried = dict(needs)
            if self._met(self.feeds, one, tried, depth + 1) and self._met(self.returns, two, tried, depth + 1):
                needs.update(tried)
                return True
        return False

    def _output(self, part: Part, link: Link, needs: Needs, depth: int) -> bool:
        if part.module is None:
            return False
        pin = link.via.removeprefix(f"{part.id}.")
        for supply in part.module.supplies[:1]:
            if not self._met(self.feeds, Point(part.id, supply.pin), needs, depth + 1):
                return False
        rules = [when for when in part.module.rules if pin in when.targets and not when.tick_s]
        return any(self._rule(part, when.rule, needs, depth) for when in rules)

    def _rule(self, part: Part, rule: Rule, needs: Needs, depth: int) -> bool:
        match rule:
            case Test(name=name):
                return self._input(part, name, needs, depth)
            case All(rules=rules):
                return all(self._rule(part, one, needs, depth) for one in rules)
            case Any(rules=rules):
                for one in rules:
                    tried = dict(needs)
                    if self._rule(part, one, tried, depth):
                        needs.update(tried)
                        return True
                return False
            case Not():
                return True

    def _input(self, part: Part, name: str, needs: Needs, depth: int) -> bool:
        if name == ENGINE:
            return _add(needs, ENGINE, Operation("set", ENGINE, "run"))
        found: Input | None = (
            next((one for one in part.module.inputs if one.pin == name), None) if part.module else None
        )
        if found is None:
            return name == "awake"
        tree = self.feeds if found.on_when == "high" else self.returns
        return self._met(tree, Point(part.id, name), needs, depth + 1)


def joined(one: Mapping[str, Operation], two: Mapping[str, Operation]) -> Needs | None:
    """The needs of both; None where they contradict each other."""
    made = dict(one)
    return made if all(_add(made, name, operation) for name, operation in two.items()) else None


def settable(needs: Needs) -> Needs:
    """The needs without those that follow from others (which relay is pulled in)."""
    return {name: operation for name, operation in needs.items() if not name.startswith("relay ")}


def _add(needs: Needs, name: str, operation: Operation) -> bool:
    return needs.setdefault(name, operation) == operation


def _position(control: Control, pair: tuple[str, str]) -> Position | None:
    """The position that joins a pair: rest before others, one that stays before one that springs back."""
    found = [position for position in control.positions if pair in position.pairs]
    if control.follows:
        found = [position for position in found if position.name == control.rest]
    return min(found, key=lambda position: (position.name != control.rest, position.springs_back), default=None)


def _contradicts(tree: Mapping[Point, Stretch | None], point: Point, new: Stretch) -> bool:
    """Whether the way to a point has the same control in another position, or the same relay's other contact."""
    for step in _walk(tree, point):
        if step.link.kind != "switch" or step.link.a.part != new.link.a.part:
            continue
        if not new.position or (step.link.via == new.link.via and step.position != new.position):
            return True
    return False


def _walk(tree: Mapping[Point, Stretch | None], point: Point) -> tuple[Stretch, ...]:
    steps: list[Stretch] = []
    step = tree.get(point)
    while step is not None:
        steps.append(step)
        step = tree[step.start]
    return tuple(reversed(steps))
