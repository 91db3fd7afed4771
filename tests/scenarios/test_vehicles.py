"""The small example vehicles do what their labels say, in the states that a driver puts them in."""

import pytest

from tests.scenarios.bench import bench

FUNCTIONS = {
    "library-saloon": {
        "S3=up": "E1 E2 E3 E4 E5 E6",
        "S2=down, S4=on, S5=on": "E7 M1",
        "S1=off, S4=on, S5=on": "",
    },
    "touring-coach": {"S12=on": "E1 E2", "S13=on": "E3", "S1=run": ""},
    "livestock-trailer": {
        "S12=on": "E3.2-3 E4.2-3 E31.3-4 E32.3-4 E33",
        "couple X50, S11=on": "E31.2-4 E32.2-4 trailer::E31.2-4 trailer::E32.2-4",
        "S1=run, couple X50, S10=left": "E3.1-3 E31.1-4 trailer::E31.1-4",
        "S1=run, couple X50, S10=right": "E4.1-3 E32.1-4 trailer::E32.1-4",
        "S10=left": "",
    },
    "vintage-tractor": {"S2=on": "E1 E2", "S3=on": "B1", "S2=on, pull F2": ""},
    "school-minibus": {
        "S1=run, S31=reverse": "E21 E22 B7",
        "S31=reverse": "",
        "S20=on": "E9",
        "S1=run, S21=on": "M1",
    },
    "road-sweeper": {"S1=run": "Y1", "S4=on": "E1 E2", "S0=off, S1=run, S4=on": ""},
    "fire-appliance": {"S20=on": "E20 E21 E22 E23", "S21=on": "E30 E31", "S1=run, S22=on": "E32"},
    "camper-van": {
        "S1=run": "H1",
        "S1=run, engine=run": "R2",
        "S10=open, S11=on": "M1 E1 E2 E3",
        "S12=high": "M2",
        "S5=off, S10=open, S11=on, S12=high": "",
    },
    "pavement-sweeper": {
        "S1=run, S4=down": "Y1",
        "S1=run, S4=turn": "Y1 Y2",
        "S5=on, S6=on": "E1 E2 E3",
        "S1=run, S7=high": "M2",
        "S3=on, S4=turn, S7=high": "",
    },
    "recovery-truck": {
        "S1=run, S4=in, S5=reel-in": "Y1",
        "S1=run, S4=in, S6=pay-out": "Y2",
        "S1=run, S4=out, S5=reel-in": "",
        "S1=run, S7=reverse": "B7 E6",
        "S1=run, S3=on": "E3 E4",
        "S2=on, S8=on": "E1 E2 E5",
    },
}
CASES = [(name, condition, lit) for name, states in FUNCTIONS.items() for condition, lit in states.items()]


@pytest.mark.parametrize(("name", "condition", "lit"), CASES)
def test_what_works_in_which_state(name: str, condition: str, lit: str) -> None:
    assert bench(name).lit(condition) == set(lit.split())


def test_the_second_battery_charges_only_while_the_alternator_does() -> None:
    camper = bench("camper-van")
    assert camper.volts("G3.+", "G3.-", "S1=run, engine=run") > 13.8
    assert camper.volts("G3.+", "G3.-", "S1=run") < 12.8
    assert camper.volts("K1.86", "K1.85", "S1=run") < 2.0


def test_a_dead_engine_bay_leaves_the_living_area_live() -> None:
    """A second source: what looks disconnected is not."""
    camper = bench("camper-van").but("open G1.+~F1.in", "open G1.+~F50.in", "open G1.+~F51.in", "open G1.+~F52.in")
    assert camper.volts("K1.87", None) > 12.0
    assert camper.lit("S11=on") == {"E1", "E2", "E3"}


def test_the_water_pump_runs_by_pulses_and_stops_on_a_low_tank() -> None:
    sweeper = bench("pavement-sweeper")
    on = "S1=run, engine=run, S3=on"
    assert sweeper.loads(on)["M1"].pulsing
    shown = sweeper.reading("M1.+", "M1.-", on)
    assert shown.value is not None
    assert shown.high is not None
    assert shown.value == pytest.approx(0.65 * shown.high, rel=0.02)
    assert sweeper.loads(f"{on}, B4.tank=low")["M1"].light == "dead"


def test_the_converter_holds_twelve_volts_whatever_the_battery_does() -> None:
    truck = bench("recovery-truck")
    for supply in ("supply 22V", "supply 28V"):
        assert truck.volts("R1.1", "R1.2", f"{supply}, S1=run") == pytest.approx(12.0, abs=0.4)
