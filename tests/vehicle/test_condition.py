"""Operations, conditions and points as text."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from loombench.vehicle.condition import Condition, Operation, read_operation
from loombench.vehicle.points import FACE, PIN, Point, read_point

NAMES = st.from_regex(r"[A-Z][0-9]{1,2}", fullmatch=True)


@pytest.mark.parametrize(
    "text", ["S4=on", "engine=run", "S7.wipe=1", "unplug X12", "plug A2.X3", "pull F12", "insert F12", "couple X50"]
)
def test_an_operation_reads_back(text: str) -> None:
    read = read_operation(text)
    assert read is not None
    assert str(read) == text


@pytest.mark.parametrize(
    ("text", "made"),
    [
        ("wait 2min", Operation("wait", "", "120")),
        ("supply 12,1V", Operation("supply", "", "12.1")),
        (" S4 = on ", Operation("set", "S4", "on")),
    ],
)
def test_amounts(text: str, made: Operation) -> None:
    assert read_operation(text) == made


@pytest.mark.parametrize("text", ["", "S4", "S4=", "=on", "wait", "wait 3V", "wait -3s", "supply ?V", "smash E7"])
def test_no_operation(text: str) -> None:
    assert read_operation(text) is None


@given(st.text(max_size=40))
def test_reading_never_raises(text: str) -> None:
    read_operation(text)
    read_point(text)


def test_order_is_kept() -> None:
    first, second = Operation("set", "S4", "on"), Operation("pull", "F12")
    assert Condition((first,)).then(second) != Condition((second,)).then(first)
    assert str(Condition()) == "at rest"


@pytest.mark.parametrize(
    "point",
    [
        Point("E7", "1"), Point("E7", "1", layer=FACE), Point("X12", "3", "chassis"), Point("G1", "+", layer=PIN),
        Point("X12", "3", "chassis", FACE), Point("W1", "a", ring=True), Point("SP7"), Point("trailer::E31", "2"),
        Point("A2", "X3/7"),
    ],
)  # fmt: skip
def test_a_point_reads_back(point: Point) -> None:
    assert read_point(str(point)) == point


@given(NAMES, st.from_regex(r"[a-z0-9]{1,4}", fullmatch=True), st.sampled_from(["", "chassis"]))
def test_made_points_read_back(part: str, pin: str, half: str) -> None:
    assert read_point(str(Point(part, pin, half))) == Point(part, pin, half)
