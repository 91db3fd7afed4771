"""What a wire carries for long, by its section."""

from functools import cache
from itertools import pairwise
from math import log

from loombench.facts.conductor import awg_area_mm2
from loombench.facts.interpolate import log_log
from loombench.facts.sizing import USUAL_SIZES, free_air_ampacity_a
from loombench.facts.table import load_table

INSULATION_C = 90


@cache
def _points() -> tuple[tuple[float, float], ...]:
    pairs = ((awg_area_mm2(size), free_air_ampacity_a(size, INSULATION_C)) for size in (20, *USUAL_SIZES))
    return tuple((area, current) for area, current in pairs if current is not None)


def ampacity_a(area_mm2: float) -> float:
    """Current a single copper wire in free air at 30 C carries with 90 C insulation; less in a bundle or a hot place.

    Between the printed sizes (20 to 2 AWG, 0.52 to 33.6 mm2) a straight line on log axes; outside, the slope of the
    nearest two sizes is kept, which is an estimate. `area_mm2` above zero.
    """
    points = _points()
    if points[0][0] <= area_mm2 <= points[-1][0]:
        return log_log(points, area_mm2)
    (a1, i1), (a2, i2) = list(pairwise(points))[0 if area_mm2 < points[0][0] else -1]
    # Two points define i = i1 (area / a1) ** slope; `log_log` holds its ends.
    return float(i1 * (i2 / i1) ** (log(area_mm2 / a1) / log(a2 / a1)))


@cache
def ampacity_source() -> str:
    """Where the currents come from."""
    provenance = load_table("ampacity_free_air")[-1].provenance
    return f"{provenance.source} ({provenance.kind.value}, {INSULATION_C} C insulation)"
