"""What bends a solution of the sound network: its nonlinear elements, and what they do to each other."""

from dataclasses import dataclass
from functools import cached_property
from itertools import accumulate
from typing import NamedTuple

import numpy as np

from loombench.circuit.elimination import IntArray
from loombench.circuit.loops import FloatArray
from loombench.circuit.network import Draw
from loombench.circuit.tables.small import DRAWS


class Bare(NamedTuple):
    """By `bare.respond.respond_loop`: `own_is` [own, 2], `own_line` [own, 2], `feed_start` [inputs + 1], `feed_own` and
    `feed_place` [feeds], `draws` [inputs, 2]."""

    own_is: IntArray
    own_line: FloatArray
    feed_start: IntArray
    feed_own: IntArray
    feed_place: IntArray
    draws: FloatArray


@dataclass(frozen=True, eq=False)
class Own:
    """The nonlinear elements that conduct, then the converters' inputs that draw: `along` the first by their place
    along `index` [devices], that of `Devices`; of all the place and the ends, and their tangents, `line` [own, 2]
    siemens and ampere at no volts; for one ampere through each the volts across each [own, own] and at the pairs that
    are watched [own, pairs]. `draws` are those of the inputs."""

    along: IntArray
    index: IntArray
    draws: tuple[Draw, ...]
    place: IntArray
    a: IntArray
    b: IntArray
    line: FloatArray
    across: FloatArray
    watched: FloatArray

    @cached_property
    def bare(self) -> Bare:
        """What loops take."""
        law = np.concatenate((self.along, np.full(len(self.draws), DRAWS, dtype=np.intp)))
        feeds = [supply for draw in self.draws for supply in draw.feeds]
        device_of = {int(one): k for k, one in enumerate(self.along)}
        return Bare(
            np.stack((self.place, law), axis=1),
            self.line,
            np.array([0, *accumulate(len(draw.feeds) for draw in self.draws)], dtype=np.intp),
            np.array([device_of.get(supply, -1) for supply in feeds], dtype=np.intp),
            self.index[np.array(feeds, dtype=np.intp)],
            np.array([(draw.efficiency, draw.from_v) for draw in self.draws]).reshape(-1, 2),
        )
