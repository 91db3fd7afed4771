"""The example vehicles in every position of every control: the laws hold, and pins read what a person expects."""

from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest

from loombench.circuit import ready as ready_module
from loombench.circuit.bands import reading_bands
from loombench.circuit.finding import Chatter, FuseOpens, Unsolved
from loombench.circuit.laws import law_errors
from loombench.circuit.lower import lower
from loombench.circuit.meter import MeterReading, read
from loombench.circuit.network import Prepared
from loombench.circuit.newton import NoSolution, Solution, solve_network
from loombench.circuit.operate import operate, run
from loombench.circuit.readings import by_part, readings
from loombench.circuit.ready import Ready, ready_for
from loombench.circuit.settle import settle
from loombench.circuit.unknowns import unknowns
from loombench.text.load import load_file
from loombench.text.names import read_condition
from loombench.vehicle.condition import Condition, Operation, Setup
from loombench.vehicle.model import Vehicle
from loombench.vehicle.points import read_point

EXAMPLES = Path(__file__).parents[2] / "examples"
FILES = sorted(
    str(path.relative_to(EXAMPLES))
    for path in EXAMPLES.rglob("*.circuit")
    if "\nvehicle " in path.read_text(encoding="utf-8")
)
"""Without the files that vehicles of several files include."""


def vehicle(name: str) -> Vehicle:
    return load_file(EXAMPLES / name).value


def conditions(of: Vehicle) -> list[Condition]:
    """Each control in each position with the engine running, and all in their last."""
    run = Operation("set", "engine", "run")
    each = [
        Condition((run, Operation("set", control.id, position.name)))
        for control in of.controls.values()
        for position in control.positions
    ]
    last = (Operation("set", c.id, c.positions[-1].name) for c in of.controls.values())
    return [Condition(), *each, Condition((run, *last))]


def test_there_are_examples() -> None:
    assert len(FILES) > 5


@pytest.mark.parametrize("name", FILES)
def test_a_sound_vehicle_settles_within_the_laws(name: str) -> None:
    of = vehicle(name)
    ready = ready_for(lower(of).value)
    rest = settle(ready, {}, {})
    for condition in conditions(of):
        situation = operate(ready, condition, rest)
        wrong = [f for f in situation.settled.findings if isinstance(f, Chatter | FuseOpens | Unsolved)]
        assert wrong == [], str(condition)
        for phase in situation.settled.all_phases:
            assert law_errors(situation.ready.p.netlist, phase.point) == (), str(condition)


def reading(of: Vehicle, meter: str, red: str, condition: str) -> MeterReading:
    point = read_point(red)
    assert point is not None
    asked = read_condition(of, condition)
    assert asked.problems == ()
    return read(lower(of).value, Setup(asked.value, point, None, meter))


def test_the_work_lamp_of_the_telehandler() -> None:
    of = vehicle("telehandler-roof/vehicle.circuit")
    off, on = (reading(of, "voltmeter", "E7.1", text).value for text in ("", "S4=on"))
    assert off == pytest.approx(0.0, abs=0.01)
    assert on is not None
    assert 11.0 < on < 13.0
    unplugged = reading(of, "voltmeter", "E7.1", "S4=on, unplug E7").value
    assert unplugged is not None
    assert on < unplugged < 13.0
    pins = by_part(readings(lower(of).value, operate(lower(of).value, read_condition(of, "S4=on").value).settled))
    assert pins["E7"]["1"].volts == pytest.approx(on, abs=1e-4)
    assert pins["E7"]["1"].into_a == pytest.approx(55.0 / 12.0, rel=0.1)


def test_an_unknown_length_of_a_vehicle_is_a_band() -> None:
    of = vehicle("telehandler-roof/vehicle.circuit")
    setups = [
        Setup(read_condition(of, "S4=on").value, point, None)
        for text in ("E7.1", "G1.+")
        if (point := read_point(text))
    ]
    found = reading_bands(of, setups)
    assert [unknown.owner for unknown in unknowns(of)] == ["X12.3~SP2"]
    assert found.low[0] < found.nominal[0] < found.high[0]
    # 5.8 m of 1.5 mm2 at 12.1 to 13.3 mohm a metre (IEC 60228, classes 1 and 5) and about 9 A.
    assert found.high[0] - found.low[0] == pytest.approx(0.65, abs=0.1)
    assert found.high[1] - found.low[1] < 0.01
    assert [unknown.owner for unknown in found.depends[0]] == ["X12.3~SP2"]


def test_a_solution_stands_while_the_same_elements_conduct(monkeypatch: pytest.MonkeyPatch) -> None:
    """Solved again each time the answers are the same, and no two solves of one settling follow each other in vain."""
    asked: list[np.ndarray] = []

    def solved(p: Prepared, closed: np.ndarray, *rest: object) -> Solution | NoSolution:
        asked.append(closed)
        return solve_network(p, closed, *rest)  # type: ignore[arg-type]

    def anew(ready: Ready, values: np.ndarray, near: Solution | np.ndarray | None) -> Solution | NoSolution:
        guess = near.across_v if isinstance(near, Solution) else near
        return solve_network(ready.p, ready.p.closed(values), guess, ready.probe)

    netlist = lower(load_file(EXAMPLES / "library-van").value).value
    condition = Condition((Operation("set", "S1", "run"), Operation("set", "S56", "on")))
    monkeypatch.setattr(ready_module, "solve_network", solved)
    found = run(netlist, condition)
    again = sum(np.array_equal(one, other) for one, other in pairwise(asked))
    assert len(asked) > 3
    assert again <= len(condition.operations), "what is set by hand may switch nothing"
    monkeypatch.setattr(Ready, "solve", anew)
    expected = run(netlist, condition)
    assert found.point.state == expected.point.state
    assert len(found.phases) == len(expected.phases)
    for one, other in zip(found.all_phases, expected.all_phases, strict=True):
        assert one.point.inner_v == pytest.approx(other.point.inner_v, abs=1e-9)
