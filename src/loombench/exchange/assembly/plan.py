"""What a harness consists of once its connectors are told apart: devices, couplings, boxes, rings, splices.

A device is what connectors of one name hang on: `F1-A` and `F1-B` are plugs A and B of F1, by a pattern that the user
can replace. Its pins are those that a wire or a contact is at.
"""

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from loombench.exchange.assembly.couplings import Coupling, called, couplings_of, loom_names, met, two_sided_of
from loombench.exchange.assembly.names import Names, Renamed, near_name, near_pin, own_pin
from loombench.exchange.harness import BOX, DEVICE, OPEN_END, RING, SPLICE, Fitted, Harness, Holder, Spot

_MOST_SHOWN = 24
DEVICE_PATTERN = r"(?P<device>.+)-(?P<plug>[A-Z]\d{0,2})"
"""Connector A of device F1 is `F1-A`; the two groups have these names."""


@dataclass(frozen=True)
class Pin:
    """A device's pin by its name in the notation, the spots that are it, and the signals there."""

    name: str
    spots: tuple[Spot, ...]
    signals: tuple[str, ...]


def pins_text(pins: Sequence[Pin]) -> str:
    """Pins with their signals: `1 30-F1; 2 31`."""
    shown = [" ".join((pin.name, ", ".join(pin.signals))).strip() for pin in pins[:_MOST_SHOWN]]
    return "; ".join([*shown, *(["..."] if len(pins) > _MOST_SHOWN else [])])


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
class Plan:
    """What a harness consists of.

    `spots` are the signals of every spot that a wire ends at, in the files' words, `used` the cavities of each holder
    among them; `looms` are the names of the looms.
    `two_sided` are connectors that the file has as one thing though wires of two looms meet in them, with the first.
    """

    devices: tuple[Device, ...]
    couplings: tuple[Coupling, ...]
    boxes: tuple[tuple[Holder, str], ...]
    rings: tuple[Holder, ...]
    splices: Mapping[str, str]
    open_ends: tuple[Holder, ...]
    spots: Mapping[Spot, tuple[str, ...]]
    used: Mapping[str, tuple[str, ...]]
    looms: Mapping[str, str]
    two_sided: Mapping[str, str]
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
    boxes = tuple((item, names.give(called(item), BOX, "B")) for item in harness.holders if item.id in boxed)
    splices = {
        item.id: names.give(called(item), SPLICE, "S") for item in harness.holders if item.kind == SPLICE
    }  # fmt: skip
    fitted = tuple(_fitted_device(one, names, spots) for one in harness.fitted)
    plugged = {name: (one, other) for m in harness.matings for name, one, other in ((m.a, m, m.b), (m.b, m, m.a))}
    looms, two_sided = loom_names(harness, renamed), two_sided_of(harness, boxed, plugged)
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
        found = fits.fullmatch(called(item)) if fits else None
        plugs.setdefault(found["device"] if found else called(item), []).append(item)
    used = _used(harness.holders, spots)
    couplings = (
        *couplings_of(harness, by_id, coupled, used, names, looms, renamed),
        *(met(by_id[name], pair, used, names, looms, renamed) for name, pair in two_sided.items()),
    )
    devices = tuple(_device(key, items, fits, names, spots, used, renamed) for key, items in plugs.items())
    return Plan(
        (*(device for device in devices if device.pins), *fitted),
        couplings,
        boxes,
        tuple(item for item in harness.holders if item.kind == RING and item.id not in boxed),
        splices,
        tuple(item for item in harness.holders if item.kind == OPEN_END and item.id not in boxed),
        spots,
        used,
        looms,
        {name: looms[pair[0]] for name, pair in two_sided.items()},
        names,
        tuple(renamed),
    )


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
                said.update(dict.fromkeys(text.strip() for text in (wire.signal, wire.clamp) if text.strip()))
    for contact in harness.contacts:
        together = [Spot(contact.holder, cavity) for cavity in contact.cavities]
        if len(together) > 1 and any(spot in found for spot in together):
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
    taken: dict[str, int] = {}
    pins: list[Pin] = []
    for index, spot in enumerate(one.spots):
        said = one.pins[index] if index < len(one.pins) else re.split(r"[^\w+-]+", spot.cavity)[-1]
        pins.append(Pin(own_pin(said, taken), (spot,), spots.get(spot, ())))
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
    name = called(items[0]) if lone and near_name(key) in names.taken else key
    own = names.give(name, DEVICE)
    taken: dict[str, int] = {}
    pins: list[Pin] = []
    for item in items:
        found = fits.fullmatch(called(item)) if fits and not lone else None
        plug = near_pin(found["plug"]).replace("/", "") + "/" if found else ""
        for cavity in used.get(item.id, ()):
            was = f"{plug}{cavity}"
            pin = own_pin(was, taken)
            pins.append(Pin(pin, (Spot(item.id, cavity),), spots.get(Spot(item.id, cavity), ())))
            if pin != was:
                renamed.append(Renamed("pin", f"{called(item)}.{cavity}", f"{own}.{pin}"))
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
