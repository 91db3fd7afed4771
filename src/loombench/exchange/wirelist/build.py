"""The harness of a wire list: rows become wires with ends at spots, names become holders."""

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, field, replace

from loombench.base.problems import Level
from loombench.base.wording import phrase
from loombench.exchange.harness import CONNECTOR, RING, SPLICE, ColourText, Contact, End, Holder, Spot, Wire
from loombench.exchange.leaving import BAR
from loombench.exchange.report import Notes
from loombench.exchange.wirelist import words
from loombench.exchange.wirelist.companions import Companions, Entry
from loombench.exchange.wirelist.places import UNKNOWN, Place, part, stem
from loombench.exchange.wirelist.rows import RawEnd, RawWire


@dataclass
class Building:
    """What is being built of all sheets together."""

    companions: Companions
    notes: Notes
    counts: Counter[str]
    places: dict[str, Place] = field(default_factory=dict)
    wires: list[Wire] = field(default_factory=list)
    contacts: dict[tuple[Spot, str, str], Contact] = field(default_factory=dict)
    bars: dict[str, list[tuple[str, str]]] = field(default_factory=dict)
    bare: set[str] = field(default_factory=set)
    _ids: dict[str, int] = field(default_factory=dict)
    _terminals: Counter[Spot] = field(default_factory=Counter)
    _unknown: int = 0

    def __post_init__(self) -> None:
        self.known = self.companions.names

    def add(
        self, raw: RawWire, area_mm2: float | None, length_m: float | None, colour: ColourText, options: tuple[str, ...]
    ) -> None:
        """Make a wire of a row, or say why it is refused."""
        said = raw.says.get
        loom = said("harness", "")
        ends = tuple(self._end(raw, end, loom) for end in raw.ends)
        spots = [end.spot for end in ends]
        if spots == [None, None]:
            self.refuse(raw, "no-end")
            return
        if spots[0] == spots[1]:
            self.refuse(raw, "itself")
            return
        first, last = spots
        if said("wire_type") == BAR and not raw.number and first and last and first.holder == last.holder:
            self.bars.setdefault(first.holder, []).append((first.cavity, last.cavity))
            self.counts["bar"] += 1
            return
        core, shield = said("core_id", ""), said("shield", "")
        wire = Wire(
            self._id(raw), ends, number=raw.number, signal=said("signal", ""), colour=colour, area_mm2=area_mm2,
            size_text=said("size", ""), length_m=length_m, type=said("wire_type", ""), cable=said("cable_id", ""),
            core=core, twist=said("twist_group", ""), loom=loom, options=options, remark=said("remark", ""),
            shield=words.speaks_of(core, words.SHIELD) or words.speaks_of(shield, words.SHIELD)
            or bool(shield and words.marked(shield, "")), span=raw.span,
        )  # fmt: skip
        self.counts["wire"] += 1
        self.wires.append(wire)

    def refuse(self, raw: RawWire, why: str) -> None:
        """Say that a row makes no wire."""
        self.counts["refused"] += 1
        reason = phrase(f"wirelist.{why}")
        self.notes.add("list-row-refused", Level.WARNING, raw.span, wire=raw.number or "?", reason=reason)

    def _id(self, raw: RawWire) -> str:
        name = raw.number or f"row{raw.row.line}"
        self._ids[name] = self._ids.get(name, 0) + 1
        made = name if self._ids[name] == 1 else f"{name}#{self._ids[name]}"
        if made != name and made in self._ids:
            made = f"{made}.{raw.row.line}"
        self._ids.setdefault(made, 1)
        return made

    def _end(self, raw: RawWire, end: RawEnd, loom: str) -> End:
        holder, cavity = end.holder, end.cavity
        known = self.known
        if end.joined or (holder and not cavity):
            parted = part(end.joined or holder, known)
            if end.joined or (parted.cavity and parted.sure and known):
                holder, cavity = parted.holder, parted.cavity
            if end.joined and parted.cavity and not parted.sure and not known:
                facts = {"text": end.joined, "holder": holder, "cavity": cavity}
                self.notes.add("list-joined-assumed", Level.NOTE, raw.sheet.where(raw.row, end.column), **facts)
        if words.means(holder, words.OPEN):
            holder = ""
        if not holder:
            return End(None)
        word, which = words.place_word(holder)
        if word and not which and holder not in known:
            holder = self._bare_place(raw, holder, word)
            if not holder:
                return End(None)
        if self.companions.connectors and holder not in known and not word:
            where = raw.sheet.where(raw.row, end.column)
            self.notes.add("list-connector-unlisted", Level.NOTE, where, holder=holder)
        place = self.places.get(holder)
        if place is None:
            place = self.places[holder] = Place(holder, raw.span, self.companions.kind_of(holder))
        place.ends += 1
        place.looms.setdefault(loom)
        if end.terminal:
            place.terminals.setdefault(end.terminal)
        spot = Spot(holder, self._cavity(raw, place, cavity))
        place.cavities.setdefault(spot.cavity)
        return End(spot, self._contact(spot, end, loom))

    def _bare_place(self, raw: RawWire, holder: str, word: str) -> str:
        """A splice or ground without a number: a splice is that of the circuit, a ground is one for all."""
        where = raw.sheet.where(raw.row)
        if word != words.SPLICE:
            self.notes.add("list-place-bare", Level.NOTE, where, place=holder, taken=holder)
            return holder
        if not raw.number:
            return ""
        taken = f"{holder}-{stem(raw.number)}"
        self.notes.add("list-place-bare", Level.NOTE, where, place=holder, taken=taken)
        self.bare.add(taken)
        return taken

    def _cavity(self, raw: RawWire, place: Place, cavity: str) -> str:
        """The cavity, from the pin-out where the row has none, else one of its own that nothing else shares."""
        if cavity:
            return cavity
        listed = self.companions.pin_of(place.name, raw.number)
        if listed:
            return listed
        self._unknown += 1
        return f"{UNKNOWN}{self._unknown}"

    def _contact(self, spot: Spot, end: RawEnd, loom: str) -> str:
        if not end.terminal and not end.seal:
            return ""
        key = (spot, end.terminal, loom)
        if key not in self.contacts:
            self._terminals[spot] += 1
            alike = self._terminals[spot]
            made = f"{spot.holder}-{spot.cavity}" + (f"#{alike}" if alike > 1 else "")
            self.contacts[key] = Contact(made, spot.holder, (spot.cavity,), end.terminal, end.seal)
        return self.contacts[key].id


def settle_places(building: Building) -> None:
    """Decide what each holder is; ends without a cavity are one at a splice or stud, and are asked elsewhere."""
    renamed: dict[Spot, Spot] = {}
    for place in building.places.values():
        guessed = [cavity for cavity in place.cavities if cavity.startswith(UNKNOWN)]
        for cavity in guessed:
            place.cavities.pop(cavity)
        kind = place.kind()
        one_way = kind in (SPLICE, RING) or building.companions.ways_of(place.name) == 1
        for number, cavity in enumerate(guessed, 1):
            named = "1" if one_way else f"{UNKNOWN}{number}"
            renamed[Spot(place.name, cavity)] = Spot(place.name, named)
            place.cavities.setdefault(named)
    for at, wire in enumerate(building.wires):
        ends = tuple(
            replace(end, spot=renamed[end.spot]) if end.spot is not None and end.spot in renamed else end
            for end in wire.ends
        )
        for end in ends:
            if end.spot is not None and end.spot.cavity.startswith(UNKNOWN):
                building.notes.add(
                    "list-cavity-missing", Level.WARNING, wire.span, wire=wire.id, holder=end.spot.holder
                )
        building.wires[at] = replace(wire, ends=ends)
    for key, contact in list(building.contacts.items()):
        spot = renamed.get(key[0])
        if spot is not None:
            building.contacts[key] = replace(contact, cavities=(spot.cavity,))


def holders(building: Building) -> tuple[Holder, ...]:
    """The holders, with what the companion lists say of them, and listed ones that no wire goes to."""
    found: list[Holder] = []
    used = {end.spot.holder for wire in building.wires for end in wire.ends if end.spot is not None}
    used |= set(building.bars)
    for place in building.places.values():
        if place.name in used:
            found.append(_holder(place, building))
    for name, entry in building.companions.connectors.items():
        if name not in building.places:
            found.append(_holder(Place(name, entry.span, CONNECTOR), building))
    return tuple(found)


def _holder(place: Place, building: Building) -> Holder:
    companions = building.companions
    kind = place.kind()
    entry = companions.connectors.get(place.name) or companions.ground(place.name)
    says = entry or Entry("", {}, place.span)
    cavities = _cavities(place, companions) if kind not in (SPLICE, RING) else tuple(place.cavities) or ("1",)
    one_node = kind in (SPLICE, RING) and len(cavities) > 1
    joined = (cavities,) if one_node else _groups(building.bars.get(place.name, ()))
    stud = (says["stud"] or place.name) if kind == RING else ""
    return Holder(
        place.name, kind, cavities=cavities, joined=joined, place=says["place"], description=says["description"],
        part_number=says["part_no"], housing=says["housing"],
        body=says["body"], stud=stud, looms=tuple(loom for loom in place.looms if loom), span=place.span,
    )  # fmt: skip


def _groups(pairs: Iterable[tuple[str, str]]) -> tuple[tuple[str, ...], ...]:
    """Pairs of cavities that are one node, as groups."""
    groups: list[dict[str, None]] = []
    for pair in pairs:
        met = [group for group in groups if pair[0] in group or pair[1] in group]
        groups = [group for group in groups if group not in met]
        groups.append(dict.fromkeys(cavity for group in (*met, dict.fromkeys(pair)) for cavity in group))
    return tuple(tuple(group) for group in groups)


def _cavities(place: Place, companions: Companions) -> tuple[str, ...]:
    found = dict.fromkeys(place.cavities)
    found.update(dict.fromkeys(companions.pins_of(place.name)))
    ways = companions.ways_of(place.name)
    numbers = {str(number) for number in range(1, ways + 1)}
    if ways and set(found) <= numbers | {cavity for cavity in found if cavity.startswith(UNKNOWN)}:
        found.update(dict.fromkeys(sorted(numbers, key=int)))
    plain = [cavity for cavity in found if cavity.isascii() and cavity.isdigit()]
    rest = [cavity for cavity in found if cavity not in set(plain)]
    return (*sorted(plain, key=lambda cavity: (int(cavity), cavity)), *rest)
