"""Relays, batteries, alternators, joints, motors, modules, instruments, sockets: table against function."""

import math
from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from loombench.facts.alternator import current_limit_a, output_resistance_ohm, printed_band_v, set_point_v
from loombench.facts.battery import (
    charging_resistance_ohm,
    cold_cranking_bound_ohm,
    days_to_discharge,
    internal_resistance_ohm,
    least_load_test_v,
    rest_emf_v,
)
from loombench.facts.bundle import bundle_diameter_mm, packed_diameter_mm
from loombench.facts.contact import joint_resistance_ohm, joints
from loombench.facts.drop_limit import drop_limits
from loombench.facts.load import load_currents
from loombench.facts.meter import (
    buzzer_ohm,
    lamp_tester,
    low_impedance_ohm,
    ohmmeter_source_ohm,
    reading_v,
    voltmeter_ohm,
)
from loombench.facts.module import input_pull_ohm, off_leak_a, resets_below_v, starts_from_v, supply_ranges
from loombench.facts.motor import (
    running_resistance_ohm,
    speed_share,
    stall_current_a,
    starter_solenoid_a,
    winding_resistance_ohm,
)
from loombench.facts.ohm import loop_current_a, parallel_ohm
from loombench.facts.relay import coil_resistance_ohm, contact_resistance_ohm, drop_out_v, pick_up_v, relay_types
from loombench.facts.sizing import (
    abyc_ampacity_a,
    bundle_ampacity_a,
    bundle_factor,
    free_air_ampacity_a,
    least_size,
    link_size,
    size_name,
    space_bundle_factor,
)
from loombench.facts.socket import socket_contacts, socket_names, terminal_meaning, terminal_meanings
from loombench.facts.table import load_table


def test_relays_by_the_data_sheet() -> None:
    # TE Connectivity, Power Relay B data sheet: codes 001 and 004 (printed)
    assert (coil_resistance_ohm(12), pick_up_v(12), drop_out_v(12)) == (85, 8, 1.5)
    assert (coil_resistance_ohm(24), pick_up_v(24), drop_out_v(24)) == (255, 16, 3)
    assert contact_resistance_ohm() == pytest.approx(1.5e-3)
    assert contact_resistance_ohm("break") == pytest.approx(2e-3)
    with pytest.raises(ValueError, match="make or break"):
        contact_resistance_ohm("87a")


def test_coil_power_is_the_one_printed() -> None:
    # the same sheet prints 1.7, 1.9 and 2.3 W; the K sheet 1.6 W
    power_w = [relay.system_v**2 / relay.coil_ohm for relay in relay_types()[:4]]
    assert power_w == pytest.approx([1.7, 1.9, 2.3, 1.6], abs=0.05)


def test_a_relay_drops_out_below_its_pick_up() -> None:
    for relay in relay_types():
        assert 0 < relay.drop_out_v < relay.pick_up_v < relay.system_v


def test_rest_volts_of_the_two_lists_agree() -> None:
    # US Army TM 5-3805-262-20 p. 5-142 (printed); its ends are bounds
    for row in load_table("battery_rest"):
        if row.text("list") == "TM":
            ours_v = rest_emf_v(12, row.number("state_of_charge"))
            assert ours_v == pytest.approx(row.number("rest_v"), abs=0.2)
    assert rest_emf_v(24) == pytest.approx(25.3)
    assert rest_emf_v(12, 2.0) == rest_emf_v(12, 1.0)


@given(st.floats(0, 1), st.floats(0, 1))
def test_rest_volts_rise_with_charge(first: float, second: float) -> None:
    assert (first <= second) <= (rest_emf_v(12, first) <= rest_emf_v(12, second))


@given(st.floats(45, 150))
def test_internal_resistance_of_a_starter_battery(capacity_ah: float) -> None:
    assert 0.003 - 1e-12 <= internal_resistance_ohm(capacity_ah) <= 0.010 + 1e-12  # from memory
    assert internal_resistance_ohm(capacity_ah, 24) == 2 * internal_resistance_ohm(capacity_ah)


@given(st.floats(45, 150))
def test_a_full_battery_takes_a_few_amperes_at_the_set_point(capacity_ah: float) -> None:
    taken_a = (set_point_v(20.0) - rest_emf_v()) / charging_resistance_ohm(capacity_ah)
    assert 1.0 < taken_a < 6.0  # common practice: a few
    assert charging_resistance_ohm(capacity_ah, 24) == 2 * charging_resistance_ohm(capacity_ah)
    assert charging_resistance_ohm(capacity_ah) > 50 * internal_resistance_ohm(capacity_ah)


@pytest.mark.parametrize("resistance_ohm", [internal_resistance_ohm, charging_resistance_ohm])
@pytest.mark.parametrize("capacity_ah", [0.0, -70.0, math.inf, math.nan])
def test_a_battery_of_no_capacity_has_no_resistance(
    resistance_ohm: Callable[[float], float], capacity_ah: float
) -> None:
    with pytest.raises(ValueError, match="capacity"):
        resistance_ohm(capacity_ah)


def test_battery_edges() -> None:
    assert days_to_discharge(60, 0.5, 0.0) == math.inf
    assert least_load_test_v(20) == 9.6  # US Army TM 9-6115-730-24 (printed)
    assert least_load_test_v(-18) == 8.5
    assert cold_cranking_bound_ohm(480) == pytest.approx(0.01)


def test_set_point_lies_in_the_printed_band() -> None:
    # US Army TM 9-6115-464-12 table 4-5, 24 V (printed): from -18 to 20 C; in heat the printed band is lower
    for temperature_c in (-17.8, -6.7, 4.4, 15.6, 20.0):
        least_v, greatest_v = printed_band_v(temperature_c)
        assert least_v <= set_point_v(temperature_c, 24) <= greatest_v
    assert set_point_v(48.9, 24) > printed_band_v(48.9)[1]
    assert printed_band_v((60 - 32) / 1.8) == pytest.approx((28.32, 28.98))


def test_alternator_figures() -> None:
    assert set_point_v() == 14.4
    assert output_resistance_ohm(24) == 2 * output_resistance_ohm(12)
    assert current_limit_a(12) > 0
    assert current_limit_a(24) > 0


def test_joints_are_small_beside_what_they_feed() -> None:
    names = {entry.name for entry in joints()}
    assert {"crimp", "mating", "ring", "bar", "splice", "switch"} <= names
    for name in ("crimp", "mating", "ring", "bar", "splice"):
        assert 0 < joint_resistance_ohm(name) <= 0.01
    with pytest.raises(KeyError):
        joint_resistance_ohm("glue")


def test_motor_figures() -> None:
    assert stall_current_a(5.0) == pytest.approx(13.0)  # common practice: wiper runs at 5 A, stalls at 13 A
    assert winding_resistance_ohm(12, 5) == pytest.approx(running_resistance_ohm(12, 5) / 2.6)
    assert starter_solenoid_a(28) == (69, 13)  # US Army TM 5-2420-230-24-2 p. 13-33 (printed)
    with pytest.raises(KeyError):
        starter_solenoid_a(29)
    with pytest.raises(ValueError, match="a motor of"):
        running_resistance_ohm(12, 0)


def test_module_figures() -> None:
    for system_v in (12, 24):
        assert resets_below_v(system_v) < starts_from_v(system_v) < system_v
    assert resets_below_v(12) == min(entry.least_v for entry in supply_ranges() if entry.system_v == 12)
    assert resets_below_v(24) == min(entry.least_v for entry in supply_ranges() if entry.system_v == 24)
    assert 0 < off_leak_a() < 1e-3
    assert input_pull_ohm() > 0


def test_instruments_load_the_ghost_voltage_trap() -> None:
    # 470 kohm leak on 26.16 V: 10 Mohm meter about 25 V, 3 kohm meter 0.17 V, a 4 W lamp stays dark
    leak_ohm = 470e3
    assert reading_v(26.16, leak_ohm, voltmeter_ohm()) > 24.5
    assert reading_v(26.16, leak_ohm, low_impedance_ohm()) == pytest.approx(0.166, abs=1e-3)
    lamp_v = reading_v(26.16, leak_ohm, lamp_tester(24).cold_ohm)
    assert lamp_v < 0.01
    assert 20 <= buzzer_ohm() <= 50
    assert ohmmeter_source_ohm() > 0


@given(st.lists(st.floats(1e-3, 1e6), min_size=1, max_size=6))
def test_resistances_side_by_side_are_below_the_least(values: list[float]) -> None:
    assert parallel_ohm(*values) <= min(values) * (1 + 1e-12)


def test_ohm_edges() -> None:
    with pytest.raises(ValueError, match="above zero"):
        parallel_ohm()
    with pytest.raises(ValueError, match="above zero"):
        parallel_ohm(1.0, 0.0)
    with pytest.raises(ValueError, match="no resistance"):
        loop_current_a(12.0)


def test_load_currents_are_ordered() -> None:
    assert len(load_currents()) >= 8
    assert all(0 < entry.least_a <= entry.greatest_a for entry in load_currents())


def test_drop_limits_have_a_unit_and_an_order() -> None:
    limits = drop_limits()
    assert {limit.unit for limit in limits} == {"V", "V/A", "of supply"}
    assert all(0 <= limit.low <= limit.high <= 2.0 for limit in limits)
    # US Army TM 10-3930-671-24 p. F-303: 0.20 V per 100 A (printed)
    per_ampere = next(limit for limit in limits if limit.item == "positive battery cable, per ampere")
    assert per_ampere.provenance.checked
    assert per_ampere.low * 100 == pytest.approx(0.20)


def test_ampacity_falls_with_the_size_number() -> None:
    assert abyc_ampacity_a(6) == 120
    assert abyc_ampacity_a(6, in_engine_space=True) == 102
    assert abyc_ampacity_a(7) is None
    assert free_air_ampacity_a(12) == 40
    assert free_air_ampacity_a(20, 75) is None
    assert free_air_ampacity_a(12, 80) is None
    assert bundle_ampacity_a(12) == 13
    assert bundle_ampacity_a(12, 999) is None
    for table, column in (("ampacity_abyc", "outside_engine_space_a"), ("ampacity_faa_bundle", "current_105c_a")):
        currents = [row.number(column) for row in load_table(table)]
        assert currents == sorted(currents)


def test_bundle_factors_fall_with_the_number() -> None:
    for rule in ("ABYC", "NEC"):
        factors = [bundle_factor(number, rule) for number in range(1, 60)]
        assert factors == sorted(factors, reverse=True)
        assert factors[0] == factors[2] == 1.0
    assert [space_bundle_factor(number) for number in (1, 15, 16, 40)] == [1.0, 0.5, 0.5, 0.5]
    with pytest.raises(ValueError, match="the rule is"):
        bundle_factor(5, "XYZ")


def test_sizes_by_name() -> None:
    assert [size_name(size) for size in (18, 1, 0, -1, -3)] == ["18", "1", "1/0", "2/0", "4/0"]
    assert least_size(1e6) is None
    assert link_size(12) == 16  # common practice: a 16 AWG link protects 12 AWG
    with pytest.raises(ValueError, match="SAE or AWG"):
        least_size(1000, "ISO")


def test_bundle_rule_against_the_packing() -> None:
    # equal circles in a circle: the rule is 15 % low for 2 wires, 4 % low for 3, about 2 % for 4 to 6
    shares = {}
    for number in (2, 3, 4, 5, 6):
        packed_mm = packed_diameter_mm(number, 2.0)
        assert packed_mm is not None
        shares[number] = bundle_diameter_mm([(number, 2.0)]) / packed_mm
    assert shares[2] == pytest.approx(0.85, abs=0.005)
    assert shares[3] == pytest.approx(0.96, abs=0.006)
    assert all(0.979 < shares[number] < 1.021 for number in (4, 5, 6))
    assert packed_diameter_mm(1000, 2.0) is None


def test_sockets_have_their_contacts() -> None:
    counts = {name: len(socket_contacts(name)) for name in socket_names()}
    assert counts == {"ISO 1724": 7, "ISO 1185": 7, "ISO 11446": 13, "SAE J1962": 16}
    for name, count in counts.items():
        assert [entry.contact for entry in socket_contacts(name)] == [str(number + 1) for number in range(count)]
    assert [entry.contact for entry in socket_contacts("iso1724") if entry.terminal == "31"] == ["3"]
    assert [entry.contact for entry in socket_contacts("ISO11446") if entry.terminal == "31"] == ["3", "11", "13"]
    assert socket_contacts("ISO 9999") == ()


def test_terminals_of_sockets_have_a_meaning() -> None:
    known = {entry.terminal for entry in terminal_meanings()}
    assert len(known) == len(terminal_meanings())
    for name in socket_names():
        assert {entry.terminal for entry in socket_contacts(name)} - {""} <= known
    ground = terminal_meaning(" 31 ")
    assert ground is not None
    assert ground.use == "battery minus or ground, direct"
    assert terminal_meaning("999") is None


@pytest.mark.parametrize(
    ("across_v", "current_a", "share"),
    [(12.0, 5.0, 1.0), (6.0, 2.5, 0.5), (12.0, 10.0, 0.375), (12.0, 13.0, 0.0), (9.0, 13.0, 0.0), (12.0, 0.0, 0.0)],
)
def test_speed_is_what_the_winding_leaves_of_the_volts(across_v: float, current_a: float, share: float) -> None:
    """Worked by hand for 12 V, 5 A, stalled at 13 A: 0.923 ohm in the winding, so 7.38 V turn it at its ratings."""
    assert speed_share(across_v, current_a, 12.0, 5.0) == pytest.approx(share, abs=1e-3)
