"""One vehicle out of a 150 % harness: what its option codes leave.

A 150 % harness holds all variants at once, so that one cavity has the wires of several of them. Nothing may be computed
on it before this has been done.
"""

from collections import Counter
from collections.abc import Iterable
from dataclasses import replace

from loombench.base.nearest import nearest
from loombench.base.problems import Level
from loombench.exchange.conditions import always, codes_in, holds, option_code
from loombench.exchange.harness import BOX, CONNECTOR, Contact, Fitted, Harness, Holder, Wire
from loombench.exchange.report import Imported, Notes

_SHOWN_CODES = 12


def chosen(harness: Harness, codes: Iterable[str]) -> Imported:
    """The harness of the vehicle that has these codes and no others; conditions are gone from it.

    A code may also be the part number of a module or of a configuration, which then is in whatever its condition says.
    What a wire that stays needs (its contacts, their holders) stays too, and so does what a fuse is put in; where that
    goes against a condition it is said. Rows are what was left out, by kind.
    """
    notes = Notes()
    choice = _Choice(harness, codes, notes)
    wires = tuple(replace(one, options=()) for one in harness.wires if choice.includes(one))
    fitted = tuple(replace(one, options=()) for one in harness.fitted if choice.includes(one))
    ends = [end for wire in wires for end in wire.ends]
    used = {end.contact for end in ends if end.contact}
    contacts = tuple(
        replace(one, options=()) for one in harness.contacts if one.id in used or choice.includes(one)
    )  # fmt: skip
    needed = {end.spot.holder for end in ends if end.spot is not None} | {
        spot.holder for one in fitted for spot in one.spots
    }
    holders: list[Holder] = []
    for holder in harness.holders:
        if not choice.includes(holder):
            if holder.id not in needed:
                continue
            notes.add("option-needed", Level.WARNING, holder.span, holder=holder.id)
        holders.append(replace(holder, options=()) if holder.options else holder)
    kept = {holder.id for holder in holders}
    contacts = tuple(one for one in contacts if one.holder in kept)
    matings = tuple(one for one in harness.matings if one.a in kept and one.b in kept)
    left = replace(
        harness, wires=wires, fitted=fitted, contacts=contacts, holders=tuple(holders), matings=matings, options=()
    )
    shared(left, notes)
    rows = Counter(
        {
            "wire": len(harness.wires) - len(wires),
            "contact": len(harness.contacts) - len(contacts),
            "holder": len(harness.holders) - len(holders),
            "fitted": len(harness.fitted) - len(fitted),
        }
    )
    return notes.imported(left, rows)


def shared(harness: Harness, notes: Notes) -> None:
    """Say where two things are in one place of a harness without variants: fitted in a slot, contacts in a cavity."""
    first: dict[tuple[str, str], Fitted] = {}
    for one in harness.fitted:
        if not one.slot or not one.spots:
            continue
        other = first.setdefault((one.spots[0].holder, one.slot), one)
        if other is not one:
            notes.add(
                "slot-shared", Level.WARNING, other.span, one.span,
                slot=f"{one.spots[0].holder} {one.slot}", one=other.id, other=one.id,
            )  # fmt: skip

    used = {end.contact for wire in harness.wires for end in wire.ends if end.contact}
    single = {holder.id for holder in harness.holders if holder.kind in (CONNECTOR, BOX)}
    contacts: dict[tuple[str, str], Contact] = {}
    for contact in harness.contacts:
        for cavity in contact.cavities if contact.id in used and contact.holder in single else ():
            before = contacts.setdefault((contact.holder, cavity), contact)
            if before is not contact:
                notes.add(
                    "contacts-in-cavity", Level.WARNING, before.span, contact.span,
                    holder=contact.holder, cavity=cavity, one=before.id[:60], other=contact.id[:60],
                )  # fmt: skip


class _Choice:
    """What holds where certain codes are chosen; says each unknown code and unread condition once."""

    def __init__(self, harness: Harness, codes: Iterable[str], notes: Notes) -> None:
        given = tuple(dict.fromkeys(code.strip() for code in codes if code.strip()))
        self.notes = notes
        self.codes = frozenset(given) | {option_code(code) for code in given}
        options = [one for one in harness.options if one.code in self.codes or option_code(one.code) in self.codes]
        held = {condition for option in options for condition in option.conditions}
        self.known: dict[str, bool] = dict.fromkeys(held, True)
        self.true = self.codes | held
        asked = {condition for group in _groups(harness) for one in group for condition in one.options}
        met = {code for condition in asked for code in codes_in(condition)} | asked
        names = {one.code for one in harness.options} | met
        forms = names | {option_code(name) for name in names}
        for code in given:
            if code not in forms and option_code(code) not in forms:
                known = sorted(names)
                shown = ", ".join(known[:_SHOWN_CODES]) + (" ..." if len(known) > _SHOWN_CODES else "")
                notes.add("option-code-unknown", Level.WARNING, given=code[:60], near=nearest(code, known), known=shown)

    def includes(self, one: Holder | Contact | Wire | Fitted) -> bool:
        """Whether any of its conditions holds; True where it has none."""
        return not one.options or any(self._holds(condition, one) for condition in one.options)

    def _holds(self, condition: str, one: Holder | Contact | Wire | Fitted) -> bool:
        known = self.known.get(condition)
        if known is None:
            said = holds(condition, self.true)
            if said is None:
                self.notes.add("option-condition-unread", Level.WARNING, one.span, condition=condition[:120])
            known = self.known[condition] = bool(said)
        return known


def _groups(harness: Harness) -> tuple[tuple[Holder | Contact | Wire | Fitted, ...], ...]:
    return harness.holders, harness.contacts, harness.wires, harness.fitted


def plain_condition(text: str) -> str:
    """A condition as written, or an empty text where it only says "always"."""
    return "" if always(text) else text.strip()
