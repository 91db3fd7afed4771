"""The table of a plug's cavities: what wire is in each, where it goes, what it is for, what it should read."""

from collections.abc import Mapping
from dataclasses import dataclass, replace

from loombench.draw.cavities import cavities_of
from loombench.vehicle.graph import by_point, links, merged
from loombench.vehicle.model import Part, Vehicle, Wire
from loombench.vehicle.module import ModuleSpec
from loombench.vehicle.nets import Nets, nets
from loombench.vehicle.points import Point

KEPT_OFF = ("pyro", "hv", "mains")
"""Classes of nets at which nothing is measured: a plug with one of them shows no reading at all."""
CAREFUL = ("interlock", "safety")


@dataclass(frozen=True)
class PinRow:
    """One cavity. `wires` are those in it, `to` where the first one ends; `functions` are labels of what it serves;
    `net_class` is the strictest of its net; `expected` are readings by state, empty where nobody may measure."""

    cavity: str
    point: Point
    wires: tuple[Wire, ...]
    to: str
    functions: tuple[str, ...]
    net_class: str
    expected: tuple[str, ...] = ()


def pin_rows(
    vehicle: Vehicle,
    part: Part,
    plug: str = "",
    half: str = "",
    expected: Mapping[Point, tuple[str, ...]] | None = None,
) -> tuple[PinRow, ...]:
    """The cavities of a plug or half in their order. `expected` gives readings by point, one for each state asked."""
    classes = nets(vehicle)
    serves = _serves(vehicle)
    rows: list[PinRow] = []
    for cavity in cavities_of(part, plug):
        point = Point(part.id, f"{plug}/{cavity}" if plug else cavity, half)
        wires = vehicle.wires_at.get(point, ())
        strict = classes.strictest(point)
        shown = (expected or {}).get(point, ())
        to = str(_far(wires[0], point)) if wires else ""
        label = _own_label(part, point.pin)
        functions = (label,) if label else serves.get(_net(classes, point), ())
        rows.append(PinRow(cavity, point, wires, to, functions if wires or label else (), strict, shown))
    kept_off = any(row.net_class in KEPT_OFF for row in rows)
    return tuple(replace(row, expected=()) for row in rows) if kept_off else tuple(rows)


def _far(wire: Wire, point: Point) -> Point:
    return merged(wire.b if wire.a == point else wire.a)


def _net(classes: Nets, point: Point) -> int:
    return classes.net.get(merged(point), -1)


def _own_label(part: Part, pin: str) -> str:
    """What the part itself says of a pin: the label of a module's input or output, of a unit's element."""
    spec = part.module or ModuleSpec()
    labels = {supply.pin: supply.label for supply in spec.supplies}
    labels |= {read.pin: read.label for read in spec.inputs}
    labels |= {output.pin: output.label for output in spec.outputs}
    for inner in part.elements:
        labels.setdefault(inner.pins[0] if inner.pins else "", inner.label)
    return labels.get(pin, "")


def _serves(vehicle: Vehicle) -> Mapping[int, tuple[str, ...]]:
    """The labels of the loads, protections and controls at each net, at most three; ground nets have none."""
    classes = nets(vehicle)
    found: dict[int, dict[str, None]] = {}
    for point, around in by_point(links(vehicle)).items():
        number = _net(classes, point)
        if number < 0 or "ground" in classes.classes_of(point):
            continue
        for link in around:
            if link.kind in ("load", "output", "switch", "protection"):
                part = vehicle.parts.get(point.part)
                label = _label(part, link.via) if part is not None else ""
                if label:
                    found.setdefault(number, {})[label] = None
    return {number: tuple(labels)[:3] for number, labels in found.items()}


def _label(part: Part, via: str) -> str:
    """`E31 indicator`, `F12 boom work lamp`: the part with what it says of itself there."""
    element = via.partition(".")[2]
    inner = next((one.label for one in part.elements if one.name == element and one.label), "")
    return f"{part.id} {inner or part.label}".strip()
