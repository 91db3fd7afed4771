"""Out and in again: joins, wires, sizes, lengths, colours, numbers and fuses stay the same through every format."""

from collections.abc import Callable
from dataclasses import replace

import pytest
from hypothesis import HealthCheck, Phase, given, settings

from loombench.exchange.harness import ColourText, Harness
from loombench.exchange.kbl.read import read_kbl
from loombench.exchange.kbl.write import write_kbl
from loombench.exchange.leaving import leave
from loombench.exchange.report import Imported
from loombench.exchange.vec.read import read_vec
from loombench.exchange.vec.write import write_vec
from loombench.exchange.wirelist.read import read_wirelist
from loombench.exchange.wirelist.write import write_lists, write_wirelist
from loombench.vehicle.model import Vehicle
from tests.exchange.out.facts import differences, unkept
from tests.exchange.out.files import everything
from tests.exchange.out.generated import vehicles
from tests.exchange.out.schema import breaches
from tests.exchange.out.vehicles import FILES, example, small

QUICK = (Phase.explicit, Phase.generate)
"""A failing vehicle is shown as drawn: making it smaller took minutes."""


def _wires(harness: Harness) -> Imported:
    lists = [(text.encode(), f"van-{name}.csv") for name, text in write_lists(harness).items()]
    return read_wirelist(write_wirelist(harness).encode(), "van.csv", others=lists)


WAYS: dict[str, Callable[[Harness], Imported]] = {
    "kbl": lambda harness: read_kbl(write_kbl(harness).encode(), "van.kbl"),
    "vec": lambda harness: read_vec(write_vec(harness).encode(), "van.vec"),
    "wires": _wires,
}


def back(vehicle: Vehicle, way: str) -> tuple[Harness, Harness]:
    """The harness of a vehicle, and what came back of it."""
    went = leave(vehicle)
    found = WAYS[way](went)
    assert found.harness is not None, found.problems
    return went, found.harness


@pytest.mark.parametrize("way", WAYS)
@pytest.mark.parametrize("name", FILES)
def test_every_example_vehicle_comes_back(name: str, way: str) -> None:
    assert differences(*back(example(name), way)) == []


@pytest.mark.parametrize("way", WAYS)
def test_the_vehicle_with_a_piece_of_everything_comes_back(way: str) -> None:
    assert differences(*back(small(), way)) == []


@pytest.mark.parametrize("way", WAYS)
@settings(max_examples=25, deadline=None, derandomize=True, phases=QUICK, suppress_health_check=list(HealthCheck))
@given(vehicle=vehicles())
def test_any_vehicle_comes_back(way: str, vehicle: Vehicle) -> None:
    assert differences(*back(vehicle, way)) == []


@settings(max_examples=10, deadline=None, derandomize=True, phases=QUICK, suppress_health_check=list(HealthCheck))
@given(vehicle=vehicles())
def test_any_vehicle_is_valid_by_the_schemas(vehicle: Vehicle) -> None:
    went = leave(vehicle)
    assert breaches("kbl", write_kbl(went)) == ()
    assert breaches("vec", write_vec(went)) == ()


KEPT = {
    "kbl": ("studs", "places", "looms", "remarks", "relays", "voltage"),
    "vec": ("looms", "relays", "voltage"),
    "wires": ("studs", "looms", "remarks"),
}
"""What else each format keeps; what it does not is told by `exchange.lost`."""


@pytest.mark.parametrize(("way", "what"), [(way, what) for way, kinds in KEPT.items() for what in kinds])
@pytest.mark.parametrize("vehicle", [small(), example("library-van/vehicle.circuit")], ids=["small", "library-van"])
def test_what_else_a_format_holds_comes_back_as_well(way: str, what: str, vehicle: Vehicle) -> None:
    assert unkept(*back(vehicle, way), what) == []


def test_what_other_files_hold_comes_back_by_kbl() -> None:
    went = everything()
    back_again = WAYS["kbl"](went).harness
    assert back_again is not None
    assert back_again.segments[0].length_m == went.segments[0].length_m
    assert (back_again.segments[0].protection, back_again.variants) == ("tape", True)
    before, after = ({wire.number or wire.id: wire for wire in one.wires} for one in (went, back_again))
    for name in ("w 1", "w&<2>", "w4", "core", "braid"):
        one, other = before[name], after[name]
        for field in ("options", "cable", "core", "shield", "part_number"):
            assert getattr(one, field) == getattr(other, field), (name, field)
        assert other.colour.parts == one.colour.parts[:3]
        assert len(other.ends) == max(2, len(one.ends))
    assert after["w 1"].segments == ("s1",)
    contact = next(one for one in back_again.contacts if one.terminal)
    assert (contact.terminal, contact.seal, contact.plating, contact.cavities) == ("T-1", "S-1", "tin", ("3",))
    assert next(one for one in back_again.holders if one.id == "X 1 (front)").options == ("A1+B2", "C3")


def test_what_other_files_hold_comes_back_by_vec() -> None:
    went = everything()
    back_again = WAYS["vec"](went).harness
    assert back_again is not None
    wires = {wire.id: wire for wire in back_again.wires}
    assert [str(end.spot) for end in wires["w 1"].ends] == ["X 1 (front).1", "S1.1", "S1.1"]
    assert (wires["w 1"].clamp, wires["w 1"].options) == ("15", ("(A1+B2)/(C3)",))
    assert [end.spot is None for end in wires["w4"].ends] == [False, True]
    assert (wires["w4"].type, wires["w4"].part_number) == ("FLRY-B", "W-1")
    assert sorted((wire.shield, wire.cable) for wire in back_again.wires if wire.cable) == [(False, "C"), (True, "C")]


def _altered(harness: Harness, what: str) -> Harness:
    wires, fitted, holders = list(harness.wires), list(harness.fitted), list(harness.holders)
    if what == "wire":
        del wires[3]
    elif what == "colour":
        wires[0] = replace(wires[0], colour=ColourText(("WH",), "IEC"))
    elif what == "size":
        wires[0] = replace(wires[0], area_mm2=15.9)
    elif what == "end":
        wires[0] = replace(wires[0], ends=(wires[0].ends[0], wires[5].ends[1]))
    elif what == "rating":
        fitted[0] = replace(fitted[0], rating_a=99.0)
    elif what == "feed":
        fitted[0] = replace(fitted[0], spots=fitted[0].spots[::-1])
    else:
        holders = [replace(holder, joined=()) for holder in holders]
    return replace(harness, wires=tuple(wires), fitted=tuple(fitted), holders=tuple(holders))


@pytest.mark.parametrize("what", ["wire", "colour", "size", "end", "rating", "feed", "bar"])
def test_what_is_altered_on_the_way_is_told(what: str) -> None:
    harness = leave(small())
    assert differences(harness, harness) == []
    assert differences(harness, _altered(harness, what)) != []
