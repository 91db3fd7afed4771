"""What is plugged into what in a VEC file: connectors, plugs of devices, and fuses and relays in their boxes.

Terminal on terminal (`MatingPoint`) says it best; cavities (`CavityCoupling`), slots and connectors say it by number.
"""

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

from loombench.base.problems import Level
from loombench.exchange.harness import BOX, Contact, Fitted, Mating, Slot, Spot
from loombench.exchange.vec.conditions import written
from loombench.exchange.vec.content import Content, Thing, ending, of, owner
from loombench.exchange.vec.devices import Fittable
from loombench.exchange.vec.places import Places

Pair = tuple[Spot, Spot]
TERMINAL = ending("TerminalRole")
_SLOT, _CAVITY = ending("SlotReference"), of("CavityReference")


def coupled_occurrences(content: Content) -> Iterator[tuple[str, str]]:
    """The ids of the two occurrences of each terminal, slot or cavity coupling."""
    for coupling in _couplings(content):
        for one in _flat(coupling):
            tags = [tag for tag in one.texts[::2] if tag.startswith(("First", "Second"))]
            ends = [content.ids[ref] for tag in sorted(tags) for ref in one.refs(tag) if ref in content.ids]
            around = [owner(end, "Component") or owner(end, "PartUsage") for end in ends]
            if len(around) == 2 and around[0] is not None and around[1] is not None:
                yield around[0].id, around[1].id


def _couplings(content: Content) -> Iterator[Thing]:
    for specification in content.all_of(of("CouplingSpecification")):
        yield from specification.all("CouplingPoint")


def _flat(coupling: Thing) -> Iterator[Thing]:
    yield from coupling.all("MatingPoint")
    for slot in coupling.all("SlotCoupling"):
        yield slot
        yield from slot.all("CavityCoupling")


def read_pairs(places: Places) -> list[Pair]:
    """All pairs of spots that are plugged together, each once."""
    pairs: dict[Pair, None] = {}
    for coupling in _couplings(places.content):
        found = [*_matings(places, coupling), *_slots(places, coupling)]
        if not found:
            found = list(_connectors(places, coupling))
        if not found:
            places.content.notes.add(
                "vec-coupling-empty", Level.WARNING, places.content.span(coupling),
                name=coupling.say("Identification")[:80],
            )  # fmt: skip
        # A terminal of its own that is plugged on a pin is at the pin.
        pairs.update((pair, None) for pair in found if pair[0] != pair[1] and (pair[1], pair[0]) not in pairs)
    return list(pairs)


def _matings(places: Places, coupling: Thing) -> Iterator[Pair]:
    for mating in coupling.all("MatingPoint"):
        first = places.content.follow(mating, "FirstTerminalRole", TERMINAL)
        second = places.content.follow(mating, "SecondTerminalRole", TERMINAL)
        if first is not None and second is not None:
            one, two = places.terminals.get(first.id, {}), places.terminals.get(second.id, {})
            yield from ((one[part], two[part]) for part in one if part in two)


def mated_pins(places: Places) -> Iterator[tuple[str, Spot]]:
    """The terminals of their own, by id, that a mating point puts on a pin of a component, with the pin's spot."""
    for coupling in _couplings(places.content):
        for mating in coupling.all("MatingPoint"):
            ends = [one for tag in ("FirstTerminalRole", "SecondTerminalRole") for one in mating.refs(tag)]
            for one, other in (ends, ends[::-1]) if len(ends) == 2 else ():
                if one in places.loose and other not in places.loose and other in places.terminals:
                    yield one, places.terminals[other][""]


def _slots(places: Places, coupling: Thing) -> Iterator[Pair]:
    for slots in coupling.all("SlotCoupling"):
        cavities = slots.all("CavityCoupling")
        for cavity in cavities:
            first = places.content.follow(cavity, "FirstCavity", _CAVITY)
            second = places.content.follow(cavity, "SecondCavity", _CAVITY)
            if first is not None and second is not None and {first.id, second.id} <= places.cavities.keys():
                yield places.cavities[first.id], places.cavities[second.id]
        if not cavities:
            a, b = (places.content.follow(slots, tag, _SLOT) for tag in ("FirstSlot", "SecondSlot"))
            if a is not None and b is not None:
                yield from _by_number(places.slots.get(a.id, {}), places.slots.get(b.id, {}))


def _connectors(places: Places, coupling: Thing) -> Iterator[Pair]:
    kinds = of("ConnectorHousingRole")
    a, b = (places.content.follow(coupling, tag, kinds) for tag in ("FirstConnector", "SecondConnector"))
    if a is not None and b is not None:
        yield from _by_number(places.housings.get(a.id, {}), places.housings.get(b.id, {}))


def _by_number(one: dict[str, Spot], two: dict[str, Spot]) -> Iterator[Pair]:
    return ((one[number], two[number]) for number in one if number in two)


def fit(
    places: Places, fittables: Sequence[Fittable], pairs: Sequence[Pair], contacts: Iterable[Contact]
) -> tuple[list[Fitted], list[Pair]]:
    """Fuses and relays where they sit, and the pairs that are left.

    One whose pins are all plugged into something else sits there. Any other is a box of its own with it in.
    """
    wired = {contact.holder for contact in contacts}
    mates: dict[Spot, Spot] = {}
    for first, second in pairs:
        mates.setdefault(first, second)
        mates.setdefault(second, first)
    own = {one.id for one in fittables}
    found: list[Fitted] = []
    placed = set[str]()
    pins: dict[str, Counter[str]] = {}
    for one in fittables:
        spots = tuple(mates[pin] for pin in one.pins if pin in mates)
        options = written(places.conditions.of(one.occurrence))
        made = Fitted(
            one.id, one.kind, one.pins, one.names, "", one.rating_a, places.description(one.occurrence),
            places.part_number(one.occurrence), options, places.content.span(one.occurrence),
        )  # fmt: skip
        sits = len(spots) == len(one.pins) > 0 and not any(spot.holder in own for spot in spots)
        if sits and one.id not in wired:
            placed.add(one.id)
            found.append(replace(made, spots=spots, slot=_slot(places, pins, one, spots)))
            continue
        if all(pin.holder not in places.holders for pin in one.pins):
            places.hold(one.occurrence, BOX, one.id, [pin.cavity for pin in one.pins])
            if one.id not in wired and not spots:
                places.content.notes.add(
                    "vec-fuse-loose", Level.NOTE, places.content.span(one.occurrence), name=one.id
                )  # fmt: skip
        found.append(replace(made, slot=_slot(places, pins, one, one.pins)))
    return found, [pair for pair in pairs if not placed & {pair[0].holder, pair[1].holder}]


def _slot(places: Places, pins: dict[str, Counter[str]], one: Fittable, spots: Sequence[Spot]) -> str:
    """The slot it is in: the housing of the box that has exactly these cavities, else one made for it.

    `pins` are, by box, how many cavities each of its housings has.
    """
    box = places.holders.get(spots[0].holder) if spots else None
    if box is None or any(spot.holder != box.id for spot in spots):
        return ""
    cavities = tuple(spot.cavity for spot in spots)
    seats = places.seats.setdefault(box.id, {})
    known = seats.get(frozenset(cavities))
    if known is not None:
        return known.id
    if box.id not in pins:
        pins[box.id] = Counter(cavity.rpartition(".")[0] for cavity in box.cavities)
    housings = {cavity.rpartition(".")[0] for cavity in cavities}
    housing = next(iter(housings))
    name = housing if housing and len(housings) == 1 and pins[box.id][housing] == len(cavities) else one.id
    seats[frozenset(cavities)] = Slot(name, cavities, one.kind, places.content.span(one.occurrence))
    return name


def matings_of(places: Places, pairs: Iterable[Pair]) -> list[Mating]:
    """Pairs gathered by the two holders they join."""
    found: dict[tuple[str, str], list[tuple[str, str]]] = {}
    for one, two in pairs:
        if one.holder in places.holders and two.holder in places.holders:
            found.setdefault((one.holder, two.holder), []).append((one.cavity, two.cavity))
    return [Mating(a, b, tuple(cavities)) for (a, b), cavities in found.items()]
