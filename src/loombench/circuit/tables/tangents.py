"""How far the bent elements of a base are from the tangents that stand for them."""

import numpy as np

from loombench.circuit.loops import FloatArray
from loombench.circuit.tables.base import Base
from loombench.circuit.tables.small import law_tangents


def beyond_tangents(base: Base, across: FloatArray) -> tuple[FloatArray, FloatArray]:
    """[rows, own] what each would carry beyond its tangent with `across` [rows, own] on it, and how its current rises
    (0 for a converter's input, which draws what its supplies give)."""
    own, count = base.own, len(base.own.along)
    real, rise = np.zeros(across.shape), np.zeros(across.shape)
    if count:
        real[:, :count], rise[:, :count] = law_tangents(base.p.devices, own.along, across[:, :count])
    device_of = {int(one): k for k, one in enumerate(own.along)}
    for k, draw in enumerate(own.draws):
        fed = [device_of[supply] for supply in draw.feeds if supply in device_of]
        power = np.maximum((-real[:, fed] * across[:, fed]).sum(axis=1), 0.0) / draw.efficiency
        volts = across[:, count + k]
        real[:, count + k] = np.where(volts > draw.from_v, power / np.maximum(volts, draw.from_v), 0.0)
    return real - (base.slope_s[own.place] * across + base.source_a[own.place]), rise
