"""Which nodes are tied to each other so stiffly that a voltmeter shows what is there without it."""

from collections.abc import Sequence

from loombench.circuit.elimination import IntArray
from loombench.circuit.loops import FloatArray
from loombench.circuit.network import BoolArray, Prepared


def tied(
    p: Prepared, closed: BoolArray, current_a: FloatArray, stiff_ohm: float, conducting_a: float,
    loose: Sequence[int] = (),
) -> IntArray:  # fmt: skip
    """[nodes] the smallest node of the group each node is tied into by batteries, lamps, resistances of at most
    `stiff_ohm`, and junctions that conduct at least `conducting_a`, of the elements `closed` but for the `loose`."""
    lamp, diode, _ = p.devices.parts
    stiff = p.slope_s >= 1.0 / stiff_ohm
    index = p.devices.index
    stiff[index[lamp]] = True
    conducts = current_a[index[diode]] >= conducting_a
    stiff[index[diode]] = conducts & (p.devices.series_ohm <= stiff_ohm)
    stiff[list(loose)] = False
    return p.islands(closed & stiff)
