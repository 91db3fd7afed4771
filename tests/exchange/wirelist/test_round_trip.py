"""A vehicle written as a wire list with its companion lists and read back keeps every electrical fact of its wires."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from loombench.exchange.colours import meaning
from loombench.exchange.harness import RING, Harness, Wire
from loombench.exchange.leaving import leave
from loombench.exchange.netcount import count
from loombench.exchange.wirelist.layout import AUTOMATIC
from loombench.exchange.wirelist.read import read_wirelist
from loombench.exchange.wirelist.write import write_lists, write_wirelist
from tests.exchange.out.vehicles import FILES, example, small

SHARE = 1e-6


def back(harness: Harness) -> Harness:
    lists = [(text.encode(), f"{name}.csv") for name, text in write_lists(harness).items()]
    found = read_wirelist(write_wirelist(harness).encode(), "wires.csv", AUTOMATIC, lists)
    assert not [one for one in found.problems if one.level.value != "note"]
    assert found.harness is not None
    return found.harness


def facts(wire: Wire) -> tuple[object, ...]:
    """All that matters of a wire but its size and length."""
    ends = tuple(str(end.spot) for end in wire.ends)
    told = (wire.number, wire.signal, wire.cable, wire.twist, wire.shield, wire.loom, wire.options, wire.type)
    return (ends, meaning(wire.colour), *told)


@pytest.mark.parametrize("name", ["small", *FILES])
def test_nothing_of_the_wires_is_lost(name: str) -> None:
    before = leave(small() if name == "small" else example(name))
    after = back(before)
    assert [facts(wire) for wire in after.wires] == [facts(wire) for wire in before.wires]
    for one, other in zip(before.wires, after.wires, strict=True):
        assert (other.area_mm2 is None, other.length_m is None) == (one.area_mm2 is None, not one.length_m)
        assert (other.area_mm2 or 0.0) == pytest.approx(one.area_mm2 or 0.0, rel=SHARE)
        assert (other.length_m or 0.0) == pytest.approx(one.length_m or 0.0, rel=SHARE)
    was, now = count(before), count(after)
    assert (now.connections, now.nets, now.largest_net) == (was.connections, was.nets, was.largest_net)
    assert (now.splices, now.rings, now.fuses) == (was.splices, was.rings, was.fuses)
    joined = {holder.id: holder.joined for holder in before.holders if holder.joined and holder.id in _ids(after)}
    assert {holder.id: holder.joined for holder in after.holders if holder.joined} == joined
    fuses = {(one.id, one.spots, one.rating_a) for one in before.fitted if one.kind == "fuse"}
    assert {(one.id, one.spots, one.rating_a) for one in after.fitted} == fuses
    studs = {(holder.id, holder.stud, holder.body) for holder in before.holders if holder.kind == RING}
    assert {(holder.id, holder.stud, holder.body) for holder in after.holders if holder.kind == RING} == studs
    assert {frozenset((one.a, one.b)) for one in after.matings} == {frozenset((one.a, one.b)) for one in before.matings}


def _ids(harness: Harness) -> set[str]:
    return {holder.id for holder in harness.holders}


CELLS = st.sampled_from(
    ("", "X1", "X1-1", "1", "2", "SPL", "GND", "12", "12A", "RD", "rt/ge", "BR", "0,5", "18", "1,200", "2-Jan", "x",
     "-", "mm", "#", "Total", "W", "?", "X1.2.3(4)", "250mm", "10E+4", "=1+1", "\x00\x1b", "Ã¼", "/NULL", "A" * 300)
)  # fmt: skip
HEADS = st.sampled_from(
    ("wire", "from", "to", "pin", "connector", "color", "size", "length", "Von", "Nach", "kind", "option", "", "LHD",
     "unit", "splice", "wires", "fuse", "rating", "twisted with", "mating connector", "ways", "End 1", "End 2")
)  # fmt: skip
TABLES = st.tuples(st.lists(HEADS, min_size=1, max_size=8), st.lists(st.lists(CELLS, max_size=8), max_size=6))


def text(table: tuple[list[str], list[list[str]]]) -> bytes:
    heads, rows = table
    return "\n".join(";".join(row) for row in (heads, *rows)).encode()


@settings(max_examples=150)
@given(TABLES, TABLES)
def test_no_table_raises_and_no_wire_gets_lost_in_silence(
    wires: tuple[list[str], list[list[str]]], other: tuple[list[str], list[list[str]]]
) -> None:
    found = read_wirelist(text(wires), "a.csv", AUTOMATIC, [(text(other), "b.csv")])
    rows = dict(found.rows)
    assert found.harness is not None or found.problems
    known = ("wire", "refused", "comment", "heading", "other", "bar")
    if found.harness is not None:
        assert rows.get("row", 0) == sum(rows.get(name, 0) for name in known)
        holders = {holder.id: holder for holder in found.harness.holders}
        assert len(holders) == len(found.harness.holders)
        spots = [end.spot for wire in found.harness.wires for end in wire.ends if end.spot is not None]
        assert all(spot.cavity in holders[spot.holder].cavities for spot in spots)
        assert len({wire.id for wire in found.harness.wires}) == len(found.harness.wires)


@given(st.binary(max_size=300))
def test_no_bytes_raise(data: bytes) -> None:
    found = read_wirelist(data, "a.csv")
    assert found.harness is not None or found.problems
