"""Every worked example that `loombench.facts` has a formula for, run through that formula.

Outside truth are the rows that a document prints and that are right; the others prove arithmetic only (README.md).
"""

import csv

import pytest

from loombench.facts.conductor import iec60228_resistance_ohm_per_m, sae_area_mm2
from loombench.facts.fuse import opening_time_s
from loombench.facts.melting import adiabatic_k, onderdonk_current_a
from loombench.facts.sizing import METRES_PER_FOOT, abyc_area_cmil, least_size, least_size_for_current, size_name
from loombench.facts.table import load_table
from tests.reference.handbook.examples import FOLDER, Example, worked_examples
from tests.reference.handbook.through_functions import ANSWERS, COMPUTED_ELSEWHERE, areas_awg, lessons_wire_ohm

EXAMPLES = {example.id: example for example in worked_examples()}
PRINTED = [example for example in EXAMPLES.values() if example.outside_truth]
OWN = [example for example in EXAMPLES.values() if example.agrees in ("self", "") and example.id in ANSWERS]


def _close(example: Example, value: float) -> bool:
    assert example.expected is not None
    return abs(value - example.expected) <= (example.tolerance or 5e-3)


@pytest.mark.parametrize("example", PRINTED, ids=lambda example: example.id)
def test_agrees_with_the_printed_answer(example: Example) -> None:
    assert _close(example, ANSWERS[example.id]()), example.source


@pytest.mark.parametrize("example", OWN, ids=lambda example: example.id)
def test_agrees_with_the_answer_worked_out(example: Example) -> None:
    value = ANSWERS[example.id]()
    assert _close(example, value), example.source
    if example.computed is not None:
        assert value == pytest.approx(example.computed, rel=1e-4)


def test_disagrees_where_the_print_is_wrong() -> None:
    wrong = [example for example in EXAMPLES.values() if example.agrees == "NO"]
    assert [example.id for example in wrong] == ["B-faa-6"]
    value = ANSWERS["B-faa-6"]()  # FAA AC 43.13-1B table 11-8 prints .366 V, its own resistance gives 0.491 V
    assert not _close(wrong[0], value)
    assert value == pytest.approx(0.491, abs=5e-4)


def test_every_example_is_answered_or_belongs_elsewhere() -> None:
    assert len(EXAMPLES) == 98
    assert set(ANSWERS) <= set(EXAMPLES)
    left_out = {example.topic for example in EXAMPLES.values() if example.id not in ANSWERS}
    assert left_out == COMPUTED_ELSEWHERE
    assert not {EXAMPLES[name].topic for name in ANSWERS} & COMPUTED_ELSEWHERE
    assert len(PRINTED) == 14
    assert {example.id for example in PRINTED} <= set(ANSWERS)


def test_the_comparison_notices_a_wrong_answer() -> None:
    for example in (*PRINTED, *OWN):
        assert not _close(example, ANSWERS[example.id]() * 1.2 + 0.01), example.id


def test_size_chosen_for_the_long_feeder_is_the_printed_one() -> None:
    # Lessons In Electric Circuits, vol. I ch. 12: 116,035 cmil ask for 2/0
    assert least_size(ANSWERS["A-lessons-1"](), "AWG") == -1


def test_fuse_too_large_for_the_wire_never_blows() -> None:
    # the same chapter: a dead short gives 20.35 A, so a fuse above 20 A never blows
    short_a = 230.0 / (2 * lessons_wire_ohm())
    assert opening_time_s(25.0, short_a) == (float("inf"), float("inf"))
    assert opening_time_s(10.0, short_a)[1] < 10.0


@pytest.mark.parametrize(
    ("example", "awg", "sae"), [("B-abyc-1", 12, 10), ("B-abyc-2", 16, 16), ("B-abyc-3", 16, 14), ("B-abyc-4", 8, 6)]
)
def test_size_by_area_depends_on_the_table(example: str, awg: int, sae: int) -> None:
    area_cmil = ANSWERS[example]()
    assert least_size(area_cmil, "AWG") == awg
    assert least_size(area_cmil, "SAE") == sae


def test_the_larger_of_two_criteria_wins() -> None:
    # B-abyc-4: the drop asks AWG 8 only, 100 A ask AWG 6 (ABYC E-11 ampacity, from memory)
    assert least_size_for_current(100.0) == 6


def test_size_chart_near_a_limit() -> None:
    # charts print one size beside the formula here: 30 A over 30 ft at 3 % of 12 V is just above AWG 6
    area_cmil = abyc_area_cmil(30.0, 30 * METRES_PER_FOOT, 0.36)
    assert area_cmil == pytest.approx(26875)
    assert least_size(area_cmil, "AWG") == 4


def test_abyc_chart() -> None:
    with (FOLDER / "abyc_12v_chart.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    assert len(rows) == 8
    for row in rows:
        drop_v = float(row["volts"]) * float(row["drop_pct"]) / 100
        area_cmil = abyc_area_cmil(float(row["amps"]), float(row["round_trip_ft"]) * METRES_PER_FOOT, drop_v)
        assert round(area_cmil) == int(row["cm_formula"])
        size = least_size(area_cmil, "AWG")
        assert size is not None
        assert size_name(size) == row["awg_by_formula"]


def test_sae_areas_are_not_shifted() -> None:
    # copies of the table have rows 8 and 10 shifted by one size; SAE stays 3 to 11 % below AWG of the same number
    for row in load_table("conductor_sae_area"):
        size = int(row.number("size"))
        share = row.number("sae_min_cmil") / areas_awg(size)
        assert 0.89 < share < 0.975, size
        assert row.number("awg_cmil") == pytest.approx(areas_awg(size), rel=4e-3)
    assert sae_area_mm2(10) == pytest.approx(4.734, abs=1e-3)
    assert sae_area_mm2(8) == pytest.approx(7.504, abs=1e-3)


def test_installation_cable_table_is_used_and_not_the_formula() -> None:
    # A-60228: the estimate of 7.10 ohm/km is below the greatest resistance of IEC 60228:2004, 7.41 (class 2)
    assert iec60228_resistance_ohm_per_m(2.5, strand_class="1/2") == pytest.approx(7.41e-3)
    assert ANSWERS["A-60228"]() < 7.41


def test_adiabatic_constants_agree_with_the_table_of_k() -> None:
    # k: IEC 60364-5-54, K and beta: IEC 60949, all from memory: two memories agree within 0.6
    rows = load_table("adiabatic_k")
    assert len(rows) == 14
    for row in rows:
        k = adiabatic_k(row.text("metal"), row.number("initial_c"), row.number("final_c"))
        assert k == pytest.approx(row.number("k"), abs=0.6)


def test_onderdonk_hardly_depends_on_the_constant_printed() -> None:
    # 233 and 234 are both printed: at 25 C that is the same as an ambient shifted by one degree
    at_25c = onderdonk_current_a(1.0, 1.0, ambient_c=25.0, melting_c=1083.0)
    at_24c = onderdonk_current_a(1.0, 1.0, ambient_c=24.0, melting_c=1082.0)
    assert at_24c == pytest.approx(at_25c, rel=3e-3)
