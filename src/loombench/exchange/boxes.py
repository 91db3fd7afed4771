"""Carriers, fuses and relays of a vehicle as boxes with slots, and what is fitted in them."""

from collections.abc import Iterable, Mapping
from types import MappingProxyType

from loombench.exchange.harness import BOX, Fitted, Holder, Slot, Spot
from loombench.vehicle.model import Part, Vehicle
from loombench.vehicle.points import Point

FUSE, RELAY = "fuse", "relay"
_FUSES = ("fuse", "fuselink", "breaker")
_Link = tuple[Point, Point]
_SIGNS: Mapping[str, str] = MappingProxyType({"+": "plus", "-": "minus"})


def printed(pin: str) -> str:
    """A pin as files can have it: a dash alone means "nothing said" in them, and spreadsheets compute with signs."""
    return _SIGNS.get(pin, pin)


def boxed(part: Part) -> bool:
    """Whether a part that sits in no carrier is pushed into a holder of its own: fuses and relays are."""
    return part.kind in (*_FUSES, "relay")


def loose_box(part: Part) -> tuple[Holder, Fitted]:
    """A box with one slot for a fuse or relay by itself, and the fuse or relay."""
    cavities = tuple(printed(pin) for pin in part.pins)
    slot = Slot(part.id, cavities, fitted_kind(part), part.span)
    box = Holder(part.id, BOX, cavities=cavities, slots=(slot,), place=part.place, description=part.label,
                 span=part.span)  # fmt: skip
    return box, _fitted(part, tuple(Spot(part.id, cavity) for cavity in cavities))


def box_of(vehicle: Vehicle, carrier: Part) -> tuple[Holder, tuple[Fitted, ...], tuple[_Link, ...]]:
    """A carrier as a box, what sits in it, and those of its joins that lead out of it, to a part elsewhere."""
    held = tuple(part for part in vehicle.parts.values() if part.holder == carrier.id)
    names = {part.id for part in held}
    inside: list[_Link] = []
    outside: list[_Link] = []
    for one, two in carrier.links:
        within = all(point.part == carrier.id or point.part in names for point in (one, two))
        (inside if within else outside).append((one, two))
    slots = tuple(Slot(part.id, _cavities(part), fitted_kind(part), part.span) for part in held)
    cavities = (*map(printed, carrier.pins), *(cavity for slot in slots for cavity in slot.cavities))
    groups = _groups((_cavity(carrier, one), _cavity(carrier, two)) for one, two in inside)
    box = Holder(carrier.id, BOX, cavities=cavities, joined=groups, slots=slots, place=carrier.place,
                 description=carrier.label, span=carrier.span)  # fmt: skip
    fitted = tuple(_fitted(part, tuple(Spot(carrier.id, cavity) for cavity in _cavities(part))) for part in held)
    return box, fitted, tuple(outside)


def fitted_kind(part: Part) -> str:
    """Fuse, relay, or empty for what files do not tell apart."""
    return FUSE if part.kind in _FUSES else RELAY if part.kind == "relay" else ""


def _cavities(part: Part) -> tuple[str, ...]:
    return tuple(f"{part.id}.{printed(pin)}" for pin in part.pins)


def _cavity(carrier: Part, point: Point) -> str:
    return printed(point.pin) if point.part == carrier.id else f"{point.part}.{printed(point.pin)}"


def _fitted(part: Part, spots: tuple[Spot, ...]) -> Fitted:
    rating = part.params.get("rated_a") if part.kind in _FUSES else None
    told = part.kind in (FUSE, RELAY)
    words = part.label if told else " ".join(word for word in (part.kind, part.label) if word)
    return Fitted(
        part.id,
        fitted_kind(part),
        spots,
        part.pins,
        part.id,
        rating.nominal if rating is not None and rating.known else None,
        words,
        span=part.span,
    )


def _groups(pairs: Iterable[tuple[str, str]]) -> tuple[tuple[str, ...], ...]:
    """Cavities that pairs join, as groups in the order first met."""
    group: dict[str, list[str]] = {}
    for one, two in pairs:
        a, b = group.setdefault(one, [one]), group.setdefault(two, [two])
        if a is not b:
            a.extend(b)
            group.update(dict.fromkeys(b, a))
    found: dict[int, tuple[str, ...]] = {id(members): tuple(members) for members in group.values()}
    return tuple(found.values())
