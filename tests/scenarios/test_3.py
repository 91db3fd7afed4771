"""Scenario 3: a touring coach flat after a weekend. The contact of the galley's relay is welded.

Assumed: a full battery at rest (25.3 V); of the sleeping 0.05 A the body controller takes 27 mA, the tachograph 10 mA,
position reporting 12 mA; the galley's 1.55 A are 0.9 A of a water heater controller and what a 24/12 V converter takes
to keep a coffee machine standing by; eight fuses stand for the 42.
"""

import pytest

from tests.scenarios.bench import bench, printed

AWAKE, ASLEEP = "S1=run, S1=off, wait 600s", "S1=run, S1=off, wait 1800s"
OTHERS = ("F20", "F21", "F23", "F24", "F25", "F30", "F31")
WELDED = "stuck K7 pulled"
COACH = bench("touring-coach")


def test_asleep_a_sound_coach_takes_what_is_printed() -> None:
    assert COACH.amps("G1.-", ASLEEP) == printed(0.05)


def test_the_welded_contact_shows_at_the_clamp_only_when_all_is_asleep() -> None:
    """Printed: 3.4 A while the body controller is awake, 1.60 A from then on; 60 h of it are 96 Ah."""
    coach = COACH.but(WELDED)
    assert coach.amps("G1.-", AWAKE) == printed(3.4)
    assert coach.amps("G1.-", ASLEEP) == printed(1.60)
    assert 60 * coach.amps("G1.-", ASLEEP) == printed(96)


def test_millivolts_over_the_fuses_find_the_branch() -> None:
    """Printed: F22 7.4 mV = 1.55 A at 4.8 mohm, the others no more than 0.1 mV."""
    coach = COACH.but(WELDED)
    assert coach.fuse_mv("F22", ASLEEP) == printed(7.4)
    assert coach.fuse_mv("F22", ASLEEP) / 4.8 == printed(1.55)
    assert max(abs(coach.fuse_mv(fuse, ASLEEP)) for fuse in OTHERS) <= 0.1
    assert COACH.fuse_mv("F22", ASLEEP) == pytest.approx(0.0, abs=0.01)


def test_the_scan_points_elsewhere_while_the_body_controller_is_awake() -> None:
    coach = COACH.but(WELDED)
    assert coach.fuse_mv("F20", AWAKE) > 0.5 * coach.fuse_mv("F22", AWAKE)


def test_no_volts_at_the_coil_and_yet_volts_behind_the_contact() -> None:
    """Printed: coil 85-86 0.0 V, 87 = 25.2 V."""
    coach = COACH.but(WELDED)
    assert coach.volts("K7.86", "K7.85", ASLEEP) == pytest.approx(0.0, abs=0.05)
    assert coach.volts("K7.87", None, ASLEEP) == printed(25.2, 0.02)
    assert COACH.volts("K7.87", None, ASLEEP) == pytest.approx(0.0, abs=0.05)


def test_a_coil_that_clicks_proves_nothing() -> None:
    """With the key the coil has its volts and works, welded or not."""
    for coach in (COACH, COACH.but(WELDED)):
        assert coach.volts("K7.86", "K7.85", "S1=run") > 24.0
        assert coach.volts("K7.87", None, "S1=run") > 24.0


def test_pulling_the_relay_ends_the_draw() -> None:
    """Step (e), printed: F22 0.0 mV."""
    coach = COACH.but(WELDED)
    assert coach.fuse_mv("F22", f"{ASLEEP}, pull K7") == pytest.approx(0.0, abs=0.01)
    assert coach.amps("G1.-", f"{ASLEEP}, pull K7") == printed(0.05)
