"""Trees with amperes: they are those of the circuit, and a node's law holds at every stud."""

import pytest

from loombench.app.sheets import feed_pages, places_pages, return_pages, through_in
from loombench.text.load import load_text
from loombench.text.names import read_condition

BENCH = load_text(
    """loombench 1
vehicle "Bench" 12V
body chassis
body boom
strap W9 boom chassis 0.3m 16mm2
stud W1 on chassis
stud W3 on boom
battery G1 12V 70Ah
fuse F2 10A
fuse F3 ?A
switch S4 off | on: 1=2
lamp E7 12V 55W
resistor R8 12ohm
G1.- (BK 16mm2 0.4m) W1/a
G1.+ (RD 6mm2 0.1m) F2 (RD 6mm2 0.1m) S4 (GY 6mm2 0.1m) R8 (BN 6mm2 0.1m) W3/a
G1.+ (RD 6mm2 0.1m) F3 (RD 6mm2 0.1m) E7 (BN 6mm2 0.1m) W1/b
""",
    "bench.circuit",
).value
ON = read_condition(BENCH, ("S4=on",)).value


def test_what_flows_is_what_ohm_says() -> None:
    """12.6 V or so over 12 ohm, with some milliohms of wire and contacts: a little over an ampere."""
    through = through_in(BENCH, ON).value
    assert through["F2"].amperes == pytest.approx(12.6 / 12.05, rel=0.02)
    assert through["F2"].rated_a == 10.0
    assert through["F3"].rated_a is None


def test_what_a_strap_carries_came_into_the_studs_of_its_body() -> None:
    through = through_in(BENCH, ON).value
    strap, stud = through["W9"].amperes, through["W3"].amperes
    assert strap is not None
    assert stud is not None
    assert abs(strap) == pytest.approx(stud, rel=1e-9)
    battery = through["G1"].amperes
    assert battery is not None
    assert abs(battery) == pytest.approx(sum(abs(through[name].amperes or 0.0) for name in ("F2", "F3")), rel=1e-6)


def test_the_pages_are_numbered_and_name_the_state() -> None:
    for made in (feed_pages(BENCH, ON), return_pages(BENCH, ON)):
        assert made.problems == ()
        assert [(page.number, page.count, page.paper) for page in made.value] == [(1, 1, "A4")]
        assert "S4=on" in made.value[0].svg
    assert "S4=on" not in feed_pages(BENCH).value[0].svg
    assert len(places_pages(BENCH)) == 1
