"""What is laid over a drawing in a condition: positions, volts at the pins, live wires and currents."""

from collections.abc import Mapping
from types import MappingProxyType

from loombench.base.outcome import Outcome
from loombench.circuit.aid import aided
from loombench.circuit.explain import explain
from loombench.circuit.fault import Fault
from loombench.circuit.lower import lower
from loombench.circuit.operate import run
from loombench.circuit.point import Settled
from loombench.circuit.readings import PinReading, readings
from loombench.draw.overlay import Overlay
from loombench.draw.shapes import PULLED
from loombench.vehicle.condition import Condition
from loombench.vehicle.model import Vehicle
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
    at = {_name(one.point): one for one in readings(made.value, settled) if one.point.layer == WIRE}
    state = settled.point.state
    amps = _amps(vehicle, settled)
    live = frozenset(wire.id for wire in vehicle.wires if _live(at, wire.a) or _live(at, wire.b))
    overlay = Overlay(
        title=str(condition),
        positions=_positions(state),
        volts=MappingProxyType({name: _text(one) for name, one in at.items()}),
        live=live,
        amps=MappingProxyType(amps),
        gone=frozenset(name.partition(":")[2] for name, value in state.items() if value in GONE and ":" in name),
    )
    return Outcome(overlay, (*made.problems, *found))


def _name(point: Point) -> str:
    return str(Point(point.part, point.pin, point.half, ring=point.ring))


def _text(reading: PinReading) -> str:
    """Volts to the hundredth; `?` where the point floats."""
    return "?" if reading.volts is None else f"{round(reading.volts, 2) + 0.0:.2f} V"


def _live(at: Mapping[str, PinReading], end: Point) -> bool:
    found = at.get(_name(end))
    return found is not None and found.high is not None and found.high > LIVE_V


def _amps(vehicle: Vehicle, settled: Settled) -> dict[str, float]:
    """The mean current of each wire from its first to its second end."""
    found = {
        wire.id: sum(phase.share * phase.point.current_a(wire.id) for phase in settled.all_phases)
        for wire in vehicle.wires
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
