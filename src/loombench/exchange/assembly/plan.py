"""What a harness consists of once its connectors are told apart: devices, couplings, boxes, rings, splices.

A device is what connectors of one name hang on: `F1-A` and `F1-B` are plugs A and B of F1, by a pattern that the user
can replace. Its pins are those that a wire or a contact is at.
"""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from loombench.exchange.assembly.names import Names, Renamed, near_name, near_pin, unique
from loombench.exchange.harness import BOX, CONNECTOR, DEVICE, OPEN_END, RING, SPLICE, Fitted, Harness, Holder, Spot

MAIN = "main"
"""The loom of wires of which nobody says in which they are."""
DEVICE_PATTERN = r"(?P<device>.+)-(?P<plug>[A-Z]\d{0,2})"
"""Connector A of device F1 is `F1-A`; the two groups have these names."""


@dataclass(frozen=True)
class Pin:
    """A device's pin by its name in the notation, the spots that are it, and the signals there."""

    name: str
    spots: tuple[Spot, ...]
    signals: tuple[str, ...]


@dataclass(frozen=True)
class Device:
    """What hangs on connectors or sits in a slot. `key` is its name in the files and in the table of what lacks."""

    key: str
    id: str
    pins: tuple[Pin, ...]
    holders: tuple[Holder, ...] = ()
    fitted: Fitted | None = None

    @property
    def words(self) -> str:
        """What the files say of it."""
        said = [item.description for item in self.holders]
        if self.fitted is not None:
            said.append(self.fitted.description)
        return ", ".join(dict.fromkeys(text for text in said if text))

    @property
    def place(self) -> str:
        """Where the files say it is."""
        return next((item.place for item in self.holders if item.place), "")


@dataclass(frozen=True)
class Coupling:
    """Two halves plugged together: the loom each ends in, and the number of every cavity."""

    id: str
    halves: tuple[tuple[Holder, str], tuple[Holder, str]]
    numbers: Mapping[Spot, int]
    ways: int


@dataclass(frozen=True)
class Plan:
    """What a harness consists of.

    `spots` are the signals of every spot that a wire ends at, in the files' words; `looms` the names of the looms.
    `two_sided` are connectors that the file has as one thing though wires of two looms meet in them.
    """

    devices: tuple[Device, ...]
    couplings: tuple[Coupling, ...]
    boxes: tuple[tuple[Holder, str], ...]
    rings: tuple[Holder, ...]
    splices: Mapping[str, str]
    open_ends: tuple[Holder, ...]
    spots: Mapping[Spot, tuple[str, ...]]
    looms: Mapping[str, str]
    two_sided: frozenset[str]
    names: Names
    renamed: tuple[Renamed, ...]


def plan(harness: Harness, pattern: str = DEVICE_PATTERN) -> Plan:
    """Tell a harness's holders apart and name them. A pattern that is none counts as one that nothing fits."""
    names, renamed = Names(), list[Renamed]()
    spots = _signals(harness)
    by_id = {item.id: item for item in harness.holders}
    boxed = {item.id for item in harness.holders if item.kind == BOX} | {
        spot.holder for one in harness.fitted for spot in one.spots if spot.holder in by_id
    }
    boxes = tuple((item, names.give(_called(item), BOX, "B")) for item in harness.holders if item.id in boxed)
    splices = {
        item.id: names.give(_called(item), SPLICE, "S") for item in harness.holders if item.kind == SPLICE
    }  # fmt: skip
    fitted = tuple(_fitted_device(one, names, spots) for one in harness.fitted)
    plugged = {name: (one, other) for m in harness.matings for name, one, other in ((m.a, m, m.b), (m.b, m, m.a))}
    looms, two_sided = _loom_names(harness, renamed), _two_sided(harness, boxed, plugged)
    coupled: dict[str, None] = {}
    plugs: dict[str, list[Holder]] = {}
    fits = _compiled(pattern)
    for item in harness.holders:
        if item.kind in (SPLICE, RING, OPEN_END) or item.id in boxed or item.id in two_sided:
            continue
        other = by_id.get(plugged[item.id][1]) if item.id in plugged else None
        if other is not None and (other.kind == DEVICE or other.id in boxed) and item.kind != DEVICE:
            continue  # its cavities are those of what it is plugged into
        if other is not None and item.kind != DEVICE:
            coupled[item.id] = None
            continue
        found = fits.fullmatch(_called(item)) if fits else None
        plugs.setdefault(found["device"] if found else _called(item), []).append(item)
    used = _used(harness.holders, spots)
    couplings = (
        *_couplings(harness, by_id, coupled, used, names, looms, renamed),
        *(_met(by_id[name], pair, used, names, looms, renamed) for name, pair in two_sided.items()),
    )
    devices = tuple(_device(key, items, fits, names, spots, used, renamed) for key, items in plugs.items())
    return Plan(
        (*devices, *fitted),
        couplings,
        boxes,
        tuple(item for item in harness.holders if item.kind == RING and item.id not in boxed),
        splices,
        tuple(item for item in harness.holders if item.kind == OPEN_END and item.id not in boxed),
        spots,
        looms,
        frozenset(two_sided),
        names,
        tuple(renamed),
    )


def _called(item: Holder) -> str:
    return item.name or item.id


def _compiled(pattern: str) -> re.Pattern[str] | None:
    try:
        found = re.compile(pattern)
    except re.error:
        return None
    return found if {"device", "plug"} <= set(found.groupindex) else None


def _signals(harness: Harness) -> dict[Spot, tuple[str, ...]]:
    """The signals of every spot with a wire, and of the spots that a mating or a bridge makes one with it."""
    found: dict[Spot, dict[str, None]] = {}
    for wire in harness.wires:
        for end in wire.ends:
            if end.spot is not None:
                said = found.setdefault(end.spot, {})
                if wire.signal.strip():
                    said[wire.signal.strip()] = None
    for contact in harness.contacts:
        together = [Spot(contact.holder, cavity) for cavity in contact.cavities]
        if len(together) > 1:
            said = {signal: None for spot in together for signal in found.get(spot, {})}
            for spot in together:
                found.setdefault(spot, {}).update(said)
    for mating in harness.matings:
        for one, other in ((Spot(mating.a, a), Spot(mating.b, b)) for a, b in mating.pairs):
            for here, there in ((one, other), (other, one)):
                if there in found:
                    found.setdefault(here, {}).update(found[there])
    return {spot: tuple(said) for spot, said in found.items()}


def _fitted_device(one: Fitted, names: Names, spots: Mapping[Spot, tuple[str, ...]]) -> Device:
    taken: set[str] = set()
    pins: list[Pin] = []
    for index, spot in enumerate(one.spots):
        said = one.pins[index] if index < len(one.pins) else re.split(r"[^\w+-]+", spot.cavity)[-1]
        pins.append(Pin(unique(near_pin(said), taken), (spot,), spots.get(spot, ())))
    return Device(one.id, names.give(one.id, one.kind or "fitted", "F" if one.kind == "fuse" else "K"), tuple(pins),
                  fitted=one)  # fmt: skip


def _device(
    key: str,
    items: list[Holder],
    fits: re.Pattern[str] | None,
    names: Names,
    spots: Mapping[Spot, tuple[str, ...]],
    used: Mapping[str, tuple[str, ...]],
    renamed: list[Renamed],
) -> Device:
    """The device of one or several plugs; with several each pin is called by its plug too."""
    lone = len(items) == 1
    name = _called(items[0]) if lone and near_name(key) in names.taken else key
    own = names.give(name, DEVICE)
    taken: set[str] = set()
    pins: list[Pin] = []
    for item in items:
        found = fits.fullmatch(_called(item)) if fits and not lone else None
        plug = near_pin(found["plug"]).replace("/", "") + "/" if found else ""
        for cavity in used.get(item.id, ()):
            was = f"{plug}{cavity}"
            pin = unique(near_pin(was), taken)
            pins.append(Pin(pin, (Spot(item.id, cavity),), spots.get(Spot(item.id, cavity), ())))
            if pin != was:
                renamed.append(Renamed("pin", f"{_called(item)}.{cavity}", f"{own}.{pin}"))
    return Device(key, own, tuple(pins), tuple(items))


def _used(holders: Iterable[Holder], spots: Iterable[Spot]) -> dict[str, tuple[str, ...]]:
    """The cavities of each holder that something is at, in the holder's order."""
    met: dict[str, list[str]] = {}
    for spot in spots:
        met.setdefault(spot.holder, []).append(spot.cavity)
    found: dict[str, tuple[str, ...]] = {}
    for item in holders:
        here = dict.fromkeys(met.get(item.id, ()))
        found[item.id] = tuple(cavity for cavity in dict.fromkeys((*item.cavities, *here)) if cavity in here)
    return found


def _couplings(
    harness: Harness,
    by_id: Mapping[str, Holder],
    coupled: Mapping[str, None],
    used: Mapping[str, tuple[str, ...]],
    names: Names,
    looms: Mapping[str, str],
    renamed: list[Renamed],
) -> Iterable[Coupling]:
    loom_of = _looms(harness)
    done: set[str] = set()
    for mating in harness.matings:
        if mating.a not in coupled or mating.b not in coupled or {mating.a, mating.b} & done:
            continue
        done |= {mating.a, mating.b}
        one, other = by_id[mating.a], by_id[mating.b]
        own = names.give(_called(one), "coupling")
        if _called(other) != own:
            renamed.append(Renamed("coupling", _called(other), own))
        first, second = (looms.get(loom_of.get(item.id, ""), looms[""]) for item in (one, other))
        pairs = list(mating.pairs)
        paired = ({a for a, _ in pairs}, {b for _, b in pairs})
        pairs += [(cavity, "") for cavity in used[one.id] if cavity not in paired[0]]
        pairs += [("", cavity) for cavity in used[other.id] if cavity not in paired[1]]
        numbers, ways = _numbers(one, other, pairs)
        for spot, number in numbers.items():
            if spot.cavity != str(number):
                renamed.append(Renamed("cavity", f"{_called(by_id[spot.holder])}.{spot.cavity}", f"{own}.{number}"))
        yield Coupling(own, ((one, first), (other, second if second != first else f"{second}-2")), numbers, ways)


def _met(
    item: Holder,
    pair: tuple[str, str],
    used: Mapping[str, tuple[str, ...]],
    names: Names,
    looms: Mapping[str, str],
    renamed: list[Renamed],
) -> Coupling:
    """A connector in which wires of two looms meet, as its two halves."""
    own = names.give(_called(item), "coupling")
    numbers, ways = _numbers(item, item, [(cavity, cavity) for cavity in used[item.id]])
    for spot, number in numbers.items():
        if spot.cavity != str(number):
            renamed.append(Renamed("cavity", f"{_called(item)}.{spot.cavity}", f"{own}.{number}"))
    return Coupling(own, ((item, looms[pair[0]]), (item, looms[pair[1]])), numbers, ways)


def _loom_names(harness: Harness, renamed: list[Renamed]) -> dict[str, str]:
    """Each loom's name as the notation takes it; wires without one are in the harness's own."""
    found: dict[str, str] = {}
    taken: set[str] = set()
    said = [wire.loom for wire in harness.wires] + [name for item in harness.holders for name in item.looms]
    for name in dict.fromkeys(name or harness.name or MAIN for name in (*said, "")):
        found[name] = unique(near_name(name, "L"), taken)
        if found[name] != name:
            renamed.append(Renamed("loom", name, found[name]))
    found[""] = found[harness.name or MAIN]
    return found


def _two_sided(harness: Harness, boxed: set[str], plugged: Mapping[str, object]) -> dict[str, tuple[str, str]]:
    """Connectors with wires of just two looms that share a cavity, with the two looms."""
    met: dict[str, dict[str, set[str]]] = {}
    for wire in harness.wires:
        for end in wire.ends:
            if end.spot is not None and wire.loom:
                met.setdefault(end.spot.holder, {}).setdefault(wire.loom, set()).add(end.spot.cavity)
    found: dict[str, tuple[str, str]] = {}
    for item in harness.holders:
        looms = met.get(item.id, {})
        if item.kind == CONNECTOR and item.id not in boxed and item.id not in plugged and len(looms) == 2:
            (one, first), (other, second) = looms.items()
            if first & second:
                found[item.id] = (one, other)
    return found


def _looms(harness: Harness) -> dict[str, str]:
    """The loom that the first wire of each holder is in."""
    found = {item.id: item.looms[0] for item in harness.holders if item.looms}
    for wire in reversed(harness.wires):
        for end in wire.ends:
            if end.spot is not None and wire.loom:
                found[end.spot.holder] = wire.loom
    return found


def _numbers(one: Holder, other: Holder, pairs: list[tuple[str, str]]) -> tuple[dict[Spot, int], int]:
    """Each cavity's number: its own where all are plain numbers and mate straight, else the order of the pairs."""
    plain = all(a.isdecimal() and 0 < int(a) <= 500 for pair in pairs for a in pair if a)
    straight = plain and all(a == b for a, b in pairs if a and b)
    numbers: dict[Spot, int] = {}
    ways = 0
    for index, (a, b) in enumerate(pairs, 1):
        number = int(a or b) if straight else index
        ways = max(ways, number)
        if a:
            numbers[Spot(one.id, a)] = number
        if b:
            numbers[Spot(other.id, b)] = number
    if straight:
        ways = max([ways, *(int(c) for c in (*one.cavities, *other.cavities) if c.isdecimal() and 0 < int(c) <= 500)])
    return numbers, max(ways, 1)
