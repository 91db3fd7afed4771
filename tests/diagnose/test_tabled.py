"""The forecast by tables against plain replay of every row from rest: by random conditions, set-ups and rows."""

from pathlib import Path

import numpy as np
import pytest

from loombench.circuit.catalogue import single_faults
from loombench.circuit.fault import Fault, read_fault
from loombench.circuit.finding import Chatter
from loombench.circuit.lower import LoweringOf
from loombench.circuit.meter import read
from loombench.circuit.observe import seen
from loombench.circuit.operate import Situation, operate
from loombench.circuit.ready import ready_for
from loombench.circuit.tables import tables as tables_module
from loombench.diagnose.forecast import Sights, blank_sights, fill_rows
from loombench.diagnose.hypothesis import Hypotheses, hypotheses
from loombench.diagnose.modelled import Modelled, write_view
from loombench.diagnose.stepname import read_condition
from loombench.diagnose.tabled import TabledForecast
from loombench.text.load import load_file
from loombench.vehicle.condition import Condition, Operation, Setup
from loombench.vehicle.model import Vehicle
from loombench.vehicle.points import Point, read_point
from tests.diagnose.vehicles import BREAKER, LAMP, RELAY, vehicle

EXAMPLES = Path(__file__).parents[2] / "examples"
METERS = ("voltmeter", "voltmeter", "ohmmeter", "low-impedance", "test-lamp")
TABLES = ("share", "blown", "period_s", "astray", "stops_s", "opens_s", "draw_a")


class Case:
    """A vehicle with its forecast, and what is drawn at random for it."""

    def __init__(self, car: Vehicle, seed: int) -> None:
        self.car, self.rng = car, np.random.default_rng(seed)
        self.known: Hypotheses = hypotheses(car, single_faults(car))
        self.lowering = LoweringOf(car)
        self.forecast = TabledForecast(car, self.known.faults, self.lowering)
        self.points = list(self.lowering.netlist.node_of)
        self.replays: dict[tuple[int, Condition], Situation] = {}

    def condition(self) -> Condition:
        controls = list(self.car.controls.values())
        chosen = self.rng.permutation(len(controls))[: self.rng.integers(0, 4)]
        done = []
        for control in (controls[k] for k in chosen):
            place = int(self.rng.integers(len(control.positions)))
            done.append(Operation("set", control.id, control.positions[place].name))
        fuses = [part.id for part in self.car.parts.values() if part.kind == "fuse"]
        if fuses and self.rng.random() < 0.3:
            done.append(Operation("pull", fuses[self.rng.integers(len(fuses))]))
        return Condition(tuple(done))

    def setup(self, condition: Condition) -> Setup:
        red, black = (self.points[self.rng.integers(len(self.points))] for _ in range(2))
        battery = next(part.id for part in self.car.parts.values() if part.kind == "battery")
        minus = Point(battery, "-", layer="pin")
        meter = METERS[self.rng.integers(len(METERS))]
        return Setup(condition, red, minus if self.rng.random() < 0.5 else black, meter)

    def rows(self, count: int) -> np.ndarray:
        return np.unique([0, *self.rng.choice(len(self.known.faults), count)]).astype(np.intp)

    def replay(self, row: int, condition: Condition) -> Situation:
        """From rest, by refactoring, without any short cut."""
        if (row, condition) not in self.replays:
            lowered = self.lowering(self.car, self.known.faults[row])
            ready = ready_for(lowered.value, self.forecast.reference.sound)
            self.replays[row, condition] = operate(ready, condition)
        return self.replays[row, condition]


def near(one: np.ndarray, other: np.ndarray, room: np.ndarray | float) -> np.ndarray:
    with np.errstate(invalid="ignore"):
        return (one == other) | (np.isnan(one) & np.isnan(other)) | (np.abs(one - other) <= room)


def check_sights(case: Case, condition: Condition, rows: np.ndarray) -> None:
    found = case.forecast.sights(condition, rows)
    wanted: Sights = blank_sights(len(case.known.faults), found.loads, found.fuses, found.batteries)
    for row in rows.tolist():
        replayed = case.replay(row, condition)
        write_view(seen(case.car, replayed.ready.p.netlist, replayed.settled), row, wanted)
    for name in TABLES:
        here, there = getattr(found, name)[rows], getattr(wanted, name)[rows]
        alike = near(here, there, 1e-5 + 1e-5 * np.abs(there))
        odd = [str(case.known.faults[row]) for row, fine in zip(rows, alike.all(axis=1), strict=True) if not fine]
        assert not odd, (name, str(condition), odd)


def check_readings(case: Case, setup: Setup, rows: np.ndarray) -> int:
    before = case.forecast.counts.tabled
    found = case.forecast.readings([setup], rows).low[rows, 0]
    tabled = case.forecast.counts.tabled - before
    for row, here in zip(rows.tolist(), found.tolist(), strict=True):
        shown = read(case.replay(row, setup.condition), setup)
        # Of a rhythm a meter shows the mean; only what may come out this way or that is a range.
        ranged = bool(case.replay(row, setup.condition).settled.alternatives)
        there = np.nan if shown.value is None else shown.low if ranged else shown.value
        # What no table has comes from `Modelled`, which takes short cuts: a nanoampere on the 10 Mohm of a meter.
        room = 2e-4 + 1e-5 * abs(there) if tabled == len(rows) else 0.011 + 1e-3 * abs(there)
        if case.replay(row, setup.condition).settled.phases and tabled < len(rows):
            continue
        assert near(np.array(here), np.array(there), room), (str(setup), str(case.known.faults[row]), here, there)
    return tabled


@pytest.mark.parametrize("text", [LAMP, RELAY])
def test_small_vehicles_row_by_row(text: str) -> None:
    case = Case(vehicle(text), 1)
    for _ in range(4):
        condition, rows = case.condition(), case.rows(60)
        check_sights(case, condition, rows)
        check_readings(case, case.setup(condition), rows)
    assert case.forecast.counts.tabled > 10 * case.forecast.counts.replayed.get("sights", 0)
    assert case.forecast.counts.audited > 0
    assert case.forecast.counts.audit_failures == 0


@pytest.mark.parametrize("done", [
    "S1=on, S1=off", "S1=on, S1=off, S2=on", "S1=on, S1=off, wait 60s, S1=on", "S1=on, S1=off, wait 100s, S1=on",
])  # fmt: skip
def test_a_breaker_that_trips_and_cools_row_by_row(done: str) -> None:
    """Which rows trip it hangs on the fault; what it does then on the time that is stated."""
    case = Case(vehicle(BREAKER), 3)
    condition = read_condition(done)
    assert condition is not None
    rows = np.arange(0, len(case.known.faults), 2)
    check_sights(case, condition, rows)
    check_readings(case, Setup(condition, Point("Q1", "out"), Point("G1", "-", layer="pin")), rows[::4])
    counts = case.forecast.counts
    assert counts.audit_failures == 0
    assert counts.audited > 0
    assert counts.tabled > counts.replayed["sights"] > 0, "those that trip are replayed, the others are not"


@pytest.mark.parametrize("name", ["telehandler-roof", "flatbed-indicators", "road-sweeper", "camper-van"])
def test_examples_by_random_rows_conditions_and_setups(name: str) -> None:
    case = Case(load_file(EXAMPLES / name).value, 7)
    for _ in range(3):
        condition, rows = case.condition(), case.rows(25)
        check_sights(case, condition, rows)
        check_readings(case, case.setup(condition), rows)
    assert case.forecast.counts.tabled > 0
    assert case.forecast.counts.audit_failures == 0


@pytest.mark.parametrize("name", ["recovery-truck", "touring-coach"])
def test_a_converter_that_draws_is_in_the_tables(name: str) -> None:
    case = Case(load_file(EXAMPLES / name).value, 5)
    condition = Condition((Operation("set", "S1", "run"),))
    near_it = [row for row, faults in enumerate(case.known.faults) if faults and "U1" in str(faults[0])]
    rows = np.unique(np.concatenate((case.rows(40), near_it))).astype(np.intp)
    check_sights(case, condition, rows)
    battery = Point("G1", "-", layer="pin")
    for red in (Point("U1", "in"), Point("U1", "out"), Point("W1", "")):
        if red in case.lowering.netlist.node_of:
            check_readings(case, Setup(condition, red, battery, "voltmeter"), rows)
    assert case.forecast.counts.tabled > 2 * case.forecast.counts.replayed.get("sights", 0)
    assert case.forecast.counts.audit_failures == 0


def test_a_lamp_taken_off_reads_the_same_whatever_is_wrong_elsewhere() -> None:
    case = Case(vehicle(LAMP), 1)
    condition = Condition((Operation("set", "S4", "on"), Operation("unplug", "E7")))
    setup = Setup(condition, Point("E7", "1", layer="pin"), Point("E7", "2", layer="pin"), "ohmmeter")
    rows = np.arange(0, len(case.known.faults), 3, dtype=np.intp)
    check_readings(case, setup, rows)
    assert case.forecast.counts.apart > len(rows) // 2
    own = [row for row, faults in enumerate(case.known.faults) if faults and str(faults[0]) == "open E7"]
    found = case.forecast.readings([setup], np.array([0, *own], dtype=np.intp)).low
    assert found[0, 0] < 10.0
    assert np.isinf(found[own, 0]).all()
    assert own


def test_a_sample_of_the_largest_vehicle() -> None:
    case = Case(load_file(EXAMPLES / "library-van").value, 3)
    condition, rows = Condition((Operation("set", "lights", "side"),)), case.rows(30)
    check_sights(case, condition, rows)
    check_readings(case, case.setup(condition), rows)
    assert case.forecast.counts.tabled > len(rows) // 2


def test_an_audit_that_fails_hands_the_condition_to_the_reference(monkeypatch: pytest.MonkeyPatch) -> None:
    case = Case(vehicle(LAMP), 1)
    condition, rows = Condition((Operation("set", "S4", "on"),)), case.rows(40)
    right = Modelled(case.car, case.known.faults, case.lowering).sights(condition, rows).share[rows]
    monkeypatch.setattr("loombench.diagnose.ends.views", wrong_views)
    found = case.forecast.sights(condition, rows).share[rows]
    assert case.forecast.counts.audit_failures > 0
    assert case.forecast.counts.distrusted == [condition]
    np.testing.assert_allclose(found, right, atol=1e-5)


def wrong_views(*arguments: object) -> object:
    """What a mistaken table would say."""
    from loombench.circuit.tables.views import Views, views  # noqa: PLC0415

    true = views(*arguments)  # type: ignore[arg-type]
    return Views(true.share + 0.1, true.way, true.period_s, true.draw_a)


@pytest.mark.parametrize(("file", "done"), [
    ("tests/ngspice/hand/relay-horn.circuit", "S1=push"),
    ("examples/cases/0-supply.circuit", "S1=acc"),
    ("examples/cases/5-tarpaulin.circuit", "S1=run, S40=close, S44=out"),
])  # fmt: skip
def test_a_state_that_a_fault_came_to_first_is_as_good_as_any(file: str, done: str) -> None:
    """At rest a switch that is stuck brings its row to where others come to when it is set."""
    condition = read_condition(done)
    assert condition is not None
    found = []
    for before in ((), (Condition(()),)):
        case = Case(load_file(EXAMPLES.parent / file).value, 1)
        for one in before:
            case.forecast.sights(one)
        usual = case.forecast.counts.replayed.get("sights", 0)
        case.forecast.sights(condition)
        found.append(case.forecast.counts.replayed["sights"] - usual)
    assert found[1] <= found[0]


def test_what_a_module_is_held_at_goes_a_way_of_its_own_in_the_tables() -> None:
    case = Case(load_file(EXAMPLES / "cases" / "4-body-controller.circuit").value, 1)
    condition = read_condition("S31=reverse, S1=run")
    assert condition is not None
    changes = {row: case.forecast.tables.change(row) for row in range(len(case.known.faults))}
    watched = np.array([row for row, one in changes.items() if one is not None and one.watched], dtype=np.intp)
    check_sights(case, condition, watched)
    assert len(watched) > 5
    assert case.forecast.counts.tabled == len(watched)
    assert case.forecast.counts.replayed.get("sights", 0) == 0


def test_what_a_module_says_of_its_inputs_is_in_the_tables() -> None:
    case = Case(load_file(EXAMPLES / "cases" / "4-body-controller.circuit").value, 2)
    pins = [
        Point(name.removeprefix("input:").partition(".")[0], name.partition(".")[2], layer="pin")
        for name in case.lowering.netlist.variable_by_name
        if name.startswith("input:")
    ]
    assert len(pins) == 2
    said: set[float] = set()
    for done in ("S1=run", "S31=reverse, S1=run"):
        condition, rows = read_condition(done), case.rows(60)
        assert condition is not None
        for pin in pins:
            setup = Setup(condition, pin, None, "scan-tool")
            assert check_readings(case, setup, rows) > 0.9 * len(rows)
            said |= set(case.forecast.readings([setup], rows).low[rows, 0].tolist())
    assert {0.0, 1.0, -1.0} <= said
    assert case.forecast.counts.audit_failures == 0


def test_what_chatters_is_gone_through_once() -> None:
    case = Case(load_file(EXAMPLES / "camper-van").value, 7)
    (row,) = (
        row for row, faults in enumerate(case.known.faults) if [str(one) for one in faults] == ["open contact W2"]
    )
    condition = Condition((Operation("set", "S12", "low"),))
    assert any(isinstance(found, Chatter) for found in case.replay(row, condition).settled.findings)
    check_sights(case, condition, np.array([0, row], dtype=np.intp))
    assert case.forecast.counts.tabled == 2
    assert case.forecast.counts.replayed.get("sights", 0) == 0


def test_what_a_meter_shows_of_what_chatters_is_what_is_there_in_the_state_that_stands_for_it() -> None:
    """An input at 60 ohm, which its module reads on and off by turns. The reference let it go on with the meter on, and
    it was caught in another of its states."""
    car = load_file(EXAMPLES / "library-van").value
    fault = (Fault("resistance", "contact X10.5@cab", "", 60.0),)
    case = TabledForecast(car, ((), fault), LoweringOf(car))
    setup = Setup(read_condition("S56=on"), Point("S56", "1"), Point("S56", "2"))
    replayed = operate(ready_for(LoweringOf(car)(car, fault).value), setup.condition)
    assert any(isinstance(finding, Chatter) for finding in replayed.settled.findings)
    node_of = replayed.ready.p.netlist.node_of
    there = replayed.settled.point.across_v(node_of[Point("S56", "1")], node_of[Point("S56", "2")])
    assert there == pytest.approx(2.432e-4, rel=1e-3)
    shown = read(replayed, setup)
    assert shown.value == pytest.approx(there, rel=1e-6)
    assert case.readings((setup,)).low[1, 0] == pytest.approx(there, rel=1e-6)
    assert case.counts.replayed == {}
    assert case.counts.audited == 1
    assert case.counts.audit_failures == 0


@pytest.mark.parametrize(
    ("done", "meter", "red", "black", "own"),
    [
        ("S1=run, S4=out, S8=off", "voltmeter", "X4.3@cabin", "F1.in:pin", 2),
        ("S1=run, S4=out, S8=off", "voltmeter", "F1.out", "G1.-:pin", 2),
        ("S1=run, S4=out, S8=off", "ohmmeter", "S5.2:face", "G1.-:pin", 2),
        ("S2=off, S5=off, S3=off", "voltmeter", "G2.D+", "F7.in:pin", 0),
        ("S8=on, pull F2", "ohmmeter", "S7.1", "S6.3:face", 0),
    ],
)
def test_what_goes_a_way_of_its_own_or_is_set_going_by_a_meter_is_read_on_from_where_it_stands(
    done: str, meter: str, red: str, black: str, own: int
) -> None:
    case = Case(load_file(EXAMPLES / "recovery-truck").value, 5)
    condition, ends = read_condition(done), [read_point(one) for one in (red, black)]
    assert condition is not None
    assert ends[0] is not None
    changes = {row: case.forecast.tables.change(row) for row in case.rows(120).tolist()}
    # What is a fuse of another rating, or held where no sound control can stand, is left to the reference.
    plain = [row for row, one in changes.items() if one is not None and not one.ratings and not one.held]
    rows = np.array(plain, dtype=np.intp)
    assert len(rows) > 100
    assert check_readings(case, Setup(condition, ends[0], ends[1], meter), rows) == len(rows)
    alone = {case.forecast.tables.like(row) for row in rows.tolist()} & {*case.forecast.tables.without_end(condition)}
    assert len(alone) >= own


def test_of_what_tables_are_not_sure_of_a_few_go_by_themselves_and_the_others_are_left_to_the_reference(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    condition = read_condition("S1=run, S4=out, S8=off")
    assert condition is not None
    replayed = []
    for most in (tables_module.MOST_ALONE, 1):
        monkeypatch.setattr(tables_module, "MOST_ALONE", most)
        case = Case(load_file(EXAMPLES / "recovery-truck").value, 5)
        check_sights(case, condition, case.rows(150))
        replayed.append(case.forecast.counts.replayed.get("sights", 0))
    assert replayed[0] < replayed[1]


def looked_at_twice(
    car: Vehicle, rows: list[tuple[Fault, ...]], condition: Condition
) -> tuple[TabledForecast, Modelled]:
    """By tables and by replay, which see the same."""
    lowering = LoweringOf(car)
    forecast, replays = TabledForecast(car, rows, lowering), Modelled(car, rows, lowering)
    here, there = forecast.sights(condition), replays.sights(condition)
    for name in TABLES:
        one, other = getattr(here, name), getattr(there, name)
        assert near(one, other, 1e-5 + 1e-5 * np.abs(other)).all(), name
    return forecast, replays


def test_a_load_that_is_open_inside_goes_a_way_of_its_own_in_the_tables() -> None:
    """Beside a fault under which what agents see is too near to something else."""
    car, condition = load_file(EXAMPLES / "library-saloon").value, Condition()
    beside = read_fault("swapped X1.1@saloon with X1.2@saloon")
    assert beside is not None
    loads = {part.id for part in car.parts.values() if part.kind in ("lamp", "led", "motor")}
    inside = [row for row in single_faults(car) if row.mode == "open" and row.target in loads]
    pairs = [(), (beside,), *((beside, one) for one in inside)]
    forecast, _ = looked_at_twice(car, pairs, condition)
    assert len(forecast.tables.without_end(condition)) == len(pairs) - 1
    assert forecast.counts.replayed.get("sights", 0) == 0


def test_swapped_pins_that_tie_what_was_apart_are_in_the_tables() -> None:
    """Two islands are tied by two new elements, or a piece of each is: all that held them but one is let go."""
    case = Case(load_file(EXAMPLES / "library-van").value, 2)
    swapped = [row for row, faults in enumerate(case.known.faults) if faults and faults[0].mode == "swapped"]
    rows = np.array(swapped[::4], dtype=np.intp)
    condition = read_condition("S56=on")
    assert condition is not None
    check_sights(case, condition, rows)
    assert len(rows) > 100
    # Without that 15 of them were replayed; what hangs on 10 kohm loses too many digits where it is let go.
    assert case.forecast.counts.replayed.get("sights", 0) <= 8
    assert case.forecast.counts.audit_failures == 0


BUZZER = f"""{RELAY}
relay  K9 changeover 30 85 86 87 87a at box "buzzer"
fuse   F3 0.1A at box "small"
SP1 (RD 1mm2 0.3m) K9.30
K9.87a (RD 1mm2 0.3m) K9.86
K9.85 (BN 0.75mm2 0.3m) W1/b
SP1 (RD 1mm2 0.3m) F3
"""


@pytest.mark.parametrize(("meter", "red", "volts", "moves"), [
    ("test-lamp", "F3.out", 0.0, True), ("voltmeter", "F3.out", 12.649, False), ("voltmeter", "K9.86", 12.645, False),
])  # fmt: skip
def test_what_a_meter_sets_going_goes_on_beside_what_chatters(meter: str, red: str, volts: float, moves: bool) -> None:
    """A test lamp blows the small fuse whether or not a relay buzzes elsewhere."""
    ready = ready_for(LoweringOf(vehicle(BUZZER)).netlist)
    shown = read(operate(ready, Condition()), Setup(Condition(), read_point(red), read_point("G1.-"), meter))
    assert shown.value == pytest.approx(volts, abs=0.01)
    assert ("moves" in shown.flags) == moves
    assert "chatter" in shown.flags


def test_rows_of_sights_are_written_over_whole() -> None:
    table = np.zeros((4, 3))
    fill_rows(table, [1, 3], np.array([[0.0, 2.0, 0.0], [np.nan, 0.0, 0.0]]))
    fill_rows(table, [1], np.array([[5.0, 0.0, 0.0]]))
    np.testing.assert_array_equal(table, [[0, 0, 0], [5, 0, 0], [0, 0, 0], [np.nan, 0, 0]])


@pytest.mark.parametrize(("file", "done"), [
    ("cases/5-tarpaulin.circuit", "S1=run"), ("cases/1-blower.circuit", "S20=3"), ("library-saloon", "S4=on"),
    ("flatbed-indicators", "S9=on"),
])  # fmt: skip
def test_pairs_of_faults_are_in_the_tables(file: str, done: str) -> None:
    """What opens a way to what hangs on it, or ties it elsewhere, beside another change."""
    car = load_file(EXAMPLES / file).value
    condition = read_condition(done)
    assert condition is not None
    rng, singles = np.random.default_rng(3), hypotheses(car, single_faults(car)).faults
    drawn = (sorted(rng.choice(np.arange(1, len(singles)), 2, replace=False)) for _ in range(150))
    pairs = [(), *dict.fromkeys(tuple(sorted((*singles[one], *singles[other]))) for one, other in drawn)]
    forecast, replays = looked_at_twice(car, pairs, condition)
    assert forecast.counts.replayed.get("sights", 0) < 0.15 * len(pairs)
    battery = next(part.id for part in car.parts.values() if part.kind == "battery")
    points = [point for point in forecast.reference.sound.p.netlist.node_of if point.part != battery]
    for meter in ("voltmeter", "ohmmeter", "low-impedance", "voltmeter", "ohmmeter", "voltmeter"):
        red, black = (points[rng.integers(len(points))] for _ in range(2))
        setup = Setup(condition, red, Point(battery, "-", layer="pin") if rng.random() < 0.5 else black, meter)
        read_here, read_there = forecast.readings([setup]).low[:, 0], replays.readings([setup]).low[:, 0]
        fine = near(read_here, read_there, 2e-4 + 1e-3 * np.abs(read_there))
        assert fine.all(), (str(setup), [list(map(str, pairs[row])) for row in np.flatnonzero(~fine)[:3]])
