"""What a fault is counted as, and with what it is put right."""

import pytest

from loombench.circuit.fault import read_fault
from loombench.diagnose.suspect import group_of, kind_of, part_of
from tests.diagnose.vehicles import vehicle

CAR = vehicle(
    """loombench 1
vehicle "diodes" 12V
body m
battery G1 95Ah
diode D1 3A
relay K1 make 30 85 86 87 diode 86
G1.+ (RD 1mm2 1m) D1.a>k (RD 1mm2 1m) K1.86
"""
)


@pytest.mark.parametrize(
    ("text", "kind", "group", "part"),
    [
        ("short D1.a:pin to D1.k:pin", "diode", "D1", "D1"),
        ("open D1", "diode", "D1", "D1"),
        ("short K1.85:pin to K1.86:pin", "diode", "K1", "K1"),
        ("short K1.86:pin to K1.30:pin", "cavity", "short K1.86:pin to K1.30:pin", "K1"),
        ("short D1.k to ground", "insulation", "short D1.k", "D1"),
        ("short D1.a to D1.k", "cavity", "short D1.a to D1.k", "D1"),
    ],
)
def test_a_short_is_a_chafed_wire_or_a_diode_that_conducts_both_ways(
    text: str, kind: str, group: str, part: str
) -> None:
    fault = read_fault(text)
    assert fault is not None
    found = part_of(CAR, fault)
    assert (kind_of(CAR, fault), group_of(CAR, fault)) == (kind, group)
    assert found is not None
    assert found.id == part
