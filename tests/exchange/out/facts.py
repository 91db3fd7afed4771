"""The electrical facts of a harness, in a form in which two harnesses can be compared whatever their files were.

What is joined is compared as groups of spots, since a file may add cavities of its own (a box's socket beside its
slot) or leave out the cavity of what has but one.
"""

from collections import Counter
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field

from loombench.exchange.colours import meaning
from loombench.exchange.harness import BOX, SPLICE, Fitted, Harness, Holder, Spot, Wire

BAR = "bar"


@dataclass
class Groups:
    """Spots joined to groups."""

    over: dict[Spot, Spot] = field(default_factory=dict)

    def find(self, spot: Spot) -> Spot:
        """What stands for the group of a spot."""
        while self.over.setdefault(spot, spot) != spot:
            spot = self.over[spot]
        return spot

    def join(self, one: Spot, other: Spot) -> None:
        """Make two groups one."""
        self.over[self.find(one)] = self.find(other)


def spots(harness: Harness) -> Iterator[Spot]:
    """Every spot that a wire, a fuse or relay, or a mating names."""
    for wire in harness.wires:
        yield from (end.spot for end in wire.ends if end.spot is not None)
    for one in harness.fitted:
        yield from one.spots
    for holder in harness.holders:
        yield from (Spot(holder.id, cavity) for group in holder.joined for cavity in group)


def joined(harness: Harness) -> Groups:
    """What is one node without any wire: bars, bridges, splices, contacts in several cavities, what is plugged."""
    groups = Groups()
    for holder in harness.holders:
        bridges = [*holder.joined, *([holder.cavities] if holder.kind == SPLICE else [])]
        for group in bridges:
            for other in group[1:]:
                groups.join(Spot(holder.id, group[0]), Spot(holder.id, other))
    for contact in harness.contacts:
        for other in contact.cavities[1:]:
            groups.join(Spot(contact.holder, contact.cavities[0]), Spot(contact.holder, other))
    for mating in harness.matings:
        for one, other in mating.pairs:
            groups.join(Spot(mating.a, one), Spot(mating.b, other))
    for wire in harness.wires:
        if wire.type == BAR and all(end.spot for end in wire.ends):
            first, *others = (end.spot for end in wire.ends if end.spot)
            for other in others:
                groups.join(first, other)
    return groups


def counterpart(spot: Spot, back: Mapping[str, Holder]) -> Spot:
    """The spot in a harness that came back: the same one, or of a box its socket, or the slot alone."""
    holder = back.get(spot.holder)
    if holder is None or spot.cavity in holder.cavities:
        return spot
    names = (f"A.{spot.cavity}", f"{spot.holder}.{spot.cavity}") if holder.kind == BOX else ()
    return next((Spot(spot.holder, name) for name in names if name in holder.cavities), spot)


def differences(went: Harness, back: Harness) -> list[str]:
    """What is not the same in a harness that came back, one line for each."""
    index = {holder.id: holder for holder in back.holders}
    own = list(dict.fromkeys(spots(went)))
    there = {spot: counterpart(spot, index) for spot in own}
    found = [f"{spot} is gone" for spot in own if spot.holder not in index]
    mine, theirs = joined(went), joined(back)
    before = _partition({spot: mine.find(spot) for spot in own})
    after = _partition({spot: theirs.find(there[spot]) for spot in own})
    found += [f"joined before: {sorted(map(str, one))}" for one in before - after]
    found += [f"joined after: {sorted(map(str, one))}" for one in after - before]
    sent = Counter(_wire(wire, theirs, there) for wire in went.wires if wire.type != BAR)
    got = Counter(_wire(wire, theirs, {}) for wire in back.wires if wire.type != BAR)
    found += [f"wire gone: {one}" for one in sent - got] + [f"wire new: {one}" for one in got - sent]
    fuses = {one.id: (one.rating_a, tuple(theirs.find(there[spot]) for spot in one.spots))
             for one in went.fitted if one.kind == "fuse"}  # fmt: skip
    again = {one.id: (one.rating_a, tuple(map(theirs.find, one.spots))) for one in back.fitted if one.kind == "fuse"}
    return found + [f"fuse {name}: {fuses.get(name)}, then {again.get(name)}" for name in fuses.keys() | again.keys()
                    if fuses.get(name) != again.get(name)]  # fmt: skip


def unkept(went: Harness, back: Harness, what: str) -> list[str]:
    """What else of a harness did not come back: `studs`, `places`, `looms`, `remarks`, `relays` or `voltage`."""
    index = {holder.id: holder for holder in back.holders}
    there = {spot: counterpart(spot, index) for spot in spots(went)}
    if what == "voltage":
        return [] if went.voltage_v == back.voltage_v else [f"{went.voltage_v}, then {back.voltage_v}"]
    find = joined(back).find
    if what == "relays":
        sent = {one.id: ([find(there[spot]) for spot in one.spots], one.pins) for one in _relays(went)}
        got = {one.id: ([find(spot) for spot in one.spots], one.pins) for one in _relays(back)}
        return [f"{name}: {said}, then {got.get(name)}" for name, said in sent.items() if said != got.get(name)]
    if what in ("looms", "remarks"):
        of = [Counter((_ends(wire, find, way), wire.loom if what == "looms" else wire.remark) for wire in one.wires)
              for one, way in ((went, there), (back, {}))]  # fmt: skip
        return [f"{one}" for one in of[0] - of[1] if one[1]]
    said = {holder.id: (holder.stud, holder.body) if what == "studs" else holder.place for holder in went.holders}
    again = {holder.id: (holder.stud, holder.body) if what == "studs" else holder.place for holder in back.holders}
    return [f"{name}: {one}, then {again.get(name)}" for name, one in said.items() if one != again.get(name)]


def _relays(harness: Harness) -> Iterator[Fitted]:
    return (one for one in harness.fitted if one.kind == "relay")


def _ends(wire: Wire, find: Callable[[Spot], Spot], there: Mapping[Spot, Spot]) -> tuple[str, ...]:
    return tuple(sorted(str(find(there.get(end.spot, end.spot))) if end.spot else "open" for end in wire.ends))


def _partition(group: Mapping[Spot, Spot]) -> set[frozenset[Spot]]:
    members: dict[Spot, set[Spot]] = {}
    for spot, stands in group.items():
        members.setdefault(stands, set()).add(spot)
    return {frozenset(one) for one in members.values()}


def _wire(wire: Wire, groups: Groups, there: Mapping[Spot, Spot]) -> tuple[object, ...]:
    ends = _ends(wire, groups.find, there)
    area = None if wire.area_mm2 is None else round(wire.area_mm2, 8)
    length = None if wire.length_m is None else round(wire.length_m, 9)
    return (ends, wire.number, str(meaning(wire.colour)), area, length, wire.cable, wire.core)
