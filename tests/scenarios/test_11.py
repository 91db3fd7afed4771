"""Scenario 11: a locker lamp of a fire appliance is dead, and a meter reads nearly the whole supply at its plug.

The feed is broken ahead of X20, where a wet plug leaks 470 kohm from the neighbour's cavity. Assumed: the vehicle
stands on its charger at 27.2 V, from which the printed 26.0 V follow; the lamps of the locker are out of their plugs.
"""

import pytest

from tests.scenarios.bench import bench, printed

SOUND = bench("fire-appliance")
WET = SOUND.but("open SP1~X20.1", "short X20.1@lockers to X20.2@lockers 470kohm")
ON = "supply 27.2V, S20=on"
LAMPS_OUT = f"{ON}, unplug E20, unplug E21"


def test_the_lamp_is_dead_and_those_of_the_other_side_are_not() -> None:
    assert SOUND.lit(ON) == {"E20", "E21", "E22", "E23"}
    assert WET.lit(ON) == {"E22", "E23"}
    assert WET.loads(ON)["E20"].light == "dead"


def test_a_meter_of_ten_megohms_is_fooled() -> None:
    """Printed: 26.0 V; a sound feed gives 27.2."""
    assert WET.volts("E20.1", None, LAMPS_OUT) == printed(26.0, 0.01)
    assert SOUND.volts("E20.1", None, LAMPS_OUT) == printed(27.2, 0.01)


def test_a_load_shows_that_nothing_stands_behind_it() -> None:
    """Printed: 0.17 V with low impedance; 0.01 V with a test lamp, dark.

    The 0.01 V are what a *hot* filament of 4 W (144 ohm) would leave; cold, as it is, it leaves 0.7 mV.
    """
    assert WET.volts("E20.1", None, LAMPS_OUT, "low-impedance") == printed(0.17, 0.05)
    tester = WET.reading("E20.1", None, LAMPS_OUT, "test-lamp")
    assert tester.shows == "dark"
    assert tester.value == pytest.approx(0.0, abs=0.0101)
    assert SOUND.reading("E20.1", None, LAMPS_OUT, "test-lamp").shows == "bright"


def test_with_its_own_lamp_plugged_the_ghost_is_gone() -> None:
    """The load first: at the plugged lamp the meter reads millivolts, so the feed is condemned at once."""
    assert WET.volts("E20.1", None, ON) < 0.01


def test_a_tester_with_leds_may_still_light_faintly_on_the_ghost() -> None:
    """It asks for microamperes; what it shows is no proof of a feed."""
    tester = WET.reading("E20.1", None, LAMPS_OUT, "led-tester")
    assert tester.value is not None
    assert tester.value < 3.0
