"""The contacts of a harness, all of them: those that files name, and one made for each other cavity that has a wire.

KBL and VEC join wires to cavities by contacts only, wire lists and vehicles know none.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType

from loombench.exchange.harness import BOX, Contact, End, Harness, Holder, Spot


@dataclass(frozen=True)
class Crimps:
    """All contacts by holder, in order, each with cavities of its holder only; and which one is at a spot."""

    of_holder: Mapping[str, tuple[Contact, ...]]
    known: frozenset[str]
    at: Mapping[Spot, str]

    def contact(self, end: End) -> str:
        """The id of the contact that a wire's end is crimped into; empty for an open end."""
        if end.contact in self.known:
            return end.contact
        return self.at.get(end.spot, "") if end.spot is not None else ""


def crimps(harness: Harness) -> Crimps:
    """The contacts of a harness. A made one spans the cavities that its connector bridges inside."""
    named: dict[str, list[Contact]] = {}
    for contact in harness.contacts:
        named.setdefault(contact.holder, []).append(contact)
    wired: dict[str, dict[str, None]] = {}
    for wire in harness.wires:
        for end in wire.ends:
            if end.spot is not None:
                wired.setdefault(end.spot.holder, {})[end.spot.cavity] = None
    taken = {contact.id for contact in harness.contacts}
    found: dict[str, tuple[Contact, ...]] = {}
    for holder in harness.holders:
        cavities = cavities_of(holder)
        own = [
            replace(contact, cavities=kept)
            for contact in named.get(holder.id, ())
            if (kept := tuple(cavity for cavity in contact.cavities if cavity in cavities))
        ]
        covered = {cavity for contact in own for cavity in contact.cavities}
        for cavity in wired.get(holder.id, ()):
            if cavity in cavities and cavity not in covered:
                group = _bridged(holder, cavity)
                covered.update(group)
                own.append(Contact(_free(f"{holder.id}-{cavity}", taken), holder.id, group))
        found[holder.id] = tuple(own)
    at: dict[Spot, str] = {}
    for holder_id, contacts in found.items():
        for contact in contacts:
            for cavity in contact.cavities:
                at.setdefault(Spot(holder_id, cavity), contact.id)
    known = frozenset(contact.id for contacts in found.values() for contact in contacts)
    return Crimps(MappingProxyType(found), known, MappingProxyType(at))


def cavities_of(holder: Holder) -> tuple[str, ...]:
    """The cavities of a holder; what has none said has one."""
    return holder.cavities or ("1",)


def _bridged(holder: Holder, cavity: str) -> tuple[str, ...]:
    if holder.kind == BOX:
        return (cavity,)
    group = next((one for one in holder.joined if cavity in one), ())
    return (cavity, *(one for one in group if one != cavity))


def _free(name: str, taken: set[str]) -> str:
    while name in taken:
        name += "'"
    taken.add(name)
    return name
