"""Newton on the ports of many faults at once: small dense systems side by side.

Of each port the network is known by what it shows open (`open_v`) and by its response to a current drawn at each port
(`response`), both with the port's sound law linearised in place. A port draws beyond that

    J = i(u) - (slope V + source),   V = u + R i(u),   V = open_v - response J

where i is its new law, u the volts across the element itself and R what is in series with it. A converter's input
draws what the supplies give that it feeds: P / (efficiency u), where P hangs on the volts of other ports.
"""

from dataclasses import dataclass, replace

import numpy as np

from loombench.circuit.bare.small import AGREES, INPUT, PATIENT, QUICK
from loombench.circuit.compiled import compiled_from
from loombench.circuit.devices import Devices, limited, tangent
from loombench.circuit.elimination import IntArray
from loombench.circuit.loops import FloatArray
from loombench.circuit.network import BoolArray
from loombench.circuit.tables.limits import GREATEST_NOISE_V, ROUNDING

LINEAR = -1
"""The law of a port that follows i = conductance u + constant."""
DRAWS = INPUT
"""The law of a converter's input."""
STEPS = 60
NEAR_V = 1e-9


@dataclass(frozen=True, eq=False)
class Small:
    """[systems, ports] each, `response` [systems, ports, ports]. `law` is a port's place, `LINEAR` or `DRAWS`.

    `fed` [systems, ports, ports] is 1 / efficiency where the first port is the input that feeds the second, else 0;
    `from_v` [systems, ports] the volts below which an input draws nothing. None where no port is such an input.
    """

    response: FloatArray
    open_v: FloatArray
    slope_s: FloatArray
    source_a: FloatArray
    law: IntArray
    conductance_s: FloatArray
    constant_a: FloatArray
    series_ohm: FloatArray
    fed: FloatArray | None = None
    from_v: FloatArray | None = None


@dataclass(frozen=True, eq=False)
class Found:
    """[systems, ports] volts across each element, the current it draws beyond its sound law, its whole current.

    `noise_v` [systems] is how far roundings may move it; `settled` [systems] whether Newton got there.
    """

    u: FloatArray
    extra_a: FloatArray
    current_a: FloatArray
    noise_v: FloatArray
    settled: BoolArray


@np.errstate(over="ignore", invalid="ignore", divide="ignore")
def newton(small: Small, laws: Devices, u: FloatArray) -> Found:
    """Solve all systems from a guess `u` [systems, ports]; one that runs away beyond all numbers is not settled.

    The compiled loops do the same system by system (`bare.small`).
    """
    curved = small.law >= 0
    drawing = small.law == DRAWS
    some, order = _sorted(laws, small.law[curved])
    u = u.copy()
    unit = np.eye(u.shape[1])
    settled = np.zeros(len(u), dtype=np.bool_)
    for step in range(STEPS):
        current, rise = small.conductance_s * u + small.constant_a, small.conductance_s.copy()
        at = u[curved][order]
        bent = tangent(some, at)
        current[curved], rise[curved] = _unsorted(bent[0], order), _unsorted(bent[1], order)
        across_ports: FloatArray | None = None
        if small.fed is not None:
            taken, across_ports = _taken(small.fed, u, current, rise)
            current, rise = np.where(drawing, taken, current), np.where(drawing, -taken / u, rise)
        volts, volts_rise = u + small.series_ohm * current, 1.0 + small.series_ohm * rise
        extra = current - (small.slope_s * volts + small.source_a)
        extra_rise = rise - small.slope_s * volts_rise
        residual = volts + np.einsum("rij,rj->ri", small.response, extra) - small.open_v
        matrix = unit * volts_rise[:, np.newaxis, :] + small.response * extra_rise[:, np.newaxis, :]
        if across_ports is not None:
            matrix = matrix + small.response @ across_ports
        inverse = _inverse(matrix)
        after = u - np.einsum("rij,rj->ri", inverse, residual)
        size = np.abs(volts) + np.abs(small.open_v) + np.einsum("rij,rj->ri", np.abs(small.response), np.abs(extra))
        noise = ROUNDING * np.einsum("rij,rj->ri", np.abs(inverse), size)
        near = NEAR_V * (1.0 + np.abs(after))
        if step >= QUICK:
            near = near + np.minimum(noise, GREATEST_NOISE_V)
        meets = np.abs(residual) <= NEAR_V * (1.0 + np.abs(small.open_v)) + AGREES * ROUNDING * size
        settled = (meets & (np.abs(after - u) <= near)).all(axis=1)
        # What port and network differ by shows at every node that the port reaches.
        floor = np.maximum(noise, ROUNDING * size)
        noise_v = np.maximum(floor, np.abs(residual)).max(axis=1, initial=0.0)
        given_up = (floor.max(axis=1, initial=0.0) > 10.0 * GREATEST_NOISE_V) & (step >= PATIENT)
        if (settled | given_up).all():
            break
        stepped = after.copy()
        stepped[curved] = _unsorted(limited(some, at, bent[0], bent[1], after[curved][order]), order)
        # What has settled stays, so that a system's answer does not hang on its neighbours.
        u = np.where(settled[:, np.newaxis], u, stepped)
    if small.from_v is not None:
        # Beyond the fold is the other branch, at low volts, which no network comes to from the side of the high ones.
        settled &= (~drawing | (u > small.from_v)).all(axis=1) & (np.linalg.det(matrix) > 0.0)
    return Found(u, extra, current, noise_v, settled & np.isfinite(noise_v))


def _taken(fed: FloatArray, u: FloatArray, current: FloatArray, rise: FloatArray) -> tuple[FloatArray, FloatArray]:
    """[systems, ports] what converters' inputs draw, and [systems, ports, ports] how it rises with the volts of the
    supplies that they feed."""
    power = np.einsum("rjl,rl->rj", fed, -current * u)
    gives = power > 0.0
    rises = fed * np.where(gives, 1.0 / u, 0.0)[:, :, np.newaxis] * (-current - u * rise)[:, np.newaxis, :]
    return np.where(gives, power / u, 0.0), rises


def _inverse(matrix: FloatArray) -> FloatArray:
    """The inverse of each; infinite where there is none."""
    try:
        return np.asarray(np.linalg.inv(matrix), dtype=np.float64)
    except np.linalg.LinAlgError:
        singular = np.linalg.det(matrix) == 0.0
        found = np.linalg.inv(np.where(singular[:, np.newaxis, np.newaxis], np.eye(matrix.shape[1]), matrix))
        return np.where(singular[:, np.newaxis, np.newaxis], np.inf, found)


def _sorted(laws: Devices, places: IntArray) -> tuple[Devices, IntArray]:
    """The laws at some places, in the order that `Devices` keeps, and that order."""
    order = np.argsort(places, kind="stable")
    return pick(laws, places[order]), order


def _unsorted(values: FloatArray, order: IntArray) -> FloatArray:
    result = np.empty_like(values)
    result[order] = values
    return result


def pick(laws: Devices, places: IntArray) -> Devices:
    """The laws at ascending places, one of them several times if wanted."""
    first, second = laws.filaments, laws.filaments + laws.junctions
    lamp = places[places < first]
    diode = places[(places >= first) & (places < second)] - first
    supply = places[places >= second] - second
    return replace(
        laws,
        index=places,
        filaments=len(lamp),
        junctions=len(diode),
        cold_s=laws.cold_s[lamp],
        knee_v=laws.knee_v[lamp],
        exponent=laws.exponent[lamp],
        saturation_a=laws.saturation_a[diode],
        slope_v=laws.slope_v[diode],
        series_ohm=laws.series_ohm[diode],
        critical_v=laws.critical_v[diode],
        set_v=laws.set_v[supply],
        source_ohm=laws.source_ohm[supply],
        limit_a=laws.limit_a[supply],
    )


def law_currents(laws: Devices, places: IntArray, volts: FloatArray) -> FloatArray:
    """[rows, n] currents of the laws at ascending `places` [n] at `volts` [rows, n]."""
    return law_tangents(laws, places, volts)[0]


def law_tangents(laws: Devices, places: IntArray, volts: FloatArray) -> tuple[FloatArray, FloatArray]:
    """[rows, n] currents and slopes of the laws at ascending `places` [n] at `volts` [rows, n]."""
    if (loops := compiled_from(0)) is not None:
        there, slopes = np.empty(volts.shape), np.empty(volts.shape)
        loops.tangents_loop(laws.bare, places, np.ascontiguousarray(volts), there, slopes)
        return there, slopes
    shape = (len(places), len(volts))
    current, rise = tangent(pick(laws, np.repeat(places, len(volts))), volts.T.ravel())
    return current.reshape(shape).T, rise.reshape(shape).T
