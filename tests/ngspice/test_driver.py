"""ngspice answers what a pocket calculator answers, and is started again after it has failed."""

import pytest

from tests.ngspice.driver import Spice, SpiceError

pytestmark = pytest.mark.ngspice
DIVIDER = ["* divider", "V1 a 0 12", "R1 a b 1k", "R2 b 0 2k", ".op", ".end"]
CHARGE = ["* charge", "V1 a 0 PWL(0 0 1u 10)", "R1 a b 1k", "C1 b 0 1u", ".tran 1e-5 0.02", ".end"]


def test_a_divider() -> None:
    with Spice() as spice:
        assert spice.operating_point(DIVIDER)["b"] == pytest.approx(8.0, abs=1e-9)


def test_the_end_of_a_charge_and_its_swing() -> None:
    with Spice() as spice:
        found = spice.transient_end(CHARGE, tail_from=10e-3)
    assert found.end["b"] == pytest.approx(10.0, abs=1e-3)
    assert found.swing["b"] < 1e-2


def test_warm_it_gives_the_same_again() -> None:
    with Spice() as spice:
        assert spice.operating_point(DIVIDER) == spice.operating_point(DIVIDER)
        assert spice.restarts == 0


def test_a_sheet_that_is_not_understood_is_an_error_and_the_next_one_works() -> None:
    with Spice() as spice:
        with pytest.raises(SpiceError):
            spice.operating_point(["* bad", "X1 a 0 unknown", ".op", ".end"])
        assert spice.operating_point(DIVIDER)["b"] == pytest.approx(8.0, abs=1e-9)


def test_one_that_takes_too_long_is_given_up() -> None:
    endless = [*CHARGE[:4], ".tran 1e-9 1000 0 1e-9", ".end"]
    with Spice(timeout_s=1.0) as spice:
        with pytest.raises(SpiceError, match="no answer within"):
            spice.transient_end(endless)
        assert spice.restarts == 1
