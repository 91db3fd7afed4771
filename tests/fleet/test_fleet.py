"""Made-up vehicles are sound drawings: right count, nothing to complain about, and every load works in some state."""

from pathlib import Path

import pytest

from benchmarks.fleet import made, write
from loombench.check.run import check
from loombench.circuit.lower import lower
from loombench.circuit.observe import DEAD_SHARE, seen
from loombench.circuit.operate import operate
from loombench.circuit.ready import ready_for
from loombench.text.load import load_file
from loombench.vehicle.condition import Condition, Operation
from loombench.vehicle.model import Vehicle
from loombench.vehicle.trace import ACTING

KINDS = frozenset({
    "alternator", "battery", "body", "bus-node", "cable", "carrier", "connector", "converter", "flasher", "fuse",
    "fuselink", "horn", "lamp", "led", "module", "motor", "relay", "socket", "splice", "strap", "stud", "switch",
    "terminator", "unit",
})  # fmt: skip
BASE = (("S91", "run"), ("S92", "dip"))


def loaded(wires: int, seed: int, folder: Path) -> Vehicle:
    found = load_file(write(wires, seed, folder))
    assert found.problems == ()
    return found.value


def conditions(vehicle: Vehicle) -> list[Condition]:
    """Key and light switch on and lock-outs released, then each position of each control by itself."""
    base = {name: value for name, value in BASE if name in vehicle.controls}
    base |= {one.id: "released" for one in vehicle.controls.values() if one.position("released")}
    return [
        Condition(tuple(Operation("set", name, value) for name, value in {**base, control.id: position.name}.items()))
        for control in vehicle.controls.values()
        for position in control.positions
        if not control.follows
    ]


@pytest.mark.parametrize(("wires", "seed"), [(60, 1), (60, 2), (61, 3), (64, 4), (200, 1)])
def test_a_vehicle_has_nothing_wrong(wires: int, seed: int, tmp_path: Path) -> None:
    vehicle = loaded(wires, seed, tmp_path)
    assert len(vehicle.wires) == wires
    # The leads from the battery to the main fuses and the starter, as on any vehicle.
    assert {problem.code for problem in check(vehicle)} == {"wire-unprotected"}


@pytest.mark.parametrize(("wires", "seed"), [(60, 1), (60, 5), (200, 2)])
def test_every_load_works_in_some_state(wires: int, seed: int, tmp_path: Path) -> None:
    vehicle = loaded(wires, seed, tmp_path)
    lowered = lower(vehicle).value
    ready = ready_for(lowered)
    best: dict[str, float] = {}
    for condition in conditions(vehicle):
        settled = operate(ready, condition).settled
        assert not settled.findings, condition
        for load in seen(vehicle, lowered, settled).loads:
            best[load.id] = max(best.get(load.id, 0.0), load.share)
    assert {name.partition(".")[0] for name in best} == {
        part.id for part in vehicle.parts.values() if any(inner.kind in ACTING for inner in part.elements)
    }
    assert {name: share for name, share in best.items() if share < DEAD_SHARE} == {}


def test_two_hundred_wires_show_most_of_what_a_vehicle_has(tmp_path: Path) -> None:
    vehicle = loaded(200, 1, tmp_path)
    assert {part.kind for part in vehicle.parts.values()} >= KINDS - {"converter"}
    assert any(part.module and part.module.rules for part in vehicle.parts.values())


def test_the_seed_alone_decides() -> None:
    assert made(200, 1) == made(200, 1)
    assert made(200, 1) != made(200, 2)


def test_a_thousand_wires_are_a_thousand(tmp_path: Path) -> None:
    vehicle = loaded(1000, 1, tmp_path)
    assert len(vehicle.wires) == 1000
    assert any(part.kind == "converter" for part in vehicle.parts.values())


@pytest.mark.parametrize("wires", [59, 7001])
def test_sizes_that_cannot_be_drawn_are_refused(wires: int) -> None:
    with pytest.raises(ValueError, match=str(wires)):
        made(wires)
