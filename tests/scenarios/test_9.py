"""Scenario 9: a sweeper's rear brush controller drops off the bus. CAN-H is pushed back in cavity 4 of C7.

Assumed: three nodes of 30 kohm on the line, terminators of 120 ohm in the cab and in the brush controller's housing,
about 13 m of 0.5 mm2, 24.8 V at the battery. What the drivers put on the line (the printed 2.6 V and 2.4 V at the
socket, traffic) is not modelled, so that only the dead readings are held here.
"""

import math

import pytest

from tests.scenarios.bench import bench, printed

SOUND = bench("road-sweeper")
PUSHED = SOUND.but("open contact C7.4@frame")
OFF, APART = "S0=off", "S0=off, unplug C7"
SOCKET = ("X60.6", "X60.14")
WIRES = ("C7.4@frame", "C7.5@frame")


def test_supply_and_ground_of_the_controller_are_excluded_first() -> None:
    """Step (a), printed: 24.6 V loaded, 0.1 V drop."""
    condition = "supply 24.8V, S1=run"
    for sweeper in (SOUND, PUSHED):
        assert sweeper.volts("A7.30", "A7.31", condition) == printed(24.6, 0.01)
        assert sweeper.volts("A7.31", None, condition) <= 0.1
        assert "Y1" in sweeper.lit(condition)


def test_ohms_at_the_socket_show_that_one_terminator_is_missing() -> None:
    """Step (b), printed: 60 ohm sound, 120 ohm found."""
    assert SOUND.ohms(*SOCKET, OFF) == printed(60, 0.02)
    assert PUSHED.ohms(*SOCKET, OFF) == printed(120, 0.02)


def test_unplugging_c7_changes_nothing_at_the_socket() -> None:
    """Step (c), printed: unchanged 120 ohm; in a sound sweeper it rises from 60 to 120."""
    assert PUSHED.ohms(*SOCKET, APART) == pytest.approx(PUSHED.ohms(*SOCKET, OFF), rel=0.01)
    assert SOUND.ohms(*SOCKET, APART) == printed(120, 0.02)


def test_both_sides_of_the_parted_plug_look_sound() -> None:
    """Step (c), printed: 120 ohm at the device's pins and at the harness's terminals."""
    assert PUSHED.ohms("C7.4@brush:face", "C7.5@brush:face", APART) == printed(120, 0.02)
    assert PUSHED.ohms(*WIRES, APART) == printed(120, 0.02)


def test_the_wire_side_passes_the_fault() -> None:
    """Plugged: the wire side has the line from the cab; the pin behind it has not. Only across the pair it shows."""
    assert PUSHED.ohms(SOCKET[0], WIRES[0], OFF) < 1.0
    assert SOUND.ohms("C7.4@frame", "C7.4@brush", OFF) < 0.1
    across = PUSHED.ohms("C7.4@frame", "C7.4@brush", OFF)
    assert across > 200.0
    assert math.isfinite(across)


def test_a_short_between_the_wires_reads_next_to_nothing() -> None:
    assert SOUND.but("short N4.H to N4.L").ohms(*SOCKET, OFF) < 1.0
