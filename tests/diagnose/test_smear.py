import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import integrate, special

from loombench.diagnose.smear import below, density, normal_cdf

arr = np.atleast_1d


def test_normal_cdf_is_within_the_bound_abramowitz_and_stegun_give() -> None:
    """Formula 7.1.26: |error| <= 1.5e-7 on erf, half of that here; judge: scipy's ndtr."""
    z = np.linspace(-9.0, 9.0, 20001)
    assert np.abs(normal_cdf(z) - special.ndtr(z)).max() <= 0.76e-7


@given(st.floats(-2, 14), st.floats(0, 12), st.floats(0, 6), st.floats(0.01, 0.5))
def test_density_is_the_slope_of_below(x: float, low: float, width: float, error: float) -> None:
    high = low + width

    def at(u: float) -> float:
        return float(below(arr(u), arr(low), arr(high), arr(error))[0])

    h = 0.02 * error
    slope = (at(x + h) - at(x - h)) / (2.0 * h)
    assert float(density(arr(x), arr(low), arr(high), arr(error))[0]) == pytest.approx(slope, abs=2e-2 / error)


@given(st.floats(0, 12), st.floats(0, 6), st.floats(0.01, 0.5))
def test_density_sums_to_one(low: float, width: float, error: float) -> None:
    high = low + width

    def at(u: float) -> float:
        return float(density(arr(u), arr(low), arr(high), arr(error))[0])

    total, _ = integrate.quad(at, low - 8 * error, high + 8 * error, points=[low, high], limit=200)
    assert total == pytest.approx(1.0, abs=2e-3)
