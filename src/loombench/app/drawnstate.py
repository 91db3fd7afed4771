"""What is laid over a drawing in a condition: positions, volts at the pins, live wires and currents."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from types import MappingProxyType

from loombench.base.outcome import Outcome
from loombench.circuit.aid import aided
from loombench.circuit.explain import explain
from loombench.circuit.fault import Fault
from loombench.circuit.lower import lower
from loombench.circuit.observe import LoadSight, seen
from loombench.circuit.operate import run
from loombench.circuit.point import Settled
from loombench.circuit.readings import PinReading, readings
from loombench.draw.overlay import Overlay, Work
from loombench.draw.shapes import PULLED
from loombench.vehicle.condition import Condition
from loombench.vehicle.model import Vehicle, Wire
from loombench.vehicle.points import WIRE, Point

LIVE_V = 1.0
"""A wire with more than this on it is drawn as live."""
LEAST_A = 1e-3
"""Less current than this gets no arrow."""
GONE = ("unplugged", "out")


def overlay_of(vehicle: Vehicle, condition: Condition, faults: tuple[Fault, ...] = ()) -> Outcome[Overlay]:
    """The overlay of a condition, with faults if any; and the problems of faults and of what happened on the way."""
    made = aided(lower, condition.aids)(vehicle, faults)
    settled = run(made.value, condition.plain)
    found = [explain(made.value, finding, vehicle) for finding in settled.findings]
    every = readings(made.value, settled)
    sights = seen(vehicle, made.value, settled).loads
    overlay = overlay_in(vehicle, settled, every, vehicle.wire_by_id, sights)
    return Outcome(replace(overlay, title=str(condition)), (*made.problems, *found))


def overlay_in(
    vehicle: Vehicle, settled: Settled, read: Iterable[PinReading], wires: Iterable[str], sights: Iterable[LoadSight]
) -> Overlay:
    """The overlay of a state, for some readings, wires and loads that were seen; without a title."""
    at = {wire_name(one.point): one for one in read if one.point.layer == WIRE}
    state = settled.point.state
    drawn = [vehicle.wire_by_id[name] for name in wires]
    return Overlay(
        positions=_positions(state),
        volts=MappingProxyType({name: volts_text(one.volts) for name, one in at.items()}),
        live=frozenset(wire.id for wire in drawn if _live(at, wire.a) or _live(at, wire.b)),
        amps=MappingProxyType(_amps(drawn, settled)),
        gone=frozenset(name.partition(":")[2] for name, value in state.items() if value in GONE and ":" in name),
        works=MappingProxyType(dict(_works(sights))),
    )


def _works(sights: Iterable[LoadSight]) -> Iterator[tuple[str, Work]]:
    """The loads that do something."""
    for one in sights:
        if one.light != "dead":
            yield one.id, Work(one.light == "full", one.way if one.kind == "motor" else 0)


def wire_name(point: Point) -> str:
    """The name a point is drawn by, whatever its layer."""
    return str(Point(point.part, point.pin, point.half, ring=point.ring))


def volts_text(volts: float | None) -> str:
    """Volts to the hundredth; `?` where the point floats."""
    return "?" if volts is None else f"{round(volts, 2) + 0.0:.2f} V"


def _live(at: Mapping[str, PinReading], end: Point) -> bool:
    found = at.get(wire_name(end))
    return found is not None and found.high is not None and found.high > LIVE_V


def _amps(wires: Iterable[Wire], settled: Settled) -> dict[str, float]:
    """The mean current of each wire from its first to its second end."""
    found = {
        wire.id: sum(phase.share * phase.point.current_a(wire.id) for phase in settled.all_phases) for wire in wires
    }
    return {name: value for name, value in found.items() if abs(value) >= LEAST_A}


def _positions(state: Mapping[str, str]) -> Mapping[str, str]:
    """The positions of controls by id, of relays and timers by their part's."""
    found = {name: value for name, value in state.items() if ":" not in name}
    for name, value in state.items():
        kind, _, part = name.partition(":")
        if (kind, value) in (("relay", PULLED), ("timer", "closed"), ("flasher", "closed")):
            found[part] = PULLED
    return MappingProxyType(found)
