"""Which wire is this, in words: the candidates with what they are for, and the readings that part them."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from types import MappingProxyType

from loombench.app.eventwords import value_text
from loombench.app.spoken import point_text
from loombench.app.wireparting import CLAMP, OHMMETER, VOLTMETER, Loom, Parting, Telling, part_wires, wires_there
from loombench.base.nearest import nearest
from loombench.base.outcome import Outcome
from loombench.base.problems import error
from loombench.base.wording import Catalogue, catalogue
from loombench.diagnose.place import place_of_point
from loombench.text.colour import letters_of, other_systems, reading, system_code
from loombench.vehicle.model import Vehicle, Wire

MOST_LOADS = 4
UNITS = MappingProxyType({VOLTMETER: "V", CLAMP: "A", OHMMETER: "ohm"})


@dataclass(frozen=True)
class Candidate:
    """A wire that it may be: its id, both ends with their places, data, and the loads it serves, as texts."""

    wire: str
    start: str
    end: str
    data: str
    serves: str


@dataclass(frozen=True)
class WhichWire:
    """The answer: where, which colour, the candidates, how they part; `others` are the colours that are there."""

    where: str
    colour: str
    candidates: tuple[Candidate, ...]
    parting: Parting
    others: tuple[str, ...]


def which_wire(vehicle: Vehicle, where: str, colour: str, words: Catalogue | None = None) -> Outcome[WhichWire | None]:
    """The wires of a colour (`GY/RD`, in the letters of the file) at a place or on a part, and what parts them; of
    several that it may be, parted by commas, where it is faded."""
    words = words or catalogue()
    known = dict.fromkeys((*vehicle.places, *vehicle.parts))
    if where not in known:
        return Outcome(None, (error("whereabouts-unknown", name=where[:60], nearest=nearest(where, known)),))
    system = vehicle.colours
    texts = [one.strip() for one in colour.split(",") if one.strip()] or [colour]
    unread = next((one for one in texts if not reading(system, one).candidates), None)
    if unread is not None:
        others = ", ".join(other_systems(system, unread)) or "none"
        letters = letters_of(system)
        facts = {"text": unread[:40], "system": system_code(system), "others": others, "letters": letters}
        return Outcome(None, (error("colour-unknown", **facts),))
    meant = {(one.main, *one.stripes) for text in texts for one in reading(system, text).candidates}
    every = wires_there(vehicle, where)
    wires = tuple(wire for wire in every if wire.colour.words in meant or wire.colour.text in texts)
    loom = Loom(vehicle)
    there = tuple(sorted({str(wire.colour) for wire in every}))
    candidates = tuple(_candidate(loom, wire, words) for wire in wires)
    return Outcome(WhichWire(where, colour, candidates, part_wires(loom, wires, where), there))


def _candidate(loom: Loom, wire: Wire, words: Catalogue) -> Candidate:
    vehicle = loom.vehicle
    ends = []
    for end in (wire.a, wire.b):
        place = place_of_point(vehicle, end)
        ends.append(words.say("wire.end-at", point=end, place=place) if place else str(end))
    size = wire.size_text or f"{wire.area_mm2} mm2"
    data = ", ".join(one for one in (size, f"{wire.length_m} m", wire.loom, wire.label) if one)
    named = [_load_text(vehicle, load) for load in loom.served.get(wire.id, ())]
    more = words.say("wire.more", count=len(named) - MOST_LOADS) if len(named) > MOST_LOADS else ""
    return Candidate(wire.id, ends[0], ends[1], data, ", ".join((*named[:MOST_LOADS], *([more] if more else []))))


def _load_text(vehicle: Vehicle, load: str) -> str:
    part = vehicle.parts.get(load) or vehicle.parts.get(load.rpartition(".")[0])
    return f"{load} ({part.label})" if part is not None and part.label else load


def wire_lines(vehicle: Vehicle, found: WhichWire, words: Catalogue | None = None) -> tuple[str, ...]:
    """The answer for a terminal. The caution stands before the readings."""
    words = words or catalogue()
    count = len(found.candidates)
    if not count:
        return (words.say("wire.none", colour=found.colour, where=found.where, others=", ".join(found.others) or "-"),)
    lines = [words.say("wire.head", colour=found.colour, where=found.where, count=count)]
    for number, one in enumerate(found.candidates, 1):
        lines.append(words.say("wire.candidate", number=number, start=one.start, end=one.end, data=one.data))
        lines.append(words.say("wire.serves", serves=one.serves) if one.serves else words.say("wire.serves-none"))
    if count == 1:
        return (*lines, words.say("wire.single"))
    parting = found.parting
    if parting.forbidden:
        return (*lines, words.say("wire.forbidden"))
    lines += [f"! {care}" for care in parting_cautions(parting, words)]
    if parting.tellings:
        lines.append(words.say("wire.how"))
    for number, telling in enumerate(parting.tellings, 1):
        lines += telling_texts(vehicle, number, telling, words)
    if parting.unparted:
        lines.append(unparted_text(parting, words))
    return tuple(lines)


def parting_cautions(parting: Parting, words: Catalogue) -> tuple[str, ...]:
    """What is to be minded before the readings."""
    if not parting.tellings:
        return ()
    unplugs = any(operation.verb == "unplug" for one in parting.tellings for operation in one.condition.operations)
    dead = any(one.meter == OHMMETER for one in parting.tellings)
    found = (("caution.leads", True), ("caution.unplug", unplugs), ("caution.ohms-dead", dead))
    return tuple(words.say(key) for key, holds in found if holds)


def unparted_text(parting: Parting, words: Catalogue) -> str:
    """What no reading tells apart."""
    return words.say("wire.unparted", pairs=_grouped(parting.unparted, words))


def telling_texts(vehicle: Vehicle, number: int, telling: Telling, words: Catalogue) -> tuple[str, str]:
    """A reading to take, and which value means which candidates."""
    black = point_text(vehicle, telling.black, words) if telling.black is not None else ""
    head = words.say(f"wire.{telling.meter}", number=number, black=black, condition=telling.condition)
    concerned = sorted({place for pair in telling.parts for place in pair})
    by_value: dict[str, list[int]] = {}
    for place in concerned:
        value = telling.values[place]
        if value is not None:
            by_value.setdefault(_shown(value, telling.meter), []).append(place + 1)
    told = [
        words.say("wire.value", value=value, wires=words.say("wire.or").join(map(str, some)))
        for value, some in by_value.items()
    ]
    return head, words.say("wire.values", values="; ".join(told))


def _shown(value: float, meter: str) -> str:
    """To what a person reads off: tenths of a volt, hundredths of an ampere, tenths of an ohm."""
    return value_text(round(value, 2 if meter == CLAMP else 1) + 0.0, UNITS[meter])


def _grouped(pairs: Sequence[tuple[int, int]], words: Catalogue) -> str:
    """The pairs; wires of which none is parted from any other as one group."""
    said, left = list[str](), set(pairs)
    for start in sorted({one for one, _ in pairs}):
        group = [start]
        for place in sorted({other for _, other in pairs}):
            if place > start and all((one, place) in left for one in group):
                group.append(place)
        if len(group) > 1:
            left -= {(one, other) for one in group for other in group}
            said.append(words.say("wire.group", wires=", ".join(str(one + 1) for one in group)))
    return "; ".join(said)


def wire_json(found: WhichWire) -> dict[str, object]:
    """The answer for a machine: candidates from 1, readings with their values in the order of the candidates."""
    tellings = [
        {
            "meter": one.meter, "condition": str(one.condition), "black": str(one.black or ""),
            "values": [None if value is None or math.isinf(value) else value for value in one.values],
            "open": [value is not None and math.isinf(value) for value in one.values],
            "parts": [[i + 1, j + 1] for i, j in one.parts],
        }
        for one in found.parting.tellings
    ]  # fmt: skip
    return {
        "at": found.where, "colour": found.colour, "candidates": [vars(one) for one in found.candidates],
        "readings": tellings, "unparted": [[i + 1, j + 1] for i, j in found.parting.unparted],
        "forbidden": found.parting.forbidden,
    }  # fmt: skip
