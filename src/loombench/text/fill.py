"""Numbers that nobody knows yet: `?`, or a part's main number left out, becomes a range of `facts/data/assumed.csv`."""

from collections.abc import Iterable, Mapping
from dataclasses import replace
from functools import cache
from types import MappingProxyType

from loombench.base.band import Band
from loombench.facts.typical import typical_values
from loombench.vehicle.model import Part, Wire

TABLE = "assumed"

ALTERNATIVES: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "battery": ("capacity_ah",), "alternator": ("limit_a",), "fuselink": ("rated_a",), "fuse": ("rated_a",),
        "breaker": ("rated_a",), "lamp": ("rated_w",), "led": ("rated_w", "rated_a"), "motor": ("rated_a", "rated_w"),
        "heater": ("rated_w", "rated_a", "resistance_ohm"), "solenoid": ("rated_w", "rated_a", "resistance_ohm"),
        "horn": ("rated_a", "rated_w"), "resistor": ("resistance_ohm",), "cutout": ("opens_c",),
        "converter": ("limit_a", "output_v"), "flasher": ("rate_per_min",), "timer": ("time_s",),
        "terminator": ("resistance_ohm",), "bus-node": ("resistance_ohm",), "strap": ("length_m", "area_mm2"),
    }
)  # fmt: skip
"""The main numbers of a kind, the usual one first: where none is given, the first is assumed (a converter and a strap
have two of their own)."""
_EACH = ("converter", "strap")


def assumed(name: str) -> Band | None:
    """The assumed range of that name in the table; None where it has none."""
    return _table().get(name)


@cache
def _table() -> Mapping[str, Band]:
    return MappingProxyType({row.name: Band(row.value, row.low, row.high) for row in typical_values(TABLE)})


def assumed_number(kind: str, name: str) -> Band | None:
    """The assumed range of a number of a kind; None where the law has a better typical value than we do.

    Ranges of power are those of lamps and loads at any supply; volts are not assumed: they are the vehicle's.
    """
    return assumed(f"{kind}.{name}")


def with_primary(kind: str, numbers: Mapping[str, Band]) -> Mapping[str, Band]:
    """The numbers, with the kind's main number assumed where nothing says it."""
    names = ALTERNATIVES.get(kind, ())
    if kind in _EACH:
        wanted = [name for name in names if name not in numbers and not (name == "area_mm2" and "gauge_awg" in numbers)]
    else:
        wanted = [] if any(name in numbers for name in names) else list(names[:1])
    filled = {name: assumed_number(kind, name) for name in wanted}
    found = {name: band for name, band in filled.items() if band is not None}
    return MappingProxyType({**numbers, **found}) if found else numbers


def lengths(wires: Iterable[Wire], parts: Mapping[str, Part]) -> tuple[Wire, ...]:
    """The wires, with a length that is not known narrowed by where its ends are.

    Both ends at one place: the range of short links. Other wires with known lengths between the same two places: from
    0.8 of the shortest to 1.25 of the longest (estimate). Otherwise the wide range stays.
    """
    every = tuple(wires)
    known: dict[frozenset[str], list[float]] = {}
    for wire in every:
        ends = _places(wire, parts)
        if ends and "length" not in wire.assumed and wire.length_m.known:
            known.setdefault(ends, []).append(wire.length_m.nominal)
    return tuple(_narrowed(wire, _places(wire, parts), known) for wire in every)


def _places(wire: Wire, parts: Mapping[str, Part]) -> frozenset[str]:
    ends = [parts[point.part].place if point.part in parts else "" for point in (wire.a, wire.b)]
    return frozenset(ends) if all(ends) else frozenset()


def _narrowed(wire: Wire, ends: frozenset[str], known: Mapping[frozenset[str], list[float]]) -> Wire:
    if "length" not in wire.assumed or not ends:
        return wire
    others = known.get(ends, [])
    if others:
        low, high = 0.8 * min(others), 1.25 * max(others)
        band: Band | None = Band(min(high, max(low, sum(others) / len(others))), low, high)
    else:
        band = assumed("wire.same-place.length_m") if len(ends) == 1 else None
    if band is None:
        return wire
    return replace(wire, length_m=band)
