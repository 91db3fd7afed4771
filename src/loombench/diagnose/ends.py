"""What is seen and read of rows that end at the same course."""

from collections.abc import Mapping, Sequence

import numpy as np
import numpy.typing as npt

from loombench.circuit.meter import by_current, meter, read
from loombench.circuit.netlist import Netlist
from loombench.circuit.point import Phase
from loombench.circuit.probe import Probe
from loombench.circuit.tables.course import Course, End
from loombench.circuit.tables.shown import holds_on, meter_currents, volts_between
from loombench.circuit.tables.stop import Row, Stop
from loombench.circuit.tables.views import Looked, dark, views
from loombench.diagnose.forecast import Sights
from loombench.diagnose.modelled import PLAIN
from loombench.vehicle.condition import SCAN_TOOL, Setup

FloatArray = npt.NDArray[np.float64]
IntArray = npt.NDArray[np.intp]

LINEAR = (*PLAIN, "low-impedance", "ohmmeter", "buzzer")
"""Meters that are a resistance with a source."""


def see(where: Looked, known: Sights, course: Course, ends: Sequence[End]) -> Sights:
    """What is seen of rows that end at a course, row by row; `known` says of which loads, fuses and batteries."""
    at = [(end.row, end.change, end.held) for end in ends]
    settled = course.situation.settled
    found = views(where, ends[0].stops, settled.all_phases, at)
    turning = np.array([load.kind == "motor" for load in where.loads], dtype=np.bool_)
    share = np.where(turning & (found.way < 0.0), -found.share, found.share)
    blown, astray = np.zeros((len(ends), len(known.fuses))), np.zeros(share.shape)
    opens_s = np.zeros(blown.shape)
    places = {name: k for k, name in enumerate(known.fuses)}
    out = [places[name] for name in known.fuses if _is_out(settled.point.state, name)]
    cams = [(k, load.cam) for k, load in enumerate(where.loads) if load.cam is not None]
    for line, end in enumerate(ends):
        state = {**settled.point.state, **dict(end.held)} if end.held else settled.point.state
        blown[line, [places[name] for name in known.fuses if _is_out(state, name)] if end.held else out] = 1.0
        for name, seconds in end.opens_s().items():
            # The fuse of a test lead is none of the vehicle's.
            if (place := places.get(name.partition(":")[2])) is not None:
                opens_s[line, place] = seconds
        for k, cam in cams:
            astray[line, k] = dark(share[line, k]) and state.get(cam.variable) != cam.parked
    # What trips a breaker is followed by no table.
    stops_s = np.zeros(share.shape)
    return Sights(
        known.loads, share.astype(np.float32), known.fuses, blown, known.batteries, found.period_s, astray, stops_s,
        opens_s, found.draw_a,
    )  # fmt: skip


def may_be_shown(netlist: Netlist, setup: Setup) -> bool:
    """Whether tables can say what a meter shows: one that is a resistance with a source, at points that there are, or
    what a module says of a pin."""
    node_of = netlist.node_of
    if setup.meter == SCAN_TOOL:
        return setup.red in node_of
    return setup.meter in LINEAR and setup.red in node_of and setup.black is not None and setup.black in node_of


def shown(netlist: Netlist, setup: Setup, groups: Sequence[tuple[Course, Sequence[End]]]) -> list[FloatArray]:
    """[ends] of each course what is shown, the mean over the phases of a rhythm; nan where no table says so."""
    if setup.meter == SCAN_TOOL:
        return [_said(setup, course, ends) for course, ends in groups]
    totals = [np.zeros(len(ends)) for _, ends in groups]
    if not groups or setup.black is None:
        return [np.full(len(ends), np.nan) for _, ends in groups]
    law = by_current(setup)
    assert law is not None
    probe, _ = meter(setup, netlist.node_of[setup.red], netlist.node_of[setup.black], netlist.nominal_v)
    parts: list[tuple[int, Phase, FloatArray]] = []
    put_on: list[tuple[Stop, list[Row]]] = []
    into: list[tuple[FloatArray, IntArray]] = []
    for number, (course, ends) in enumerate(groups):
        rows = [(end.row, end.change, end.held) for end in ends]
        phases = course.situation.settled.all_phases
        for stop, phase in zip(ends[0].stops, phases, strict=True):
            plain = setup.meter in PLAIN and len(phases) == 1 and not stop.beside and _is_tied(stop.base.tied, probe)
            as_is = np.array(
                [plain and holds_on(stop.base, end.change, end.held, probe) for end in ends], dtype=np.bool_
            )  # fmt: skip
            value = np.full(len(ends), np.nan)
            if as_is.any():
                value[as_is] = volts_between(stop, [rows[k] for k in np.flatnonzero(as_is)], probe.red, probe.black)
            if not as_is.all():
                some = np.flatnonzero(~as_is)
                put_on.append((stop, [rows[k] for k in some]))
                into.append((value, some))
            parts.append((number, phase, value))
    for (value, some), current in zip(into, meter_currents(put_on, probe), strict=True):
        value[some] = [np.nan if np.isnan(one) else law(one) for one in current.tolist()]
    for number, phase, value in parts:
        totals[number] += phase.share * value
    return totals


def _said(setup: Setup, course: Course, ends: Sequence[End]) -> FloatArray:
    """[ends] what a module says of a pin: a matter of its state, which all have that ended alike and hold no more."""
    said = read(course.situation, setup).value
    return np.array([np.nan if end.held or said is None else said for end in ends])


def _is_tied(group: IntArray, probe: Probe) -> bool:
    return bool(group[probe.red] == group[probe.black])


def _is_out(state: Mapping[str, str], name: str) -> bool:
    return state.get(f"fuse:{name}") == "blown" or state.get(f"breaker:{name}") == "tripped"
