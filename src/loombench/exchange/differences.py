"""What changed between two harnesses: two revisions of one loom, or what two programs made of it.

Wires are known again by their id, and those left over by their number with their ends, since programs count anew. What
says nothing on one side is a change too (`before` or `after` is empty): a length that was added may matter.
"""

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import TypeVar

from loombench.exchange.harness import Fitted, Harness, Holder, Wire

ADDED, REMOVED, CHANGED = "added", "removed", "changed"
WIRE, HOLDER, FITTED = "wire", "holder", "fitted"
_MM_PER_M = 1000


@dataclass(frozen=True)
class Difference:
    """One change: of what (`WIRE`, `HOLDER`, `FITTED`), of which one, in which field, what it was and is now.

    `field` is empty for what was added or removed, `id` that of the newer harness where it is in both.
    """

    kind: str
    of: str
    id: str
    field: str = ""
    before: str = ""
    after: str = ""


def differences(old: Harness, new: Harness) -> tuple[Difference, ...]:
    """What changed, wires first, each in the older harness's order and what is new after it."""
    return (
        *_compared(WIRE, _wire_pairs(old.wires, new.wires), _WIRE_FIELDS),
        *_compared(HOLDER, _by_id(old.holders, new.holders), _HOLDER_FIELDS),
        *_compared(FITTED, _by_id(old.fitted, new.fitted), _FITTED_FIELDS),
    )


_One = TypeVar("_One", Wire, Holder, Fitted)


def _compared(
    of: str, pairs: Iterable[tuple[_One | None, _One | None]], fields: Mapping[str, Callable[[_One], str]]
) -> Iterator[Difference]:
    for before, after in pairs:
        if before is None and after is not None:
            yield Difference(ADDED, of, after.id)
        elif after is None and before is not None:
            yield Difference(REMOVED, of, before.id)
        elif before is not None and after is not None:
            for name, say in fields.items():
                if say(before) != say(after):
                    yield Difference(CHANGED, of, after.id, name, say(before), say(after))


def _by_id(old: Iterable[_One], new: Iterable[_One]) -> Iterator[tuple[_One | None, _One | None]]:
    left = {one.id: one for one in new}
    for before in old:
        yield before, left.pop(before.id, None)
    yield from ((None, after) for after in left.values())


def _wire_pairs(old: Iterable[Wire], new: Iterable[Wire]) -> Iterator[tuple[Wire | None, Wire | None]]:
    """Wires of the same id; of the rest those of the same number at the same places, else of the same places alone."""
    before, after = list(old), {wire.id: wire for wire in new}
    mates = {wire.id: after.pop(wire.id) for wire in before if wire.id in after}
    for key in (lambda wire: (wire.number, _ends(wire)), _ends):
        left: dict[object, list[Wire]] = {}
        for wire in after.values():
            left.setdefault(key(wire), []).append(wire)
        for wire in before:
            if wire.id not in mates and left.get(key(wire)):
                mates[wire.id] = after.pop(left[key(wire)].pop(0).id)
    yield from ((wire, mates.get(wire.id)) for wire in before)
    yield from ((None, wire) for wire in after.values())


def _ends(wire: Wire) -> str:
    """Where a wire ends, whichever way round the file has it."""
    return " - ".join(sorted(str(end.spot) if end.spot is not None else "" for end in wire.ends))


def _millimetres(wire: Wire) -> str:
    return f"{round(wire.length_m * _MM_PER_M, 3):g} mm" if wire.length_m is not None else ""


def _area(wire: Wire) -> str:
    return f"{round(wire.area_mm2, 6):g} mm2" if wire.area_mm2 is not None else wire.size_text


def _colour(wire: Wire) -> str:
    return "/".join(wire.colour.parts)


def _cavities(holder: Holder) -> str:
    return " ".join(holder.cavities)


def _joined(holder: Holder) -> str:
    return ", ".join(sorted("=".join(group) for group in holder.joined))


def _rating(one: Fitted) -> str:
    return f"{one.rating_a:g} A" if one.rating_a is not None else ""


def _spots(one: Fitted) -> str:
    return " - ".join(sorted(str(spot) for spot in one.spots))


def _options(one: Wire | Holder | Fitted) -> str:
    return ", ".join(one.options)


_WIRE_FIELDS: Mapping[str, Callable[[Wire], str]] = MappingProxyType({
    "ends": _ends, "part_number": lambda wire: wire.part_number, "type": lambda wire: wire.type, "area": _area,
    "colour": _colour, "length": _millimetres, "signal": lambda wire: wire.signal, "options": _options,
})  # fmt: skip
_HOLDER_FIELDS: Mapping[str, Callable[[Holder], str]] = MappingProxyType({
    "kind": lambda one: one.kind, "part_number": lambda one: one.part_number, "cavities": _cavities,
    "joined": _joined, "options": _options,
})  # fmt: skip
_FITTED_FIELDS: Mapping[str, Callable[[Fitted], str]] = MappingProxyType({
    "kind": lambda one: one.kind, "rating": _rating, "spots": _spots, "part_number": lambda one: one.part_number,
    "options": _options,
})  # fmt: skip
