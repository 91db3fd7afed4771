"""Conductors: table values, monotony, tables kept apart."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from loombench.facts.conductor import (
    awg_area_mm2,
    awg_diameter_mm,
    awg_resistance_ohm_per_m,
    cmil_from_mm2,
    iec60228_resistance_ohm_per_m,
    iso6722_sizes,
    material,
    mm2_from_cmil,
    resistance_ohm_per_m,
    sae_area_mm2,
    sae_resistance_ohm_per_m,
    temperature_factor,
)
from loombench.facts.table import Kind, load_table

areas = st.floats(0.05, 500.0)
temperatures = st.floats(-60.0, 200.0)


@given(areas, areas)
def test_resistance_falls_with_area(first: float, second: float) -> None:
    small, large = sorted((first, second))
    if large > small * (1 + 1e-9):
        assert resistance_ohm_per_m(large) < resistance_ohm_per_m(small)


@given(areas, temperatures, temperatures)
def test_resistance_rises_with_temperature(area_mm2: float, first: float, second: float) -> None:
    cold, hot = sorted((first, second))
    if hot > cold + 1e-6:
        assert resistance_ohm_per_m(area_mm2, hot) > resistance_ohm_per_m(area_mm2, cold)


@given(areas)
def test_resistance_stays_above_solid_copper(area_mm2: float) -> None:
    assert 1.02 < resistance_ohm_per_m(area_mm2) * area_mm2 * 1e3 / 17.241 < 1.15


def test_listed_sizes_give_the_table_value() -> None:
    assert len(iso6722_sizes()) == 28
    for size in iso6722_sizes():
        assert resistance_ohm_per_m(size.area_mm2) == size.resistance_ohm_per_m
        assert size.provenance.kind is Kind.FROM_MEMORY
    assert resistance_ohm_per_m(1.5) == 0.0127


def test_no_step_beside_a_listed_size() -> None:
    for size in iso6722_sizes():
        beside = resistance_ohm_per_m(math.nextafter(size.area_mm2, 1e9))
        assert beside == pytest.approx(size.resistance_ohm_per_m, rel=1e-9)


@pytest.mark.parametrize("area_mm2", [0.0, -1.0, math.nan, math.inf])
def test_an_area_that_is_none_is_refused(area_mm2: float) -> None:
    with pytest.raises(ValueError, match="area"):
        resistance_ohm_per_m(area_mm2)


def test_a_temperature_outside_the_formula_is_refused() -> None:
    with pytest.raises(ValueError, match="outside the range"):
        temperature_factor(-250.0)


def test_copper_coefficient_agrees_with_its_inferred_zero() -> None:
    # alpha 0.00393 and T0 234.5 are two ways to say the same straight line
    for row in load_table("conductor_material"):
        zero_c = row.number_or_none("inferred_zero_c")
        if zero_c is not None:
            assert 1.0 / (zero_c + 20.0) == pytest.approx(row.number("alpha_per_k"), rel=2e-3)
    assert temperature_factor(20.0) == 1.0


def test_awg_agrees_with_the_computed_table() -> None:
    rows = load_table("conductor_awg")
    assert len(rows) == 34
    for row in rows:
        awg = int(row.number("awg"))
        assert awg_diameter_mm(awg) == pytest.approx(row.number("diameter_mm"), rel=2e-4)
        assert awg_area_mm2(awg) == pytest.approx(row.number("area_mm2"), rel=1e-3)
        assert awg_resistance_ohm_per_m(awg) * 1e3 == pytest.approx(row.number("resistance_ohm_per_km"), rel=1e-3)


@pytest.mark.parametrize("awg", [-4, 41])
def test_awg_outside_the_range_is_refused(awg: int) -> None:
    with pytest.raises(ValueError, match="AWG"):
        awg_area_mm2(awg)


def test_sae_cable_has_less_copper_than_awg() -> None:
    for row in load_table("conductor_sae_area"):
        size = int(row.number("size"))
        area_mm2, resistance = sae_area_mm2(size), sae_resistance_ohm_per_m(size)
        assert area_mm2 is not None
        assert resistance is not None
        assert area_mm2 < awg_area_mm2(size)
        assert resistance > awg_resistance_ohm_per_m(size)
    assert sae_area_mm2(17) is None
    assert sae_resistance_ohm_per_m(17) is None


def test_installation_cable_is_a_table_of_its_own() -> None:
    # IEC 60228:2004 table 3: 1 mm2 class 5, 19.5 mohm/m; ISO 6722: 18.5. Between sizes nothing is made up.
    assert iec60228_resistance_ohm_per_m(1.0) == pytest.approx(19.5e-3)
    assert iec60228_resistance_ohm_per_m(1.25) is None
    assert iec60228_resistance_ohm_per_m(0.5, "aluminium", "1/2") is None
    assert iec60228_resistance_ohm_per_m(1.0, "gold") is None
    assert iec60228_resistance_ohm_per_m(185.0, strand_class="1/2") == pytest.approx(0.0991e-3)


@given(st.floats(1e-3, 1e3))
def test_circular_mils_go_there_and_back(area_mm2: float) -> None:
    assert mm2_from_cmil(cmil_from_mm2(area_mm2)) == pytest.approx(area_mm2, rel=1e-12)


def test_a_circular_mil_is_the_area_of_a_circle_of_one_mil() -> None:
    assert mm2_from_cmil(1.0) == pytest.approx(math.pi / 4 * 0.0254**2, rel=1e-6)


def test_an_unknown_metal_is_refused() -> None:
    with pytest.raises(KeyError, match="no brass"):
        material("brass")
