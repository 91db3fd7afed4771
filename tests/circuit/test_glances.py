"""Modules that are glanced at, against each looked at anew."""

import random
from dataclasses import replace
from pathlib import Path
from types import MappingProxyType

import pytest

from loombench.circuit import glances as glances_module
from loombench.circuit.glances import Glances
from loombench.circuit.lower import lower
from loombench.circuit.moduleview import ModuleView, Volts, view
from loombench.circuit.newton import Solution
from loombench.circuit.operate import operate
from loombench.circuit.ready import ready_for
from loombench.circuit.working import Working
from loombench.text.load import load_file
from loombench.vehicle.condition import Condition, Operation
from tests.circuit.vehicles import EXAMPLES

VEHICLES = sorted(str(path.relative_to(EXAMPLES)) for path in EXAMPLES.glob("*/vehicle.circuit"))


def turned(path: Path, seed: int) -> tuple[Condition, ...]:
    """Conditions of a vehicle, each with one control after the other turned."""
    vehicle = load_file(path).value
    draw = random.Random(seed)
    controls = sorted(vehicle.controls.values(), key=lambda one: one.id)
    found = []
    for _ in range(6):
        some = draw.sample(controls, min(5, len(controls)))
        found.append(Condition(tuple(Operation("set", one.id, draw.choice(one.positions).name) for one in some)))
    return tuple(found)


@pytest.mark.parametrize("name", VEHICLES)
def test_a_glance_sees_what_a_look_sees(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    ready = ready_for(lower(load_file(EXAMPLES / name).value).value)
    looked, glanced = list[int](), list[int]()
    usual = Glances.views

    def compared(self: Glances, volts: Volts, at: Solution, w: Working) -> list[ModuleView]:
        twin = w.copy()
        expected = [view(module, volts, at, twin) for module in self.modules]
        found = usual(self, volts, at, w)
        assert found == expected
        assert (w.clocks, w.phase, w.blocked) == (twin.clocks, twin.phase, twin.blocked)
        looked.append(len(found))
        return found

    def counted(module: object, volts: Volts, at: Solution, w: Working) -> ModuleView:
        glanced.append(1)
        return view(module, volts, at, w)  # type: ignore[arg-type]

    monkeypatch.setattr(Glances, "views", compared)
    monkeypatch.setattr(glances_module, "view", counted)
    conditions = turned(EXAMPLES / name, 1)
    for condition in conditions:
        operate(ready, condition)
    for variable in [name for module in ready.agents.modules for name in module.input_variables][:3]:
        for level in ("on", "off"):
            netlist = replace(ready.p.netlist, frozen=MappingProxyType({**ready.p.netlist.frozen, variable: level}))
            operate(replace(ready, p=replace(ready.p, netlist=netlist)), conditions[0])
    if ready.agents.modules:
        assert len(glanced) < sum(looked)


def test_no_more_views_are_kept_than_may_be(monkeypatch: pytest.MonkeyPatch) -> None:
    path = EXAMPLES / "touring-coach/vehicle.circuit"
    ready = ready_for(lower(load_file(path).value).value)
    monkeypatch.setattr(glances_module, "MOST", 2)
    for condition in turned(path, 2):
        operate(ready, condition)
    kept = [len(one.views) for one in ready.agents.glances._kept]
    assert max(kept) == 2
