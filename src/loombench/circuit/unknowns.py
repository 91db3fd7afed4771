"""The numbers of a vehicle that are only known as ranges, and the vehicle with a value chosen for each."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType

from loombench.base.band import Band, exactly
from loombench.vehicle.model import Inner, Part, Vehicle, Wire
from loombench.vehicle.module import Input, ModuleSpec, Output, Supply


@dataclass(frozen=True, order=True)
class Unknown:
    """A number by its owner (wire id, part id, `PART#2` for a part's element by its place, `PART:in 7` for a module's
    pin) and its field."""

    owner: str
    field: str


Choose = Callable[[Unknown, Band], Band]


def unknowns(vehicle: Vehicle) -> Mapping[Unknown, Band]:
    """All numbers that are ranges: those of wires first, then of parts, each in the order of the file."""
    found: dict[Unknown, Band] = {}
    _chosen(vehicle, lambda unknown, band: _noted(found, unknown, band))
    return MappingProxyType(found)


def with_values(vehicle: Vehicle, values: Mapping[Unknown, float]) -> Vehicle:
    """The vehicle in which these numbers are exact; others stay as they are.

    Raises:
        KeyError: the vehicle has no such range.
    """
    left = dict(values)

    def choose(unknown: Unknown, band: Band) -> Band:
        return exactly(left.pop(unknown)) if unknown in left else band

    chosen = _chosen(vehicle, choose)
    if left:
        raise KeyError(next(iter(left)))
    return chosen


def _noted(found: dict[Unknown, Band], unknown: Unknown, band: Band) -> Band:
    found[unknown] = band
    return band


class _Choice:
    """Passes every range of a vehicle through a function, once."""

    def __init__(self, choose: Choose) -> None:
        self.choose = choose

    def band(self, owner: str, field: str, band: Band) -> Band:
        return band if band.known else self.choose(Unknown(owner, field), band)

    def maybe(self, owner: str, field: str, band: Band | None) -> Band | None:
        return None if band is None else self.band(owner, field, band)

    def params(self, owner: str, params: Mapping[str, Band]) -> Mapping[str, Band]:
        if all(band.known for band in params.values()):
            return params
        return MappingProxyType({name: self.band(owner, name, band) for name, band in params.items()})

    def wire(self, wire: Wire) -> Wire:
        if wire.area_mm2.known and wire.length_m.known:
            return wire
        area = self.band(wire.id, "area_mm2", wire.area_mm2)
        return replace(wire, area_mm2=area, length_m=self.band(wire.id, "length_m", wire.length_m))

    def part(self, part: Part) -> Part:
        params = self.params(part.id, part.params)
        elements = tuple(self.inner(f"{part.id}#{place}", inner) for place, inner in enumerate(part.elements, 1))
        module = None if part.module is None else self.module(part.id, part.module)
        if params is part.params and elements == part.elements and module is part.module:
            return part
        return replace(part, params=params, elements=elements, module=module)

    def inner(self, owner: str, inner: Inner) -> Inner:
        params = self.params(owner, inner.params)
        return inner if params is inner.params else replace(inner, params=params)

    def module(self, part: str, spec: ModuleSpec) -> ModuleSpec:
        def supply(item: Supply) -> Supply:
            return replace(item, draw_a=self.maybe(f"{part}:supply {item.pin}", "draw_a", item.draw_a))

        def input_(item: Input) -> Input:
            owner = f"{part}:in {item.pin}"
            pull, high, low = (self.maybe(owner, name, getattr(item, name)) for name in ("pull_ohm", "high_v", "low_v"))
            return replace(item, pull_ohm=pull, high_v=high, low_v=low)

        def output(item: Output) -> Output:
            owner = f"{part}:out {item.pin}"
            limit, leak = (self.maybe(owner, name, getattr(item, name)) for name in ("limit_a", "off_leak_a"))
            return replace(item, limit_a=limit, off_leak_a=leak)

        return replace(
            spec,
            supplies=tuple(supply(item) for item in spec.supplies),
            inputs=tuple(input_(item) for item in spec.inputs),
            outputs=tuple(output(item) for item in spec.outputs),
            asleep_a=self.maybe(part, "asleep_a", spec.asleep_a),
        )


def _chosen(vehicle: Vehicle, choose: Choose) -> Vehicle:
    choice = _Choice(choose)
    wires = tuple(choice.wire(wire) for wire in vehicle.wires)
    parts = {name: choice.part(part) for name, part in vehicle.parts.items()}
    return replace(vehicle, wires=wires, parts=MappingProxyType(parts))
