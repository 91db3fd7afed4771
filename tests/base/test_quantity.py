"""Quantities as a workshop spells them, read and printed."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from loombench.base.quantity import NotAQuantity, Quantity, print_quantity, read_quantity


@pytest.mark.parametrize(
    ("text", "value", "unit"),
    [
        ("12V", 12.0, "V"), ("80mV", 0.08, "V"), ("1,5mm²", 1.5, "mm2"), ("0.75 mm2", 0.75, "mm2"),
        ("4k7", 4700.0, "ohm"), ("2R2", 2.2, "ohm"), ("470 kΩ", 470e3, "ohm"), ("0,3ohm", 0.3, "ohm"),
        ("18AWG", 18.0, "AWG"), ("1/0AWG", 0.0, "AWG"), ("2/0 AWG", -1.0, "AWG"), ("4/0", -3.0, "AWG"),
        ("2min", 120.0, "s"), ("0.6s", 0.6, "s"), ("90/min", 90.0, "/min"), ("1.5Hz", 90.0, "/min"),
        ("65%", 0.65, "%"), ("184C", 184.0, "C"), ("184 °C", 184.0, "C"), ("-3V", -3.0, "V"), ("−3V", -3.0, "V"),
        ("?m", None, "m"), ("?", None, ""), ("10", 10.0, ""), ("3ft", 0.9144, "m"), ("6way", 6.0, "way"),
    ],
)  # fmt: skip
def test_reads(text: str, value: float | None, unit: str) -> None:
    read = read_quantity(text)
    assert isinstance(read, Quantity)
    assert read.unit == unit
    assert read.value == (pytest.approx(value) if value is not None else None)


@pytest.mark.parametrize(
    ("text", "reason"),
    [("", "number"), ("volt", "number"), ("12X", "unit"), ("1e99V", "size"), ("12 V A", "unit"), ("9" * 400, "size")],
)
def test_refuses(text: str, reason: str) -> None:
    read = read_quantity(text)
    assert isinstance(read, NotAQuantity)
    assert read.reason == reason


@given(st.text(max_size=60))
def test_never_raises(text: str) -> None:
    assert isinstance(read_quantity(text), Quantity | NotAQuantity)


@given(st.floats(1e-3, 1e9), st.sampled_from(["V", "A", "W", "ohm", "m"]))
def test_what_is_printed_reads_back(value: float, unit: str) -> None:
    read = read_quantity(print_quantity(value, unit, digits=9))
    assert isinstance(read, Quantity)
    assert read.unit == unit
    assert read.value == pytest.approx(value, rel=1e-6, abs=1e-9)


@pytest.mark.parametrize(
    ("value", "unit", "text"),
    [
        (12.4, "V", "12.4 V"), (0.0823, "V", "82.3 mV"), (-0.0, "V", "0 V"), (1e-15, "A", "0 A"), (0.0, "V", "0 V"),
        (0.141, "A", "0.141 A"), (47e3, "ohm", "47 kohm"), (0.005, "ohm", "5 mohm"), (1e7, "ohm", "10 Mohm"),
        (0.65, "%", "65 %"), (2.5, "mm2", "2.5 mm2"),
    ],
)  # fmt: skip
def test_prints(value: float, unit: str, text: str) -> None:
    assert print_quantity(value, unit) == text
