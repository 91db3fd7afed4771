"""Where networks factored anew begin."""

import numpy as np
import pytest

from loombench.circuit.netlist import Conductor
from loombench.circuit.tables import anew
from loombench.circuit.tables.anew import refactored
from loombench.circuit.tables.begun import KEPT, Begun
from loombench.circuit.tables.port import Port
from tests.circuit.test_tables_respond import switched_on


def test_a_like_network_begins_where_the_last_one_stood_and_ends_where_it_would() -> None:
    base = switched_on("recovery-truck")
    p = base.p
    fed = int(np.argmax(base.inner_v))
    steps = []

    def counted(*asked: object) -> object:
        at = solve(*asked)
        steps.append(at.steps)
        return at

    solve = anew.solve_network
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(anew, "solve_network", counted)
        first, second = (
            refactored(base, [Port(-1, fed, p.netlist.reference, Conductor("R", fed, p.netlist.reference, ohm))])
            for ohm in (0.02, 0.0202)
        )
        alone = refactored(
            switched_on("recovery-truck"),
            [Port(-1, fed, p.netlist.reference, Conductor("R", fed, p.netlist.reference, 0.0202))],
        )
    assert first is not None
    assert second is not None
    assert alone is not None
    assert steps[1] < steps[2], "it has less far to go"
    assert second.moved_v == pytest.approx(alone.moved_v, abs=1e-6)


def test_only_so_many_are_kept() -> None:
    begun, none = Begun(), np.zeros(3)
    for k in range(KEPT + 1):
        begun.note(((k, 0, 1),), np.array([float(k)]))
    index = np.array([1])
    assert begun.guess(((0, 0, 1),), none, index) is none
    assert begun.guess(((KEPT, 0, 1),), none, index).tolist() == [0.0, float(KEPT), 0.0]
