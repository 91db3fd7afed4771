"""Scenario 7: a minibus blows its reverse fuse at once, and what a lamp in place of the fuse tells.

Fixed: 10 A fuse, two lamps of 21 W, a buzzer, a trailer module's trigger chafed to ground with 0.05 ohm, a 21 W
limiter. Assumed: 12.6 V, engine off; lengths and sizes, so that the loop comes near the printed 56 A; a buzzer of
0.2 A. The node is the wire at C44, next to the place; the limiter lamp is an option of the example, clipped across the
fuse's holder while the fuse is pulled.
"""

import pytest

from loombench.circuit.finding import FuseOpens
from tests.scenarios.bench import bench, printed

CHAFED = "short C44.1@tow to ground 0.05ohm"
SUPPLY = "supply 12.6V, S1=run"
REVERSE = f"{SUPPLY}, pull F14, S31=reverse"
NODE = "C44.1@rear"
LIMITED = bench("school-minibus", "limiter")
SHORTED = LIMITED.but(CHAFED)


def test_without_a_limiter_the_fuse_opens_at_once() -> None:
    """Printed: about 56 A."""
    (opens,) = bench("school-minibus").but(CHAFED).settled(f"{SUPPLY}, S31=reverse").findings
    assert isinstance(opens, FuseOpens)
    assert (opens.variable, opens.rated_a) == ("fuse:F14", 10.0)
    assert opens.current_a == printed(56)
    assert opens.t_max_s < 1.0
    assert bench("school-minibus").settled(f"{SUPPLY}, S31=reverse").findings == ()


def test_the_limiter_is_bright_with_and_without_the_short() -> None:
    """Printed: 12.4 V across it with the short, 9.9 V after the repair: both look bright."""
    assert SHORTED.volts("E90.1", "E90.2", REVERSE) == printed(12.4)
    assert LIMITED.volts("E90.1", "E90.2", REVERSE) == printed(9.9)


def test_the_node_tells() -> None:
    """Printed: 0.08 V with the short, 2.7 V without."""
    assert SHORTED.volts(NODE, None, REVERSE) == printed(0.08)
    assert LIMITED.volts(NODE, None, REVERSE) == printed(2.7)


def test_in_neutral_the_limiter_is_out_so_it_is_behind_the_switch() -> None:
    assert SHORTED.volts("E90.1", "E90.2", f"{SUPPLY}, pull F14, S31=forward") == pytest.approx(0.0, abs=0.01)


def test_unplugging_c44_brings_the_node_back_so_it_is_beyond() -> None:
    """Printed: 2.7 V."""
    assert SHORTED.volts(NODE, None, f"{REVERSE}, unplug C44") == printed(2.7)


def test_with_both_lamps_out_and_no_short_the_node_is_near_the_supply() -> None:
    """Printed: 12.3 V."""
    assert LIMITED.volts(NODE, None, f"{REVERSE}, unplug E21, unplug E22") == printed(12.3)
    assert SHORTED.volts(NODE, None, f"{REVERSE}, unplug E21, unplug E22") < 0.15


def test_ohms_at_the_fuse_say_little_with_cold_lamps_in_circuit() -> None:
    """Printed: 0.3 ohm, and healthy; with the lamps out the short alone is left."""
    sound, shorted = bench("school-minibus"), bench("school-minibus").but(CHAFED)
    at = "pull F14, S31=reverse"
    assert sound.ohms("E21.1", "W1", at) == printed(0.3)
    assert sound.ohms("F14.out", "W1", at) < 0.6
    assert shorted.ohms("F14.out", "W1", at) < sound.ohms("F14.out", "W1", at)
    out = f"{at}, unplug E21, unplug E22"
    assert sound.ohms("F14.out", "W1", out) > 30.0
    assert shorted.ohms("F14.out", "W1", out) < 0.35


@pytest.mark.parametrize(("option", "across"), [("limiter-5W", 12.3), ("limiter-21W", 9.9), ("limiter-55W", 4.7)])
def test_a_limiter_in_series_with_two_healthy_lamps(option: str, across: float) -> None:
    """The same with next to no wire, printed: a 5 W limiter takes 12.3 V, one of 21 W 9.9 V, one of 55 W 4.7 V."""
    tractor, condition = bench("vintage-tractor", option), "supply 12.6V, pull F2, S2=on"
    assert tractor.volts("E90.1", "E90.2", condition) == printed(across)
    shorted = tractor.but("short E1.1 to ground")
    assert shorted.volts("E90.1", "E90.2", condition) == printed(12.4)
    assert shorted.volts("SP2", None, condition) < 0.15 < tractor.volts("SP2", None, condition)


def test_a_limiter_larger_than_the_load_tells_by_its_light() -> None:
    """Below half its volts a 55 W lamp is dim with healthy lamps; those of 5 and 21 W are bright either way."""
    shares = {
        option: bench("vintage-tractor", option).volts("E90.1", "E90.2", "supply 12.6V, pull F2, S2=on") / 12.0
        for option in ("limiter-5W", "limiter-21W", "limiter-55W")
    }
    assert shares["limiter-55W"] < 0.5
    assert min(shares["limiter-5W"], shares["limiter-21W"]) > 0.75
