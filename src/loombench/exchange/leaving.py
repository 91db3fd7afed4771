"""A vehicle as the harness that data files hold: what every writer starts from.

Files know holders and cavities where a vehicle knows points. Which spot stands for which point follows from the point
and its part alone:

    E7.1              E7       1     a device's plug; A2.X3/7 is cavity 7 of the plug A2-X3
    X12.3@chassis     X12@chassis 3  each half of a connector is a holder, and the two are mated
    F12.out in B1     B1       F12.out   what sits in a carrier is a slot of it
    G1.-              G1       minus     for files take a dash alone for "nothing said"
    F12.out alone     F12      out   a fuse or relay by itself: a box with one slot
    W1/a              W1/a     1     a ring, its stud and body said
    SP7, C4.shield    the same 1     a splice; a shield is one as well

A strap is a wire between two rings (type `strap`), and so is what a carrier's bar joins outside of it (type `bar`).
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType

from loombench.exchange.boxes import box_of, boxed, loose_box, printed
from loombench.exchange.colourtext import colour_text, system_for
from loombench.exchange.harness import (
    CONNECTOR,
    DEVICE,
    RING,
    SPLICE,
    End,
    Fitted,
    Harness,
    Holder,
    Mating,
    Spot,
    Wire,
)
from loombench.facts.conductor import awg_area_mm2
from loombench.vehicle import model
from loombench.vehicle.nets import nets
from loombench.vehicle.points import Point

STRAP, BAR = "strap", "bar"
GUARDED = ("pyro", "hv", "mains", "interlock", "safety")
"""Net classes told as the signal of a wire, since they bar steps. Others would only look like names of signals: a
vehicle has none, and two plugs that both have a wire of class ground have no signal in common."""
ONLY = "1"
"""The cavity of what has but one."""


@dataclass(frozen=True)
class Spots:
    """Where each point of a vehicle stands in its harness, and the way back."""

    vehicle: model.Vehicle

    def spot(self, point: Point) -> Spot:
        """The spot of a point, whatever its layer."""
        part = self.vehicle.parts.get(point.part)
        kind = part.kind if part else ""
        if kind == "connector":
            return Spot(f"{point.part}@{point.half}" if point.half else point.part, point.pin)
        if kind in ("splice", "stud", "body", "strap", "cable") or part is None:
            return Spot(str(Point(point.part, point.pin, ring=kind == "stud" and bool(point.pin))), ONLY)
        if part.holder in self.vehicle.parts:
            return Spot(part.holder, f"{part.id}.{printed(point.pin)}")
        plug, cavity = plug_and_cavity(part, point.pin)
        return Spot(f"{part.id}-{plug}" if plug else part.id, cavity)


def plug_and_cavity(part: model.Part, pin: str) -> tuple[str, str]:
    """The plug that a pin is in, empty where the part has but one, and what is printed beside the pin there."""
    plug, stroke, cavity = pin.partition("/")
    return (plug, printed(cavity)) if stroke and plug in part.plugs else ("", printed(pin))


def leave(vehicle: model.Vehicle) -> Harness:
    """The vehicle's harness; order is that of the vehicle's parts and wires."""
    spots, wired = Spots(vehicle), _wired(vehicle)
    holders: list[Holder] = []
    fitted: list[Fitted] = []
    extra: list[Wire] = []
    for part in vehicle.parts.values():
        if part.kind == "carrier":
            holder, inside, outside = box_of(vehicle, part)
            holders.append(holder)
            fitted.extend(inside)
            extra += [Wire(f"{part.id}:{one}={two}", _ends(spots, one, two), type=BAR, length_m=0.0)
                      for one, two in outside]  # fmt: skip
        elif part.holder in vehicle.parts:
            continue
        elif boxed(part):
            holder, one_fitted = loose_box(part)
            holders.append(holder)
            fitted.append(one_fitted)
        else:
            holders.extend(_holders(vehicle, part, wired.get(part.id, ())))
            extra.extend(_strap(part, spots) if part.kind == "strap" else ())
    return Harness(
        name=vehicle.name,
        format="loombench",
        holders=tuple(holders),
        wires=(*_wires(vehicle, spots), *extra),
        fitted=tuple(fitted),
        matings=tuple(_matings(vehicle)),
        voltage_v=vehicle.nominal_v,
    )


def _ends(spots: Spots, one: Point, two: Point) -> tuple[End, ...]:
    return (End(spots.spot(one)), End(spots.spot(two)))


def _holders(vehicle: model.Vehicle, part: model.Part, wired: tuple[Point, ...]) -> Iterator[Holder]:
    plain = Holder("", CONNECTOR, place=part.place, description=part.label, span=part.span)
    if part.kind == "connector":
        for half in dict.fromkeys((*part.halves, *(point.half for point in wired))) or ("",):
            name = f"{part.id}@{half}" if half else part.id
            yield replace(plain, id=name, cavities=part.pins, looms=(half,) if half else ())
    elif part.kind in ("splice", "cable"):
        if part.kind == "splice" or part.pins:
            name = part.id if part.kind == "splice" else f"{part.id}.shield"
            yield replace(plain, id=name, kind=SPLICE, cavities=(ONLY,))
    elif part.kind in ("stud", "body"):
        for point in dict.fromkeys(wired):
            body = part.body if part.kind == "stud" else part.id
            name = str(Point(part.id, point.pin, ring=bool(point.pin)))
            yield replace(plain, id=name, kind=RING, cavities=(ONLY,), stud=part.id, body=body)
    elif part.kind == "strap":
        for own, other in part.links:
            stud = vehicle.parts.get(other.part)
            body = stud.body if stud is not None and stud.kind == "stud" else other.part
            yield replace(plain, id=str(own), kind=RING, cavities=(ONLY,), stud=other.part, body=body)
    else:
        plugs: dict[str, list[str]] = {}
        for pin in part.pins:
            plug, cavity = plug_and_cavity(part, pin)
            plugs.setdefault(plug, []).append(cavity)
        for plug, cavities in plugs.items():
            name = f"{part.id}-{plug}" if plug else part.id
            yield replace(plain, id=name, kind=DEVICE, cavities=tuple(cavities))


def _wired(vehicle: model.Vehicle) -> Mapping[str, tuple[Point, ...]]:
    found: dict[str, list[Point]] = {}
    for point in vehicle.wires_at:
        found.setdefault(point.part, []).append(point)
    return MappingProxyType({name: tuple(points) for name, points in found.items()})


def _strap(part: model.Part, spots: Spots) -> Iterator[Wire]:
    params = part.elements[0].params if part.elements else part.params
    length, area, gauge = params.get("length_m"), params.get("area_mm2"), params.get("gauge_awg")
    area_mm2 = area.nominal if area is not None and area.known else None
    if area is None and gauge is not None and gauge.known:
        area_mm2 = awg_area_mm2(round(gauge.nominal))
    length_m = length.nominal if length is not None and length.known else None
    ends = tuple(End(spots.spot(own)) for own, _ in part.links)
    if len(ends) == 2:
        yield Wire(part.id, ends, area_mm2=area_mm2, length_m=length_m, type=STRAP, remark=part.label, span=part.span)


def _wires(vehicle: model.Vehicle, spots: Spots) -> Iterator[Wire]:
    all_nets, system = nets(vehicle), system_for(vehicle)
    cores: dict[str, int] = {}
    for wire in vehicle.wires:
        cable = vehicle.parts.get(wire.cable) if wire.cable else None
        if cable is not None:
            cores[cable.id] = cores.get(cable.id, 0) + 1
        strictest = all_nets.strictest(wire.a)
        yield Wire(
            wire.id,
            _ends(spots, wire.a, wire.b),
            number=wire.number,
            signal=strictest if strictest in GUARDED else "",
            colour=colour_text(wire.colour, system),
            area_mm2=wire.area_mm2.nominal if _known(wire, "size") else None,
            size_text=wire.size_text if _known(wire, "size") else "",
            length_m=wire.length_m.nominal if _known(wire, "length") else None,
            cable=cable.id if cable is not None else "",
            core=str(cores[cable.id]) if cable is not None else "",
            twist=cable.id if cable is not None and "twisted" in cable.words else "",
            loom=wire.loom,
            remark=wire.label,
            span=wire.span,
        )


def _known(wire: model.Wire, what: str) -> bool:
    """Whether the file says one number: neither assumed nor a range."""
    band = wire.area_mm2 if what == "size" else wire.length_m
    return what not in wire.assumed and band.known


def _matings(vehicle: model.Vehicle) -> Iterable[Mating]:
    wired = _wired(vehicle)
    for part in vehicle.parts.values():
        halves = tuple(dict.fromkeys((*part.halves, *(point.half for point in wired.get(part.id, ()) if point.half))))
        if part.kind == "connector" and len(halves) >= 2:
            first, *others = (f"{part.id}@{half}" for half in halves)
            yield from (Mating(first, other, tuple((pin, pin) for pin in part.pins), "vehicle") for other in others)
    for mating in vehicle.matings:
        socket, plug = vehicle.parts.get(mating.socket), vehicle.parts.get(mating.plug)
        if socket is not None and plug is not None:
            shared = tuple((pin, pin) for pin in socket.pins if pin in plug.pins)
            yield Mating(socket.id, plug.id, shared, "vehicle")
