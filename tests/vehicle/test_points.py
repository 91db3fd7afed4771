"""Points by name: what is written reads back the same."""

import pytest

from loombench.vehicle.points import Point, read_point

POINTS = (
    Point("E7", "1"),
    Point("E7", "1", layer="pin"),
    Point("X12", "3", "chassis", "face"),
    Point("W1", "a", ring=True),
    Point("SP7"),
    Point("trailer::E31", "2"),
    Point("trailer::X70", "1", "trailer::drawbar"),
    Point("trailer::X70", "1", "trailer::drawbar", "face"),
)


@pytest.mark.parametrize("point", POINTS, ids=str)
def test_a_point_reads_back(point: Point) -> None:
    assert read_point(str(point)) == point


def test_what_is_no_point_is_none() -> None:
    assert [read_point(text) for text in ("", "E7 1", "E7.1:back", "X12.3@")] == [None] * 4
