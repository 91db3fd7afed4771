"""Which nodes are tied to each other so stiffly that a voltmeter shows what is there without it."""

from collections.abc import Sequence

from loombench.circuit.elimination import IntArray
from loombench.circuit.loops import FloatArray
from loombench.circuit.network import BoolArray, Prepared

STIFF_OHM = 20.0
"""Two millionths of a 10 Mohm meter: even several in series shift a reading by a tenth of a millivolt at most."""
CONDUCTING_A = 1e-3


def tied(
    p: Prepared, closed: BoolArray, current_a: FloatArray, loose: Sequence[int] = ()
) -> IntArray:  # fmt: skip
    """[nodes] the smallest node of the group each node is tied into by batteries, lamps, resistances of at most
    `STIFF_OHM`, and junctions that conduct at least `CONDUCTING_A`, of the elements `closed` but for the `loose`."""
    lamp, diode, _ = p.devices.parts
    stiff = p.slope_s >= 1.0 / STIFF_OHM
    index = p.devices.index
    stiff[index[lamp]] = True
    conducts = current_a[index[diode]] >= CONDUCTING_A
    stiff[index[diode]] = conducts & (p.devices.series_ohm <= STIFF_OHM)
    stiff[list(loose)] = False
    return p.islands(closed & stiff)
