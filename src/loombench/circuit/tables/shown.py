"""What a meter shows under many faults at once."""

from collections.abc import Sequence

import numpy as np

from loombench.circuit.elimination import IntArray
from loombench.circuit.loops import FloatArray
from loombench.circuit.netlist import Battery, Conductor
from loombench.circuit.probe import Probe
from loombench.circuit.tables.across import flat, volts_across
from loombench.circuit.tables.base import Base, Forced
from loombench.circuit.tables.change import Change, Changed
from loombench.circuit.tables.entry import Entry
from loombench.circuit.tables.port import Port
from loombench.circuit.tables.rows import apart, switched
from loombench.circuit.tables.stiff import STIFF_OHM
from loombench.circuit.tables.stop import NO_ANSWER, Stop, metered

Row = tuple[int, Change, Forced]


def volts_between(stop: Stop, rows: Sequence[Row], red: int, black: int) -> FloatArray:
    """[rows] volts without a meter; nan where a row has no answer or its network does not tie the two."""
    base, own = stop.base, stop.entries(rows)
    a, b = np.array([red]), np.array([black])
    volts = volts_across(base, own, flat(own), a, b)[:, 0]
    unsure = np.array([not entry.sure for entry in own], dtype=np.bool_)
    return np.where(unsure | apart(base, own, a, b)[:, 0], np.nan, volts)


def meter_currents(asked: Sequence[tuple[Stop, Sequence[Row]]], probe: Probe) -> list[FloatArray]:
    """For each state [rows] amperes into the red lead of a meter that is a resistance with a source; nan where a row
    has no answer, or where the meter would set anything going. What is told from one solution is worked out together.
    """
    results = [np.full(len(rows), np.nan) for _, rows in asked]
    of_base: dict[int, list[tuple[int, list[int]]]] = {}
    for number, (stop, rows) in enumerate(asked):
        own = stop.entries(rows)
        cut = apart(stop.base, own, np.array([probe.red]), np.array([probe.black]))[:, 0]
        some = [k for k, entry in enumerate(own) if entry.sure and not cut[k]]
        alone = [k for k, entry in enumerate(own) if entry.sure and cut[k] and not _asked_across(stop, entry, probe)]
        results[number][alone] = 0.0
        if some:
            of_base.setdefault(id(stop.base), []).append((number, some))
    port = Port(-1, probe.red, probe.black, Battery("meter", probe.red, probe.black, probe.emf_v, probe.ohm))
    for parts in of_base.values():
        states = [(asked[number][0], [asked[number][1][k] for k in some]) for number, some in parts]
        for (number, places), (stop, rows), seen in zip(parts, states, metered(states, port), strict=True):
            for k, usual, (entry, answer) in zip(places, stop.answers(rows), seen, strict=True):
                if not entry.sure or answer != usual or usual == NO_ANSWER:
                    continue
                if entry.whole is not None:
                    results[number][k] = entry.whole.probe_a
                elif entry.drawn is not None:
                    results[number][k] = entry.drawn.current_a[np.flatnonzero(entry.drawn.place < 0)[-1]]
    return results


def _asked_across(stop: Stop, entry: Entry, probe: Probe) -> bool:
    """Whether some agent looks at volts between the two islands that a meter joins."""
    q = stop.q
    label = _label(stop.base, entry)
    red, black, a, b = label[probe.red], label[probe.black], label[q.a], label[q.b]
    return bool((((a == red) & (b == black)) | ((a == black) & (b == red))).any())


def _label(base: Base, entry: Entry) -> IntArray:
    if entry.island is not None:
        return entry.island
    piece = base.piece(entry.cut) if entry.cut >= 0 else None
    return base.island if piece is None else 2 * base.island + piece


def holds_on(base: Base, change: Change, forced: Forced, probe: Probe) -> bool:
    """Whether the ends of a meter stay tied under a row at whatever it may take away."""
    if not forced and not any(_loosens(one) for one in change.elements):
        return True
    loose = [one.place for one in change.elements if one.place >= 0]
    return base.firm.ties(probe.red, probe.black, [*loose, *switched(base, forced)])


def _loosens(one: Changed) -> bool:
    return one.place >= 0 and (
        one.series_ohm > 0.0
        or not isinstance(one.element, Conductor)
        or one.element.resistance_ohm > STIFF_OHM
        or any(not gate.closed_in for gate in one.element.gates)
    )
