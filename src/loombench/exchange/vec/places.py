"""Where things of a VEC file are in the harness: the spot of each cavity, pin and terminal, and the holders so far."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace

from loombench.base.problems import Level
from loombench.exchange.harness import CONNECTOR, Contact, Holder, Segment, Spot
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
        contacts, segments: found so far, segments by their id in the file.
        nodes: the topology node that an occurrence is placed at, by its id.
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
    contacts: list[Contact] = field(default_factory=list)
    segments: dict[str, Segment] = field(default_factory=dict)
    nodes: Mapping[str, str] = field(default_factory=dict)
    shared: frozenset[str] = frozenset()
    taken: set[str] = field(default_factory=set)

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
        holder = self.holders.get(spot.holder)
        if holder is not None and spot.cavity not in holder.cavities:
            self.holders[holder.id] = replace(holder, cavities=(*holder.cavities, spot.cavity))

    def join(self, holder: str, group: tuple[str, ...]) -> None:
        """Make cavities of a holder one node."""
        found = self.holders.get(holder)
        if found is not None and group not in found.joined:
            self.holders[holder] = replace(found, joined=(*found.joined, group))


def unused(wanted: str, taken: set[str]) -> str:
    """The name, or with `~2`, `~3` ... the first that is not taken; it is from now on."""
    given, number = wanted, 2
    while given in taken:
        given, number = f"{wanted}~{number}", number + 1
    taken.add(given)
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
    taken = set[str]()
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
