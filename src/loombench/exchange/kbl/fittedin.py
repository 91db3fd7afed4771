"""What is put into the slots of a KBL file's boxes: fuses, relays, and what it does not tell apart."""

import re
from collections.abc import Sequence

from loombench.base.problems import Level
from loombench.exchange.harness import Fitted, Slot, Spot
from loombench.exchange.kbl.holdersin import Draft, Places
from loombench.exchange.kbl.measures import current_a
from loombench.exchange.kbl.modulesin import Modules
from loombench.exchange.kbl.naming import Names
from loombench.exchange.kbl.raw import ComponentKind, ComponentUse, Raw

FUSE, RELAY = "fuse", "relay"
FEED = "feed"
_NO_KIND = ComponentKind(False, "", "", None)
_FUSE = re.compile(r"\bfuse|sicherung|\bmaxi\b|\bmidi\b", re.IGNORECASE)
_RELAY = re.compile(r"relay|relais", re.IGNORECASE)
_HOLDER = re.compile(r"holder|adapter|socket|carrier|träger|halter|sockel|cover|deckel|puller", re.IGNORECASE)
_RATING = re.compile(r"(?<![\w.,])(\d{1,3}(?:[.,]\d)?)\s?A(?:mp(?:ere)?)?\b")


def read_fitted(raw: Raw, places: Places, modules: Modules) -> tuple[Fitted, ...]:
    """All fitted parts, in the file's order; cavities that the file does not describe are added to their slots."""
    names = Names()
    return tuple(_fitted(raw, places, modules, key, use, names) for key, use in raw.component_uses.items())


def _fitted(raw: Raw, places: Places, modules: Modules, key: str, use: ComponentUse, names: Names) -> Fitted:
    part = raw.components.get(use.part)
    if part is None:
        raw.missing(use.line, use.name or key, "Part", use.part)
        part = _NO_KIND
    draft, slot, cavities = _where(raw, places, use)
    kind = _kind(raw, use, part, slot)
    if draft is not None and kind == FUSE:
        cavities = _both_sides(raw, use, draft, slot, cavities)
    spots = tuple(Spot(draft.id, cavity) for cavity in cavities) if draft is not None else ()
    return Fitted(
        id=names.free(use.name or raw.own(key, use.line)),
        kind=kind,
        spots=spots,
        pins=_pins(use, cavities),
        slot=slot.id if slot is not None else "",
        rating_a=_rating_a(raw, use, part) if kind == FUSE else None,
        description=use.words or part.words,
        part_number=part.part_number,
        options=modules.of(key),
        span=raw.span(use.line),
    )


def _where(raw: Raw, places: Places, use: ComponentUse) -> tuple[Draft | None, Slot | None, tuple[str, ...]]:
    """The holder, the slot if it has any, and the cavities: those named, else all of the slot."""
    named: list[tuple[Draft, str]] = []
    slots: list[tuple[Draft, str]] = []
    drafts: list[Draft] = []
    for ref in use.mounting:
        if ref in places.cavities:
            named.append(places.cavities[ref])
        elif ref in places.slots:
            slots.append(places.slots[ref])
        elif ref in places.drafts:
            drafts.append(places.drafts[ref])
        else:
            raw.missing(use.line, use.name, "Mounting", ref)
    holder = next((draft for draft, _name in (*named, *slots)), drafts[0] if drafts else None)
    if holder is None:
        raw.notes.add("fitted-nowhere", Level.WARNING, raw.span(use.line), id=use.name)
        return None, None, ()
    cavities = tuple(dict.fromkeys(name for draft, name in named if draft is holder))
    wanted = next((name for draft, name in slots if draft is holder and name), "")
    slot = holder.slot_named(wanted)
    if slot is None:
        slot = holder.slot_of(cavities)
    if slot is None and not cavities and len(holder.slots) == 1:
        slot = holder.slots[0]
    if slot is not None:
        cavities = tuple(cavity for cavity in cavities if cavity in slot.cavities) or slot.cavities
    elif not cavities and not holder.slots and len(holder.cavities) == 2:
        cavities = tuple(holder.cavities)
    if not cavities:
        raw.notes.add("fitted-nowhere", Level.WARNING, raw.span(use.line), id=use.name)
    return holder, slot, cavities


def _both_sides(
    raw: Raw, use: ComponentUse, draft: Draft, slot: Slot | None, cavities: tuple[str, ...]
) -> tuple[str, ...]:
    """The two cavities of a fuse, the feed side first where only the protected side is named."""
    if len(cavities) != 1:
        return cavities
    there = slot.cavities if slot is not None else tuple(draft.cavities)
    others = tuple(cavity for cavity in there if cavity not in cavities)
    facts = {"id": use.name, "holder": draft.id, "cavity": cavities[0]}
    if len(others) == 1:
        raw.notes.add("mounting-one-cavity", Level.NOTE, raw.span(use.line), other=others[0], **facts)
        return (others[0], cavities[0])
    if slot is not None and not others:
        feed = draft.spare(f"{slot.id}.{FEED}")
        at = draft.slot_at[feed] = draft.slot_at[slot.cavities[0]]
        draft.slots[at] = Slot(slot.id, (feed, *slot.cavities), slot.kind, slot.span)
        raw.notes.add("slot-one-cavity", Level.WARNING, raw.span(use.line), other=feed, **facts)
        return (feed, cavities[0])
    raw.notes.add("fuse-one-side", Level.WARNING, raw.span(use.line), **facts)
    return cavities


def _kind(raw: Raw, use: ComponentUse, part: ComponentKind, slot: Slot | None) -> str:
    if part.fuse or use.fuse:
        return FUSE
    if _HOLDER.search(part.words):
        return ""
    for text in (part.words, slot.kind if slot is not None else ""):
        for pattern, kind in ((_RELAY, RELAY), (_FUSE, FUSE)):
            if pattern.search(text):
                raw.notes.add("fitted-kind", Level.NOTE, raw.span(use.line), id=use.name, kind=kind, text=text[:60])
                return kind
    return ""


def _rating_a(raw: Raw, use: ComponentUse, part: ComponentKind) -> float | None:
    if part.current is not None:
        found = current_a(raw, part.current)
        if found is not None:
            return found
    said = _RATING.search(part.words)
    if said is None:
        return None
    rating_a = float(said[1].replace(",", "."))
    raw.notes.add(
        "fuse-rating-text", Level.NOTE, raw.span(use.line), id=use.name, text=part.words[:60], a=f"{rating_a:g}"
    )
    return rating_a


def _pins(use: ComponentUse, cavities: Sequence[str]) -> tuple[str, ...]:
    """The part's own pin names in the order of its cavities, where the file gives one for each."""
    if len(use.order) == len(cavities):
        return use.order
    by_cavity = {cavity: pin for pin, cavity in use.pins if pin and cavity}
    pins = tuple(by_cavity.get(name, by_cavity.get(name.rpartition(".")[2], "")) for name in cavities)
    return pins if all(pins) else ()
