"""Devices, boxes, fuses and relays of a VEC file: their pins as cavities, and which of them are one node inside.

A box is one holder, its pins `housing.pin` where it has several housings; a device is a holder for each plug. A fuse
or relay waits for its couplings (`vec.couplings`): only then it is known whether it sits in a box.
"""

from collections.abc import Iterator
from dataclasses import dataclass

from loombench.base.problems import Level
from loombench.exchange.harness import BOX, DEVICE, Spot
from loombench.exchange.vec.content import Thing, ending, of
from loombench.exchange.vec.inside import inner_groups
from loombench.exchange.vec.places import ONLY, Places, place_cavities
from loombench.exchange.vec.values import current_a

FUSE, RELAY = "fuse", "relay"
_SPECIFICATION = ending(
    "EEComponentSpecification", "FuseSpecification", "RelaySpecification", "PotentialDistributorSpecification",
    "BatterySpecification", "DiodeSpecification", "CapacitorSpecification", "AntennaSpecification",
)  # fmt: skip


@dataclass(frozen=True)
class Fittable:
    """A fuse or relay before it is known where it sits: the spots of its own pins, with the pins' names."""

    occurrence: Thing
    id: str
    kind: str
    pins: tuple[Spot, ...]
    names: tuple[str, ...]
    rating_a: float | None


@dataclass(frozen=True)
class _Pin:
    """A pin of a component's part: the name of its housing and its own."""

    thing: Thing
    housing: str
    name: str


def add_device(places: Places, occurrence: Thing, role: Thing, carries: bool) -> Iterator[Fittable]:
    """A holder, or holders, for a component, or the fuses and relays that it is.

    `carries`: a fuse or relay is plugged into it.
    """
    content = places.content
    id = places.name(occurrence)
    specification = content.follow(role, "EEComponentSpecification", _SPECIFICATION)
    pins = _pins(specification, role, places)
    several = len({pin.housing for pin in pins}) > 1
    kind = fitted_kind(places, occurrence, role, specification)
    boxed = carries or bool(kind) or _is_box(specification)
    spots: dict[str, Spot] = {}
    for pin in pins:
        if boxed or not several:
            spots[pin.thing.id] = Spot(id, f"{pin.housing}.{pin.name}" if several else pin.name)
        else:
            spots[pin.thing.id] = Spot(f"{id}-{pin.housing}" if pin.housing else id, pin.name)
    multiple = specification is not None and specification.kind == "MultiFuseSpecification"
    if kind and not multiple:
        _place(places, role, id, spots)
        rating = current_a(content, specification.first("IMax")) if specification is not None and kind == FUSE else None
        names = tuple(pin.name for pin in pins)
        yield Fittable(occurrence, id, kind, tuple(spots[pin.thing.id] for pin in pins), names, rating)
        return
    for holder in dict.fromkeys(spot.holder for spot in spots.values()) or (id,):
        cavities = dict.fromkeys(spot.cavity for spot in spots.values() if spot.holder == holder)
        places.hold(occurrence, BOX if boxed else DEVICE, holder, cavities)
    _place(places, role, id, spots)
    for group in inner_groups(content, specification, spots, places.at_port) if not kind else ():
        places.join(group[0].holder, tuple(dict.fromkeys(spot.cavity for spot in group)))
    if multiple and specification is not None:
        yield from _fuses_in(places, occurrence, specification, spots)


def fitted_kind(places: Places, occurrence: Thing, role: Thing, specification: Thing | None) -> str:
    """Fuse, relay, or empty: by its role (from 2.1 on), its specification, or what its part says it mainly is."""
    part = places.content.follow(occurrence, "Part", of("PartVersion"))
    said = part.say("PrimaryPartType") if part is not None else occurrence.say("PrimaryPartUsageType")
    for text in (role.kind, specification.kind if specification is not None else "", said):
        if text.startswith(("Fuse", "MultiFuse")):
            return FUSE
        if text.startswith("Relay"):
            return RELAY
    return ""


def _is_box(specification: Thing | None) -> bool:
    return specification is not None and (
        bool(specification.all("Connections"))
        or bool(specification.all("ExtensionSlots"))
        or specification.kind == "PotentialDistributorSpecification"
    )


def _pins(specification: Thing | None, role: Thing, places: Places) -> list[_Pin]:
    """All pins of the part, in its order; where the part is not there, those that the role names."""
    content = places.content
    housings = specification.all("HousingComponent") if specification is not None else []
    if not housings:
        references = [
            content.follow(one, "HousingComponent", of("HousingComponent")) for one in role.all("HousingComponentRef")
        ]
        housings = [one for one in references if one is not None]
    found = [
        _Pin(pin, content.name(housing, "Identification"), content.label(pin, "Identification") or str(number))
        for housing in housings
        for number, pin in enumerate(housing.all("PinComponent"), 1)
    ]
    counted: dict[tuple[str, str], int] = {}
    for pin in found:
        counted[pin.housing, pin.name] = counted.get((pin.housing, pin.name), 0) + 1
    return [
        _Pin(pin.thing, pin.housing, pin.name if counted[pin.housing, pin.name] == 1 else f"{pin.name}~{number}")
        for number, pin in enumerate(found, 1)
    ]


def _place(places: Places, role: Thing, id: str, spots: dict[str, Spot]) -> None:
    """Note the spots of the pins' terminals, and of the cavities of the housings the pins sit in."""
    content = places.content
    for housing in role.all("HousingComponentRef"):
        in_cavity: dict[str, str] = {}
        by_number: dict[str, str] = {}
        holder = id
        for reference in housing.all("PinComponentRef"):
            pin = content.follow(reference, "PinComponent", of("PinComponent"))
            spot = spots.get(pin.id) if pin is not None else None
            if pin is None or spot is None:
                continue
            for terminal in reference.all("TerminalRole"):
                places.terminals[terminal.id] = {"": spot}
            cavity = content.follow(pin, "ReferencedCavity", of("Cavity"))
            holder = spot.holder
            if cavity is not None:
                in_cavity[cavity.id] = spot.cavity
            else:
                by_number[content.label(pin, "Identification")] = spot.cavity
        for connector in housing.all("ConnectorHousingRole"):
            place_cavities(places, connector, holder, in_cavity, by_number)


def _fuses_in(places: Places, occurrence: Thing, specification: Thing, spots: dict[str, Spot]) -> Iterator[Fittable]:
    """The fuses of a multiple fuse, each between the pins it connects."""
    content = places.content
    holder = next(iter(spots.values()), Spot("", "")).holder
    for number, fuse in enumerate(specification.all("FuseComponents"), 1):
        pins = content.follow_all(fuse, "ConnectedPins", of("PinComponent"))
        kind = content.follow(fuse, "FuseSpecification", of("FuseSpecification"))
        rating = current_a(content, kind.first("IMax")) if kind is not None else None
        between = tuple(spots[pin.id] for pin in pins if pin.id in spots)
        if len(between) < 2:
            content.notes.add(
                "vec-fuse-loose", Level.WARNING, content.span(fuse), name=content.name(fuse, "Identification")
            )
        name = content.name(fuse, "Identification") or f"{ONLY}{number}"
        yield Fittable(occurrence, f"{holder}.{name}", FUSE, between, tuple(spot.cavity for spot in between), rating)
