"""Several harnesses of one vehicle as one, what they name alike kept apart."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from loombench.exchange.harness import End, Harness, Spot


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
