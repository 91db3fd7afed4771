"""The contact points of a KBL file: which cavities of which holder they are in, and what leads to them."""

from collections.abc import Iterator
from dataclasses import dataclass, field

from loombench.base.problems import Level
from loombench.exchange.harness import RING, Contact
from loombench.exchange.kbl.holdersin import Draft, Places
from loombench.exchange.kbl.matingin import unfed
from loombench.exchange.kbl.modulesin import Modules
from loombench.exchange.kbl.raw import ContactUse, Raw

CONDUCTING = ("Terminal_occurrence", "Special_terminal_occurrence")


@dataclass
class Contacts:
    """All contacts of a file by their ids, with their holders; `by_part` finds one by the terminal crimped on."""

    places: Places
    found: dict[str, tuple[Draft, Contact]] = field(default_factory=dict)
    by_part: dict[str, str] = field(default_factory=dict)
    mated: list[tuple[Draft, str, Draft, str]] = field(default_factory=list)


def read_contacts(raw: Raw, places: Places, modules: Modules) -> Contacts:
    """The contacts of a file; cavities that are missing are added to their holders."""
    contacts = Contacts(places)
    for draft in places.drafts.values():
        for use in draft.use.contacts:
            cavities = tuple(dict.fromkeys(_cavities(raw, contacts, draft, use)))
            for ref in use.cavities:
                other, name = places.cavities.get(ref, (draft, ""))
                if other is not draft:
                    contacts.mated.append((draft, cavities[0], other, name))
            contacts.found[use.id] = (draft, _contact(raw, contacts, modules, draft, use, cavities))
        _special_words(raw, draft)
        if draft.slots and draft.housing.slots:
            reached = {name for use in draft.use.contacts for name in contacts.found[use.id][1].cavities}
            for slot in unfed(draft, reached):
                raw.notes.add("slot-unfed", Level.WARNING, raw.span(draft.use.line), holder=draft.id, slot=slot)
    return contacts


def _cavities(raw: Raw, contacts: Contacts, draft: Draft, use: ContactUse) -> Iterator[str]:
    found = False
    for ref in use.cavities:
        place = contacts.places.cavities.get(ref)
        if place is None:
            raw.missing(use.line, use.id, "Contacted_cavity", ref)
        elif place[0] is draft:
            found = True
            yield place[1]
    if found:
        return
    only = tuple(draft.cavities)
    name = only[0] if len(only) == 1 else draft.spare("?" if only else "1")
    raw.notes.add("contact-cavity", Level.WARNING, raw.span(use.line), contact=use.id[:60], holder=draft.id, name=name)
    yield name


def _contact(
    raw: Raw, contacts: Contacts, modules: Modules, draft: Draft, use: ContactUse, cavities: tuple[str, ...]
) -> Contact:
    terminal = seal = plating = ""
    for ref in use.parts:
        part = raw.part_uses.get(ref)
        if part is None:
            raw.missing(use.line, use.id, "Associated_parts", ref)
            continue
        kind = raw.terminals.get(part.part)
        if kind is not None and not terminal:
            terminal, plating = kind.part_number, kind.plating
        elif kind is None and not seal:
            seal = raw.seals.get(part.part, "")
        if kind is not None:
            contacts.by_part.setdefault(ref, use.id)
    options = modules.of(use.id, *use.parts)
    return Contact(use.id, draft.id, cavities, terminal, seal, plating, options, raw.span(use.line))


def _special_words(raw: Raw, draft: Draft) -> None:
    """A ring's description stands as often with its terminal as with the dummy connector it is drawn by."""
    if draft.use.words or draft.kind != RING:
        return
    for use in draft.use.contacts:
        for ref in use.parts:
            part = raw.part_uses.get(ref)
            if part is not None and part.words:
                draft.words = part.words
                return
