"""Connectors that are plugged together: the loom each half is in, and one number for each pair of cavities."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from loombench.exchange.assembly.names import RESERVED_IN_LINES, Names, Renamed, near_name, unique
from loombench.exchange.harness import CONNECTOR, Harness, Holder, Spot

MAIN = "main"
"""The loom of wires of which nobody says in which they are."""


@dataclass(frozen=True)
class Coupling:
    """Two halves plugged together: the loom each ends in, and the number of every cavity."""

    id: str
    halves: tuple[tuple[Holder, str], tuple[Holder, str]]
    numbers: Mapping[Spot, int]
    ways: int


def called(item: Holder) -> str:
    """What the files call a holder."""
    return item.name or item.id


def couplings_of(
    harness: Harness,
    by_id: Mapping[str, Holder],
    coupled: Mapping[str, None],
    used: Mapping[str, tuple[str, ...]],
    names: Names,
    looms: Mapping[str, str],
    renamed: list[Renamed],
) -> Iterable[Coupling]:
    """The couplings of all matings between connectors; cavities that only one half has count as well."""
    loom_of = _looms(harness)
    done: set[str] = set()
    for mating in harness.matings:
        if mating.a not in coupled or mating.b not in coupled or {mating.a, mating.b} & done:
            continue
        done |= {mating.a, mating.b}
        one, other = by_id[mating.a], by_id[mating.b]
        stem, mark, _ = called(one).rpartition("@")  # our own data names a half by its loom: X12@cab
        own = names.give(stem if mark and called(other).startswith(f"{stem}@") else called(one), "coupling")
        if called(other) != own:
            renamed.append(Renamed("coupling", called(other), own))
        first, second = (looms.get(loom_of.get(item.id, ""), looms[""]) for item in (one, other))
        pairs = list(mating.pairs)
        paired = ({a for a, _ in pairs}, {b for _, b in pairs})
        pairs += [(cavity, "") for cavity in used[one.id] if cavity not in paired[0]]
        pairs += [("", cavity) for cavity in used[other.id] if cavity not in paired[1]]
        numbers, ways = _numbers(one, other, pairs)
        for spot, number in numbers.items():
            if spot.cavity != str(number):
                renamed.append(Renamed("cavity", f"{called(by_id[spot.holder])}.{spot.cavity}", f"{own}.{number}"))
        yield Coupling(own, ((one, first), (other, second if second != first else f"{second}-2")), numbers, ways)


def met(
    item: Holder,
    pair: tuple[str, str],
    used: Mapping[str, tuple[str, ...]],
    names: Names,
    looms: Mapping[str, str],
    renamed: list[Renamed],
) -> Coupling:
    """A connector in which wires of two looms meet, as its two halves."""
    own = names.give(called(item), "coupling")
    numbers, ways = _numbers(item, item, [(cavity, cavity) for cavity in used[item.id]])
    for spot, number in numbers.items():
        if spot.cavity != str(number):
            renamed.append(Renamed("cavity", f"{called(item)}.{spot.cavity}", f"{own}.{number}"))
    return Coupling(own, ((item, looms[pair[0]]), (item, looms[pair[1]])), numbers, ways)


def loom_names(harness: Harness, renamed: list[Renamed]) -> dict[str, str]:
    """Each loom's name as the notation takes it; wires without one are in the harness's own."""
    found: dict[str, str] = {}
    taken: dict[str, int] = {}
    said = [wire.loom for wire in harness.wires] + [name for item in harness.holders for name in item.looms]
    for name in dict.fromkeys(name or harness.name or MAIN for name in (*said, "")):
        found[name] = unique(near_name(name, "L", RESERVED_IN_LINES), taken)
        if found[name] != name:
            renamed.append(Renamed("loom", name, found[name]))
    found[""] = found[harness.name or MAIN]
    return found


def two_sided_of(harness: Harness, boxed: set[str], plugged: Mapping[str, object]) -> dict[str, tuple[str, str]]:
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
