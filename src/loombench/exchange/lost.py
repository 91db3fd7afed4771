"""What a vehicle holds and a format does not: by kind and by name, so that nothing goes in silence.

What is said of parts can be kept beside the file as parts of the notation (`KEPT`); what is said of wires cannot.
"""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from types import MappingProxyType

from loombench.vehicle.model import Part, Vehicle, Wire

CLASSES, BEHAVIOUR, RELAYS, LINKS = "classes", "behaviour", "relays", "links"
STUDS, PLACES, COUPLINGS, OPTIONS = "studs", "places", "couplings", "options"
RANGES, PASSES, TWISTS, RATINGS, NUMBERS = "ranges", "passes", "twists", "ratings", "numbers"
SHIELDS, SIGNS, REST = "shields", "signs", "rest"
SITES, VOLTAGE, CORE_LABELS = "sites", "voltage", "core-labels"
UNWIRED, GAUGES = "unwired", "gauges"
KEPT = frozenset(
    {CLASSES, BEHAVIOUR, RELAYS, LINKS, STUDS, PLACES, COUPLINGS, RATINGS, SHIELDS, SIGNS, SITES, VOLTAGE, UNWIRED}
)
"""Kinds that a folder of parts beside the file holds whole."""

_OF_PARTS = (CLASSES, BEHAVIOUR, RELAYS, LINKS, RATINGS, COUPLINGS, SHIELDS, SIGNS, UNWIRED)
_GRAPH = (VOLTAGE, BEHAVIOUR, RELAYS, LINKS, COUPLINGS, PLACES, RANGES, TWISTS, OPTIONS)
NOT_HELD: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "kbl": (*_OF_PARTS, PLACES, RANGES, GAUGES, PASSES, OPTIONS),
        "vec": (*_OF_PARTS, STUDS, SITES, PLACES, RANGES, GAUGES, PASSES, TWISTS, CORE_LABELS, OPTIONS),
        "wires": (VOLTAGE, *_OF_PARTS, PLACES, RANGES, GAUGES, PASSES, OPTIONS),
        "labels": (REST,),
        "graphml": _GRAPH,
        "dot": _GRAPH,
        "spice": (CLASSES, PLACES, NUMBERS, OPTIONS),
    }
)
"""By format, in the order they are told."""
_FUSES = ("fuse", "fuselink", "breaker")
_METAL = ("body", "stud", "cable")
_PLAIN = ("connector", "splice", "body", "stud", "strap", "cable", "socket", "plug", "carrier", "relay", *_FUSES)
"""Kinds whose all is said by the harness, but for what other kinds of loss tell."""


@dataclass(frozen=True)
class Loss:
    """Something that a file does not hold, and the names of the parts or wires it is about, in the vehicle's order."""

    kind: str
    names: tuple[str, ...]

    @property
    def kept(self) -> bool:
        """Whether a folder of parts beside the file holds it."""
        return self.kind in KEPT


def lost(vehicle: Vehicle, file_format: str) -> tuple[Loss, ...]:
    """What a format does not hold of a vehicle; kinds that the vehicle has nothing of are left out."""
    found = ((kind, tuple(dict.fromkeys(_LOSSES[kind](vehicle)))) for kind in NOT_HELD[file_format])
    return tuple(Loss(kind, names) for kind, names in found if names)


def _parts(test: Callable[[Part], bool]) -> Callable[[Vehicle], Iterable[str]]:
    return lambda vehicle: (part.id for part in vehicle.parts.values() if test(part))


def _wires(test: Callable[[Wire], bool]) -> Callable[[Vehicle], Iterable[str]]:
    return lambda vehicle: (wire.id for wire in vehicle.wires if test(wire))


def _is_range(wire: Wire) -> bool:
    return any(
        not band.known and name not in wire.assumed
        for name, band in (("size", wire.area_mm2), ("length", wire.length_m))
    )


def _number_unknown(part: Part) -> bool:
    bands = (*part.params.values(), *(band for inner in part.elements for band in inner.params.values()))
    return any(not band.known for band in bands)


def _numbers(vehicle: Vehicle) -> Iterable[str]:
    yield from _parts(_number_unknown)(vehicle)
    yield from _wires(lambda wire: not (wire.area_mm2.known and wire.length_m.known))(vehicle)


def _unwired(vehicle: Vehicle) -> Iterable[str]:
    """Metal and cables that no wire is at: only a wire's end makes a ring of them."""
    used = {point.part for point in vehicle.wires_at} | {wire.cable for wire in vehicle.wires}
    used |= {other.part for part in vehicle.parts.values() if part.kind == "strap" for _, other in part.links}
    used |= {part.body for part in vehicle.parts.values() if part.id in used}
    return (part.id for part in vehicle.parts.values() if part.kind in _METAL and part.id not in used)


def _rated_otherwise(part: Part) -> bool:
    """A fuse of another law than a fuse's, or whose rating is a range or is for other volts."""
    return part.kind in ("fuselink", "breaker") or (
        part.kind == "fuse" and ("rated_v" in part.params or _number_unknown(part))
    )


_LOSSES: Mapping[str, Callable[[Vehicle], Iterable[str]]] = MappingProxyType(
    {
        CLASSES: _parts(lambda part: bool(part.class_marks)),
        BEHAVIOUR: _parts(lambda part: part.kind not in _PLAIN),
        RELAYS: _parts(lambda part: part.kind == "relay"),
        LINKS: _parts(lambda part: part.kind in ("socket", "plug")),
        RATINGS: _parts(_rated_otherwise),
        STUDS: _parts(lambda part: part.kind in ("stud", "strap") and bool(part.body or part.links)),
        PLACES: lambda vehicle: vehicle.places,
        COUPLINGS: lambda vehicle: (f"{mating.plug} {mating.socket}" for mating in vehicle.matings),
        OPTIONS: lambda vehicle: (*vehicle.options, *vehicle.offers),
        UNWIRED: _unwired,
        GAUGES: _wires(lambda wire: "AWG" in wire.size_text.upper() and "size" not in wire.assumed),
        RANGES: _wires(_is_range),
        PASSES: _wires(lambda wire: bool(wire.via)),
        TWISTS: _parts(lambda part: part.kind == "cable" and "twisted" in part.words),
        SHIELDS: _parts(lambda part: part.kind == "cable" and "shield" in part.pins),
        SIGNS: _parts(lambda part: bool({"+", "-"} & set(part.pins))),
        SITES: _parts(lambda part: bool(part.place)),
        VOLTAGE: lambda vehicle: (f"{vehicle.nominal_v:g} V",),
        CORE_LABELS: _wires(lambda wire: bool(wire.label and wire.cable)),
        NUMBERS: _numbers,
        REST: lambda vehicle: (vehicle.name,),
    }
)
