"""Hypotheses of faults of which the ohms are not known: cells that lie side by side and leave nothing out."""

import pytest

from loombench.circuit.fault import Fault
from loombench.diagnose.hypothesis import EDGES_OHM, hypotheses
from tests.diagnose.vehicles import LAMP, vehicle


@pytest.mark.parametrize(
    ("fault", "inside_ohm"),
    [
        (Fault("short", "E7.1", "ground"), (0.01, 1.0)),
        (Fault("resistance", "contact E7.1", "", 2.0), (0.15, 900.0)),
        (Fault("leak", "E7.1", "E7.2", 4700.0), (500.0, 20000.0)),
    ],
)
def test_ohms_are_cells_side_by_side(fault: Fault, inside_ohm: tuple[float, float]) -> None:
    known = hypotheses(vehicle(LAMP), [fault])
    members = [one for one in known.members if one.fault is not None]
    ends = [(known.faults[one.low][0].ohm, known.faults[one.high][0].ohm) for one in members]
    assert {one.group for one in members} == {members[0].group}
    assert sorted({ohm for pair in ends for ohm in pair}) == sorted(EDGES_OHM[fault.mode])
    for (_, high), (low, _), one, after in zip(ends, ends[1:], members, members[1:], strict=False):
        assert (one.end == after.start and one.low == after.low) or (
            one.end == 1.0 and after.start == 0.0 and high == low
        )
    assert ends[0][0] <= inside_ohm[0] < inside_ohm[1] <= ends[-1][1]
