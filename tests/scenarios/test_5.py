"""Scenario 5: a livestock trailer, fine in the yard, mad on the road. The return in the plug is broken.

Fixed by the scenario: seven pins, lamps of the trailer tapped to the pick-up's own. Assumed: 21 W stop lamps and
indicators, one pair at either rear, one indicator at either front of the pick-up; 5 W tail lamps and number plates;
12.7 V, engine off; 1.5 mm2 in the seven-core cable. The node is the trailer's frame, against the pick-up's ground.
"""

import pytest

from tests.scenarios.bench import Bench, bench, printed

SOUND = bench("livestock-trailer")
BROKEN = SOUND.but("open trailer::P1.3~trailer::W1/a")
READY = "supply 12.7V, couple X50, S1=run"
TAIL, STOP, BOTH = f"{READY}, S12=on", f"{READY}, S11=on", f"{READY}, S12=on, S11=on"


def node(of: Bench, condition: str) -> float:
    return of.volts("trailer::W1", "W1", condition)


def lamp(of: Bench, pin: str, condition: str) -> float:
    """Volts across a filament of the left rear lamp, whichever way round."""
    return abs(of.volts(f"trailer::E31.{pin}", "trailer::E31.4", condition))


def test_the_sound_trailer_reads_what_is_printed() -> None:
    """Printed with brake and lights: node 0.13 V, tail 12.4 V, stop 11.8 V, indicators 0 V; brake alone: 0.10 V."""
    assert node(SOUND, BOTH) == printed(0.13)
    assert lamp(SOUND, "3", BOTH) == printed(12.4)
    assert lamp(SOUND, "2", BOTH) == printed(11.8)
    assert lamp(SOUND, "1", BOTH) == pytest.approx(0.0, abs=0.2)
    assert node(SOUND, STOP) == printed(0.10)


def test_tail_lamps_alone_look_right_and_do_not_clear_the_ground() -> None:
    """Printed: 11.65 V across them, the node at 0.84 V."""
    assert lamp(BROKEN, "3", TAIL) == printed(11.65)
    assert node(BROKEN, TAIL) == printed(0.84)
    tails = [BROKEN.loads(TAIL)[f"trailer::E3{side}.3-4"].light for side in (1, 2)]
    assert tails == ["full", "full"]


def test_brake_and_lights_together_show_it() -> None:
    """Printed: node 8.5 V, tail 4.0 V, stop 3.65 V, indicators that glow at 6.5 V."""
    assert node(BROKEN, BOTH) == printed(8.5)
    assert lamp(BROKEN, "3", BOTH) == printed(4.0)
    assert lamp(BROKEN, "2", BOTH) == printed(3.65)
    assert lamp(BROKEN, "1", BOTH) == printed(6.5)
    assert not BROKEN.lit(BOTH) & {f"trailer::E3{side}.{pin}-4" for side in (1, 2) for pin in (1, 2, 3)}


def test_the_brake_alone_shows_it_too() -> None:
    """Printed: node 5.36 V."""
    assert node(BROKEN, STOP) == printed(5.36)


def test_one_function_says_ten_times_less_than_two() -> None:
    assert node(BROKEN, BOTH) > 8 * node(BROKEN, TAIL)


def test_uncoupled_the_pick_up_is_sound() -> None:
    alone = "supply 12.7V, S1=run, S12=on, S11=on"
    assert BROKEN.lit(alone) >= {"E31.2-4", "E32.2-4", "E31.3-4", "E32.3-4", "E33"}
    assert BROKEN.lit(alone) == SOUND.lit(alone)
