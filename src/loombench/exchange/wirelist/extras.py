"""What a list says beside its wires: fuses in their places, mating connectors, cavities with several wires."""

import re
from dataclasses import replace

from loombench.base.problems import Level
from loombench.base.wording import phrase
from loombench.exchange.harness import BOX, CONNECTOR, Fitted, Holder, Mating, Slot, Spot, Wire
from loombench.exchange.wirelist.build import Building
from loombench.exchange.wirelist.companions import Entry
from loombench.exchange.wirelist.places import part

FUSE = "fuse"
_RATING = re.compile(r"(\d{1,3}(?:[.,]\d+)?)\s*A?(?:mp)?s?", re.IGNORECASE)


def fuses(building: Building, holders: dict[str, Holder]) -> tuple[Fitted, ...]:
    """The fuses of the lists; a holder in which one sits becomes a box with a slot for it."""
    found: list[Fitted] = []
    for entry in building.companions.fuses.values():
        spots = _spots(entry, holders)
        rating = _RATING.fullmatch(entry["rating"])
        if not spots:
            reason = phrase("wirelist.fuse-nowhere", fuse=entry.name)
            building.notes.add("list-companion-clash", Level.WARNING, entry.span, reason=reason)
        description = entry["description"] or (entry["protected"] if len(spots) < 2 or entry["feed"] == "" else "")
        rating_a = float(rating[1].replace(",", ".")) if rating else None
        slot = entry["slot"] or entry.name
        found.append(Fitted(entry.name, FUSE, spots, slot=slot, rating_a=rating_a, description=description,
                            part_number=entry["part_no"], span=entry.span))  # fmt: skip
        homes = {spot.holder for spot in spots}
        if len(homes) == 1:
            home = holders[homes.pop()]
            place = Slot(slot, tuple(spot.cavity for spot in spots), FUSE, entry.span)
            cavities = tuple(dict.fromkeys((*home.cavities, *place.cavities)))
            holders[home.id] = replace(home, kind=BOX, cavities=cavities, slots=(*home.slots, place))
    return tuple(found)


def _spots(entry: Entry, holders: dict[str, Holder]) -> tuple[Spot, ...]:
    """The two cavities of a fuse, the feed first: as the row names them, or those of a holder of its name."""
    told: list[Spot] = []
    for text in (entry["feed"], entry["protected"]):
        parted = part(text, holders.keys()) if text else None
        if parted and parted.cavity and parted.holder in holders:
            told.append(Spot(parted.holder, parted.cavity))
    if len(told) == 2:
        return tuple(told)
    names = (told[0].holder,) if told else (entry.name, entry["slot"], entry["connector"])
    for name in names:
        home = holders.get(name)
        if home is not None and home.kind in (CONNECTOR, BOX) and len(home.cavities) == 2 and not home.slots:
            feed, way_out = home.cavities
            if told and (told[0].cavity == way_out) == bool(entry["feed"]):
                feed, way_out = way_out, feed
            return Spot(home.id, feed), Spot(home.id, way_out)
    return tuple(told)


def matings(building: Building, holders: dict[str, Holder]) -> tuple[Mating, ...]:
    """The connectors that the list of connectors says are plugged into one another, cavity by cavity."""
    found: dict[frozenset[str], Mating] = {}
    for entry in building.companions.connectors.values():
        one, other = holders.get(entry.name), holders.get(entry["mating"])
        if one is None or other is None or one is other:
            continue
        pairs = tuple((cavity, cavity) for cavity in one.cavities if cavity in other.cavities)
        found.setdefault(frozenset((one.id, other.id)), Mating(one.id, other.id, pairs))
    return tuple(found.values())


def open_ends(building: Building) -> None:
    """Count and say open ends and jumpers, after the companion lists had their say."""
    for wire in building.wires:
        spots = [end.spot for end in wire.ends]
        if None in spots:
            building.counts["open_end"] += 1
            building.notes.add("list-end-open", Level.NOTE, wire.span, wire=wire.id)
        elif len({spot.holder for spot in spots if spot is not None}) == 1:
            building.counts["jumper"] += 1


def shared_cavities(building: Building, holders: dict[str, Holder]) -> None:
    """Say which cavities have several wires: crimped together, unless they are of several variants or looms."""
    at: dict[Spot, list[Wire]] = {}
    for wire in building.wires:
        for end in wire.ends:
            if end.spot is not None and holders[end.spot.holder].kind in (CONNECTOR, BOX):
                at.setdefault(end.spot, []).append(wire)
    for spot, wires in at.items():
        looms = {wire.loom for wire in wires}
        apart = all(wire.options for wire in wires) and len({wire.options for wire in wires}) == len(wires)
        if len(wires) > len(looms) and not apart:
            building.counts["double_crimp"] += 1
            names = ", ".join(wire.id for wire in wires[:6])
            places = [wire.span for wire in wires[:2]]
            building.notes.add("list-cavity-twice", Level.NOTE, *places, spot=str(spot), wires=names)
    for place in building.places.values():
        looms = {loom for loom in place.looms if loom}
        if len(looms) > 1 and holders[place.name].kind == CONNECTOR:
            facts = {"holder": place.name, "looms": ", ".join(sorted(looms)[:4])}
            building.notes.add("list-connector-shared", Level.NOTE, place.span, **facts)
