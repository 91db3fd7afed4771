"""The outside judge answers before it judges: ngspice on a divider that Ohm's law gives at once."""

import pytest

from tests.ngspice.driver import Spice

# Title line first, as SPICE reads it. 12 V over 1000 + 3000 ohm: three quarters stand on the lower resistor.
DIVIDER = ("divider", "V1 a 0 12", "R1 a b 1000", "R2 b 0 3000", ".op", ".end")


@pytest.mark.ngspice
def test_the_simulator_gives_a_divider_as_ohm_does() -> None:
    with Spice() as spice:
        volts = spice.operating_point(DIVIDER)
    assert volts["a"] == pytest.approx(12.0, abs=1e-9)
    assert volts["b"] == pytest.approx(9.0, abs=1e-9)
