"""The effects of single faults: what is said of each is what the circuit with that fault in it does, solved anew."""

import csv
import io
import json
import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from loombench.app.effects import (
    EffectsPlan,
    EffectsTable,
    FaultEffects,
    StateEffects,
    effects_plan,
    effects_table,
    read_shard,
    shard_name,
    shard_text,
    worked_out,
)
from loombench.app.effectspage import effects_csv, effects_lines, effects_page, states_of
from loombench.app.effectswords import COLUMNS
from loombench.app.practice import PracticeVehicle
from loombench.app.vehicles import open_vehicle
from loombench.check.ampacity import ampacity_a
from loombench.circuit.lower import lower
from loombench.circuit.observe import observe
from loombench.circuit.operate import run
from loombench.circuit.predict import predict
from loombench.diagnose.signatures import classes, looks_to, signatures
from loombench.vehicle.condition import Condition, Setup
from loombench.vehicle.trace import loads
from tests.diagnose.vehicles import LAMP


@pytest.fixture(scope="module")
def plan(tmp_path_factory: pytest.TempPathFactory) -> EffectsPlan:
    path = tmp_path_factory.mktemp("rig") / "rig.circuit"
    path.write_text(LAMP, encoding="utf-8")
    opened = open_vehicle(str(path))
    return effects_plan(opened, states_of(opened.vehicle, ("S4=on", "at rest")).value)


@pytest.fixture(scope="module")
def done(plan: EffectsPlan) -> tuple[StateEffects, ...]:
    return worked_out(plan).value


@pytest.fixture(scope="module")
def table(plan: EffectsPlan, done: tuple[StateEffects, ...]) -> EffectsTable:
    return effects_table(plan, done)


def named(table: EffectsTable, fault: str) -> FaultEffects:
    (one,) = (one for one in table.faults if str(one.fault) == fault)
    return one


def test_every_single_fault_is_there_once(plan: EffectsPlan, table: EffectsTable) -> None:
    assert [one.fault for one in table.faults] == list(plan.faults)
    assert table.states == ("S4=on", "at rest")
    assert table.left == 0


def test_looks_are_those_of_a_practice_vehicle_with_the_fault(plan: EffectsPlan, table: EffectsTable) -> None:
    compared = 0
    for one in table.faults[::5]:
        practice = PracticeVehicle(plan.vehicle, one.fault)
        by_state = {state: {look.load: look.word for look in shows.looks} for state, shows, _ in one.states}
        for condition in plan.states:
            for load in ("E7", "E8"):
                sound = "works" if condition.operations else "dead"
                assert by_state.get(str(condition), {}).get(load, sound) == practice.look(load, condition), str(
                    one.fault
                )
                compared += 1
    assert compared > 60


def test_readings_are_those_of_the_circuit_with_the_fault(plan: EffectsPlan, table: EffectsTable) -> None:
    ends = {link.via: (link.a, link.b) for link in loads(plan.vehicle)}
    state = plan.states[0]
    shown = [(one.fault, look) for one in table.faults for text, shows, _ in one.states for look in shows.looks
             if text == str(state) and look.low_v is not None][::4]  # fmt: skip
    found = predict(plan.vehicle, [Setup(state, *ends[load]) for load in ends], [(fault,) for fault, _ in shown], lower)
    assert len(shown) > 10
    for row, (fault, look) in enumerate(shown):
        value = found.values[row, list(ends).index(look.load)]
        assert look.low_v is not None
        assert look.high_v is not None
        assert look.low_v - 2e-3 <= value <= look.high_v + 2e-3, str(fault)


def test_fuses_that_open_are_those_seen_open(plan: EffectsPlan, table: EffectsTable) -> None:
    state = plan.states[0]
    some = table.faults[::5]
    seen = observe(plan.vehicle, state, [(one.fault,) for one in some], lower)
    for one, other in zip(some, seen, strict=True):
        opens = [fuse for text, shows, _ in one.states if text == str(state) for fuse, _ in shows.opens]
        assert set(other.blown) <= set(opens), str(one.fault)
    short = named(table, "short F12.out to ground")
    assert [(fuse, 0.0 < s < 10.0) for _, shows, _ in short.states[:1] for fuse, s in shows.opens] == [("F12", True)]


def test_a_wire_too_hot_carries_more_than_its_table_says(plan: EffectsPlan, table: EffectsTable) -> None:
    hot = [(one.fault, text, wires) for one in table.faults for text, _, wires in one.states if wires]
    assert "short F12.in to ground" in {str(fault) for fault, _, _ in hot}
    by_text = {str(state): state for state in plan.states}
    for fault, text, wires in hot:
        settled = run(lower(plan.vehicle, (fault,)).value, by_text[text])
        for wire in wires:
            assert abs(settled.point.current_a(wire.wire)) == pytest.approx(wire.current_a, abs=0.06)
            area_mm2 = plan.vehicle.wire_by_id[wire.wire].area_mm2.nominal
            assert wire.current_a > ampacity_a(area_mm2) == pytest.approx(wire.rated_a, abs=0.06)
    # Behind its fuse no wire stays hot.
    assert not any(wires for _, _, wires in named(table, "short F12.out to ground").states)


def test_faults_of_one_class_show_alike_and_others_do_not(table: EffectsTable) -> None:
    def seen(one: FaultEffects) -> frozenset[tuple[str, str, str]]:
        return frozenset((text, look.load, look.word) for text, shows, _ in one.states for look in shows.looks)

    by_group: dict[int, list[FaultEffects]] = {}
    for one in table.faults:
        by_group.setdefault(one.group, []).append(one)
    assert sorted(by_group) == list(range(1, len(by_group) + 1))
    assert len(by_group) > 5
    for members in by_group.values():
        assert {one.alike for one in members} == {len(members)}
        assert len({seen(one) for one in members}) == 1
        assert len({one.steps for one in members}) == 1
    assert named(table, "open E7.2~W3/a").group != named(table, "open E7").group or named(table, "open E7").alike > 1
    assert named(table, "open SP2~E7.1").group != named(table, "open SP2~E8.1").group


def test_signatures_classes_and_looks_by_hand() -> None:
    found = signatures([("a", 1), ("a", 2), ("b", 1), ("a", 1)])
    assert found.tolist() == [[0, 0], [0, 1], [1, 0], [0, 0]]
    assert classes(found).tolist() == [0, 1, 2, 0]
    # Both looks tell alike; the first parts the third off, the other two kinds need the second too.
    assert looks_to(found).tolist() == [2, 2, 1, 2]
    assert looks_to(np.zeros((3, 2), dtype=np.intp)).tolist() == [0, 0, 0]


def test_shards_are_taken_up_again_and_only_their_own(plan: EffectsPlan, table: EffectsTable, tmp_path: Path) -> None:
    folder = tmp_path / "shards"
    told: list[str] = []
    first = worked_out(plan, folder, lambda *at: told.append(at[2]), lambda: len(told) == 2).value
    # The second was under way when it was stopped.
    assert told == ["S4=on", "at rest"]
    assert [one.condition for one in first] == ["S4=on"]
    assert effects_table(plan, first).left == 1
    path = folder / shard_name(plan.states[0])
    # What is taken from the disk is what is there, so that it was not worked out again.
    marked = json.loads(path.read_text(encoding="utf-8"))
    marked["hot"] = [[0, [{"wire": "mark", "current_a": 2.0, "rated_a": 1.0}]]]
    kept = path.read_text(encoding="utf-8")
    path.write_text(json.dumps(marked), encoding="utf-8")
    again = worked_out(plan, folder).value
    assert again[0].hot[0][1][0].wire == "mark"
    path.write_text(kept, encoding="utf-8")
    assert effects_table(plan, worked_out(plan, folder).value) == table
    other = replace(plan, digest="0")
    assert read_shard(path, other, plan.states[0]) is None
    for broken in ("", "[]", "{}", kept[:100], kept.replace('"looks"', '"look"')):
        path.write_text(broken, encoding="utf-8")
        assert read_shard(path, plan, plan.states[0]) is None


def test_a_shard_reads_back_as_it_was(
    plan: EffectsPlan, done: tuple[StateEffects, ...], tmp_path: Path
) -> None:  # fmt: skip
    one = done[0]
    assert any(math.isinf(s) for _, shows in one.shown for _, s in shows.opens)
    path = tmp_path / "one.json"
    path.write_text(shard_text(one, plan), encoding="utf-8")
    assert read_shard(path, plan, plan.states[0]) == one


def test_a_folder_that_cannot_be_written_is_said(plan: EffectsPlan, tmp_path: Path) -> None:
    (tmp_path / "file").write_text("", encoding="utf-8")
    done = worked_out(plan, tmp_path / "file" / "inside")
    assert [one.code for one in done.problems] == ["paper-unwritten"]
    assert len(done.value) == 1


def test_the_csv_has_a_row_for_each_fault_and_state(plan: EffectsPlan, table: EffectsTable) -> None:
    rows = list(csv.reader(io.StringIO(effects_csv(plan.vehicle, table))))
    assert len(rows) - 1 == sum(max(len(one.states), 1) for one in table.faults)
    assert {row[COLUMNS.index("fault-id")].strip() for row in rows[1:]} == {str(one.fault) for one in table.faults}
    lines = effects_lines(plan.vehicle, table)
    assert sum("[" in line for line in lines) == len(rows) - 1


def test_the_page_holds_every_row_and_says_what_is_left(plan: EffectsPlan, table: EffectsTable) -> None:
    page = effects_page(plan.vehicle, table)
    assert page.count("<tr>") == 1 + sum(max(len(one.states), 1) for one in table.faults)
    assert "not worked out" not in page
    assert "1 states were not worked out" in effects_page(plan.vehicle, replace(table, left=1))


def test_states_are_read_and_what_is_none_is_said(plan: EffectsPlan) -> None:
    read = states_of(plan.vehicle, ("at rest", "S4=on"))
    assert read.value[0] == Condition()
    assert not states_of(plan.vehicle, ("S99=on",)).usable
