"""The contact points of a VEC file: which wire ends, terminals and cavities are one potential, and where that is.

A contact point without a cavity is where its terminal is: a splice, a ring, a pin of a device. Two contact points of
one terminal are two potentials (inner conductor and shield of a coax contact), unless conditions tell them apart as
variants; the second then has a cavity of its own, `1.shield` beside `1`. A splice or ring is one potential unless its
part has several internal connections.
"""

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field

from loombench.base.problems import Level
from loombench.exchange.harness import CONNECTOR, OPEN_END, RING, SPLICE, Contact, Mating, Spot
from loombench.exchange.vec.conditions import Alternatives, both, written
from loombench.exchange.vec.content import Thing, ending, of, owner
from loombench.exchange.vec.couplings import TERMINAL, mated_pins
from loombench.exchange.vec.parts import Conductors
from loombench.exchange.vec.places import ONLY, Places, unused

_SHORTED = ("SpliceTerminalRole", "RingTerminalRole", "BoltTerminalRole", "HoleTerminalRole")
_KINDS = (("SpliceTerminalRole", SPLICE), ("RingTerminalRole", RING), ("OpenWireEndTerminalRole", OPEN_END),
          ("BoltTerminalRole", RING), ("HoleTerminalRole", RING))  # fmt: skip
SHIELD = "shield"


@dataclass(frozen=True)
class Contacted:
    """Where a wire end is contacted: by which contact, at which spot, under which condition."""

    contact: str
    spot: Spot
    condition: Alternatives


@dataclass
class Contacting:
    """The contacts, and for each wire end, by its id, where it is contacted; filled by `read_contacts`."""

    contacts: list[Contact] = field(default_factory=list)
    ends: dict[str, list[Contacted]] = field(default_factory=dict)
    bridges: list[Mating] = field(default_factory=list)


def read_contacts(places: Places, conductors: Conductors, left_out: frozenset[str]) -> Contacting:
    """All contact points of the file, but those of occurrences that are left out (by id)."""
    found, taken = Contacting(), dict[str, int]()
    points = [
        point
        for specification in places.content.all_of(of("ContactingSpecification"))
        for point in specification.all("ContactPoint")
    ]
    terminals = {id(point): places.content.follow(point, "MountedTerminal", TERMINAL) for point in points}
    places.seated.update(_seats(places, points, terminals))
    uses = Counter(
        (terminal.id, places.conditions.of(point))
        for point in points
        if (terminal := terminals[id(point)]) is not None and not _one_potential(places, terminal)
    )
    for point in points:
        terminal = terminals[id(point)]
        ends = [
            end
            for one in point.all("WireMounting")
            for end in places.content.follow_all(one, "ReferencedWireEnd", of("WireEnd"))
        ]
        if _left_out(terminal, ends, left_out):
            continue
        part = ""
        if terminal is not None and uses[terminal.id, places.conditions.of(point)] > 1:
            part = _potential(places, conductors, terminal, ends)
        _contact(places, found, taken, point, terminal, ends, part)
    return found


def _seats(
    places: Places, points: Iterable[Thing], terminals: Mapping[int, Thing | None]
) -> Iterator[tuple[str, Spot]]:
    """Where a terminal of its own sits that some contact point says to be in a cavity, or a coupling on a pin."""
    yield from mated_pins(places)
    times = Counter(terminal.id for terminal in terminals.values() if terminal is not None)
    for point in points:
        terminal = terminals[id(point)]
        if terminal is not None and times[terminal.id] > 1:
            spots = [spot for _, spots in _mounted(places, point) for spot in spots]
            if spots:
                yield terminal.id, spots[0]


def _left_out(terminal: Thing | None, ends: list[Thing], left_out: frozenset[str]) -> bool:
    around = [one for thing in (terminal, *ends) if thing is not None and (one := _occurrence(thing)) is not None]
    return bool(around) and all(one.id in left_out for one in around)


def _occurrence(thing: Thing) -> Thing | None:
    return owner(thing, "Component") or owner(thing, "PartUsage")


def _one_potential(places: Places, terminal: Thing) -> bool:
    """Whether all that is contacted with it is one node: splices and rings, unless the part says otherwise."""
    if terminal.kind not in _SHORTED:
        return False
    specification = places.content.follow(terminal, "TerminalSpecification", ending("TerminalSpecification"))
    return specification is None or len(specification.all("InternalTerminalConnection")) < 2


def _potential(places: Places, conductors: Conductors, terminal: Thing, ends: list[Thing]) -> str:
    """What to call one potential of a terminal that has several: empty for the first, `shield`, else a number."""
    elements = [end.parent for end in ends if end.parent is not None]
    wired = [
        places.content.follow(one, "ReferencedWireElement", of("WireElement", "SubWireElement")) for one in elements
    ]
    used = places.terminals.get(terminal.id, {})
    if any(one is not None and conductors.of(one).shield for one in wired) and SHIELD not in used:
        part = SHIELD
    else:
        number = len(used) + 1
        part = "" if "" not in used else str(number if str(number) not in used else number + 1)
    if part:
        places.content.notes.add("vec-coax", Level.NOTE, places.content.span(terminal), part=part)
    return part


def _contact(
    places: Places,
    found: Contacting,
    taken: dict[str, int],
    point: Thing,
    terminal: Thing | None,
    ends: list[Thing],
    part: str,
) -> None:
    """One contact point; several contacts if its cavities are variants or in several holders."""
    own = places.conditions.of(point)
    occurrence = _occurrence(terminal) if terminal is not None else None
    if not own and occurrence is not None:
        own = places.conditions.of(occurrence)
    seal = next((seal for one in point.all("WireMounting") if (seal := _seal(places, one))), "")
    wanted = places.content.name(point, "Identification") or point.id[:80] or f"contact{point.line}"
    first: Spot | None = None
    for spots, condition in _spots(places, point, terminal, ends, part):
        options = both(own, condition)
        for holder in dict.fromkeys(spot.holder for spot in spots):
            cavities = tuple(dict.fromkeys(spot.cavity for spot in spots if spot.holder == holder))
            id = unused(wanted, taken)
            part_number = places.part_number(occurrence) if occurrence is not None else ""
            found.contacts.append(
                Contact(id, holder, cavities, part_number, seal, "", written(options), places.content.span(point))
            )  # fmt: skip
            if len(cavities) > 1:
                places.join(holder, cavities)
            spot = Spot(holder, cavities[0])
            if spot.holder == spots[0].holder:
                for end in ends:
                    found.ends.setdefault(end.id, []).append(Contacted(id, spot, options))
            else:
                found.bridges.append(Mating(spots[0].holder, holder, ((spots[0].cavity, spot.cavity),)))
            first = first or spot
    if terminal is not None and first is not None:
        places.terminals.setdefault(terminal.id, {}).setdefault(part, first)


def _spots(
    places: Places, point: Thing, terminal: Thing | None, ends: list[Thing], part: str
) -> Iterator[tuple[list[Spot], Alternatives]]:
    """The spots of a contact point, for each variant of where its terminal is put, with that variant's condition.

    None at all where all that it says of its place leads nowhere: the one wire end in it is open then.
    """
    mounted = [(spots, places.conditions.of(housing)) for housing, spots in _mounted(places, point)]
    bridge = terminal is not None and terminal.kind == "BridgeTerminalRole"
    if len(mounted) > 1 and not bridge and len({condition for _, condition in mounted}) > 1:
        yield from ((_apart(places, spots, part), condition) for spots, condition in mounted)
    elif mounted:
        yield _apart(places, [spot for spots, _ in mounted for spot in spots], part), ()
    elif terminal is not None and terminal.id in places.terminals and terminal.id not in places.loose:
        pins = places.terminals[terminal.id]
        yield _apart(places, [pins.get("") or next(iter(pins.values()))], part), ()
    elif terminal is not None and terminal.kind not in _SHORTED and terminal.id in places.seated:
        yield _apart(places, [places.seated[terminal.id]], part), ()
    elif len(ends) != 1 or not (point.has("MountedTerminal") or point.all("CavityMounting")) or terminal is not None:
        yield _apart(places, [_free(places, point, terminal, ends)], part), ()


def _mounted(places: Places, point: Thing) -> Iterator[tuple[Thing, list[Spot]]]:
    """For each mounting the first of its cavity references, and the spots of all of them."""
    for mounting in point.all("CavityMounting"):
        references = places.content.follow_all(mounting, "EquippedCavityRef", of("CavityReference"))
        spots = [spot for one in references if (spot := places.cavities.get(one.id)) is not None]
        if spots:
            yield references[0], spots


def _apart(places: Places, spots: list[Spot], part: str) -> list[Spot]:
    """The spots, of one potential of a terminal that has several."""
    if not part:
        return spots
    found = [Spot(spot.holder, f"{spot.cavity}.{part}") for spot in spots]
    for spot in found:
        places.add_cavity(spot)
    return found


def _free(places: Places, point: Thing, terminal: Thing | None, ends: list[Thing]) -> Spot:
    """The spot of a contact in no cavity: a holder for its terminal, or, without one, for the contact point itself."""
    if terminal is None or terminal.id not in places.loose:
        kind = SPLICE if len(ends) > 1 else OPEN_END
        id = places.name(point)
        places.hold(point, kind, id, (ONLY,))
        return Spot(id, ONLY)
    held = places.standing.get(terminal.id)
    if held is None:
        occurrence = places.loose[terminal.id]
        kind = dict(_KINDS).get(terminal.kind, CONNECTOR)
        if kind == SPLICE and not _one_potential(places, terminal):
            kind = CONNECTOR
        id = places.name(occurrence)
        places.hold(occurrence, kind, id, (ONLY,))
        held = places.standing[terminal.id] = Spot(id, ONLY)
    return held


def _seal(places: Places, mounting: Thing) -> str:
    role = places.content.follow(mounting, "MountedCavitySeal", ending("SealRole"))
    occurrence = _occurrence(role) if role is not None else None
    return places.part_number(occurrence) if occurrence is not None else ""
