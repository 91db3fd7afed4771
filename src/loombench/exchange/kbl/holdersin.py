"""What holds wire ends in a KBL file: connectors, splices, rings and boxes, with names for all their cavities."""

import re
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field

from loombench.base.problems import Level
from loombench.exchange.harness import BOX, CONNECTOR, OPEN_END, RING, SPLICE, Holder, Slot
from loombench.exchange.kbl.naming import Names
from loombench.exchange.kbl.raw import HolderUse, HousingKind, Raw, SlotKind, SlotUse

_USAGES = (
    (re.compile(r"spli|spleis", re.IGNORECASE), SPLICE), (re.compile(r"ring|eyelet|öse", re.IGNORECASE), RING),
    (re.compile(r"no[ _-]?end|open", re.IGNORECASE), OPEN_END),
)  # fmt: skip
_SAYS_SPLICE = re.compile(r"\bsplice\b|\bsplei(?:ss|ß)", re.IGNORECASE)
_PARTNER = re.compile(r"connected[ _]?connector|in[ _]?link|mat(?:ing|ed)[ _](?:connector|with)", re.IGNORECASE)
_NO_KIND = HousingKind("", "", "", (), (), (), 0)


@dataclass(eq=False)
class Draft:
    """A holder while it is made; `cavities` keeps their order, `by_part` names them by the cavity of the part."""

    key: str
    id: str
    kind: str
    use: HolderUse
    housing: HousingKind
    cavities: dict[str, None] = field(default_factory=dict)
    by_part: dict[str, str] = field(default_factory=dict)
    joined: list[tuple[str, ...]] = field(default_factory=list)
    slots: list[Slot] = field(default_factory=list)
    slot_at: dict[str, int] = field(default_factory=dict)
    labels: dict[str, int] = field(default_factory=dict)
    names: Names = field(default_factory=Names)
    place: str = ""
    words: str = ""
    options: tuple[str, ...] = ()

    def spare(self, wanted: str) -> str:
        """A cavity the file does not describe, under a name that no other has."""
        name = self.names.free(wanted)
        self.cavities[name] = None
        return name

    def slot_of(self, cavities: Iterable[str]) -> Slot | None:
        """The slot that one of these cavities is in."""
        return next((self.slots[self.slot_at[cavity]] for cavity in cavities if cavity in self.slot_at), None)

    def slot_named(self, label: str) -> Slot | None:
        """The slot of that name."""
        return self.slots[self.labels[label]] if label in self.labels else None

    def says(self, kind: str) -> str:
        """What an instruction of that kind says, empty where there is none."""
        return next((value for name, value in self.use.extras if name == kind), "")

    def _partner(self) -> str:
        return next((value for name, value in self.use.extras if _PARTNER.search(name)), "")

    def holder(self, raw: Raw, loom: str) -> Holder:
        """The finished holder."""
        return Holder(
            id=self.id,
            kind=self.kind,
            name=self.use.name if self.use.name != self.id else "",
            cavities=tuple(self.cavities),
            joined=tuple(self.joined),
            slots=tuple(self.slots),
            place=self.says("place") or self.place,
            description=self.words or self.use.words,
            part_number=self.housing.part_number,
            housing=self.housing.words,
            stud=self.says("stud"),
            body=self.says("body"),
            partner=self._partner(),
            looms=(loom,),
            options=self.options,
            span=raw.span(self.use.line),
        )


@dataclass(eq=False)
class Places:
    """All holders of a file, and where each of their cavities and slots is, by the ids of the occurrences."""

    raw: Raw
    drafts: dict[str, Draft] = field(default_factory=dict)
    cavities: dict[str, tuple[Draft, str]] = field(default_factory=dict)
    slots: dict[str, tuple[Draft, str]] = field(default_factory=dict)
    numbers: dict[str, dict[str, str]] = field(default_factory=dict)
    ids: Names = field(default_factory=Names)


def read_places(raw: Raw) -> Places:
    """The holders of a file, without contacts."""
    places = Places(raw)
    for key, use in raw.holders.items():
        draft = Draft(key, _own_id(places, use, key), _kind(raw, use), use, _housing(raw, use))
        places.drafts[key] = draft
        _name_cavities(places, draft)
        if draft.kind == SPLICE and len(draft.cavities) > 1:
            draft.joined.append(tuple(draft.cavities))
            raw.notes.add("splice-cavities", Level.NOTE, raw.span(use.line), holder=draft.id, count=len(draft.cavities))
        _join_bars(places, draft)
    return places


def _own_id(places: Places, use: HolderUse, key: str) -> str:
    wanted = use.name or places.raw.own(key, use.line)
    name = places.ids.free(wanted)
    if name != wanted:
        places.raw.notes.add("holder-name-twice", Level.NOTE, places.raw.span(use.line), name=wanted, id=name)
    return name


def _housing(raw: Raw, use: HolderUse) -> HousingKind:
    masters, others = (raw.boxes, raw.housings) if use.box else (raw.housings, raw.boxes)
    found = masters.get(use.part)
    if found is not None:
        return found
    raw.missing(use.line, use.name or use.id, "Part", use.part)
    return others.get(use.part, _NO_KIND)


def _kind(raw: Raw, use: HolderUse) -> str:
    if use.box:
        return BOX
    for pattern, kind in _USAGES:
        if pattern.search(use.usage):
            return kind
    if use.usage.strip():
        return CONNECTOR
    kind = _kind_by_parts(raw, use)
    if kind != CONNECTOR:
        raw.notes.add("usage-missing", Level.NOTE, raw.span(use.line), holder=use.name or use.id, kind=kind)
    return kind


def _kind_by_parts(raw: Raw, use: HolderUse) -> str:
    """What a connector without a usage is, by what is crimped on or said of it."""
    if any("splice" in kind for kind, _value in use.extras):
        return SPLICE
    cavities = sum(len(slot.cavities) for slot in use.slots)
    parts = [raw.part_uses[ref] for contact in use.contacts for ref in contact.parts if ref in raw.part_uses]
    types = " ".join(raw.terminals[part.part].type for part in parts if part.part in raw.terminals).casefold()
    if "splice" in types:
        return SPLICE
    if cavities <= 1 and ("ring" in types or any(part.special for part in parts)):
        return RING
    housing = raw.housings.get(use.part)
    if cavities <= 1 and housing is not None and _SAYS_SPLICE.search(f"{housing.type} {housing.words}"):
        return SPLICE
    return CONNECTOR


def _name_cavities(places: Places, draft: Draft) -> None:
    use, kind = draft.use, draft.housing
    groups = list(_groups(use.slots, kind.slots))
    sockets = list(_groups(use.sockets, kind.sockets))
    prefixed = draft.kind == BOX and (len(groups) > 1 or bool(sockets))
    met = Counter(number for *_slot, rows in groups for number in {_number(places.raw, part) for _cavity, part in rows})
    for slot, _type, label, rows in groups:
        _take_group(places, draft, slot, label, rows, prefixed, met)
    labels = Names()
    for slot, type_, label, rows in sockets:
        own = labels.free(label)
        names = _take_group(places, draft, slot, own, rows, True, met)
        draft.labels[own] = len(draft.slots)
        draft.slot_at.update(dict.fromkeys(names, len(draft.slots)))
        draft.slots.append(Slot(own, names, type_, places.raw.span(use.line)))
        if slot is not None:
            places.slots[slot.id] = (draft, own)


_Row = tuple[str, str]
"""A cavity as occurrence and as part; either may be empty."""


def _groups(
    used: Sequence[SlotUse], kinds: Sequence[SlotKind]
) -> Iterator[tuple[SlotUse | None, str, str, list[_Row]]]:
    """The slots of a holder with their types, names and cavities, those of the part first, used or not."""
    by_part: dict[str, SlotUse] = {}
    for one in used:
        by_part.setdefault(one.part, one)
    known = {kind.id for kind in kinds}
    left = [one for one in used if by_part[one.part] is not one or one.part not in known]
    for index, kind in enumerate(kinds, 1):
        slot = by_part.get(kind.id)
        uses = {cavity.part: cavity.id for cavity in reversed(slot.cavities)} if slot is not None else {}
        rows = [(uses.get(part, ""), part) for part in kind.cavities]
        given = {cavity for cavity, _part in rows}
        extra = [(cavity.id, cavity.part) for cavity in slot.cavities if cavity.id not in given] if slot else []
        yield slot, kind.type, kind.name or str(index), [*rows, *extra]
    for index, slot in enumerate(left, len(kinds) + 1):
        yield slot, "", str(index), [(cavity.id, cavity.part) for cavity in slot.cavities]


def _number(raw: Raw, part: str) -> str:
    return raw.cavity_numbers.get(part, "")


def _take_group(
    places: Places, draft: Draft, slot: SlotUse | None, label: str, rows: Sequence[_Row], prefixed: bool,
    met: Counter[str],
) -> tuple[str, ...]:  # fmt: skip
    raw, names = places.raw, []
    numbers: dict[str, str] = {}
    for cavity, part in rows:
        number = _number(raw, part)
        if part not in raw.cavity_numbers:
            raw.missing(draft.use.line, draft.id, "Part", part)
        wanted = number or "?"
        name = draft.spare(f"{label}.{wanted}" if prefixed or met[number] > 1 else wanted)
        names.append(name)
        draft.by_part.setdefault(part, name)
        numbers.setdefault(number, name)
        if cavity:
            places.cavities[cavity] = (draft, name)
    if slot is not None:
        places.numbers[slot.id] = numbers
        places.slots.setdefault(slot.id, (draft, ""))
    return tuple(names)


def _join_bars(places: Places, draft: Draft) -> None:
    for bar in draft.housing.bars:
        names: list[str] = []
        for ref in bar:
            if ref in draft.by_part:
                names.append(draft.by_part[ref])
            else:
                places.raw.missing(draft.housing.line, draft.id, "Connections", ref)
        if len(set(names)) > 1:
            draft.joined.append(tuple(dict.fromkeys(names)))
