"""What a meter shows: it is put on the circuit, all settles again with memory, and its own law gives the reading.

Where nothing moves then but what chatters anyway, it shows what is there in the state that stands for all of these.
Over a rhythm a voltmeter shows the mean; the least and greatest are kept for min-max hold and scope. A clamp that is
read while the circuit runs shows the largest current that stands on the way: before a breaker trips, in one part of a
rhythm. An ohmmeter on a
live circuit shows what comes of it, flagged `live`. A lamp is bright, dim or dark by its share of the nominal volts
(estimates); the caution that belongs to a meter is the planner's task, before it proposes one.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace
from math import inf
from types import MappingProxyType

from loombench.circuit.netlist import Netlist
from loombench.circuit.operate import Situation, operate
from loombench.circuit.point import OperatingPoint, Settled
from loombench.circuit.probe import Probe
from loombench.circuit.ready import Ready
from loombench.facts.meter import (
    buzzer_ohm,
    lamp_tester,
    led_tester_a,
    led_tester_v,
    low_impedance_ohm,
    ohmmeter_source_ohm,
    ohmmeter_v,
    voltmeter_ohm,
)
from loombench.vehicle.condition import CLAMPS, RUNNING, SCAN_TOOL, Setup
from loombench.vehicle.points import Point

OVER_RANGE_OHM = 5e7
"""An ohmmeter shows OL from here. From memory: 40 to 60 Mohm."""
BRIGHT_SHARE, DARK_SHARE = 0.75, 0.25
"""Shares of the nominal volts from which a test lamp is called bright, and below which dark. Estimates."""
_LIVE_V = 0.001
SCANNED = MappingProxyType({1.0: "on", 0.0: "off", -1.0: "no answer"})


@dataclass(frozen=True)
class MeterReading:
    """A reading. `value` is in `unit` (V, A or ohm; infinite for an ohmmeter's OL; none for a scan tool), None where
    there is no answer.

    `low` and `high` span the phases of a rhythm and, where a fuse may hold or open, both ends. `shows` is what it shows
    where that is no number: bright, dim, dark, lit, sounds, silent, OL, on, off, no answer. `flags`: floating (a lead
    has no path to the other), live (ohms on a live circuit), pulsing, moves (the meter changed a state), may-hold,
    unsolved, and the kinds of finding in lower case. `trace` are (seconds, value) of the phases.
    """

    value: float | None
    unit: str
    low: float | None
    high: float | None
    shows: str = ""
    flags: tuple[str, ...] = ()
    trace: tuple[tuple[float, float], ...] = ()

    @property
    def text(self) -> str:
        """As the display has it; `floating` beside the 0 of a lead that hangs in the air."""
        if self.value is None:
            return "?"
        if self.shows:
            return self.shows
        size = abs(self.value)
        if self.unit == "V" and size < 0.5:
            # Rounding first and adding zero leaves no "-0".
            number = f"{round(self.value * 1e3) + 0.0:.0f} mV"
        elif self.unit == "ohm" and size >= 1e3:
            number = f"{self.value / 1e6:.2f} Mohm" if size >= 1e6 else f"{self.value / 1e3:.2f} kohm"
        else:
            number = f"{self.value:.2f} {self.unit}"
        return f"{number} (floating)" if "floating" in self.flags else number


def read(netlist: Netlist | Ready | Situation, setup: Setup) -> MeterReading:
    """What the meter of a set-up shows, the condition done from rest; a `Situation` is taken as that condition done.

    Raises:
        KeyError: a point, a name or a meter that there is not; names are looked up before.
    """
    situation = netlist if isinstance(netlist, Situation) else operate(netlist, setup.condition)
    node_of = situation.ready.p.netlist.node_of
    red = node_of[setup.red]
    if setup.meter in CLAMPS:
        return _clamp(situation, red, setup.meter == RUNNING)
    if setup.meter == SCAN_TOOL:
        return _scanned(situation, setup.red)
    black = situation.ready.p.netlist.reference if setup.black is None else node_of[setup.black]
    probe, law = meter(setup, red, black, situation.ready.p.netlist.nominal_v)
    settled = situation.measured(probe)
    known = dict.fromkeys((*situation.settled.findings, *settled.findings))
    settled = replace(settled, findings=tuple(known))
    flags = _flags(situation, settled, red, black, setup)
    unit = "ohm" if setup.meter in {"ohmmeter", "buzzer"} else "V"
    return _over(settled, law, unit, flags, lambda value: _shows(setup.meter, value, situation))


def by_current(setup: Setup) -> Callable[[float], float] | None:
    """What a meter that is a resistance, or one with a source, shows by the ampere into its red lead; None for any
    other."""
    match setup.meter:
        case "voltmeter" | "millivoltmeter" | "min-max" | "scope" | "low-impedance":
            own = _own_ohm(setup)
            return lambda current_a: current_a * own
        case "ohmmeter" | "buzzer":
            source_v, source_ohm = ohmmeter_v(), ohmmeter_source_ohm()
            return lambda current_a: _ohms(source_v, source_ohm, -current_a)
    return None


def _own_ohm(setup: Setup) -> float:
    return low_impedance_ohm() if setup.meter == "low-impedance" else voltmeter_ohm()


def meter(setup: Setup, red: int, black: int, nominal_v: float) -> tuple[Probe, Callable[[OperatingPoint], float]]:
    """The meter as a probe between nodes, and what it makes of a point.

    Raises:
        KeyError: no such meter.
    """
    lead_ohm = setup.lead_ohm
    if (law := by_current(setup)) is not None:
        ohms = setup.meter in {"ohmmeter", "buzzer"}
        own_ohm, emf_v = (ohmmeter_source_ohm(), ohmmeter_v()) if ohms else (_own_ohm(setup), 0.0)
        return Probe(red, black, own_ohm + lead_ohm, emf_v=emf_v), lambda point: law(point.probe_a)
    match setup.meter:
        case "test-lamp":
            probe = Probe(red, black, lead_ohm, lamp=lamp_tester(nominal_v))
            return probe, lambda point: probe.lamp_v(_across(point, probe))
        case "led-tester":
            limit_ohm = (nominal_v - led_tester_v()) / led_tester_a()
            probe = Probe(red, black, limit_ohm + lead_ohm, threshold_v=led_tester_v())
            return probe, lambda point: _across(point, probe) - point.probe_a * lead_ohm
    raise KeyError(setup.meter)


def _across(point: OperatingPoint, probe: Probe) -> float:
    return point.across_v(probe.red, probe.black) or 0.0


def _ohms(source_v: float, source_ohm: float, given_a: float) -> float:
    """What an ohmmeter makes of the current it gives: OL as infinity, below zero where the circuit drives it."""
    if given_a == 0.0:
        return inf
    ohms = source_v / given_a - source_ohm
    return inf if abs(ohms) > OVER_RANGE_OHM else ohms


def _shows(meter_name: str, value: float, situation: Situation) -> str:
    nominal_v = situation.ready.p.netlist.nominal_v
    match meter_name:
        case "test-lamp":
            share = abs(value) / nominal_v
            return "bright" if share >= BRIGHT_SHARE else "dim" if share >= DARK_SHARE else "dark"
        case "led-tester":
            return "dark" if abs(value) <= led_tester_v() else "lit, red lead plus" if value > 0.0 else "lit, red minus"
        case "buzzer":
            return "sounds" if 0.0 <= value <= buzzer_ohm() else "silent"
        case "ohmmeter":
            return "OL" if value == inf else ""
    return ""


def _flags(situation: Situation, settled: Settled, red: int, black: int, setup: Setup) -> tuple[str, ...]:
    before = situation.settled.point
    apart = before.across_v(red, black)
    flags = ["floating"] if apart is None else []
    if setup.meter in {"ohmmeter", "buzzer"} and apart is not None and abs(apart) > _LIVE_V:
        flags.append("live")
    moved = any(before.state[name] != value for name, value in settled.point.state.items())
    return (*flags, *(["moves"] if moved and not settled.phases else []))


def _over(
    settled: Settled, law: Callable[[OperatingPoint], float], unit: str, flags: tuple[str, ...],
    shows: Callable[[float], str],
) -> MeterReading:  # fmt: skip
    found = tuple(type(finding).__name__.lower() for finding in settled.findings)
    trace = tuple((phase.seconds, law(phase.point)) for phase in settled.all_phases)
    value = sum(phase.share * seen for phase, (_, seen) in zip(settled.all_phases, trace, strict=True))
    others = [law(phase.point) for other in settled.alternatives for phase in other.all_phases]
    if any(seen != seen for _, seen in trace):  # noqa: PLR0124  (nan)
        return MeterReading(None, unit, None, None, "", (*flags, "unsolved"))
    everything = [seen for _, seen in trace] + others
    flags += ("pulsing",) if settled.phases and max(everything) - min(everything) > 0.0 else ()
    flags += ("may-hold",) if settled.alternatives else ()
    return MeterReading(
        value, unit, min(everything), max(everything), shows(value), tuple(dict.fromkeys((*flags, *found))), trace
    )


def _clamp(situation: Situation, node: int, running: bool) -> MeterReading:
    netlist = situation.ready.p.netlist
    wires = [(e.id, 1.0 if e.a == node else -1.0) for e in netlist.elements if "~" in e.id and node in {e.a, e.b}]

    def law(point: OperatingPoint) -> float:
        return sum(way * point.current_a(name) for name, way in wires)

    settled = situation.settled
    if running:
        points = [*(one.point for one in settled.stood), *(phase.point for phase in settled.all_phases)]
        most = max(points, key=lambda point: abs(law(point)))
        settled = replace(settled, point=most, phases=())
    return _over(settled, law, "A", (), lambda _: "")


def _scanned(situation: Situation, pin: Point) -> MeterReading:
    """What a module says of one of its inputs: 1 on, 0 off, -1 where it gives no answer."""
    wanted, module = f"input:{pin.part}.{pin.pin}", f"module:{pin.part}"

    def law(point: OperatingPoint) -> float:
        if wanted not in point.state or point.state.get(module) != "awake":
            return -1.0
        return 1.0 if point.state[wanted] == "on" else 0.0

    return _over(situation.settled, law, "", (), lambda value: SCANNED.get(value, ""))


def points_read(setup: Setup) -> tuple[Point, ...]:
    """The points a set-up touches."""
    return (setup.red,) if setup.black is None else (setup.red, setup.black)
