"""Each word of a complaint, told of a fault that shows it in the simulation: likely under that fault, unlikely of the
sound vehicle and of a fault elsewhere. On small vehicles, and on the largest one with a handful of hypotheses."""

from pathlib import Path

import numpy as np
import pytest

from loombench.app.complaints import understand
from loombench.app.practice import PracticeVehicle
from loombench.app.vehicles import open_vehicle
from loombench.circuit.fault import Fault, read_fault
from loombench.circuit.lower import LoweringOf
from loombench.diagnose.bench import Bench
from loombench.diagnose.complained import LOOKS, observed
from loombench.diagnose.hypothesis import SOUND, UNEXPLAINED, Hypotheses, Hypothesis
from loombench.diagnose.likelihood import log_likelihood
from loombench.diagnose.modelled import Modelled
from loombench.diagnose.observation import GLOWS, LIT, SEEN
from loombench.evidence.complaint import FUSE_SYMPTOMS, SYMPTOMS, Complaint
from loombench.vehicle.model import Vehicle
from loombench.vehicle.nets import nets

EXAMPLES = Path(__file__).parents[2] / "examples"
UNTOLD = ("in-doubt", "works")
"""Words that no fault shows."""
LIKELY, TIMES = 0.25, 20.0
"""What the likelihood of the fault is at least, and how many times that of the sound vehicle."""

SMALL = (
    ("3-indicators", "E3 dead when S10=left", "open E3"),
    ("3-indicators", "E3 dim when S9=on", "resistance 5ohm E3.2~W1/b"),
    ("3-indicators", "E4 quick when S10=right", "open E32.1-6"),
    ("3-indicators", "E4 does not flash when S10=right", "stuck K9 closed"),
    ("3-indicators", "E31.3-6 pulsing when S10=left", "short SP2 to E31.3"),
    ("3-indicators", "E31.3-6 joins in with E31.2-6", "short SP7 to E31.3"),
    ("3-indicators", "E31.3-6 glows when off when S11=on", "open E31.6~W3/a"),
    ("3-indicators", "E31.2-6 always on", "stuck S11 on"),
    ("3-indicators", "E31.2-6 blows its fuse", "short E31.2 to ground"),
    ("3-indicators", "E31.2-6 blows its fuse at once", "short E31.2 to ground"),
    ("3-indicators", "E31.2-6 blows its fuse after a time", "short E31.2 to ground 1.1ohm"),
    ("3-indicators", "battery flat", "stuck S11 on"),
    ("2-wiper", "M5.53-31 slow when S7.wipe=1", "dragging M5.53-31 200%"),
    ("2-wiper", "wiper stops in the wrong place", "open contact M5.53e"),
    ("5-tarpaulin", "M8 backwards when key=run, S44=out, S40=open", "swapped M8.a with M8.b"),
)


def case(name: str) -> Vehicle:
    opened = open_vehicle(str(EXAMPLES / name))
    assert not opened.broken, opened.problems
    return opened.vehicle


def told(car: Vehicle, text: str) -> Complaint:
    outcome = understand(car, text)
    assert outcome.value, outcome.problems
    first = outcome.value[0]
    assert isinstance(first, Complaint)
    return first


def read(text: str) -> Fault:
    fault = read_fault(text)
    assert fault is not None, text
    return fault


def bench_of(car: Vehicle, faults: list[Fault]) -> Bench:
    rows: list[tuple[Fault, ...]] = [(), *((fault,) for fault in faults)]
    members = [Hypothesis(str(fault), fault, row, row, 1.0) for row, fault in enumerate(faults, 1)]
    members += [Hypothesis(SOUND, None, 0, 0, 1.0), Hypothesis(UNEXPLAINED, None, 0, 0, 1.0)]
    return Bench(car, nets(car), Hypotheses(tuple(members), tuple(rows)), Modelled(car, rows, LoweringOf(car)))


def likelihoods(bench: Bench, complaint: Complaint) -> np.ndarray:
    return np.exp(log_likelihood(observed(bench, complaint), bench))


def judged(car: Vehicle, text: str, fault: str, other: str) -> None:
    """The fault shows what is told, and makes it likely; the sound vehicle and another fault do not."""
    complaint = told(car, text)
    bench = bench_of(car, [read(fault), read(other)])
    own, elsewhere, sound, unexplained = likelihoods(bench, complaint)
    assert own > LIKELY
    assert own > TIMES * sound
    assert own > TIMES * elsewhere
    assert sound < unexplained
    if complaint.symptom in LOOKS and LOOKS[complaint.symptom] not in (LIT, GLOWS):
        seen = bench.forecast.sights(complaint.condition)
        load = complaint.target if complaint.target in seen.loads else observed(bench, complaint).load  # type: ignore[union-attr]
        assert PracticeVehicle(car, read(fault)).look(load, complaint.condition) == LOOKS[complaint.symptom]


OTHERS = {"3-indicators": "open F5.out~S12.1", "2-wiper": "open M6", "5-tarpaulin": "stuck S41 off"}


@pytest.mark.parametrize(("name", "text", "fault"), SMALL)
def test_a_word_is_likely_under_a_fault_that_shows_it(name: str, text: str, fault: str) -> None:
    car = case(f"cases/{name}.circuit")
    judged(car, text, fault, OTHERS[name])


VAN = (
    ("horn dead when S7=push", "open B7"),
    ("B7 dim when S7=push", "resistance 1ohm contact X13.1@horns"),
    ("M3 slow when S1=run, S20=4", "dragging M3 200%"),
    ("B7 always on", "stuck K11 pulled"),
    ("E31.58-31 glows when off when S11=on", "open X19.8~W7/a"),
    ("E31.58-31 joins in when S1=run, S10=left", "open X19.8~W7/a"),
    ("E31.58-31 pulsing when S1=run, S10=left", "short X19.1@frame to X19.2@frame"),
    ("E45 flashes too quick when S1=run, S10=left", "open E31.L-31"),
    ("E45 does not flash when S1=run, S10=left", "stuck K9 closed"),
    ("M8 one direction only when S40=out", "stuck K21 released"),
    ("M8 turns the wrong way when S40=out", "swapped M8.a with M8.b"),
    ("M5.53-31 stops in the wrong place when S1=acc, S8.wipe=1, S8.wipe=off", "open contact X12.4@cab"),
    ("blows F12 when S7=push", "short X13.1@horns to ground"),
    ("blows F12 at once when S7=push", "short X13.1@horns to ground"),
    ("blows F12 after a time when S7=push", "short X13.1@horns to ground 1ohm"),
    ("battery flat", "stuck K7 pulled"),
)


@pytest.fixture(scope="module")
def van() -> Vehicle:
    return case("library-van")


@pytest.fixture(scope="module")
def van_bench(van: Vehicle) -> Bench:
    return bench_of(van, [read(one) for one in dict.fromkeys(fault for _, fault in VAN)])


@pytest.mark.parametrize(("text", "fault"), VAN)
def test_on_the_largest_vehicle_too(van: Vehicle, van_bench: Bench, text: str, fault: str) -> None:
    found = likelihoods(van_bench, told(van, text))
    names = list(van_bench.hypotheses.groups)
    own, sound = found[names.index(fault)], found[names.index(SOUND)]
    assert own > LIKELY
    assert own > TIMES * sound


def test_every_word_is_tried() -> None:
    small = {told(case(f"cases/{name}.circuit"), text).symptom for name, text, _ in SMALL}
    # What cuts out is told in `test_cooling`, of a breaker.
    assert small | {"one-way", "cuts-out", *UNTOLD} == set(SYMPTOMS)


def test_the_other_words_for_a_load_are_not_likely() -> None:
    """A quick flash is told apart from a dead lamp, one that pulses, one that stays on."""
    car = case("cases/3-indicators.circuit")
    bench = bench_of(car, [read("open E32.1-6")])
    condition = told(car, "E4 quick when S10=right").condition
    found = {
        symptom: likelihoods(bench, Complaint("E4", symptom, condition, ""))[0]
        for symptom in ("dead", "dim", "quick", "steady", "pulsing")
    }
    assert max(found, key=lambda name: found[name]) == "quick"
    assert all(value < 0.05 for name, value in found.items() if name != "quick")


def test_one_direction_only_counts_both_directions(van: Vehicle) -> None:
    """A motor dead both ways is no motor that goes one way."""
    outcome = understand(van, "M8 one direction only when S40=out")
    assert [(one.target, one.symptom) for one in outcome.value] == [("M8", "one-way"), ("M8", "works")]
    assert str(outcome.value[1].condition) == "S40=in, S48=away"
    bench = bench_of(van, [read("stuck K21 released"), read("open M8")])
    one_way, dead, sound, _ = np.prod([likelihoods(bench, one) for one in outcome.value], axis=0)
    assert one_way > LIKELY
    assert one_way > TIMES * dead
    assert one_way > TIMES * sound


def test_which_direction_has_to_be_said(van: Vehicle) -> None:
    outcome = understand(van, "M8 one direction only")
    assert outcome.value == ()
    (said,) = outcome.problems
    assert (said.code, said.fact("states")) == ("direction-needed", "when S40=out or when S40=in, S48=away")


def test_a_blown_fuse_does_not_explain_that_new_ones_blow() -> None:
    car = case("cases/3-indicators.circuit")
    bench = bench_of(car, [read("blown F6"), read("short E31.2 to ground")])
    aged, short, _, _ = likelihoods(bench, told(car, "blows F6 at once when S11=on"))
    assert short > TIMES * aged
    found, _, _, _ = likelihoods(bench, told(car, "blows F6 when S11=on"))
    assert found > LIKELY


def test_a_battery_that_is_not_charged_goes_flat() -> None:
    car = case("library-van")
    bench = bench_of(car, [read("stuck K30 released"), read("open B7")])
    uncharged, other, sound, _ = likelihoods(bench, told(car, "battery G3 flat"))
    assert uncharged > TIMES * sound
    assert other < LIKELY


def test_in_doubt_tells_nothing() -> None:
    car = case("cases/3-indicators.circuit")
    bench = bench_of(car, [read("open E3")])
    np.testing.assert_array_equal(likelihoods(bench, told(car, "E3 in doubt")), 1.0)


def test_every_look_has_a_complaint_and_the_fuses_words_are_theirs() -> None:
    assert set(SEEN) <= {*LOOKS.values(), "works"}
    assert set(LOOKS) | {*FUSE_SYMPTOMS, "flat", "in-doubt"} == set(SYMPTOMS)
