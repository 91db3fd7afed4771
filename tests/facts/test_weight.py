import pytest

from loombench.circuit.fault import MODES
from loombench.facts.table import load_table
from loombench.facts.weight import ANYTHING, fault_weight, surroundings_factor


def test_no_weight_is_zero_and_every_mode_has_one_for_anything() -> None:
    assert all(row.number("weight") > 0.0 for row in load_table("fault_weight"))
    for mode in MODES:
        assert fault_weight("a thing nobody thought of", mode).what == ANYTHING


def test_weights_say_that_they_are_estimates() -> None:
    assert fault_weight("lamp", "open").provenance.kind == "estimate"


def test_surroundings_multiply_and_repeated_words_count_once() -> None:
    wet, flexing = surroundings_factor("contact", ("wet",)), surroundings_factor("contact", ("flexing",))
    assert surroundings_factor("contact", ("wet", "flexing", "wet")) == pytest.approx(wet * flexing)
    assert surroundings_factor("fuse", ("wet", "tidy")) == 1.0
