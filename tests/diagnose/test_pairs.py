"""Two faults at once: found, named and both put right; a single fault is never called two."""

from dataclasses import replace
from itertools import combinations
from pathlib import Path

import numpy as np
import pytest

from loombench.app.case import Case, bench_for
from loombench.app.finding import answer, complain, next_step, open_case, replay, verdict
from loombench.app.practice import PRACTICE_TIME as TIME
from loombench.app.practice import PracticeVehicle, auto, complaint_of, usual_conditions
from loombench.app.search import start
from loombench.circuit.fault import Fault, read_fault
from loombench.circuit.lower import lower
from loombench.circuit.predict import predict
from loombench.diagnose.belief import Belief, strikes, update
from loombench.diagnose.bench import Bench
from loombench.diagnose.choose import surviving
from loombench.diagnose.hypothesis import UNEXPLAINED, Hypotheses, halves
from loombench.diagnose.observation import LoadSeen, MeterRead, Observation
from loombench.diagnose.pairorder import MOST_OF_VAIN, forms_of, ordered, with_known
from loombench.diagnose.pairs import SECOND_MARGIN, allowed, believed, with_pairs
from loombench.diagnose.putright import helped, still_wrong
from loombench.diagnose.recent import Recent
from loombench.diagnose.suspect import group_of
from loombench.diagnose.verdict import CURED, SEARCHING, judge, ranking
from loombench.evidence.complaint import Complaint
from loombench.record.memory import MemoryStore
from loombench.text.load import load_file
from loombench.vehicle.condition import Condition, Operation, Setup
from loombench.vehicle.points import Point
from tests.diagnose.vehicles import HEAD, LAMP, vehicle

ROOT = Path(__file__).resolve().parents[2]
ON = Condition((Operation("set", "S4", "on"),))
SMALL = (
    HEAD
    + """
fuse   F12 15A at box  "work lamp"
switch S4 off | on: 1=2 at dash "work lamp"
lamp   E7 12V 55W at head "left"
loom chassis
G1.- (BK 25mm2 0.4m) W1/a
G1.+ (RD 6mm2 0.8m) F12 (GY 1.5mm2 0.5m) S4.1
S4.2 (GY/RD 1.5mm2 3.2m) E7 (BK 1.5mm2 0.8m) W3/a
"""
)


def fault(text: str) -> Fault:
    found = read_fault(text)
    assert found is not None, text
    return found


@pytest.fixture(scope="module")
def lamp() -> Bench:
    return bench_for(vehicle(LAMP))


@pytest.fixture(scope="module")
def small() -> Bench:
    return bench_for(vehicle(SMALL))


def hidden_in(bench: Bench, *faults: str) -> tuple[Case, PracticeVehicle]:
    hidden = tuple(fault(text) for text in faults)
    told = complaint_of(bench.vehicle, hidden, usual_conditions(bench.vehicle))
    assert told is not None
    case = open_case(bench.vehicle, "0" * 64, told, MemoryStore(), "c", TIME, bench=bench)
    return case, PracticeVehicle(bench.vehicle, hidden)


@pytest.mark.parametrize(
    "faults",
    [
        ("open E7", "resistance 2ohm contact W3/a"),
        ("open E7", "resistance 2ohm W9"),
        ("resistance 1.5ohm S4.2~X12.1", "resistance 1.5ohm W9"),
        ("open E7", "open SP2~E8.1"),
        # Neither half explains any reading beyond itself, and both are far down by weight.
        ("resistance 300ohm F12.out~S4.1", "resistance 20ohm S4.2~X12.1"),
    ],
)
def test_two_faults_are_both_named_and_put_right(lamp: Bench, faults: tuple[str, str]) -> None:
    case, practice = hidden_in(lamp, *faults)
    case = auto(case, practice)
    groups = {group_of(lamp.vehicle, one) for one in practice.hidden} if isinstance(practice.hidden, tuple) else set()
    assert groups <= set(case.course.situation.repaired)
    assert case.verdict.state == CURED
    (named,) = case.verdict.groups
    assert set(halves(named)) == groups
    assert practice.left(case.course.situation.repaired) == ()
    again = replay(lamp.vehicle, case.events, MemoryStore())
    assert again.verdict == case.verdict
    for (one, share), (other, same) in zip(ranking(again.belief), ranking(case.belief), strict=True):
        assert one == other
        assert share == pytest.approx(same, rel=1e-6)
    assert verdict(case).suspects[0].count(" and ") >= 1


def test_a_pair_that_lies_between_the_points_of_its_cells_is_computed_closer() -> None:
    """Six points between 10 and 60 ohm are too far apart for what two readings say of 12.2 ohm."""
    horn = bench_for(load_file(ROOT / "tests" / "ngspice" / "hand" / "relay-horn.circuit").value)
    case, practice = hidden_in(horn, "resistance 83.71ohm G1", "resistance 12.22ohm K1.87~B1.1")
    case = auto(case, practice)
    assert case.verdict.state == CURED
    assert practice.left(case.course.situation.repaired) == ()


@pytest.mark.parametrize("hidden", ["open E7", "resistance 2ohm W9", "open contact W3/b", "open F12.out~S4.1"])
def test_one_fault_is_never_called_two(lamp: Bench, hidden: str) -> None:
    case, practice = hidden_in(lamp, hidden)
    case = auto(case, practice)
    assert case.verdict.state == CURED
    assert case.verdict.groups == (group_of(lamp.vehicle, fault(hidden)),)


def test_a_complaint_that_is_not_there_when_it_is_looked_at_makes_no_two_faults(
    lamp: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked: list[str] = []
    monkeypatch.setattr("loombench.diagnose.pairs.with_known", lambda *_: asked.append("known") or [])
    monkeypatch.setattr("loombench.diagnose.pairs.ordered", lambda *_: asked.append("ordered") or [])
    told = Complaint("E8", "dead", ON, "E8 dead when S4=on")
    there, absent = (
        answer(case, offered.id, word, TIME)
        for word in ("dead", "works")
        if (case := open_case(lamp.vehicle, "0" * 64, told, MemoryStore(), word, TIME, bench=lamp))
        and (offered := next_step(case)) is not None
    )
    assert next_step(absent) is None
    assert absent.verdict.state == "not-reproduced"
    assert not asked
    wrong = replace(absent.belief.observations[-1], seen="dead")
    contradictory = with_pairs(update(Belief(lamp), (*absent.belief.observations, wrong)))
    assert asked, "pairs are looked for once something was seen to be wrong that no single fault explains"
    assert contradictory.hypotheses is lamp.hypotheses
    assert next_step(there) is not None


def test_what_is_complained_about_after_a_repair_is_searched_for_in_the_same_case(lamp: Bench) -> None:
    case, practice = hidden_in(lamp, "open E7", "open SP2~E8.1")
    for _ in range(40):
        card = next_step(case)
        if card is None:
            break
        case = answer(case, card.id, practice.reply(case.offered(card.id), case.course.situation.repaired), TIME)
        if case.course.situation.repaired and len(case.course.complaints) == 1:
            case = complain(case, Complaint("E8", "dead", ON, "E8 dead when S4=on"), TIME)
    assert len(case.course.complaints) == 2
    assert practice.left(case.course.situation.repaired) == ()
    assert case.verdict.state == CURED


def observed(bench: Bench, faults: tuple[Fault, ...]) -> tuple[LoadSeen | MeterRead, ...]:
    """What a meter shows all along the way of a lamp in which two faults are hidden, and of the lamp unplugged."""
    values = predict(bench.vehicle, SETUPS, [faults], lower).values[0]
    look = LoadSeen("E7", PracticeVehicle(bench.vehicle, faults).look("E7", ON), ON, True)
    return (look, *(MeterRead(setup, float(value)) for setup, value in zip(SETUPS, values, strict=True)))


MINUS = Point("G1", "-", layer="pin")
APART = Condition((Operation("set", "S4", "on"), Operation("unplug", "E7")))
PINS = [Point("E7", pin, layer="pin") for pin in ("1", "2")]
OHMS = Setup(APART, *PINS, "ohmmeter")
SETUPS = [Setup(ON, Point(part, pin), MINUS) for part, pin in (("S4", "1"), ("S4", "2"), ("E7", "1"), ("W3", "a"))]
# One reading alone would be doubted, so the lamp is measured either way round.
SETUPS += [OHMS, replace(OHMS, red=PINS[1], black=PINS[0])]
TWO = [("open E7", "open F12.out~S4.1"), ("open E7", "blown F12"), ("open E7", "stuck S4 off")]


def judged(bench: Bench, observations: tuple[LoadSeen | MeterRead, ...]) -> set[frozenset[str]]:
    """All pairs of faults without ohms that the readings allow, by brute force: each circuit computed on its own."""
    known = bench.hypotheses
    single = [one.fault for one in known.members if one.fault is not None and one.low == one.high]
    every = [
        (one, two)
        for one, two in combinations(single, 2)
        if group_of(bench.vehicle, one) != group_of(bench.vehicle, two)
    ]
    values = predict(bench.vehicle, SETUPS, every, lower).values
    found = set()
    for (one, two), row in zip(every, values, strict=True):
        fits = True
        for seen, value in zip(observations[1:], row, strict=True):
            assert isinstance(seen, MeterRead)
            if seen.setup.meter == "ohmmeter":
                fits &= np.isinf(value) == np.isinf(seen.value) and (np.isinf(value) or abs(value - seen.value) < 0.1)
            else:
                # The supply may be a little off; nothing here reads between these and a wrong one.
                fits &= bool(np.isnan(value)) or abs(value - seen.value) < 0.5
        if fits and PracticeVehicle(bench.vehicle, (one, two)).look("E7", ON) == observations[0].seen:  # type: ignore[union-attr]
            found.add(frozenset((group_of(bench.vehicle, one), group_of(bench.vehicle, two))))
    return found


@pytest.mark.parametrize("faults", TWO)
def test_the_pairs_found_are_those_that_brute_force_over_all_pairs_finds(small: Bench, faults: tuple[str, str]) -> None:
    observations = observed(small, (fault(faults[0]), fault(faults[1])))
    belief = with_pairs(update(Belief(small), observations))
    point = [member.low == member.high for member in belief.hypotheses.members]
    pairs = [member for member, fixed in zip(belief.hypotheses.members, point, strict=True) if member.other and fixed]
    wanted = judged(small, observations)
    assert frozenset(group_of(small.vehicle, fault(one)) for one in faults) in wanted
    assert {frozenset(halves(one.group)) for one in pairs} == wanted


@pytest.mark.parametrize("faults", TWO[:1])
def test_the_order_of_entry_changes_nothing_and_what_nothing_explains_keeps_its_share(
    small: Bench, faults: tuple[str, str]
) -> None:
    observations = observed(small, (fault(faults[0]), fault(faults[1])))
    single = update(Belief(small), observations)
    belief = with_pairs(single)
    other = with_pairs(update(Belief(small), observations[::-1]))
    assert other.hypotheses.groups == belief.hypotheses.groups
    assert other.group_share == pytest.approx(belief.group_share, rel=1e-9)
    paired = [member.other is not None for member in belief.hypotheses.members]
    assert any(paired)
    assert (strikes(belief)[paired] == 0).all()
    assert (belief.share > 0.0).all()
    prior = [np.exp(one.hypotheses.log_prior[one.hypotheses.unexplained]) for one in (single, belief)]
    assert prior[1] == pytest.approx(prior[0])
    assert belief.unexplained < single.unexplained
    assert belief.hypotheses.groups.index(UNEXPLAINED) == single.hypotheses.groups.index(UNEXPLAINED)


TWO_LAMPS = (
    HEAD
    + """
fuse   F12 15A at box  "left lamp"
fuse   F13 15A at box  "right lamp"
switch S4 off | on: 1=2 at dash "left lamp"
switch S5 off | on: 1=2 at dash "right lamp"
lamp   E7 12V 55W at head "left"
lamp   E8 12V 55W at head "right"
loom chassis
G1.- (BK 25mm2 0.4m) W1/a
G1.+ (RD 6mm2 0.8m) F12 (GY 1.5mm2 0.5m) S4.1
G1.+ (RD 6mm2 0.9m) F13 (GY 1.5mm2 0.5m) S5.1
S4.2 (GY/RD 1.5mm2 3.2m) E7 (BK 1.5mm2 0.8m) W3/a
S5.2 (GY/BU 1.5mm2 3.2m) E8 (BK 1.5mm2 0.8m) W3/b
"""
)
BOTH_ON = Condition((*ON.operations, Operation("set", "S5", "on")))


def two_lamps(seen: str = "works") -> tuple[Bench, tuple[LoadSeen, ...]]:
    """Both lamps dead, the left one renewed, and what the left one then does; no reading anywhere."""
    dead = tuple(LoadSeen(name, "dead", BOTH_ON, True) for name in ("E7", "E8"))
    after = tuple(
        LoadSeen(one.load, word, BOTH_ON, True, ("E7",)) for one, word in zip(dead, (seen, "dead"), strict=True)
    )
    return bench_for(vehicle(TWO_LAMPS)), (*dead, *after)


def test_what_was_put_right_is_one_half_and_the_other_is_all_that_explains_the_rest() -> None:
    bench, observations = two_lamps()
    assert helped(bench, observations) == ("E7",)
    belief = with_pairs(update(Belief(bench), observations))
    pairs = {one.group for one in belief.hypotheses.members if one.other is not None}
    assert all("E7" in halves(group) for group in pairs)
    looks = {
        group_of(bench.vehicle, one.fault)
        for one in bench.hypotheses.members
        if one.fault is not None
        and (PracticeVehicle(bench.vehicle, one.fault).look("E7", BOTH_ON) == "works")
        and (PracticeVehicle(bench.vehicle, one.fault).look("E8", BOTH_ON) == "dead")
    }
    assert {"F13", "S5", "contact F13.in", "contact W3/b", "E8"} <= looks
    # What a fault of the right lamp would have blown or starved is none of these, and the lamp put right is no half.
    assert {half for group in pairs for half in halves(group)} - {"E7"} >= looks - {"E7"}
    assert belief.unexplained < 0.1


def test_in_a_large_vehicle_what_helped_is_taken_as_good_where_one_more_fault_explains_the_rest(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    bench, observations = two_lamps()
    usual = believed(bench, observations)
    assert any(member.other for member in usual.hypotheses.members)
    monkeypatch.setattr("loombench.diagnose.pairs.FEW", 0)
    belief = believed(bench, observations)
    assert not any(member.other for member in belief.hypotheses.members)
    left = {belief.hypotheses.groups[group] for group in surviving(belief)}
    assert {"F13", "S5", "contact W3/b", "E8"} <= left
    # The lamp put right is no suspect of what is left, and what is left is what pairs with it had beside it.
    beside = {half for one in usual.hypotheses.members if one.other for half in halves(one.group)} - {"E7"}
    assert "E7" not in left
    assert left <= beside | {"sound"}


def test_a_repair_in_vain_makes_nothing_known() -> None:
    bench, observations = two_lamps("dead")
    assert helped(bench, observations) == ()
    # Half of a pair it may be all the same: these are computed before others.
    belief = update(Belief(bench), observations, SECOND_MARGIN)
    forms = forms_of(belief.hypotheses)
    pairs = with_known(belief, forms, ("E7",))
    assert pairs
    assert all("E7" in (forms[one].group, forms[two].group) for one, two in pairs)
    assert ordered(belief, forms, pairs)[: len(pairs[:MOST_OF_VAIN])] == pairs[:MOST_OF_VAIN]


def test_where_no_pair_explains_it_the_rest_is_searched_for_by_what_was_seen_since() -> None:
    bench, observations = two_lamps()
    setup = Setup(BOTH_ON, Point("E7", "1", layer="pin"), MINUS)
    # Nothing in a 12 V vehicle gives these: what was wrong there is none of the model.
    odd = (MeterRead(setup, 17.0), MeterRead(replace(setup, red=Point("S4", "2", layer="pin")), 17.0))
    belief = with_pairs(update(Belief(bench), (*observations[:2], *odd, *observations[2:])))
    assert not any(member.other for member in belief.hypotheses.members)
    left = {belief.hypotheses.groups[group] for group in surviving(belief)}
    assert {"F13", "S5", "contact W3/b", "E8"} <= left
    assert "E7" not in left
    assert judge(belief, True, True).state == SEARCHING
    # Of the lamp that is right again nothing is asked any more.
    assert {one.load for one in still_wrong(bench, belief.observations)} == {"E8"}


def test_several_faults_can_be_hidden_for_practice(tmp_path: Path) -> None:
    file = tmp_path / "rig.loom"
    file.write_text(LAMP, encoding="utf-8")
    begun = start(str(file), "", tmp_path / "cases", "p", TIME, hidden="open E7; resistance 2ohm W9")
    assert begun.value is not None
    assert begun.value.practice is not None
    assert begun.value.practice.left(()) == (fault("open E7"), fault("resistance 2ohm W9"))
    wrong = start(str(file), "", tmp_path / "cases", "q", TIME, hidden="open E7; nonsense")
    assert wrong.value is None
    assert [problem.code for problem in wrong.problems] == ["fault-unread"]


def test_what_was_asked_of_pairs_is_not_asked_again_at_the_next_entry(monkeypatch: pytest.MonkeyPatch) -> None:
    bench, observations = two_lamps()
    believed(bench, observations[:-1])
    asked: list[tuple[object, int]] = []

    def counted(observation: Observation, some: Bench) -> np.ndarray:
        asked.append((observation, len(some.hypotheses.members)))
        return allowed(observation, some)

    monkeypatch.setattr("loombench.diagnose.pairs.allowed", counted)
    fresh = believed(replace(bench, fits=Recent(), _others=Recent()), observations)
    anew, asked[:] = sum(count for _, count in asked), []
    kept = believed(bench, observations)
    assert sum(count for _, count in asked) < 0.8 * anew
    assert kept.total.tobytes() == fresh.total.tobytes()
    asked.clear()
    believed(bench, observations)
    assert asked == []


def test_a_bench_of_other_hypotheses_is_the_same_one_while_it_is_asked_for(lamp: Bench) -> None:
    made = []

    def make() -> Hypotheses:
        made.append(1)
        return lamp.hypotheses

    first = lamp.beside("cells", make)
    assert lamp.beside("cells", make) is first
    assert len(made) == 1
    assert lamp.beside("other cells", make) is not first
    # Other weights are other hypotheses.
    assert replace(lamp, presence=0.5).beside("cells", make) is not first


def test_of_a_large_vehicle_no_bench_of_other_hypotheses_is_kept(lamp: Bench, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("loombench.diagnose.bench.FEW", 0)
    asked = replace(lamp, _others=Recent())
    assert asked.beside("cells", lambda: lamp.hypotheses) is not asked.beside("cells", lambda: lamp.hypotheses)
