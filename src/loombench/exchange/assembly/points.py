"""Where every spot of a harness is in the vehicle: pins of parts, rings on studs, halves of couplings, splices."""

from collections.abc import Iterator
from dataclasses import dataclass, field

from loombench.exchange.assembly.names import cavity_of_box, unique
from loombench.exchange.assembly.plan import Device, Plan
from loombench.exchange.harness import Harness, Holder, Spot
from loombench.vehicle.points import Point


@dataclass
class Points:
    """The points of an assembly while it is made; local to it.

    `fixed` are those of devices and couplings by spot, `whole` those of holders that are one point. A box's own
    cavities get their names as they are met; `ends` are wires' open ends as splices, with what is written on them.
    `apart` are pins of what is fitted in two boxes, with their cavity in the second.
    `called` are the devices by what the files call them; studs (with their body), posts and batteries are those that
    answers made.
    """

    plan: Plan
    fixed: dict[Spot, Point] = field(default_factory=dict)
    whole: dict[str, Point] = field(default_factory=dict)
    alias: dict[Spot, Spot] = field(default_factory=dict)
    ends: dict[str, str] = field(default_factory=dict)
    apart: list[tuple[Spot, Point]] = field(default_factory=list)
    called: dict[str, str] = field(default_factory=dict)
    studs: dict[str, str] = field(default_factory=dict)
    posts: dict[str, str] = field(default_factory=dict)
    batteries: dict[str, str] = field(default_factory=dict)
    _bodies: dict[str, str] = field(default_factory=dict)
    _names: dict[tuple[str, str], str] = field(default_factory=dict)
    _rings: dict[str, set[str]] = field(default_factory=dict)
    _boxes: dict[str, str] = field(default_factory=dict)
    _taken: dict[str, dict[str, int]] = field(default_factory=dict)

    @classmethod
    def of(cls, harness: Harness, plan: Plan) -> "Points":
        """The points that follow from the plan alone."""
        made = cls(plan)
        made._boxes = {item.id: name for item, name in plan.boxes}
        made.called = {device.key: device.id for device in plan.devices} | {d.id: d.id for d in plan.devices}
        for coupling in plan.couplings:
            half_of = {item.id: loom for item, loom in coupling.halves}
            for spot, number in coupling.numbers.items():
                half = "" if spot.holder in plan.two_sided else half_of[spot.holder]
                made.fixed[spot] = Point(coupling.id, str(number), half)
        made.whole.update({holder: Point(name) for holder, name in plan.splices.items()})
        coupled = {item.id for coupling in plan.couplings for item, _ in coupling.halves}
        own = {item.id for device in plan.devices for item in device.holders} | set(made._boxes)
        for mating in harness.matings:
            for here, there, pairs in (
                (mating.a, mating.b, mating.pairs),
                (mating.b, mating.a, tuple((b, a) for a, b in mating.pairs)),
            ):
                if here not in own and here not in coupled and there in own:
                    made.alias.update({Spot(here, one): Spot(there, other) for one, other in pairs})
        return made

    def withdraw(self, device: Device) -> None:
        """Take a device back that is none, and free its name."""
        self.plan.names.taken.discard(device.id)
        for name in (device.key, device.id):
            self.called.pop(name, None)

    def fit(self, spot: Spot, point: Point, box: str) -> None:
        """Put a pin of what is fitted at its cavity; in another box than its own the cavity is joined to it."""
        if spot.holder == box:
            self.fixed.setdefault(spot, point)
        else:
            self.apart.append((spot, point))

    def at(self, spot: Spot) -> Point:
        """The point of a spot. What no holder is known for is an open end."""
        spot = self.alias.get(spot, spot)
        point = self.fixed.get(spot) or self.whole.get(spot.holder)
        if point is None and spot.holder in self._boxes:
            box = self._boxes[spot.holder]
            point = Point(box, unique(cavity_of_box(spot.cavity), self._taken.setdefault(box, {})))
        if point is None:
            point = self.open_end(f"{spot.holder}-{spot.cavity}", str(spot))
        self.fixed[spot] = point
        return point

    def open_end(self, name: str, label: str) -> Point:
        """A point for an end that leads nowhere: a splice of its own."""
        own = self.plan.names.give(f"END-{name}", "open end")
        self.ends[own] = label
        return Point(own)

    def ring(self, item: Holder, stud: str, body: str) -> Point:
        """A ring on a stud, which is made with it; a stud called like its body is the body itself."""
        metal = self.metal(body)
        if stud == body:
            return Point(metal)
        own = self._named(stud, "stud")
        self.studs.setdefault(own, metal)
        taken = self._rings.setdefault(own, set())
        said = item.id.removeprefix(f"{item.stud}/") if item.stud and item.id.startswith(f"{item.stud}/") else ""
        letter = said if said.isalnum() and said not in taken else next(one for one in _letters() if one not in taken)
        taken.add(letter)
        return Point(own, letter, ring=True)

    def metal(self, body: str) -> str:
        """The body of that name, which is made with it."""
        if body not in self._bodies:
            self._bodies[body] = self.plan.names.give(body, "body", "body")
        return self._bodies[body]

    def post(self, name: str) -> Point:
        """A post that stands by itself, to which several rings are bolted."""
        own = self._named(name, "post")
        self.posts.setdefault(own, name)
        return Point(own)

    def battery(self, name: str) -> str:
        """The battery of that name, which is made with it where no device is called so."""
        if name in self.called:
            return self.called[name]
        own = self._named(name, "battery")
        self.batteries.setdefault(own, name)
        return own

    @property
    def bodies(self) -> tuple[str, ...]:
        """The bodies met so far."""
        return tuple(self._bodies.values())

    def _named(self, text: str, what: str) -> str:
        key = (what, text)
        if key not in self._names:
            self._names[key] = self.plan.names.give(text, what, "W")
        return self._names[key]


def _letters() -> Iterator[str]:
    alphabet = "abcdefghijklmnopqrstuvwxyz"
    yield from alphabet
    for first in alphabet:
        for second in alphabet:
            yield first + second
    number = 1
    while True:
        yield f"z{number}"
        number += 1
