"""Which function of `loombench.facts` answers which worked example, from the numbers in its column `inputs`."""

from collections.abc import Callable, Mapping
from types import MappingProxyType

from loombench.facts.alternator import set_point_v
from loombench.facts.battery import current_to_end_voltage_a, days_to_discharge, sleep_draw_limit_a
from loombench.facts.bundle import bundle_diameter_mm, strand_area_mm2
from loombench.facts.conductor import (
    awg_area_mm2,
    awg_diameter_mm,
    awg_resistance_ohm_per_m,
    cmil_from_mm2,
    material,
    mm2_from_cmil,
)
from loombench.facts.filament import flux_share, lamp_category, power_law_current_a, tungsten_ratio
from loombench.facts.filament import resistance_at_ohm as filament_resistance_at_ohm
from loombench.facts.fuse import current_from_drop_a, least_rating_a, temperature_share
from loombench.facts.melting import adiabatic_area_mm2, adiabatic_k, onderdonk_current_a, preece_current_a
from loombench.facts.meter import reading_v, voltmeter_ohm
from loombench.facts.ohm import load_voltage_v, loop_current_a, parallel_ohm
from loombench.facts.relay import coil_resistance_ohm, relay_types
from loombench.facts.sizing import (
    METRES_PER_FOOT,
    abyc_area_cmil,
    area_for_resistance_mm2,
    conductor_resistance_ohm,
    faa_conductor_temperature_c,
    length_at_temperature_m,
    resistance_at_ohm,
    space_bundle_factor,
    voltage_drop_v,
)
from loombench.facts.table import load_table

FT = METRES_PER_FOOT
TEXTBOOK = material("copper", "textbook")


def lessons_wire_ohm() -> float:
    """One 14 AWG wire (4107 cmil) of 2300 ft, by the textbook's resistivity."""
    return conductor_resistance_ohm(TEXTBOOK.resistivity_ohm_mm2_per_m, 2300 * FT, mm2_from_cmil(4107))


def _faa_drop_v(awg: int, length_ft: float) -> float:
    """Drop at 20 A by the resistance of the FAA's own table 11-9; these examples give the length one way."""
    row = next(row for row in load_table("ampacity_faa_bundle") if row.number("awg") == awg)
    return voltage_drop_v(row.number("resistance_ohm_per_kft") / 1000 / FT, length_ft * FT, 20.0)


def _p21w_current_a(voltage_v: float) -> float:
    lamp = lamp_category("P21W")
    assert lamp is not None
    return power_law_current_a(voltage_v, lamp.test_v, lamp.objective_max_w / lamp.test_v)


def _micro_relay_with_resistor_ohm() -> float:
    return next(relay for relay in relay_types() if relay.name == "micro with resistor").terminal_ohm


def _awg() -> dict[str, Callable[[], float]]:
    answers: dict[str, Callable[[], float]] = {}
    for awg in (20, 18, 16, 14, 12, 10, 8):
        answers[f"A-AWG{awg}-d"] = lambda awg=awg: awg_diameter_mm(awg)  # type: ignore[misc]
        answers[f"A-AWG{awg}-R"] = lambda awg=awg: awg_resistance_ohm_per_m(awg) * 1e3  # type: ignore[misc]
    return answers


ANSWERS: Mapping[str, Callable[[], float]] = MappingProxyType(
    {
        "A-AWG36-d": lambda: awg_diameter_mm(36),
        **_awg(),
        "A-60228": lambda: conductor_resistance_ohm(material("copper").resistivity_ohm_mm2_per_m, 1000.0, 2.5) * 1.03,
        "A-temp-1": lambda: resistance_at_ohm(15.0, 20.0, 35.0, TEXTBOOK.alpha_per_k),
        "A-temp-2": lambda: resistance_at_ohm(1.98, 75.0, 20.0),
        "A-lessons-1": lambda: cmil_from_mm2(
            area_for_resistance_mm2(TEXTBOOK.resistivity_ohm_mm2_per_m, 2300 * FT, 10.0 / 25.0 / 2)
        ),
        "A-lessons-2": lessons_wire_ohm,
        "A-lessons-3": lambda: loop_current_a(230.0, lessons_wire_ohm(), lessons_wire_ohm()),
        "B-abyc-1": lambda: abyc_area_cmil(10.0, 21 * FT, 0.03 * 12),
        "B-abyc-2": lambda: abyc_area_cmil(10.0, 21 * FT, 0.10 * 12),
        "B-abyc-3": lambda: abyc_area_cmil(10.0, 21 * FT, 0.03 * 32),
        "B-abyc-4": lambda: abyc_area_cmil(100.0, 10 * FT, 0.03 * 24),
        "B-faa-1": lambda: _faa_drop_v(6, 107),
        "B-faa-2": lambda: _faa_drop_v(4, 90),
        "B-faa-3": lambda: _faa_drop_v(12, 88),
        "B-faa-4": lambda: _faa_drop_v(14, 100),
        "B-faa-5": lambda: _faa_drop_v(10, 39),
        "B-faa-6": lambda: _faa_drop_v(10, 19.5),
        "B-faa-7": lambda: _faa_drop_v(10, 156),
        "B-faa-8": lambda: _faa_drop_v(10, 273),
        "B-faa-9": lambda: length_at_temperature_m(39 * FT, 100.0) / FT,
        "B-less-1": lambda: load_voltage_v(14.0, 250.0, 15.0, 15.0),
        "B-less-2": lambda: load_voltage_v(14.0, 250.0, *(2 * [resistance_at_ohm(15.0, 20, 35, TEXTBOOK.alpha_per_k)])),
        "B-meter-1": lambda: load_voltage_v(24.0, parallel_ohm(250e6, voltmeter_ohm()), 250e6),
        "B-meter-2": lambda: reading_v(12.6, 100e3, voltmeter_ohm()),
        "B-meter-3": lambda: reading_v(12.6, 100e3, 120.0),
        "C-preece-8": lambda: preece_current_a(awg_diameter_mm(8)),
        "C-ond-8-1": lambda: onderdonk_current_a(mm2_from_cmil(16510), 1.0),
        "C-ond-8-32": lambda: onderdonk_current_a(mm2_from_cmil(16510), 0.032),
        "C-k-Cu-PVC": lambda: adiabatic_k("copper", 70, 160),
        "C-k-Cu-XLPE": lambda: adiabatic_k("copper", 90, 250),
        "C-k-Al-PVC": lambda: adiabatic_k("aluminium", 70, 160),
        "C-k-Al-XLPE": lambda: adiabatic_k("aluminium", 90, 250),
        "C-adi-1": lambda: adiabatic_area_mm2(1000.0, 0.1, 115.0),
        "C-ieee": lambda: faa_conductor_temperature_c(20.0, 150.0, 10.0, 20.0),
        "C-gsfc": lambda: space_bundle_factor(15),
        "D-mv-1": lambda: current_from_drop_a(0.77e-3, 10.0) * 1e3,
        "D-mv-2": lambda: current_from_drop_a(0.2e-3, 20.0) * 1e3,
        "D-80": lambda: least_rating_a(8.0),
        "D-maxi-125": lambda: temperature_share(125.0),
        "D-maxi-85": lambda: temperature_share(85.0),
        "E-tung-1": lambda: filament_resistance_at_ohm(0.350, 2850.0),
        "E-tung-2": lambda: _p21w_current_a(12.0),
        "E-tung-3": lambda: flux_share(0.9),
        "E-tung-4": lambda: tungsten_ratio(2800.0),
        "E-relay": lambda: loop_current_a(12.0, coil_resistance_ohm(12)),
        "E-relay-sup": _micro_relay_with_resistor_ohm,
        "F-batt-1": lambda: loop_current_a(12.0, 0.01, 0.03),
        "F-batt-2": lambda: load_voltage_v(12.0, 0.03, 0.01),
        "F-batt-3": lambda: current_to_end_voltage_a(0.01),
        "F-alt": lambda: set_point_v(60.0),
        "F-rc": lambda: sleep_draw_limit_a(100.0) * 1e3,
        "F-days": lambda: days_to_discharge(60.0, 0.5, 0.050),
        "H-term": lambda: parallel_ohm(120.0, 120.0),
        "H-term3": lambda: parallel_ohm(120.0, 120.0, 120.0),
        "H-term-meas": lambda: parallel_ohm(60.0, *(10 * [30e3])),
        "J-b1": lambda: bundle_diameter_mm([(10, 2.1)]),
        "J-b2": lambda: bundle_diameter_mm([(4, 1.6), (2, 3.0)]),
        "J-area": lambda: strand_area_mm2(19, 0.361),
    }
)

COMPUTED_ELSEWHERE = frozenset(
    {
        "CAN worst length 11-bit 8 bytes",
        "CAN worst length 29-bit 8 bytes",
        "bus load",
        "response time",
        "CRC-15/CAN check string 123456789",
        "bit timing",
        "PID 0C",
        "PID 05",
        "PID 0D",
        "PID 11",
        "DTC two bytes",
        "mode 03 on CAN",
        "ISO-TP VIN LB1TEST0000000017",
        "UDS 0x19 02",
        "UDS negative",
    }
)
"""Topics of the bus and of diagnostic services: not a matter of `loombench.facts`."""


def areas_awg(awg: int) -> float:
    """Circular mils of an AWG size, for the checks of the SAE table."""
    return cmil_from_mm2(awg_area_mm2(awg))
