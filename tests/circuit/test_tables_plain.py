"""Rows answered all at once, against the same rows answered one by one, in each state on the way of a condition."""

from pathlib import Path

import numpy as np
import pytest

from loombench.circuit.catalogue import single_faults
from loombench.circuit.loops import OneByOne
from loombench.circuit.lower import LoweringOf
from loombench.circuit.tables import across, spanning
from loombench.circuit.tables import plain as plain_module
from loombench.circuit.tables.across import currents_at, flat, solution_of
from loombench.circuit.tables.change import Change, change_of
from loombench.circuit.tables.plain import plain
from loombench.circuit.tables.rows import apart, entries
from loombench.circuit.tables.stop import Stop
from loombench.diagnose.hypothesis import hypotheses
from loombench.diagnose.tabled import TabledForecast
from loombench.text.load import load_file
from loombench.vehicle.condition import Condition, Operation
from tests.circuit.test_kernel import LOOPS
from tests.diagnose.vehicles import LAMP, RELAY, vehicle

EXAMPLES = Path(__file__).parents[2] / "examples"


def stops(text: str, *sets: tuple[str, str]) -> tuple[list[Stop], list[Change]]:
    """The states on the sound vehicle's way into a condition, and what each fault changes."""
    car = vehicle(text) if "\n" in text else load_file(EXAMPLES / text / "vehicle.circuit").value
    faults, lowering = hypotheses(car, single_faults(car)).faults, LoweringOf(car)
    tables = TabledForecast(car, faults, lowering).tables
    condition = Condition(tuple(Operation("set", name, position) for name, position in sets))
    trail = tables._of(condition).sound.trail
    assert trail is not None
    changes = [change_of(lowering.netlist, lowering.edit(fault).value) for fault in faults[1:]]
    return [step.stop for step in trail.steps], [one for one in changes if one is not None]


@pytest.mark.parametrize("loops", [None, LOOPS], ids=["reference", "loops"])
@pytest.mark.parametrize(
    ("text", "sets"),
    [(LAMP, (("S4", "on"),)), (RELAY, (("S7", "push"),)), ("telehandler-roof", (("S4", "on"),)), ("camper-van", ())],
)
def test_plain_rows_are_answered_as_they_are_singly(
    text: str, sets: tuple[tuple[str, str], ...], loops: OneByOne | None, monkeypatch: pytest.MonkeyPatch
) -> None:
    way, changes = stops(text, *sets)
    monkeypatch.setattr(plain_module, "compiled_from", lambda _: loops)
    monkeypatch.setattr(spanning, "compiled_from", lambda _: loops)
    share = []
    for stop in way:
        base, q = stop.base, stop.q
        found = plain(base, changes)
        some = [changes[k] for k in found.some.tolist()]
        singly, volts = entries(base, [(change, ()) for change in some], True)
        assert all(entry.sure for entry in singly)
        # Volts over a gap mean nothing, and a row answered singly leaves what it was there.
        cut = apart(base, singly, base.watched.a, base.watched.b)
        assert (found.apart == cut).all()
        assert np.where(cut, 0.0, found.volts - volts) == pytest.approx(0.0, abs=3e-8)
        count = len(q.a)
        current = currents_at(base.p, base, (), found.ports, q.place, found.volts[:, count:])
        other = currents_at(base.p, base, singly, flat(singly), q.place, volts[:, count:])
        gone = cut[:, count:]
        assert np.where(gone, 0.0, current - other) == pytest.approx(0.0, abs=1e-6)
        share.append(len(some) / len(changes))
    assert min(share) > 0.5, "most rows are plain, whether anything is lit or not"


def test_a_row_that_changes_two_elements_or_holds_something_is_not_plain() -> None:
    way, changes = stops("telehandler-roof", ("S4", "on"))
    more = [k for k, change in enumerate(changes) if len(change.elements) != 1 or change.held or change.ratings]
    assert more
    assert not set(more) & set(plain(way[-1].base, changes).some.tolist())


@pytest.mark.parametrize(
    ("text", "sets"), [(RELAY, (("S7", "push"),)), ("telehandler-roof", (("S4", "on"),)), ("camper-van", ())]
)
def test_a_whole_solution_by_loops_is_that_of_the_reference(
    text: str, sets: tuple[tuple[str, str], ...], monkeypatch: pytest.MonkeyPatch
) -> None:
    way, changes = stops(text, *sets)
    compared = 0
    for stop in way:
        found, _ = entries(stop.base, [(change, ()) for change in changes[::7]])
        for entry in (one for one in found if one.sure and one.whole is None):
            monkeypatch.setattr(across, "compiled_from", lambda _: LOOPS)
            here = solution_of(stop.base, entry)
            monkeypatch.setattr(across, "compiled_from", lambda _: None)
            there = solution_of(stop.base, entry)
            assert here.inner_v == pytest.approx(there.inner_v, abs=1e-9)
            assert here.across_v == pytest.approx(there.across_v, abs=1e-9)
            assert here.current_a == pytest.approx(there.current_a, rel=1e-6, abs=1e-6)
            assert (here.island == there.island).all()
            compared += entry.drawn is not None or entry.lifted is not None or entry.cut >= 0
    assert compared > 5
