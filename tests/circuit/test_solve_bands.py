"""Bands hold what points inside the ranges give; the unknowns of a vehicle are found and set."""

from collections.abc import Mapping
from types import MappingProxyType

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from loombench.base.band import Band, between, exactly
from loombench.circuit.bands import Values, bands
from loombench.circuit.settle import settle
from loombench.circuit.unknowns import Unknown, unknowns, with_values
from loombench.vehicle.model import Colour, Inner, Part, Vehicle, Wire
from loombench.vehicle.module import Input, ModuleSpec
from loombench.vehicle.points import Point
from tests.circuit.hand import Hand

NAMES = ("feed", "wire", "ground", "lamp")


def compute(values: Values) -> list[float]:
    """A lamp and a resistor on a shared ground; four pins."""
    ohm = {unknown.owner: value for unknown, value in values.items()}
    hand = Hand()
    hand.battery("G", "plus", 12.6)
    hand.ohm("feed", "plus", "bus", ohm["feed"])
    hand.ohm("wire", "bus", "e1", ohm["wire"])
    hand.lamp("E", "e1", "earth", 12.0, ohm["lamp"])
    hand.ohm("R", "bus", "earth", 4.0)
    hand.ohm("ground", "earth", "ground", ohm["ground"])
    settled = settle(hand.netlist(), {}, {})
    return [hand.volts(settled, name) or 0.0 for name in ("bus", "e1", "earth")] + [settled.point.current_a("E")]


@st.composite
def ranges(draw: st.DrawFn) -> Mapping[Unknown, Band]:
    found = {}
    for name in NAMES:
        low = draw(st.floats(5.0, 30.0)) if name == "lamp" else 10.0 ** draw(st.floats(-3.0, 0.0))
        found[Unknown(name, "value")] = between(low, low * draw(st.floats(1.0, 4.0)))
    return found


@settings(max_examples=25)
@given(ranges(), st.lists(st.tuples(*[st.floats(0.0, 1.0)] * 4), min_size=4, max_size=4))
def test_a_band_holds_the_points_inside(given_ranges: Mapping[Unknown, Band], points: list[tuple[float, ...]]) -> None:
    found = bands(compute, given_ranges)
    assert found.solved <= 1 + 8 + 8
    for point in points:
        values = {
            name: band.low + share * (band.high - band.low)
            for (name, band), share in zip(given_ranges.items(), point, strict=True)
        }
        seen = np.array(compute(values))
        assert (seen >= found.low - 1e-6).all()
        assert (seen <= found.high + 1e-6).all()


def test_one_unknown_gives_its_ends() -> None:
    known = {Unknown(name, "value"): exactly(value) for name, value in zip(NAMES, (0.1, 0.1, 0.1, 21.0), strict=True)}
    found = bands(compute, known | {Unknown("wire", "value"): between(0.1, 1.0)})
    ends = [
        compute({name: band.nominal for name, band in known.items()} | {Unknown("wire", "value"): ohm})
        for ohm in (0.1, 1.0)
    ]
    assert found.low == pytest.approx(np.min(ends, axis=0), abs=1e-9)
    assert found.high == pytest.approx(np.max(ends, axis=0), abs=1e-9)
    assert found.depends[1][0] == Unknown("wire", "value")


def test_many_corners_are_added_up() -> None:
    """Readings that want more corners than are solved: the single deviations are added, exact in a linear case."""
    names = [Unknown(str(k), "value") for k in range(8)]
    signs = np.random.default_rng(1).choice((-1.0, 1.0), size=(40, 8))
    found = bands(
        lambda values: signs @ np.array([values[name] for name in names]), {n: between(0.0, 1.0) for n in names}
    )
    assert found.added
    assert found.solved == 17
    assert found.low == pytest.approx(np.minimum(signs, 0.0).sum(axis=1))
    assert found.high == pytest.approx(np.maximum(signs, 0.0).sum(axis=1))


def test_nothing_unknown_is_a_point() -> None:
    found = bands(lambda _: [1.0, 2.0], {})
    assert found.low.tolist() == found.high.tolist() == [1.0, 2.0]


def small() -> Vehicle:
    wire = Wire("G1.+~E7.1", Point("G1", "+"), Point("E7", "1"), Colour(), exactly(1.0), between(1.0, 4.0))
    lamp = Part(
        "E7", "lamp", ("1", "2"), (Inner("lamp", "", ("1", "2"), MappingProxyType({"rated_w": between(5.0, 10.0)})),)
    )
    spec = ModuleSpec(inputs=(Input("1", pull_ohm=between(470.0, 1000.0)), Input("2")))
    module = Part("A2", "module", ("1", "2"), module=spec)
    return Vehicle("small", 12.0, "IEC", MappingProxyType({"E7": lamp, "A2": module}), (wire,), MappingProxyType({}))


def test_the_unknowns_of_a_vehicle_are_found_and_set() -> None:
    found = unknowns(small())
    assert list(found) == [
        Unknown("G1.+~E7.1", "length_m"), Unknown("E7#1", "rated_w"), Unknown("A2:in 1", "pull_ohm"),
    ]  # fmt: skip
    chosen = with_values(small(), {Unknown("G1.+~E7.1", "length_m"): 2.5, Unknown("E7#1", "rated_w"): 5.0})
    assert chosen.wires[0].length_m == exactly(2.5)
    assert chosen.parts["E7"].elements[0].params["rated_w"] == exactly(5.0)
    assert list(unknowns(chosen)) == [Unknown("A2:in 1", "pull_ohm")]
    assert with_values(small(), {}) == small()
    with pytest.raises(KeyError):
        with_values(small(), {Unknown("E7#1", "rated_v"): 12.0})
