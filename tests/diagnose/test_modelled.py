"""The forecast against plain prediction: what is not solved (a fault that changes nothing), what is read without
putting the meter on (stiffly tied points), and what goes on from an earlier condition must all give the same."""

from pathlib import Path

import numpy as np
import pytest

from loombench.circuit.catalogue import single_faults
from loombench.circuit.fault import Fault
from loombench.circuit.lower import LoweringOf, lower
from loombench.circuit.observe import observe
from loombench.circuit.predict import predict
from loombench.diagnose.hypothesis import Hypotheses, hypotheses
from loombench.diagnose.modelled import Modelled
from loombench.text.load import load_file
from loombench.vehicle.condition import Condition, Operation, Setup
from loombench.vehicle.model import Vehicle
from loombench.vehicle.points import Point, read_point
from tests.diagnose.vehicles import LAMP, RELAY, vehicle

MINUS = Point("G1", "-", layer="pin")
EVERY = 7


def lamp() -> tuple[Vehicle, list[Setup]]:
    on = Condition((Operation("set", "S4", "on"),))
    dark, out = Condition(), on.then(Operation("pull", "F12"))
    return vehicle(LAMP), [
        Setup(on, Point("E7", "1"), MINUS),
        Setup(on, Point("E7", "2"), MINUS),
        Setup(on, Point("F12", "in", layer="pin"), Point("F12", "out", layer="pin")),
        Setup(dark, Point("S4", "1"), MINUS),
        Setup(dark, Point("S4", "2"), MINUS),
        Setup(out, Point("F12", "out"), MINUS, "ohmmeter"),
        Setup(on.then(Operation("unplug", "X12")), Point("X12", "1", "chassis"), MINUS),
    ]


def relay() -> tuple[Vehicle, list[Setup]]:
    on = Condition((Operation("set", "S7", "push"),))
    return vehicle(RELAY), [
        Setup(on, Point("K4", "87"), MINUS),
        Setup(on, Point("K4", "86"), Point("K4", "85")),
        Setup(Condition(), Point("K4", "30"), MINUS),
        Setup(
            on.then(Operation("pull", "K4")), Point("K4", "86", layer="pin"), Point("K4", "85", layer="pin"), "ohmmeter"
        ),
    ]


def sampled(car: Vehicle) -> tuple[Hypotheses, np.ndarray, Modelled]:
    known = hypotheses(car, single_faults(car))
    rows = np.array([0, *range(1, len(known.faults), EVERY)], dtype=np.intp)
    return known, rows, Modelled(car, known.faults, LoweringOf(car))


@pytest.mark.parametrize("case", [lamp, relay])
def test_readings_are_those_of_plain_prediction(case: object) -> None:
    car, setups = case()  # type: ignore[operator]
    known, rows, forecast = sampled(car)
    plain = predict(car, setups, [known.faults[row] for row in rows], lower)
    found = forecast.readings(setups, rows)
    np.testing.assert_array_equal(np.isnan(found.low[rows]), np.isnan(plain.values))
    over = np.isinf(plain.values) | (np.abs(plain.values) > 1e6)
    assert (found.low[rows][over] > 1e6).all()
    # A thousandth of a reading, and what a nanoampere makes on the 10 Mohm of a meter. There is no rhythm here, so low
    # and high differ only where a fuse may hold or blow.
    for ours, theirs in ((found.low, plain.low), (found.high, plain.high)):
        np.testing.assert_allclose(ours[rows][~over], theirs[~over], rtol=1e-3, atol=0.011)
    assert forecast.solved() < len(rows) * len({setup.condition for setup in setups})


@pytest.mark.parametrize("case", [lamp, relay])
def test_sights_are_those_of_plain_observation(case: object) -> None:
    car, setups = case()  # type: ignore[operator]
    known, rows, forecast = sampled(car)
    for condition in dict.fromkeys(setup.condition for setup in setups):
        plain = observe(car, condition, [known.faults[row] for row in rows], lower)
        found = forecast.sights(condition, rows)
        for row, seen in zip(rows, plain, strict=True):
            shares = {sight.id: sight.share * (sight.way if sight.kind == "motor" else 1) for sight in seen.loads}
            np.testing.assert_allclose(found.share[row], [shares[name] for name in found.loads], rtol=1e-6, atol=1e-6)
            blown = {name for name, share in zip(found.fuses, found.blown[row], strict=True) if share == 1.0}
            assert blown == set(seen.blown), known.faults[row]


def test_rows_that_are_not_asked_for_are_not_solved() -> None:
    car, setups = lamp()
    _, _, forecast = sampled(car)
    forecast.readings(setups[:1], np.array([0, 3], dtype=np.intp))
    assert forecast.solved() < 8


def test_what_a_flasher_hangs_on_without_current_is_solved() -> None:
    """The flasher's own ground carries no current in the model, and its lamps stop flashing without it."""
    car = load_file(Path(__file__).parents[2] / "examples" / "cases" / "3-indicators.circuit").value
    ground = (Fault("open", "contact W2/a"),)
    left = Condition((Operation("set", "S10", "left"),))
    forecast = Modelled(car, ((), ground), LoweringOf(car))
    found = forecast.sights(left)
    (plain,) = observe(car, left, [ground], lower)
    shares = {sight.id: sight.share for sight in plain.loads}
    np.testing.assert_allclose(found.share[1], [shares[name] for name in found.loads], rtol=1e-6, atol=1e-6)
    assert not np.allclose(found.share[0], found.share[1])


def test_a_way_that_the_meters_own_current_takes_is_not_cut_without_a_change() -> None:
    """Less than a nanoampere through it shows as eight millivolts on a meter of 10 Mohm, and as none once it is cut."""
    car = load_file(Path("examples/library-van/vehicle.circuit")).value
    fault = (Fault("open", "X35.2~W11/b"),)
    setup = Setup(Condition((Operation("set", "S1", "run"),)), Point("H4", "-"), read_point("X4.2@cab"))
    sound, cut = Modelled(car, ((), fault), LoweringOf(car)).readings((setup,)).low[:, 0]
    assert sound == pytest.approx(0.008, abs=1e-4)
    assert cut == 0.0


def recovery_truck() -> Vehicle:
    return load_file(Path("examples/recovery-truck/vehicle.circuit")).value


def test_a_short_that_wakes_a_converter_on_a_floating_piece_is_solved() -> None:
    """Its input ties nothing, so that the fuse before it floats; joined to the supply it draws."""
    truck, condition = recovery_truck(), Condition((Operation("set", "S8", "off"),))
    short = (Fault("short", "F4.out", "supply", 0.3),)
    found = Modelled(truck, ((), short), LoweringOf(truck)).sights(condition)
    (plain,) = observe(truck, condition, [short], lower)
    assert found.draw_a[1].tolist() == pytest.approx([dict(plain.draw_a)[name] for name in found.batteries])
    assert found.draw_a[1].max() > 0.5 > found.draw_a[0].max()


def test_what_chatters_with_the_meter_on_says_nothing_of_other_rows() -> None:
    """The test lamp feeds the converter, which starts and stops by turns; behind 1,000 ohm it stays on."""
    truck = recovery_truck()
    condition = Condition((Operation("set", "S2", "on"), Operation("set", "S3", "on")))
    setup = Setup(condition, read_point("F4.in"), read_point("E2.+"), "test-lamp")
    weak = (Fault("resistance", "contact U1.out", ohm=1000.0),)
    sound, found = Modelled(truck, ((), weak), LoweringOf(truck)).readings((setup,)).low[:, 0]
    assert found == pytest.approx(predict(truck, (setup,), [weak], lower).values[0, 0])
    assert abs(found - sound) > 0.5
