"""The cases of the situations, what is answered in them, and how a case is judged. The vehicle is a small one."""

import math
from dataclasses import replace

import pytest

from benchmarks import robust
from benchmarks.damages import OUTSIDE, DamagedLowering
from benchmarks.disturbed import DisturbedVehicle, asked_of, truth_of
from benchmarks.robustplay import Ended, play_out
from benchmarks.situations import SITUATIONS, Situation, Trial, decode, encode, first
from loombench.app.case import bench_for
from loombench.circuit.fault import Fault
from loombench.circuit.lower import lower
from loombench.circuit.predict import predict
from loombench.diagnose.belief import update
from loombench.diagnose.bench import Bench
from loombench.diagnose.looking import Mend, See
from loombench.diagnose.measuring import Measure
from loombench.diagnose.observation import MeterRead
from loombench.vehicle.condition import Condition, Operation, Setup
from loombench.vehicle.points import PIN, Point
from tests.diagnose.vehicles import LAMP, vehicle

CAR = vehicle(LAMP)
ON = Condition((Operation("set", "S4", "on"),))
LAMP_VOLTS = Measure(Setup(ON, Point("E7", "1"), Point("G1", "-", layer=PIN)))
PLAIN = SITUATIONS["plain"]


def trial(*faults: Fault, seed: int = 1, words: tuple[str, ...] = (), cures: tuple[str, ...] = ()) -> Trial:
    kept = tuple((one.mode, one.target, one.to, one.ohm) for one in faults)
    return Trial("rig 1", "catalogue", "", kept, (("E7", "dead", ("S4=on",)),), seed, words, cures)


OPEN = Fault("open", "contact E7.1")


@pytest.fixture(name="bench", scope="module")
def _bench() -> Bench:
    return bench_for(CAR)


def played(bench: Bench, one: Trial, situation: Situation) -> Ended:
    answering = DisturbedVehicle(CAR, one, situation)
    return play_out(robust.opened(bench, one, situation), answering, truth_of(CAR, one), one.kind == OUTSIDE)


def test_a_case_goes_on_until_the_complaint_is_away(bench: Bench) -> None:
    ended = played(bench, trial(OPEN), PLAIN)
    assert (ended.right, ended.cured, ended.wrong_part, ended.altered) == (True, True, False, False)
    assert (ended.final, ended.named, ended.in_vain) == ("cured", ("contact E7.1",), 0)
    assert 0.0 <= ended.brier < 0.1
    assert ended.asked
    assert ended.fitted == ("contact E7.1",)


def test_of_two_faults_both_have_to_go(bench: Bench) -> None:
    one = trial(OPEN, Fault("open", "contact W3/a"))
    assert len(truth_of(CAR, one)) == 2
    ended = played(bench, one, SITUATIONS["doubles"])
    assert ended.right == ({"contact E7.1", "contact W3/a"} <= set(ended.named))
    assert ended.cured == ({"contact E7.1", "contact W3/a"} <= set(ended.fitted))
    alone = robust.opened(bench, one, SITUATIONS["doubles_no_doubles"])
    assert alone.bench.grow is None


def test_without_an_outlier_share_no_reading_is_taken_to_be_wrong(bench: Bench) -> None:
    usual = robust.opened(bench, trial(OPEN), SITUATIONS["wrong_2"])
    sure = robust.opened(bench, trial(OPEN), SITUATIONS["wrong_2_no_outlier"])
    setup = LAMP_VOLTS.setup
    at_most = []
    for case in (usual, sure):
        # What nothing in the model makes the plug of a 12 V lamp show.
        belief = update(case.belief, [MeterRead(setup, 60.0)])
        at_most.append(max(belief.support[-1][~belief.hypotheses.unexplained]))
    share = usual.bench.outlier_share
    assert at_most[0] - at_most[1] == pytest.approx(math.log(share / robust.NO_OUTLIER), abs=1e-6)


def test_the_first_cases_are_the_same_however_many() -> None:
    some = first("coming", 3, 5)
    assert first("coming", 2, 5) == some[:2]
    assert first("coming", 2, 6) != some[:2]
    assert tuple(decode(encode(one)) for one in some) == some
    assert {fault.mode for one in some for fault in one.hidden} <= {"open", "resistance"}


def test_random_and_persistent_wrong_readings() -> None:
    sure = Situation("sure", "catalogue", wrong=1.0)
    right = DisturbedVehicle(CAR, trial(OPEN), PLAIN).reply(LAMP_VOLTS, ())
    other = DisturbedVehicle(CAR, trial(OPEN), sure)
    shown = other.reply(LAMP_VOLTS, ())
    assert isinstance(right, float)
    assert isinstance(shown, float)
    assert abs(shown - right) > 0.3
    assert other.altered
    assert other.reply(LAMP_VOLTS, ()) == shown

    # A pin that is taken for another stays so for any meter, and its neighbour is not concerned.
    seeds = [seed for seed in range(60) if _kinds(seed, LAMP_VOLTS) == ("pin",)]
    assert seeds
    low = replace(LAMP_VOLTS, setup=replace(LAMP_VOLTS.setup, meter="ohmmeter"))
    assert all("pin" in _kinds(seed, low) for seed in seeds)
    elsewhere = replace(LAMP_VOLTS, setup=replace(LAMP_VOLTS.setup, red=Point("E7", "2")))
    assert not all("pin" in _kinds(seed, elsewhere) for seed in seeds)


def _kinds(seed: int, step: Measure) -> tuple[str, ...]:
    half = Situation("half", "catalogue", wrong=0.5, persistent=True)
    return DisturbedVehicle(CAR, trial(OPEN, seed=seed), half)._kinds(asked_of(step))


def test_the_share_of_wrong_readings_is_as_said() -> None:
    for persistent in (False, True):
        one = Situation("", "catalogue", wrong=0.3, persistent=persistent)
        hits = [DisturbedVehicle(CAR, trial(OPEN, seed=k), one).wrong(asked_of(LAMP_VOLTS)) for k in range(2000)]
        # By two halves that may both be: 1 - 0.85^2.
        wanted = 1.0 - 0.85**2 if persistent else 0.3
        assert sum(hits) / len(hits) == pytest.approx(wanted, abs=0.04)


def test_a_bad_new_part_does_not_cure() -> None:
    sure = Situation("sure", "catalogue", wrong=1.0, persistent=True)
    lamp = Fault("open", "E7")
    mend = Mend("E7", ("head",), "E7", ON, 60.0)
    assert DisturbedVehicle(CAR, trial(lamp), PLAIN).reply(mend, ()) == "works"
    bad = DisturbedVehicle(CAR, trial(lamp), sure)
    assert bad.reply(mend, ()) == "dead"
    assert bad.altered
    assert bad.left(("E7",)) == (lamp,)
    # A contact is cleaned or re-crimped.
    assert not bad.bad_spare("contact E7.1")


def test_what_comes_and_goes_is_there_as_often_as_said() -> None:
    half = DisturbedVehicle(CAR, trial(OPEN), SITUATIONS["intermittent_5"])
    looks = [half.reply(See("E7", ON), ()) for _ in range(100)]
    assert looks.count("dead") / 100 == pytest.approx(0.5, abs=0.15)
    moved = ON.then(Operation("wiggle", "E7"))
    looks = [half.reply(See("E7", moved), ()) for _ in range(100)]
    assert looks.count("dead") / 100 == pytest.approx(0.75, abs=0.15)


def test_a_damage_is_in_the_circuit_until_its_place_is_put_right() -> None:
    """A joint that lets current through one way: 300 ohm in the feed of a 55 W lamp leave next to nothing of it."""
    words = ("rectifies", "contact E7.1", "against")
    made = DamagedLowering(words)(CAR, (Fault(OUTSIDE, "contact E7.1"),)).value
    assert len(made.elements) == len(lower(CAR).value.elements) + 1
    one = trial(Fault(OUTSIDE, "contact E7.1"), words=words, cures=("contact E7.1",))
    there = DisturbedVehicle(CAR, one, SITUATIONS["unmodelled"])
    assert there.reply(See("E7", ON), ()) == "dead"
    assert there.reply(See("E7", ON), ("contact E7.1",)) == "works"
    shown = predict(CAR, [LAMP_VOLTS.setup], [(Fault(OUTSIDE, ""),)], DamagedLowering(("joins", "0", "0", "1.0")))
    assert math.isfinite(shown.values[0, 0])


def test_weights_are_off_by_kind_and_the_same_for_a_seed(bench: Bench) -> None:
    off = robust.believing_otherwise(bench, 3.0, 7)
    again = robust.believing_otherwise(bench, 3.0, 7)
    ratio = [b.weight / a.weight for a, b in zip(bench.hypotheses.members, off.hypotheses.members, strict=True)]
    assert len({round(one, 9) for one in ratio}) > 5
    assert [one.weight for one in off.hypotheses.members] == [one.weight for one in again.hypotheses.members]
    assert off.hypotheses.log_prior[-1] == pytest.approx(bench.hypotheses.log_prior[-1])


def test_figures_and_targets(bench: Bench) -> None:
    ended = vars(played(bench, trial(OPEN), PLAIN))
    named = {"kind": "catalogue", "case": "rig 1", "file": "", "seconds": 1.0}
    good = {**ended, **named, "situation": "wrong_2"}
    bad = {**good, "right": False, "cured": False, "wrong_part": True}
    figures = robust.figures_of([good, bad])
    assert figures["wrong_2_right_share"] == 0.5
    assert figures["wrong_2_wrong_part_share"] == 0.5
    assert figures["wrong_2_proven_right_share"] == 0.5
    assert robust.missed(figures) == ["wrong_2_right_share"]
    assert [one["loss"] for one in robust.losses_of([good, bad])] == ["wrong-part"]
