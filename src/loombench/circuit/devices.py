"""The laws of filaments, junctions and regulated supplies over arrays: current, slope, and where to try next.

All are monotone: current rises with voltage. `x` is the voltage a law was linearised at, `v` what the network answered
to that; the next `x` is `v` kept where the law is still well described (limiting changes the way, not the solution).
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from loombench.circuit.bare.laws import FALLS_BY, FILAMENT, JUNCTION, JUNCTION_LEAK_S, KINK, NUMBERS, SUPPLY
from loombench.circuit.elimination import IntArray
from loombench.circuit.loops import FloatArray
from loombench.circuit.netlist import Element, Filament, Junction, Regulated

# A junction's series resistance is at least this, so that its law can be inverted.
_LEAST_SERIES_OHM = 1e-13


@dataclass(frozen=True, eq=False)
class Devices:
    """The nonlinear elements of a netlist: `index` [n] are their places, filaments first, then junctions, supplies."""

    index: IntArray
    filaments: int
    junctions: int
    cold_s: FloatArray
    knee_v: FloatArray
    exponent: FloatArray
    saturation_a: FloatArray
    slope_v: FloatArray
    series_ohm: FloatArray
    critical_v: FloatArray
    set_v: FloatArray
    source_ohm: FloatArray
    limit_a: FloatArray

    @property
    def parts(self) -> tuple[slice, slice, slice]:
        """Where filaments, junctions and supplies are along `index`."""
        second = self.filaments + self.junctions
        return slice(0, self.filaments), slice(self.filaments, second), slice(second, len(self.index))

    @cached_property
    def bare(self) -> FloatArray:
        """[n, numbers] the laws as `bare.laws` has them."""
        lamp, diode, supply = self.parts
        found = np.zeros((len(self.index), NUMBERS))
        found[lamp, 0], found[diode, 0], found[supply, 0] = FILAMENT, JUNCTION, SUPPLY
        found[lamp, 1:4] = np.stack((self.cold_s, self.knee_v, self.exponent), axis=1)
        found[diode, 1:5] = np.stack((self.saturation_a, self.slope_v, self.series_ohm, self.critical_v), axis=1)
        found[supply, 1:4] = np.stack((self.set_v, self.source_ohm, self.limit_a), axis=1)
        return found


def devices(elements: Sequence[Element]) -> Devices:
    """Collect the nonlinear elements, PowerDraw apart."""

    def places(kind: type[Element]) -> list[int]:
        return [k for k, element in enumerate(elements) if isinstance(element, kind)]

    lamps = [(k, e.law) for k, e in enumerate(elements) if isinstance(e, Filament)]
    diodes = [e for e in elements if isinstance(e, Junction)]
    supplies = [e for e in elements if isinstance(e, Regulated)]
    index = np.array([k for k, _ in lamps] + places(Junction) + places(Regulated), dtype=np.intp)
    saturation_a, slope_v = np.array([e.saturation_a for e in diodes]), np.array([e.slope_v for e in diodes])
    return Devices(
        index=index,
        filaments=len(lamps),
        junctions=len(diodes),
        cold_s=np.array([law.cold_s for _, law in lamps]),
        knee_v=np.array([law.knee_v for _, law in lamps]),
        exponent=np.array([law.exponent for _, law in lamps]),
        saturation_a=saturation_a,
        slope_v=slope_v,
        series_ohm=np.array([max(e.series_ohm, _LEAST_SERIES_OHM) for e in diodes]),
        # Where the slope of the bare junction passes 1 / sqrt(2) siemens; the usual place to start from.
        critical_v=slope_v * np.log(slope_v / (np.sqrt(2.0) * saturation_a)),
        set_v=np.array([e.set_v for e in supplies]),
        source_ohm=np.array([e.resistance_ohm for e in supplies]),
        limit_a=np.array([e.limit_a for e in supplies]),
    )


def tangent(d: Devices, x: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Current and slope of every device at `x` [n]."""
    lamp, diode, supply = d.parts
    current, slope = np.empty(len(x)), np.empty(len(x))
    if d.filaments:
        square = (x[lamp] / d.knee_v) ** 2
        base = d.cold_s * (1.0 + square) ** ((d.exponent - 1.0) / 2.0)
        current[lamp] = base * x[lamp]
        slope[lamp] = base * (1.0 + d.exponent * square) / (1.0 + square)
    if d.junctions:
        scale = d.slope_v / d.series_ohm
        z = (x[diode] + d.saturation_a * d.series_ohm) / d.slope_v + np.log(d.saturation_a / scale)
        w = omega(z)
        current[diode] = scale * w - d.saturation_a + JUNCTION_LEAK_S * x[diode]
        slope[diode] = w / (1.0 + w) / d.series_ohm + JUNCTION_LEAK_S
    if len(d.set_v):
        asked = (d.set_v - x[supply]) / d.source_ohm
        current[supply] = JUNCTION_LEAK_S * (x[supply] - d.set_v) - np.clip(asked, 0.0, d.limit_a)
        margin = KINK * (np.abs(d.set_v) + 1.0) / d.source_ohm
        holds = (asked >= -margin) & (asked <= d.limit_a + margin)
        slope[supply] = np.where(holds, 1.0 / d.source_ohm, 0.0) + JUNCTION_LEAK_S
    return current, slope


def start(d: Devices, v: FloatArray) -> FloatArray:
    """Where to linearise first, from a guess [n]: a supply always begins by regulating, lest it stay in a flat part."""
    x = v.copy()
    x[d.parts[2]] = d.set_v
    return x


def limited(d: Devices, x: FloatArray, current: FloatArray, slope: FloatArray, v: FloatArray) -> FloatArray:
    """Where to linearise next, from the answer `v` [n] to the tangents at `x`."""
    lamp, diode, supply = d.parts
    after = v.copy()
    # A lamp that changes sign is tried cold: its slope there is the greatest it has.
    after[lamp] = np.where(v[lamp] * x[lamp] < 0.0, 0.0, v[lamp])
    if d.junctions:
        # Above the critical voltage, and well below where it stood, follow the current that the tangent foretells, not
        # the voltage: one that nothing feeds any more would come down by `slope_v` a step.
        x_v, v_v = x[diode], v[diode]
        foretold = current[diode] + slope[diode] * (v_v - x_v) - JUNCTION_LEAK_S * v_v
        foretold = np.maximum(foretold, d.saturation_a)
        by_current = d.slope_v * np.log1p(foretold / d.saturation_a) + d.series_ohm * foretold
        above = v_v > d.critical_v
        falls = np.minimum(by_current, np.where(above, x_v, v_v))
        rises = np.minimum(np.maximum(by_current, d.critical_v), v_v)
        plain = ~above & (v_v >= x_v - FALLS_BY * d.slope_v)
        after[diode] = np.where(plain, v_v, np.where(v_v < x_v, falls, rises))
    if len(d.set_v):
        floor = d.set_v - d.limit_a * d.source_ohm
        jumps = ((x[supply] < floor) & (v[supply] > d.set_v)) | ((x[supply] > d.set_v) & (v[supply] < floor))
        after[supply] = np.where(jumps, d.set_v, v[supply])
    return after


def omega(z: FloatArray) -> FloatArray:
    """Wright's omega: the w > 0 with w + ln w = z, to 1e-13 of itself.

    Method: two steps of Fritsch, Shafer and Crowley, CACM 16 (1973) 123 (from memory), from a start within a few
    per cent: e^z where that is small, bent to meet z - ln z at z = 1.
    """
    z = np.maximum(z, -700.0)
    low = np.exp(np.minimum(z, 1.0))
    w = np.where(z < 1.0, low / (1.0 + 0.632 * low), np.maximum(z - np.log(np.maximum(z, 1.5)), 0.5))
    for _ in range(2):
        r = z - w - np.log(w)
        t = 1.0 + w
        u = t * (t + r * (2.0 / 3.0))
        w = w * (1.0 + r * (u - 0.5 * r) / (t * (u - r)))
    return w
