"""Readings of one set-up over time: which are a course, in which order, and what is left out."""

import math

from loombench.app.desk.courses import courses
from loombench.base.wording import catalogue
from loombench.evidence.envelope import Envelope, envelope
from loombench.evidence.events import Note, ReadingTaken
from loombench.vehicle.condition import Condition, Operation, Setup
from loombench.vehicle.points import Point

PLUS = Setup(Condition(), Point("G1", "+"), Point("G1", "-"))
ON = Setup(Condition((Operation("set", "S4", "on"),)), Point("G1", "+"), Point("G1", "-"))
WORDS = catalogue("en")


def at(number: int, clock: str, setup: Setup, value: float, unit: str = "V") -> Envelope:
    return envelope(number, f"2026-03-02T{clock}+01:00", "c", "", ReadingTaken(setup, value, unit))


def test_what_was_read_three_times_alike_is_a_course() -> None:
    found = courses(
        (
            at(1, "09:00:00", PLUS, 12.61), at(2, "09:00:30", ON, 12.1), at(3, "09:10:00", PLUS, 12.42),
            envelope(4, "2026-03-02T09:11:00+01:00", "c", "", Note("rain")), at(5, "09:20:30", PLUS, 12.3),
            at(6, "09:21:00", ON, 11.9), at(7, "09:22:00", PLUS, 0.2, "A"), at(8, "09:23:00", PLUS, 0.1, "A"),
        ),
        WORDS,
    )  # fmt: skip
    (only,) = found
    assert (only.unit, only.times_s, only.values) == ("V", (0.0, 600.0, 1230.0), (12.61, 12.42, 12.3))
    assert only.said[0][0] == "09:00:00"
    assert (only.least, only.most) == (only.said[2][1], only.said[0][1])
    assert "G1.+" in only.setup


def test_a_clock_that_went_back_and_another_zone_are_put_in_order() -> None:
    late = envelope(2, "2026-03-02T08:30:00+00:00", "c", "", ReadingTaken(PLUS, 2.0, "V"))
    (only,) = courses((at(1, "09:10:00", PLUS, 1.0), late, at(3, "09:00:00", PLUS, 3.0)), WORDS)
    assert (only.times_s, only.values) == ((0.0, 600.0, 1800.0), (3.0, 1.0, 2.0))


def test_readings_of_one_second_stay_in_their_order() -> None:
    (only,) = courses(tuple(at(number, "09:00:00", PLUS, 13.0 - number) for number in (1, 2, 3)), WORDS)
    assert only.values == (12.0, 11.0, 10.0)


def test_an_open_circuit_has_no_place_in_a_course() -> None:
    open_ohm = at(3, "09:02:00", PLUS, math.inf, "ohm")
    twice = (at(1, "09:00:00", PLUS, 1.0, "ohm"), at(2, "09:01:00", PLUS, 2.0, "ohm"))
    assert courses((*twice, open_ohm), WORDS) == ()
    assert len(courses((*twice, open_ohm, at(4, "09:03:00", PLUS, 3.0, "ohm")), WORDS)) == 1
