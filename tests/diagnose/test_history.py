"""What happened before moves weights and excludes nothing; what it is about is looked for at the place named."""

from pathlib import Path

import numpy as np
import pytest

from loombench.app.case import bench_for
from loombench.app.complaints import understand
from loombench.app.finding import complain, next_step, open_case, replay, see, undo, verdict
from loombench.app.practice import PRACTICE_TIME as TIME
from loombench.app.search import start
from loombench.circuit.catalogue import single_faults
from loombench.circuit.fault import read_fault
from loombench.diagnose.belief import contradicted, strikes
from loombench.diagnose.bench import Bench
from loombench.diagnose.history import at, history_weights
from loombench.diagnose.hypothesis import SOUND, UNEXPLAINED
from loombench.diagnose.observation import Told
from loombench.evidence.complaint import HISTORIES, Complaint, History
from loombench.facts.history import history_factors
from loombench.record.memory import MemoryStore
from loombench.vehicle.condition import Condition, Operation
from tests.diagnose.vehicles import LAMP, vehicle

CAR = vehicle(LAMP)
ON = Condition((Operation("set", "S4", "on"),))


@pytest.fixture(scope="module")
def bench() -> Bench:
    return bench_for(CAR)


@pytest.mark.parametrize(
    ("fault", "where", "there"),
    [
        ("open contact X12.1@boom", "X12", True),
        ("open contact X12.1@boom", "head", True),
        ("open contact X12.1@boom", "boom", True),
        ("open contact X12.1@chassis", "boom", False),
        ("open contact S4.1", "X12", False),
        ("open contact E7.1", "X12", False),
        ("open S4.2~X12.1", "X12", True),
        ("open S4.2~X12.1", "chassis", True),
        ("open S4.2~X12.1", "boom", False),
        ("open E7", "head", True),
        ("open E7", "E7", True),
        ("blown F12", "box", True),
        ("blown F12", "head", False),
        ("short X12.1@chassis to ground", "X12", True),
        ("short S4.1 to ground", "head", False),
        ("open W9", "head", True),
    ],
)
def test_where_a_fault_is(fault: str, where: str, there: bool) -> None:
    found = read_fault(fault)
    assert found is not None
    assert at(CAR, found, where) is there


@pytest.mark.parametrize("word", HISTORIES)
def test_no_weight_becomes_zero_and_some_rise(bench: Bench, word: str) -> None:
    weights = history_weights(bench, Told(word, "head"))
    assert (weights > 0.0).all()
    assert weights.max() > 1.0
    names = bench.hypotheses.groups
    assert weights[bench.hypotheses.group == names.index(SOUND)] == 1.0
    assert weights[bench.hypotheses.group == names.index(UNEXPLAINED)] == 1.0


def test_every_word_has_factors_and_every_factor_a_word() -> None:
    assert set(history_factors()) == set(HISTORIES)


def test_rain_is_where_it_is_wet_and_a_repair_where_it_was_done(bench: Bench) -> None:
    def of(told: Told, text: str) -> float:
        weights = history_weights(bench, told)
        names = [str(one.fault) if one.fault is not None else "" for one in bench.hypotheses.members]
        return float(weights[names.index(text)])

    rain, repair, nowhere = Told("rain"), Told("repair", "X12"), Told("repair")
    assert of(rain, "open contact X12.1@chassis") == 4.0
    assert of(rain, "open contact S4.1") == 1.0
    assert of(Told("rain", "dash"), "open contact S4.1") == 4.0
    assert of(Told("rain", "dash"), "open contact X12.1@chassis") == 1.0
    assert of(repair, "open contact X12.1@chassis") == 3.0
    assert of(repair, "open contact E7.1") == 1.0
    assert of(nowhere, "open contact X12.1@chassis") == 1.0
    assert of(Told("moved"), "open E7") == 0.2


def test_what_was_told_raises_its_suspects_and_speaks_against_nobody(bench: Bench) -> None:
    first = Complaint("E7", "dead", ON, "E7 dead when S4=on")
    plain = open_case(CAR, "0" * 64, first, MemoryStore(), "1", TIME, bench=bench)
    wet = complain(plain, History("crushed", "head", "head crushed"), TIME)
    names = plain.belief.hypotheses.groups
    before, after = plain.belief.group_share, wet.belief.group_share
    assert after[names.index("contact E7.1")] > before[names.index("contact E7.1")]
    assert after[names.index("E7")] > 0.0
    assert not contradicted(wet.belief)[-1].any()
    np.testing.assert_array_equal(strikes(wet.belief), strikes(plain.belief))
    again = replay(CAR, wet.events, wet.store, bench=bench)
    np.testing.assert_array_equal(again.belief.share, wet.belief.share)


def test_all_at_a_place_raises_what_it_shares() -> None:
    told = understand(CAR, "everything through X12 dead").value
    assert [(one.target, one.symptom) for one in told if isinstance(one, Complaint)] == [("E7", "dead"), ("E8", "dead")]
    assert [(one.word, one.where) for one in told if isinstance(one, History)] == [("together", "X12")]


def test_a_crushed_place_puts_in_doubt_what_is_there_and_each_is_looked_at(tmp_path: Path) -> None:
    file = tmp_path / "car.circuit"
    file.write_text(LAMP, encoding="utf-8")
    begun = start(str(file), "X12 crushed", tmp_path, "1", TIME)
    assert begun.value is not None
    case = begun.value.case
    assert [one.symptom for one in case.course.complaints] == ["in-doubt", "in-doubt"]
    card = next_step(case)
    assert card is not None
    assert (card.kind, card.id) == ("verify", "see E7 when S4=on")
    case = see(case, "E7", case.complaint.condition, "works", TIME)
    card = next_step(case)
    assert card is not None
    assert (card.kind, card.id) == ("verify", "see E8 when S4=on")
    fine = see(case, "E8", ON, "works", TIME)
    assert verdict(fine).state == "not-reproduced"
    broken = see(undo(fine, TIME), "E8", ON, "dead", TIME)
    assert verdict(broken).state == "searching"
    assert broken.load == "E8"


def test_the_faults_of_the_place_are_all_kept(bench: Bench) -> None:
    """Nothing is excluded: every single fault is still a hypothesis, with a share."""
    told = understand(CAR, "E7 dead when S4=on; X12 crushed").value
    first = told[0]
    assert isinstance(first, Complaint)
    case = open_case(CAR, "0" * 64, first, MemoryStore(), "1", TIME, bench=bench)
    for one in told[1:]:
        case = complain(case, one, TIME)
    assert (case.belief.share > 0.0).all()
    assert len({one.fault for one in bench.hypotheses.members}) > len(single_faults(CAR)) / 2
