"""A netlist made ready from what is known of one like it, against the same made ready from nothing."""

from pathlib import Path

import numpy as np
import pytest

from loombench.circuit.catalogue import single_faults
from loombench.circuit.lower import LoweringOf
from loombench.circuit.network import Prepared, prepare
from loombench.diagnose.hypothesis import hypotheses
from loombench.text.load import load_file

EXAMPLES = Path(__file__).parents[2] / "examples"
ARRAYS = ("a", "b", "slope_s", "source_a", "rest", "gate_element", "gate_variable", "gate_closed", "ties")


def same(one: Prepared, other: Prepared) -> list[str]:
    """What differs."""
    odd = [name for name in ARRAYS if not np.array_equal(getattr(one, name), getattr(other, name))]
    odd += [name for name in ("index", "variable", "states", "draws") if getattr(one, name) != getattr(other, name)]
    laws, others = vars(one.devices), vars(other.devices)
    odd += [name for name in laws if not np.array_equal(laws[name], others[name])]
    return odd


@pytest.mark.parametrize("name", ["telehandler-roof", "camper-van", "touring-coach"])
def test_every_kind_of_fault_is_made_ready_alike(name: str) -> None:
    car = load_file(EXAMPLES / name / "vehicle.circuit").value
    lowering = LoweringOf(car)
    sound = prepare(lowering.netlist)
    chosen = {}
    for row in hypotheses(car, single_faults(car)).faults[1:]:
        for fault in row:
            kind = next((part.kind for part in car.parts.values() if fault.target.startswith(part.id)), "")
            chosen.setdefault((fault.mode, kind), row)
    assert len(chosen) > 30
    for row in chosen.values():
        lowered = lowering(car, row)
        if lowered.usable:
            assert same(prepare(lowered.value, sound), prepare(lowered.value)) == [], str(row)


def test_the_judge_sees_a_difference() -> None:
    car = load_file(EXAMPLES / "telehandler-roof" / "vehicle.circuit").value
    lowering = LoweringOf(car)
    row = next(row for row in hypotheses(car, single_faults(car)).faults[1:] if row[0].mode == "resistance")
    assert "slope_s" in same(prepare(lowering(car, row).value), prepare(lowering.netlist))
