"""Several harnesses of one vehicle as one: names kept apart, and which connector may plug into which.

No harness file says what the neighbour's connector is called. Usual practice is one coupling name with a 1 or a 2 in
it, or a letter at its end, cavity by cavity with the same signals. So a mating is proposed by name and held against
cavities and signals; only what the user (or the file) says is joined.
"""

import re
from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from loombench.exchange.harness import CONNECTOR, End, Harness, Holder, Mating, Spot

_LETTERED = re.compile(r"(?P<stem>.+[\W_])(?P<letter>[A-Za-z])")
_MOST_ALIKE = 50
"""A name that more holders have is no name of a coupling."""
_COUPLED = (("M", "F"), ("P", "J"), ("P", "S"), ("A", "B"))
"""Letters at the end of the two halves' names: male and female, plug and jack or socket, A and B (common practice)."""


@dataclass(frozen=True)
class Proposed:
    """Two holders that may be plugged together, and what speaks for it: cavities with the same signal, with another."""

    mating: Mating
    same: int
    other: int


def merged(harnesses: Sequence[Harness]) -> Harness:
    """One harness of several files; what has a name that is taken gets its loom's behind it.

    A mating may name a connector of another file; each is kept once, where both connectors are there.
    """
    if len(harnesses) == 1:
        return harnesses[0]
    names = _loom_names(harnesses)
    taken: set[tuple[str, str]] = set()
    whole = [_apart(one, name, taken) for one, name in zip(harnesses, names, strict=True)]
    there = {item.id for one in whole for item in one.holders}
    matings = {
        frozenset((item.a, item.b)): item
        for one in whole
        for item in one.matings
        if item.a in there and item.b in there
    }
    return Harness(
        name=", ".join(dict.fromkeys(one.name for one in harnesses if one.name)),
        format=" ".join(dict.fromkeys(one.format for one in harnesses if one.format)),
        holders=tuple(item for one in whole for item in one.holders),
        contacts=tuple(item for one in whole for item in one.contacts),
        wires=tuple(item for one in whole for item in one.wires),
        fitted=tuple(item for one in whole for item in one.fitted),
        segments=tuple(item for one in whole for item in one.segments),
        matings=tuple(matings.values()),
        options=tuple(dict.fromkeys(item for one in whole for item in one.options)),
        voltage_v=next((one.voltage_v for one in harnesses if one.voltage_v is not None), None),
    )


def _loom_names(harnesses: Sequence[Harness]) -> list[str]:
    names: list[str] = []
    for number, one in enumerate(harnesses, 1):
        name = one.name or f"loom{number}"
        names.append(name if name not in names else f"{name}-{number}")
    return names


def _apart(one: Harness, loom: str, taken: set[tuple[str, str]]) -> Harness:
    """The harness with every id that is taken altered, and each of its wires and holders in a loom of its own."""
    several = {wire.loom for wire in one.wires if wire.loom}

    def fresh(kind: str, ids: Iterator[str]) -> Mapping[str, str]:
        found: dict[str, str] = {}
        for old in ids:
            new, number = old, 1
            while (kind, new) in taken:  # ids are unique in a file, so this takes as many turns as there are files
                new, number = f"{old}@{loom}" + (f"-{number}" if number > 1 else ""), number + 1
            found[old] = new
            taken.add((kind, new))
        return found

    def own(text: str) -> str:
        return f"{loom}-{text}" if text and len(several) > 1 else loom

    holders = fresh("holder", (item.id for item in one.holders))
    contacts = fresh("contact", (item.id for item in one.contacts))
    wires = fresh("wire", (item.id for item in one.wires))
    fitted = fresh("fitted", (item.id for item in one.fitted))
    segments = fresh("segment", (item.id for item in one.segments))
    cables = fresh("cable", iter(dict.fromkeys(item.cable for item in one.wires if item.cable)))
    twists = fresh("twist", iter(dict.fromkeys(item.twist for item in one.wires if item.twist)))

    def at(spot: Spot) -> Spot:
        return Spot(holders.get(spot.holder, spot.holder), spot.cavity)

    def end(old: End) -> End:
        return End(None if old.spot is None else at(old.spot), contacts.get(old.contact, old.contact))

    return replace(
        one,
        holders=tuple(
            replace(
                item, id=holders[item.id], name=item.name or (item.id if holders[item.id] != item.id else ""),
                looms=tuple(own(text) for text in item.looms) or (loom,),
            )
            for item in one.holders
        ),
        contacts=tuple(
            replace(item, id=contacts[item.id], holder=holders.get(item.holder, item.holder)) for item in one.contacts
        ),
        wires=tuple(
            replace(
                item, id=wires[item.id], ends=tuple(end(old) for old in item.ends), loom=own(item.loom),
                cable=cables.get(item.cable, ""), twist=twists.get(item.twist, ""),
                segments=tuple(segments.get(name, name) for name in item.segments),
            )
            for item in one.wires
        ),
        fitted=tuple(replace(item, id=fitted[item.id], spots=tuple(map(at, item.spots))) for item in one.fitted),
        segments=tuple(replace(item, id=segments[item.id]) for item in one.segments),
        matings=tuple(
            replace(item, a=holders.get(item.a, item.a), b=holders.get(item.b, item.b)) for item in one.matings
        ),
    )  # fmt: skip


def looms_of(harness: Harness) -> Mapping[str, tuple[str, ...]]:
    """The looms that each holder's wires are in; those the holder names itself where it has no wires."""
    found: dict[str, dict[str, None]] = {}
    for wire in harness.wires:
        for end in wire.ends:
            if end.spot is not None:
                found.setdefault(end.spot.holder, {})[wire.loom] = None
    return {item.id: tuple(found.get(item.id, ())) or item.looms for item in harness.holders}


def propose_matings(harness: Harness) -> tuple[Proposed, ...]:
    """The pairs of connectors that may be plugged together, each connector in one pair at most, the surest first.

    Of two halves in two looms the names have to fit, and of the cavities that both have a wire in more have to agree
    in their signal than differ; where no signal is known the names have to be equal.
    """
    mated = {name for mating in harness.matings for name in (mating.a, mating.b)}
    free = [item for item in harness.holders if item.kind == CONNECTOR and item.id not in mated]
    looms, signals = looms_of(harness), signals_of(harness)
    found: list[tuple[tuple[int, int, int], Proposed]] = []
    for order, (one, other, surely) in enumerate(_by_name(free)):
        if set(looms[one.id]) & set(looms[other.id]):
            continue
        shared = [cavity for cavity in signals.get(one.id, {}) if cavity in signals.get(other.id, {})]
        if not shared:
            continue
        pairs = [(signals[one.id][cavity], signals[other.id][cavity]) for cavity in shared]
        told = [(a, b) for a, b in pairs if a and b]
        same = sum(1 for a, b in told if set(a) & set(b))
        unlike = len(told) - same
        if same > unlike or (surely and not told):
            mating = Mating(one.id, other.id, shared_cavities(one, other, signals), "user")
            found.append(((unlike - same, not surely, order), Proposed(mating, same, unlike)))
    taken: set[str] = set()
    kept: list[Proposed] = []
    for _, proposed in sorted(found, key=lambda item: item[0]):
        ends = {proposed.mating.a, proposed.mating.b}
        if not ends & taken:
            taken |= ends
            kept.append(proposed)
    return tuple(kept)


def signals_of(harness: Harness) -> Mapping[str, Mapping[str, tuple[str, ...]]]:
    """The signals of each holder's cavities that have a wire, folded for comparing."""
    found: dict[str, dict[str, tuple[str, ...]]] = defaultdict(dict)
    for wire in harness.wires:
        said = (" ".join(wire.signal.casefold().split()),) if wire.signal.strip() else ()
        for end in wire.ends:
            if end.spot is not None:
                at = found[end.spot.holder]
                at[end.spot.cavity] = tuple(dict.fromkeys((*at.get(end.spot.cavity, ()), *said)))
    return found


def shared_cavities(
    one: Holder, other: Holder, signals: Mapping[str, Mapping[str, tuple[str, ...]]]
) -> tuple[tuple[str, str], ...]:
    """The cavities of one number in both halves, in the order of the first."""
    first = dict.fromkeys((*one.cavities, *signals.get(one.id, {})))
    second = {*other.cavities, *signals.get(other.id, {})}
    return tuple((cavity, cavity) for cavity in first if cavity in second)


def mated(harness: Harness, one: str, other: str) -> Harness | None:
    """The harness with two of its connectors plugged together by cavity number; None where one is not there."""
    by_id = {item.id: item for item in harness.holders}
    if one not in by_id or other not in by_id or one == other:
        return None
    pairs = shared_cavities(by_id[one], by_id[other], signals_of(harness))
    kept = tuple(item for item in harness.matings if not {item.a, item.b} & {one, other})
    return replace(harness, matings=(*kept, Mating(one, other, pairs, "user")))


def _by_name(holders: Sequence[Holder]) -> Iterator[tuple[Holder, Holder, bool]]:
    """Pairs whose names fit, with whether they are equal."""
    keyed: dict[tuple[str, str, str], list[Holder]] = defaultdict(list)
    for holder in holders:
        for key in _keys((holder.name or holder.id).strip().upper()):
            keyed[key].append(holder)
    for (rule, stem, side), found in keyed.items():
        if len(found) > _MOST_ALIKE:
            continue
        opposite = found if rule == "same" else keyed.get((rule, stem, "2"), []) if side == "1" else []
        for number, one in enumerate(found):
            for other in opposite[number + 1 :] if rule == "same" else opposite:
                yield one, other, rule == "same"


def _keys(name: str) -> Iterator[tuple[str, str, str]]:
    yield "same", name, ""
    for index, mark in enumerate(name):
        if mark in "12":
            yield "number", f"{name[:index]}*{name[index + 1 :]}", mark
    lettered = _LETTERED.fullmatch(name)
    for couple in _COUPLED if lettered else ():
        for side, letter in enumerate(couple, 1):
            if lettered is not None and lettered["letter"] == letter:
                yield "".join(couple), lettered["stem"], str(side)
