"""Where things of a VEC file are in the harness: the spot of each cavity, pin and terminal, and the holders so far."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

from loombench.base.problems import Level
from loombench.exchange.harness import CONNECTOR, Contact, Holder, Segment, Slot, Spot
from loombench.exchange.vec.conditions import Conditions, written
from loombench.exchange.vec.content import Content, Thing, ending, of
from loombench.exchange.vec.values import worded

ONLY = "1"
"""The cavity of what has but one."""
OCCURRENCE = of("PartOccurrence", "Component", "PartUsage")
HOUSING = ending("ConnectorHousingSpecification")


@dataclass
class Places:
    """Filled while a file is read, then asked.

    Attributes:
        cavities: the spot of each `CavityReference`, by id.
        terminals: the spots of each terminal role: by id, then by what tells its potentials apart ("" for the first).
        slots, housings: for slot references and housing roles, by id, the spots by cavity number.
        loose: terminal roles that are occurrences of their own, by id, with the occurrence.
        standing: where such a terminal is that is in no cavity: a splice, a ring.
        seated: where such a terminal is said to be, by another contact point or by what it is plugged on.
        contacts, segments: found so far, segments by their id in the file.
        nodes: the topology node that an occurrence is placed at, by its id.
        more_cavities, bars, seats: what is found of holders later on: cavities, cavities that are one node, slots by
            their cavities.
        at_port: the connections of circuits, by port.
        taken: names that were given; `shared` are names that several looms use.
    """

    content: Content
    conditions: Conditions
    part_numbers: dict[str, str]
    holders: dict[str, Holder] = field(default_factory=dict)
    cavities: dict[str, Spot] = field(default_factory=dict)
    terminals: dict[str, dict[str, Spot]] = field(default_factory=dict)
    slots: dict[str, dict[str, Spot]] = field(default_factory=dict)
    housings: dict[str, dict[str, Spot]] = field(default_factory=dict)
    loose: dict[str, Thing] = field(default_factory=dict)
    standing: dict[str, Spot] = field(default_factory=dict)
    seated: dict[str, Spot] = field(default_factory=dict)
    contacts: list[Contact] = field(default_factory=list)
    segments: dict[str, Segment] = field(default_factory=dict)
    nodes: Mapping[str, str] = field(default_factory=dict)
    at_port: Mapping[str, Sequence[Thing]] = field(default_factory=dict)
    shared: frozenset[str] = frozenset()
    taken: dict[str, int] = field(default_factory=dict)
    more_cavities: dict[str, dict[str, None]] = field(default_factory=dict)
    bars: dict[str, dict[tuple[str, ...], None]] = field(default_factory=dict)
    seats: dict[str, dict[frozenset[str], Slot]] = field(default_factory=dict)

    def name(self, thing: Thing) -> str:
        """A name for a holder, not given before: its own, with `@loom` where several looms have one of that name."""
        text, loom = self.content.name(thing, "Identification"), self.loom(thing)
        text = text or thing.id[:80] or f"{thing.tag}{thing.line}"
        wanted = f"{text}@{loom}" if text in self.shared and loom else text
        given = unused(wanted, self.taken)
        if given != wanted:
            self.content.notes.add(
                "vec-name-twice", Level.WARNING, self.content.span(thing), name=wanted, given=given
            )  # fmt: skip
        return given

    def hold(self, thing: Thing, kind: str, id: str, cavities: Iterable[str] = ()) -> Holder:
        """Add a holder for an occurrence."""
        text, loom = self.content.name(thing, "Identification"), self.loom(thing)
        found = Holder(
            id, kind, text if text != id else "", tuple(cavities), place=self.nodes.get(thing.id, ""),
            description=self.description(thing), part_number=self.part_number(thing), looms=(loom,) if loom else (),
            options=written(self.conditions.of(thing)), span=self.content.span(thing),
        )  # fmt: skip
        self.holders[id] = found
        return found

    def part_number(self, occurrence: Thing) -> str:
        """The part number of an occurrence, or an empty text."""
        part = self.content.follow(occurrence, "Part", of("PartVersion"))
        return self.part_numbers.get(part.id, "") if part is not None else ""

    def description(self, thing: Thing) -> str:
        """What an occurrence is, in words."""
        return worded(self.content, thing, "Description", "Abbreviation")

    def loom(self, thing: Thing) -> str:
        """The loom an object belongs to: the name of its specification, else the number of the document."""
        at: Thing | None = thing
        while at is not None and at.tag != "Specification":
            at = at.parent
        if at is None:
            return ""
        document = self.content.name(at.parent, "DocumentNumber") if at.parent is not None else ""
        return self.content.name(at, "Identification") or document

    def add_cavity(self, spot: Spot) -> None:
        """Let the holder of a spot have that cavity."""
        self.more_cavities.setdefault(spot.holder, {})[spot.cavity] = None

    def join(self, holder: str, group: tuple[str, ...]) -> None:
        """Make cavities of a holder one node."""
        self.bars.setdefault(holder, {})[group] = None

    def all_holders(self) -> Iterator[Holder]:
        """The holders, in the order met, with all that was found of them."""
        for id, holder in self.holders.items():
            cavities = tuple(dict.fromkeys((*holder.cavities, *self.more_cavities.get(id, ()))))
            slots = (*holder.slots, *self.seats.get(id, {}).values())
            yield replace(holder, cavities=cavities, joined=tuple(self.bars.get(id, ())), slots=slots)


def unused(wanted: str, taken: dict[str, int]) -> str:
    """The name, or with `~2`, `~3` ... the first that is not taken; it is from now on. Numbers are those given last."""
    given = wanted
    while given in taken:
        taken[wanted] += 1
        given = f"{wanted}~{taken[wanted]}"
    taken[given] = 1
    return given


def add_connector(places: Places, occurrence: Thing, role: Thing) -> None:
    """A connector half with all cavities of its housing."""
    id = places.name(occurrence)
    specification = places.content.follow(role, "ConnectorHousingSpecification", HOUSING)
    cavities = labelled(places.content, specification)
    places.hold(occurrence, CONNECTOR, id, cavities.values())
    place_cavities(places, role, id, cavities, {})


def labelled(content: Content, specification: Thing | None) -> dict[str, str]:
    """What is printed at each cavity of a housing, by its id; with the slot where two slots have the same number."""
    found = [
        (cavity.id or f"line {cavity.line}", content.name(slot, "SlotNumber"), content.label(cavity, "CavityNumber"))
        for slot in (specification.all("Slot") if specification is not None else ())
        for cavity in slot.all("Cavity")
    ]
    numbers = [number for _, _, number in found]
    apart = len(set(numbers)) == len(numbers) or len({slot for _, slot, _ in found}) < 2
    taken: dict[str, int] = {}
    return {
        cavity: unused((number if apart or not slot else f"{slot}.{number}").rstrip(".") or str(index), taken)
        for index, (cavity, slot, number) in enumerate(found, 1)
    }


def place_cavities(
    places: Places, role: Thing, holder: str, labels: Mapping[str, str], pins: Mapping[str, str]
) -> None:
    """Note the spots of a housing role's slots, cavities and terminals that are built in.

    `labels` are what to call its cavities, by the id of the `Cavity`, `pins` the same by number where that is all there
    is to go by. A cavity in neither gets its own number.
    """
    content = places.content
    of_housing = places.housings.setdefault(role.id, {})
    for slot in role.all("SlotReference"):
        of_slot = places.slots.setdefault(slot.id, {})
        for reference in slot.all("CavityReference"):
            cavity = content.follow(reference, "ReferencedCavity", of("Cavity"))
            number = content.label(cavity, "CavityNumber") if cavity is not None else ""
            label = (labels.get(cavity.id) or pins.get(number, "")) if cavity is not None else ""
            spot = Spot(holder, label or number or content.label(reference, "Identification") or ONLY)
            places.add_cavity(spot)
            places.cavities[reference.id] = spot
            of_slot.setdefault(number or spot.cavity, spot)
            of_housing.setdefault(label or spot.cavity, spot)
            for built_in in reference.all("IntegratedTerminalRole"):
                places.terminals[built_in.id] = {"": spot}
