"""What changed between two harnesses: each kind of change alone, and nothing where nothing changed."""

from dataclasses import replace

from hypothesis import given
from hypothesis import strategies as st

from loombench.exchange.differences import ADDED, CHANGED, FITTED, HOLDER, REMOVED, WIRE, Difference, differences
from loombench.exchange.harness import ColourText, End, Fitted, Harness, Holder, Spot, Wire

A, B, C = (End(Spot("X1", cavity)) for cavity in ("1", "2", "3"))
WIRES = (
    Wire(
        "1", (A, B), "1", area_mm2=0.5, length_m=1.0, colour=ColourText(("RD",), "IEC"), type="FLRY-B", part_number="P"
    ),
    Wire("2", (B, C), "2", size_text="18 AWG"),
)
OLD = Harness(
    wires=WIRES,
    holders=(Holder("X1", "connector", cavities=("1", "2", "3")),),
    fitted=(Fitted("F1", "fuse", (Spot("B", "1"), Spot("B", "2")), rating_a=10.0),),
)


def wires(*changed: Wire) -> tuple[Difference, ...]:
    return differences(OLD, replace(OLD, wires=changed))


def test_each_field_of_a_wire() -> None:
    one, two = WIRES
    for new, field, before, after in (
        (replace(one, ends=(A, C)), "ends", "X1.1 - X1.2", "X1.1 - X1.3"),
        (replace(one, ends=(A, End(None))), "ends", "X1.1 - X1.2", " - X1.1"),
        (replace(one, area_mm2=0.75), "area", "0.5 mm2", "0.75 mm2"),
        (replace(one, area_mm2=None), "area", "0.5 mm2", ""),
        (replace(one, length_m=None), "length", "1000 mm", ""),
        (replace(one, length_m=1.0625), "length", "1000 mm", "1062.5 mm"),
        (replace(one, colour=ColourText(("RD", "YE"), "IEC")), "colour", "RD", "RD/YE"),
        (replace(one, type="FLRY-A"), "type", "FLRY-B", "FLRY-A"),
        (replace(one, part_number="Q"), "part_number", "P", "Q"),
        (replace(one, signal="30"), "signal", "", "30"),
        (replace(one, options=("A1",)), "options", "", "A1"),
    ):
        assert wires(new, two) == (Difference(CHANGED, WIRE, "1", field, before, after),)


def test_wires_added_and_removed() -> None:
    one, two = WIRES
    assert wires(two) == (Difference(REMOVED, WIRE, "1"),)
    other = Wire("9", (A, C), "9")
    assert wires(one, two, other) == (Difference(ADDED, WIRE, "9"),)


def test_a_wire_that_was_counted_anew_is_known_by_its_places() -> None:
    one, two = WIRES
    assert wires(replace(one, id="W1"), two) == ()
    assert wires(replace(one, id="W1", number="W1"), two) == ()
    assert wires(replace(one, id="W1", length_m=2.0), two) == (
        Difference(CHANGED, WIRE, "W1", "length", "1000 mm", "2000 mm"),
    )


def test_which_way_round_a_wire_is_given_is_no_change() -> None:
    one, two = WIRES
    assert wires(replace(one, ends=one.ends[::-1]), two) == ()


def test_holders_and_what_is_fitted() -> None:
    box = Holder("X1", "connector", cavities=("1", "2", "3"), joined=(("1", "2"),))
    weaker = replace(OLD.fitted[0], rating_a=7.5)
    new = replace(OLD, holders=(box, Holder("S1", "splice")), fitted=(weaker,))
    assert differences(OLD, new) == (
        Difference(CHANGED, HOLDER, "X1", "joined", "", "1=2"),
        Difference(ADDED, HOLDER, "S1"),
        Difference(CHANGED, FITTED, "F1", "rating", "10 A", "7.5 A"),
    )


@given(st.permutations(WIRES))
def test_order_alone_is_no_change(order: list[Wire]) -> None:
    assert differences(OLD, replace(OLD, wires=tuple(order))) == ()
