"""The laws of `devices`, one element after the other.

A law is a line of numbers, the first of which says what it is; the others are in the order of `devices.Devices`.
"""

import math

from loombench.circuit.bare.arrays import FloatArray, IntArray

FILAMENT, JUNCTION, SUPPLY = 0.0, 1.0, 2.0
NUMBERS = 5
"""Numbers of a law."""
JUNCTION_LEAK_S = 1e-9
"""Beside every junction, and every supply's set volts, so that one that blocks still says where its volts are.

About what a small silicon diode lets through at room temperature, 25 nA at 20 V by data sheets (from memory): less
would leave the volts of what hangs on it to roundings. Circuit simulators of the SPICE family put the like beside each
junction (their option gmin), which is set to this where one judges.
"""
FALLS_BY = 0.5
"""A junction that falls by more than this share of its `slope_v` is followed by its current, not by its volts."""
KINK = 1e-13
"""Within this share of its volts a supply counts as regulating on its kinks, where the answer often lies."""


def omega_of(z: float) -> float:
    """By `devices.omega`."""
    z = max(z, -700.0)
    if z < 1.0:
        low = math.exp(z)
        w = low / (1.0 + 0.632 * low)
    else:
        w = max(z - math.log(max(z, 1.5)), 0.5)
    for _ in range(2):
        r = z - w - math.log(w)
        t = 1.0 + w
        u = t * (t + r * (2.0 / 3.0))
        w = w * (1.0 + r * (u - 0.5 * r) / (t * (u - r)))
    return w


def tangent_of(law: FloatArray, x: float) -> tuple[float, float]:
    """Current and slope of a law, by `devices.tangent`."""
    if law[0] == FILAMENT:
        cold_s, knee_v, exponent = law[1], law[2], law[3]
        square = (x / knee_v) ** 2
        base = cold_s * (1.0 + square) ** ((exponent - 1.0) / 2.0)
        return base * x, base * (1.0 + exponent * square) / (1.0 + square)
    if law[0] == JUNCTION:
        saturation_a, slope_v, series_ohm = law[1], law[2], law[3]
        scale = slope_v / series_ohm
        w = omega_of((x + saturation_a * series_ohm) / slope_v + math.log(saturation_a / scale))
        return scale * w - saturation_a + JUNCTION_LEAK_S * x, w / (1.0 + w) / series_ohm + JUNCTION_LEAK_S
    set_v, source_ohm, limit_a = law[1], law[2], law[3]
    asked = (set_v - x) / source_ohm
    current = JUNCTION_LEAK_S * (x - set_v) - min(max(asked, 0.0), limit_a)
    margin = KINK * (abs(set_v) + 1.0) / source_ohm
    holds = asked >= -margin and asked <= limit_a + margin
    return current, (1.0 / source_ohm if holds else 0.0) + JUNCTION_LEAK_S


def limited_of(law: FloatArray, x: float, current: float, rise: float, v: float) -> float:
    """Where to linearise a law next, by `devices.limited`."""
    if law[0] == FILAMENT:
        return 0.0 if v * x < 0.0 else v
    if law[0] == JUNCTION:
        saturation_a, slope_v, series_ohm, critical_v = law[1], law[2], law[3], law[4]
        if not v > critical_v and v >= x - FALLS_BY * slope_v:
            return v
        foretold = max(current + rise * (v - x) - JUNCTION_LEAK_S * v, saturation_a)
        by_current: float = slope_v * math.log1p(foretold / saturation_a) + series_ohm * foretold
        most: float = x if v > critical_v else v
        return min(by_current, most) if v < x else min(max(by_current, critical_v), v)
    set_v: float = law[1]
    floor = set_v - law[3] * law[2]
    return set_v if (x < floor and v > set_v) or (x > set_v and v < floor) else v


def tangents_loop(
    laws: FloatArray, places: IntArray, volts: FloatArray, current: FloatArray, rise: FloatArray
) -> None:  # fmt: skip
    """[rows, n] `current` and `rise` of the laws at `places` [n] at `volts` [rows, n]."""
    for r in range(volts.shape[0]):
        for j in range(volts.shape[1]):
            current[r, j], rise[r, j] = tangent_of(laws[places[j]], volts[r, j])
