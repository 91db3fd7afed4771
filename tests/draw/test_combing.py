"""Lines combed: no step like a slip of the pen, no two lines that look like one, and all else as it was."""

import pytest

from loombench.draw.layout.arrange import Spot
from loombench.draw.layout.combing import CLEAR_MM, combed
from loombench.draw.layout.labels import Box

Way = tuple[Spot, ...]
STEP: Way = ((10.0, 0.0), (10.0, 10.0), (30.0, 10.0), (30.0, 40.0), (29.6, 40.0), (29.6, 50.0))
UPRIGHT: Way = ((0.0, 0.0), (0.0, 10.0), (20.0, 10.0), (20.0, 40.0), (0.0, 40.0), (0.0, 50.0))
BESIDE: Way = ((21.7, 5.0), (21.7, 45.0))


def test_a_small_step_runs_straight() -> None:
    assert combed({"w": STEP}, (), ()) == {"w": ((10.0, 0.0), (10.0, 10.0), (29.6, 10.0), (29.6, 50.0))}


def test_a_step_from_pin_to_pin_stays() -> None:
    way = ((10.0, 0.0), (10.0, 10.0), (10.4, 10.0), (10.4, 20.0))
    assert combed({"w": way}, (), ()) == {"w": way}


def test_lines_nearer_than_the_eye_parts_move_apart() -> None:
    made = combed({"w": UPRIGHT, "v": BESIDE}, (), ())
    assert made["v"] == BESIDE
    x = round(21.7 - CLEAR_MM, 2)
    assert made["w"] == ((0.0, 0.0), (0.0, 10.0), (x, 10.0), (x, 40.0), (0.0, 40.0), (0.0, 50.0))


@pytest.mark.parametrize(
    ("others", "joints", "solid"),
    [
        ({}, ((20.0, 20.0),), ()),
        ({}, (), (Box(18.0, 20.0, 1.5, 5.0),)),
        ({"u": ((17.6, 12.0), (17.6, 38.0))}, (), ()),
        ({"u": ((19.5, 20.0), (0.0, 20.0))}, (), ()),
    ],
    ids=["a joint on it", "something solid", "another line beside", "a line it would touch"],
)
def test_nothing_is_moved_where_that_makes_it_worse(
    others: dict[str, Way], joints: tuple[Spot, ...], solid: tuple[Box, ...]
) -> None:
    ways = {"w": UPRIGHT, "v": BESIDE, **others}
    assert combed(ways, joints, solid) == ways
