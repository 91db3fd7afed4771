"""What a KBL file says is plugged together, and which slots of a box nothing leads to."""

from collections.abc import Iterator

from loombench.exchange.kbl.holdersin import Draft, Places
from loombench.exchange.kbl.raw import Refs, SlotUse


def mated(places: Places) -> dict[tuple[str, str], dict[tuple[str, str], None]]:
    """Pairs of cavities that the file says are plugged together, by the keys of their holders; each pair once.

    Two cavities of one holder are one node of it.
    """
    pairs: dict[tuple[str, str], dict[tuple[str, str], None]] = {}
    order = {key: index for index, key in enumerate(places.drafts)}
    for draft in places.drafts.values():
        for slot in (*draft.use.slots, *draft.use.sockets):
            for own, other, cavity, opposite in _of_slot(places, draft, slot):
                if own is other:
                    if cavity != opposite:
                        own.joined.append((cavity, opposite))
                    continue
                if order[own.key] > order[other.key]:
                    own, other, cavity, opposite = other, own, opposite, cavity  # noqa: PLW2901
                pairs.setdefault((own.key, other.key), {})[cavity, opposite] = None
    return pairs


def _of_slot(places: Places, draft: Draft, slot: SlotUse) -> Iterator[tuple[Draft, Draft, str, str]]:
    for cavity in slot.cavities:
        own = places.cavities.get(cavity.id)
        for ref in cavity.mated:
            other = places.cavities.get(ref)
            if other is None or own is None:
                places.raw.missing(draft.use.line, draft.id, "Mated_cavities", ref)
            else:
                yield own[0], other[0], own[1], other[1]
    for ref in slot.mated:
        found = places.slots.get(ref)
        if found is None:
            places.raw.missing(draft.use.line, draft.id, "Mated_slots", ref)
            continue
        opposite = places.numbers.get(ref, {})
        for number, name in places.numbers.get(slot.id, {}).items():
            if number in opposite:
                yield draft, found[0], name, opposite[number]


def unfed(draft: Draft, contacted: set[str]) -> Refs:
    """The slots of a box with a cavity that neither a bar nor a contact reaches, in a box that has connectors."""
    reached = contacted | {name for group in draft.joined for name in group}
    return tuple(slot.id for slot in draft.slots if not all(cavity in reached for cavity in slot.cavities))
