"""Scenario 1: the saloon lights of a mobile library, dead since it was cleaned. S3 has a centre position.

Assumed: lengths and sizes; six strips of 0.4 A; a supply of 12.7 V at rest. The sockets and ventilator are our own.
"""

import pytest

from tests.scenarios.bench import Bench, bench, printed

LIT = {"E1", "E2", "E3", "E4", "E5", "E6"}
SUPPLY = "supply 12.7V"


def as_drawn() -> Bench:
    return bench("library-saloon")


def as_built() -> Bench:
    """S3 renewed with an on-off-on rocker."""
    return bench("library-saloon", "centre-off-rocker")


@pytest.mark.parametrize("of", [as_drawn(), as_built()], ids=["as drawn", "as built"])
def test_either_switch_turns_the_lights_over(of: Bench) -> None:
    for front, rear, on in (("up", "up", True), ("up", "down", False), ("down", "down", True), ("down", "up", False)):
        condition = f"{SUPPLY}, S2={front}, S3={rear}"
        assert of.lit(condition) == (LIT if on else set()), condition


def test_the_strips_take_what_is_printed() -> None:
    assert as_drawn().amps("F7.out", f"{SUPPLY}, S3=up") == printed(2.4)


def test_in_the_middle_no_position_of_the_other_switch_brings_light() -> None:
    for front in ("up", "down"):
        assert as_built().lit(f"{SUPPLY}, S3=middle, S2={front}") == set()


def test_the_middle_reads_like_a_broken_wire_behind_the_shelves() -> None:
    """Printed: 12.6 V on one traveller, 0.0 V at the common of S3."""
    found, condition = as_built(), f"{SUPPLY}, S3=middle"
    assert found.volts("S3.2", None, condition) == printed(12.6)
    assert found.volts("S3.3", None, condition) == pytest.approx(0.0, abs=0.05)
    assert found.volts("S3.1", None, condition) == pytest.approx(0.0, abs=0.05)
    broken = as_drawn().but("open S3.1~SP1")
    for pin in ("S3.2", "S3.3"):
        expected = found.volts(pin, None, condition)
        assert broken.volts(pin, None, f"{SUPPLY}, S3=up") == pytest.approx(expected, abs=0.01)


def test_operating_all_positions_tells_them_apart_at_no_cost() -> None:
    """Step (a): the lights return with S3 in an outer position; with a wire broken no position brings them back."""
    assert as_built().lit(f"{SUPPLY}, S3=middle, S3=up") == LIT
    broken = as_drawn().but("open S3.1~SP1")
    positions = [f"S2={front}, S3={rear}" for front in ("up", "down") for rear in ("up", "down")]
    assert all(broken.lit(f"{SUPPLY}, {position}") == set() for position in positions)


def test_the_fuse_reads_the_same_on_both_sides_whether_loaded_or_not() -> None:
    """Step (b), printed: F7 both sides loaded 12.6 / 12.6."""
    for condition in (f"{SUPPLY}, S3=middle", f"{SUPPLY}, S3=up"):
        for side in ("F7.in", "F7.out"):
            assert as_built().volts(side, None, condition) == printed(12.6)


def test_the_control_left_elsewhere_is_a_fault_that_can_be_written() -> None:
    """What the user believes is S3=up; where it is, the drawing of the built switch can say."""
    believed = f"{SUPPLY}, S2=up, S3=up"
    assert as_built().but("position S3 middle").lit(believed) == set()
    assert as_built().but("position S3 up").lit(believed) == LIT
