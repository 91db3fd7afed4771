"""What splice lists and pin-outs say of ends that the rows leave open, and where they contradict the rows."""

from dataclasses import replace

from loombench.base.problems import Level, Span
from loombench.base.wording import phrase
from loombench.exchange.harness import End, Spot, Wire
from loombench.exchange.wirelist.build import Building
from loombench.exchange.wirelist.companions import wires_of
from loombench.exchange.wirelist.places import UNKNOWN, Place


def confirm(building: Building) -> None:
    """Hold the rows against the lists; an end that a row leaves open is taken from a list, and said."""
    by_number: dict[str, list[int]] = {}
    for at, wire in enumerate(building.wires):
        by_number.setdefault(wire.number, []).append(at)
    for name, entries in building.companions.splices.items():
        for entry in entries:
            for number in wires_of(entry):
                _put(building, by_number.get(number, []), number, Spot(name, ""), entry.span)
    for (holder, cavity), entry in building.companions.pins.items():
        for number in wires_of(entry) if cavity else ():
            _put(building, by_number.get(number, []), number, Spot(holder, cavity), entry.span)


def _put(building: Building, wires: list[int], number: str, spot: Spot, span: Span) -> None:
    """See that a wire of that number ends at the spot (at any cavity of a splice), or let its open end do so."""
    found = [building.wires[at] for at in wires]
    if any(_is_at(end, spot) for wire in found for end in wire.ends):
        return
    for at in wires:
        wire = building.wires[at]
        free = [place for place, end in enumerate(wire.ends) if _free(building, end)]
        if len(free) != 1:
            continue
        ends = list(wire.ends)
        new = Place(spot.holder, span, building.companions.kind_of(spot.holder))
        place = building.places.setdefault(spot.holder, new)
        cavity = spot.cavity or "1"
        place.cavities.setdefault(cavity)
        place.looms.setdefault(wire.loom)
        ends[free[0]] = replace(ends[free[0]], spot=Spot(spot.holder, cavity))
        building.wires[at] = replace(wire, ends=tuple(ends))
        facts = {"wire": wire.id, "spot": str(spot)}
        building.notes.add("list-end-from-companion", Level.NOTE, wire.span, span, **facts)
        return
    key = "no-wire" if not wires else "elsewhere"
    reason = phrase(f"wirelist.{key}", wire=number, spot=str(spot), ends=_ends(found))
    building.notes.add("list-companion-clash", Level.WARNING, span, reason=reason)


def _is_at(end: End, spot: Spot) -> bool:
    return end.spot is not None and end.spot.holder == spot.holder and spot.cavity in ("", end.spot.cavity)


def _free(building: Building, end: End) -> bool:
    return end.spot is None or end.spot.holder in building.bare


def _ends(wires: list[Wire]) -> str:
    said = (str(end.spot) for wire in wires for end in wire.ends if end.spot is not None)
    return ", ".join(one for one in dict.fromkeys(said) if UNKNOWN not in one)
