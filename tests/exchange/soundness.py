"""What must hold of any harness that was read, and of any import, however bad the file was."""

import math
from collections.abc import Iterator

from loombench.app.importing import Request, import_bytes
from loombench.base.outcome import errors
from loombench.exchange.harness import HOLDER_KINDS, Harness, Spot
from loombench.exchange.variants import chosen
from tests.exchange.reading import imported

LONGEST_TEXT = 20_000
CODES = ("L1H", "R2H", "C3D", "A1", "HI", "BASE")


def check(data: bytes, name: str) -> None:
    """Read a file, look at what came of it, and import it whole; raises where something does not hold."""
    found = imported(data, name)
    assert all(span.file.startswith(name) and span.line >= 1 for one in found.problems for span in one.spans)
    if found.harness is None:
        assert errors(found.problems)
    else:
        left = chosen(found.harness, CODES).harness
        assert left is not None
        wrong = [*unsound(found.harness), *unsound(left)]
        assert not wrong, wrong
    made = import_bytes({name: data}, Request((), CODES, accept=True))
    if made.value is None:
        assert errors(made.problems)
    else:
        assert bool(made.value.files) != bool(errors(made.problems)), errors(made.problems)


def unsound(harness: Harness) -> Iterator[str]:
    """One line for each thing that names what is not there, has a figure that is none, or a text no one can print."""
    holders = {holder.id: holder for holder in harness.holders}
    contacts = {contact.id: contact for contact in harness.contacts}
    for kind, ids in (
        ("holder", [one.id for one in harness.holders]),
        ("contact", [one.id for one in harness.contacts]),
        ("wire", [one.id for one in harness.wires]),
        ("fitted", [one.id for one in harness.fitted]),
        ("segment", [one.id for one in harness.segments]),
    ):
        if len(set(ids)) != len(ids):
            yield f"two of kind {kind} have one id"
        if "" in ids:
            yield f"a {kind} has no id"

    def lost(spot: Spot) -> bool:
        return spot.holder not in holders or spot.cavity not in holders[spot.holder].cavities

    for holder in harness.holders:
        if holder.kind not in HOLDER_KINDS:
            yield f"holder {holder.id} is of kind {holder.kind}"
        inside = [cavity for group in holder.joined for cavity in group] + [
            cavity for slot in holder.slots for cavity in slot.cavities
        ]
        if not set(inside) <= set(holder.cavities):
            yield f"holder {holder.id} joins cavities it does not have"
    for contact in harness.contacts:
        if any(lost(Spot(contact.holder, cavity)) for cavity in contact.cavities):
            yield f"contact {contact.id} is in no cavity of {contact.holder}"
    for wire in harness.wires:
        for end in wire.ends:
            if end.spot is not None and lost(end.spot):
                yield f"wire {wire.id} ends at {end.spot}, which is not there"
            if end.contact and end.contact not in contacts:
                yield f"wire {wire.id} has the contact {end.contact}, which is not there"
        for figure in (wire.area_mm2, wire.length_m):
            if figure is not None and not (math.isfinite(figure) and figure >= 0):
                yield f"wire {wire.id} has the figure {figure}"
    for fitted in harness.fitted:
        if any(lost(spot) for spot in fitted.spots):
            yield f"{fitted.id} is fitted in a cavity that is not there"
        if fitted.rating_a is not None and not (math.isfinite(fitted.rating_a) and fitted.rating_a > 0):
            yield f"{fitted.id} has the rating {fitted.rating_a}"
    for mating in harness.matings:
        pairs = [spot for one, other in mating.pairs for spot in (Spot(mating.a, one), Spot(mating.b, other))]
        if any(lost(spot) for spot in pairs):
            yield f"{mating.a} and {mating.b} are joined at a cavity that is not there"
    for text in _texts(harness):
        if len(text) > LONGEST_TEXT or any(ord(letter) < 32 or 0xD800 <= ord(letter) < 0xE000 for letter in text):
            yield f"the text {text[:40]!r} cannot be printed"


def _texts(harness: Harness) -> Iterator[str]:
    yield harness.name
    for holder in harness.holders:
        yield from (holder.id, holder.name, holder.place, holder.description, holder.part_number, holder.stud)
        yield from holder.cavities
    for wire in harness.wires:
        yield from (wire.id, wire.number, wire.signal, wire.type, wire.cable, wire.core, wire.twist, wire.remark)
        yield from wire.colour.parts
    for fitted in harness.fitted:
        yield from (fitted.id, fitted.slot, fitted.description, fitted.part_number)
