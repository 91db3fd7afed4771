"""Which connectors of a vehicle's looms may plug into one another, and joining those that are told.

No harness file says what the neighbour's connector is called, but for some that name it. Usual practice is one coupling
name with a 1 or a 2 in it, or a letter at its end, cavity by cavity with the same signals. So a mating is proposed by
name and held against cavities and signals; only what the user (or the file) says is joined.
"""

import re
from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from loombench.exchange.assembly.meanings import GROUND, MINUS, PLUS, hint, is_ground, is_supply
from loombench.exchange.harness import CONNECTOR, Harness, Holder, Mating

_LETTERED = re.compile(r"(?P<stem>.+[\W_])(?P<letter>[A-Za-z])")
_MOST_ALIKE = 50
"""A name that more holders have is no name of a coupling."""
_COUPLED = (("M", "F"), ("P", "J"), ("P", "S"), ("A", "B"))
"""Letters at the end of the two halves' names: male and female, plug and jack or socket, A and B (common practice)."""


@dataclass(frozen=True)
class Proposed:
    """Two holders that may be plugged together, and what speaks for it.

    `same` and `other` count cavities with the same signal on both sides and with another; `said` is true where one of
    the files names the other connector.
    """

    mating: Mating
    same: int
    other: int
    said: bool = False


def looms_of(harness: Harness) -> Mapping[str, tuple[str, ...]]:
    """The looms that each holder's wires are in; those the holder names itself where it has no wires."""
    found: dict[str, dict[str, None]] = {}
    for wire in harness.wires:
        for end in wire.ends:
            if end.spot is not None:
                found.setdefault(end.spot.holder, {})[wire.loom] = None
    return {item.id: tuple(found.get(item.id, ())) or item.looms for item in harness.holders}


def propose_matings(harness: Harness) -> tuple[Proposed, ...]:
    """The pairs of connectors that may be plugged together, each connector in one pair at most, the surest first.

    Of two halves in two looms the names have to fit, and of the cavities that both have a wire in more have to agree
    in their signal than differ, one of them in another signal than ground and supply, which every plug has. Equal names
    need no more than that no signal differs. What a file names as the partner of a connector comes first.
    """
    mated = {name for mating in harness.matings for name in (mating.a, mating.b)}
    free = [item for item in harness.holders if item.kind == CONNECTOR and item.id not in mated]
    looms, signals = looms_of(harness), signals_of(harness)
    found: list[tuple[tuple[bool, int, int, int], Proposed]] = []
    for order, (one, other, surely) in enumerate((*_by_partner(free), *_by_name(free))):
        if set(looms[one.id]) & set(looms[other.id]):
            continue
        shared = [cavity for cavity in signals.get(one.id, {}) if cavity in signals.get(other.id, {})]
        if not shared:
            continue
        pairs = [(signals[one.id][cavity], signals[other.id][cavity]) for cavity in shared]
        told = [(a, b) for a, b in pairs if a and b]
        alike = [set(a) & set(b) for a, b in told]
        same, unlike = sum(1 for shared in alike if shared), sum(1 for shared in alike if not shared)
        telling = any(not (is_ground(shared) or is_supply(shared)) for shared in alike if shared)
        said = _names(one, other)
        if said or (surely and not unlike) or (same > unlike and telling and not (_is_load(one) or _is_load(other))):
            mating = Mating(one.id, other.id, shared_cavities(one, other, signals), "user")
            found.append(((not said, unlike - same, not surely, order), Proposed(mating, same, unlike, said)))
    taken: set[str] = set()
    kept: list[Proposed] = []
    for _, proposed in sorted(found, key=lambda item: item[0]):
        ends = {proposed.mating.a, proposed.mating.b}
        if not ends & taken:
            taken |= ends
            kept.append(proposed)
    return tuple(kept)


def signals_of(harness: Harness) -> Mapping[str, Mapping[str, tuple[str, ...]]]:
    """The signals of each holder's cavities that have a wire, folded for comparing."""
    found: dict[str, dict[str, tuple[str, ...]]] = defaultdict(dict)
    for wire in harness.wires:
        said = (" ".join(wire.signal.casefold().split()),) if wire.signal.strip() else ()
        for end in wire.ends:
            if end.spot is not None:
                at = found[end.spot.holder]
                at[end.spot.cavity] = tuple(dict.fromkeys((*at.get(end.spot.cavity, ()), *said)))
    return found


def shared_cavities(
    one: Holder, other: Holder, signals: Mapping[str, Mapping[str, tuple[str, ...]]]
) -> tuple[tuple[str, str], ...]:
    """The cavities of one number in both halves, in the order of the first."""
    first = dict.fromkeys((*one.cavities, *signals.get(one.id, {})))
    second = {*other.cavities, *signals.get(other.id, {})}
    return tuple((cavity, cavity) for cavity in first if cavity in second)


def mated(harness: Harness, one: str, other: str) -> Harness | None:
    """The harness with two of its connectors plugged together by cavity number; None where one is not there."""
    by_id = {item.id: item for item in harness.holders}
    if one not in by_id or other not in by_id or one == other:
        return None
    pairs = shared_cavities(by_id[one], by_id[other], signals_of(harness))
    kept = tuple(item for item in harness.matings if not {item.a, item.b} & {one, other})
    return replace(harness, matings=(*kept, Mating(one, other, pairs, "user")))


def _is_load(holder: Holder) -> bool:
    """Whether what is said of a holder tells of a device: the left lamp's plug has the right one's signals too."""
    said = hint(holder.description) or hint(holder.name or holder.id)
    return said is not None and said.meaning not in (GROUND, PLUS, MINUS)


def _names(one: Holder, other: Holder) -> bool:
    """Whether one of two holders says that the other is its partner."""
    return any(
        a.partner and a.partner.strip().casefold() in (b.id.casefold(), b.name.casefold())
        for a, b in ((one, other), (other, one))
    )


def _by_partner(holders: Sequence[Holder]) -> Iterator[tuple[Holder, Holder, bool]]:
    """Pairs of which one names the other."""
    called: dict[str, list[Holder]] = defaultdict(list)
    for holder in holders:
        for name in {holder.id.casefold(), holder.name.casefold()} - {""}:
            called[name].append(holder)
    for one in holders:
        others = called.get(one.partner.strip().casefold(), []) if one.partner.strip() else []
        for other in others[:_MOST_ALIKE]:
            if other is not one:
                yield one, other, True


def _by_name(holders: Sequence[Holder]) -> Iterator[tuple[Holder, Holder, bool]]:
    """Pairs whose names fit, with whether they are equal."""
    keyed: dict[tuple[str, str, str], list[Holder]] = defaultdict(list)
    for holder in holders:
        for key in _keys((holder.name or holder.id).strip().upper()):
            keyed[key].append(holder)
    for (rule, stem, side), found in keyed.items():
        if len(found) > _MOST_ALIKE:
            continue
        opposite = found if rule == "same" else keyed.get((rule, stem, "2"), []) if side == "1" else []
        for number, one in enumerate(found):
            for other in opposite[number + 1 :] if rule == "same" else opposite:
                yield one, other, rule == "same"


def _keys(name: str) -> Iterator[tuple[str, str, str]]:
    yield "same", name, ""
    for index, mark in enumerate(name):
        before, behind = name[:index], name[index + 1 :]
        rest = before + behind
        alone = not (before[-1:].isdigit() or behind[:1].isdigit())
        # The index of a half stands by itself in a name that has a number or a word besides: E31 and N1 are no halves.
        if mark in "12" and alone and (any(one.isdigit() for one in rest) or sum(map(str.isalpha, rest)) > 3):
            yield "number", f"{name[:index]}*{name[index + 1 :]}", mark
    lettered = _LETTERED.fullmatch(name)
    for couple in _COUPLED if lettered else ():
        for side, letter in enumerate(couple, 1):
            if lettered is not None and lettered["letter"] == letter:
                yield "".join(couple), lettered["stem"], str(side)
