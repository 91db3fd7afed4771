"""A harness as a wire list, a row a wire, with the lists that belong to it: connectors, fuses, splices, grounds.

A wire with taps is a row for each stretch, all of one number. A box's bars are rows from the box to itself (type `bar`,
length 0), as jumpers are: a wire list has no other place for them.
"""

from collections.abc import Iterator, Mapping, Sequence
from itertools import pairwise
from types import MappingProxyType

from loombench.exchange.crimps import Crimps, cavities_of, crimps
from loombench.exchange.csvout import csv_text
from loombench.exchange.harness import OPEN_END, RING, SPLICE, End, Harness, Holder, Wire
from loombench.exchange.leaving import BAR
from loombench.exchange.xmlout import millimetres, plain

HEADS = (
    "harness", "wire_no", "signal", "from_conn", "from_cavity", "to_conn", "to_cavity", "colour", "colour_system",
    "size", "size_unit", "length", "length_unit", "wire_type", "cable_id", "core_id", "twist_group", "shield",
    "from_terminal", "to_terminal", "from_seal", "to_seal", "option", "remark",
)  # fmt: skip
CONNECTORS, FUSES, SPLICES, GROUNDS = "connectors", "fuses", "splices", "grounds"


def write_wirelist(harness: Harness) -> str:
    """The wire list."""
    crimped = crimps(harness)
    rows = [row for wire in harness.wires for row in _wire(wire, crimped, harness)]
    rows += [row for holder in harness.holders for row in _bars(holder)]
    return csv_text(HEADS, rows)


def write_lists(harness: Harness) -> Mapping[str, str]:
    """The companion lists by name; those with nothing in them are left out."""
    lists: dict[str, tuple[tuple[str, ...], list[tuple[str, ...]]]] = {
        CONNECTORS: (
            ("connector", "ways", "description", "location", "mating connector", "housing part number"),
            list(_connectors(harness)),
        ),
        FUSES: (("fuse", "rating", "feed", "output", "description"), list(_fuses(harness))),
        SPLICES: (("splice", "wires", "location", "description"), list(_splices(harness))),
        GROUNDS: (("ground", "stud", "body", "location", "description"), list(_grounds(harness))),
    }
    return MappingProxyType({name: csv_text(heads, rows) for name, (heads, rows) in lists.items() if rows})


def _wire(wire: Wire, crimped: Crimps, harness: Harness) -> Iterator[tuple[str, ...]]:
    ends = list(wire.ends) + [End(None)] * (2 - len(wire.ends))
    contacts = {contact.id: contact for contact in harness.contacts} if harness.contacts else {}
    for number, (one, other) in enumerate(pairwise(ends)):
        crimp = [contacts.get(crimped.contact(end)) for end in (one, other)]
        length = wire.length_m if number == 0 else None
        yield (
            wire.loom,
            wire.number,
            wire.signal,
            *_spot(one),
            *_spot(other),
            "/".join(wire.colour.parts),
            wire.colour.system if wire.colour.parts else "",
            plain(wire.area_mm2) if wire.area_mm2 is not None else "",
            "mm2" if wire.area_mm2 is not None else "",
            millimetres(length) if length is not None else "",
            "mm" if length is not None else "",
            wire.type,
            wire.cable,
            wire.core,
            wire.twist,
            "x" if wire.shield else "",
            *(contact.terminal if contact else "" for contact in crimp),
            *(contact.seal if contact else "" for contact in crimp),
            "/".join(f"({option})" if len(wire.options) > 1 else option for option in wire.options),
            wire.remark,
        )


def _spot(end: End) -> tuple[str, str]:
    return (end.spot.holder, end.spot.cavity) if end.spot is not None else ("", "")


def _bars(holder: Holder) -> Iterator[tuple[str, ...]]:
    if holder.kind == SPLICE:
        return
    for group in holder.joined:
        for one, other in pairwise(group):
            row = dict.fromkeys(HEADS, "")
            row |= {"from_conn": holder.id, "from_cavity": one, "to_conn": holder.id, "to_cavity": other,
                    "length": "0", "length_unit": "mm", "wire_type": BAR}  # fmt: skip
            yield tuple(row.values())


def _connectors(harness: Harness) -> Iterator[tuple[str, ...]]:
    mates: dict[str, str] = {}
    for mating in harness.matings:
        mates.setdefault(mating.a, mating.b)
        mates.setdefault(mating.b, mating.a)
    for holder in harness.holders:
        if holder.kind not in (SPLICE, RING, OPEN_END):
            ways = str(len(cavities_of(holder)))
            yield (holder.id, ways, holder.description, holder.place, mates.get(holder.id, ""), holder.part_number)


def _fuses(harness: Harness) -> Iterator[tuple[str, ...]]:
    for one in harness.fitted:
        if one.kind == "fuse":
            rating = plain(one.rating_a) if one.rating_a is not None else ""
            sides: Sequence[str] = [str(spot) for spot in one.spots]
            yield (one.id, rating, *(sides[place] if place < len(sides) else "" for place in (0, 1)), one.description)


def _splices(harness: Harness) -> Iterator[tuple[str, ...]]:
    at: dict[str, list[str]] = {}
    for wire in harness.wires:
        for end in wire.ends:
            if end.spot is not None and wire.number:
                at.setdefault(end.spot.holder, []).append(wire.number)
    for holder in harness.holders:
        if holder.kind == SPLICE:
            yield (holder.id, " ".join(dict.fromkeys(at.get(holder.id, ()))), holder.place, holder.description)


def _grounds(harness: Harness) -> Iterator[tuple[str, ...]]:
    for holder in harness.holders:
        if holder.kind == RING:
            yield (holder.id, holder.stud, holder.body, holder.place, holder.description)
