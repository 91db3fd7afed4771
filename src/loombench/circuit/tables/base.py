"""One solution of the sound network, made ready to be asked what happens if currents are drawn from it."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import numpy.typing as npt

from loombench.circuit.compiled import compiled_from
from loombench.circuit.devices import tangent
from loombench.circuit.elimination import IntArray
from loombench.circuit.kernel import Factors, factor, islands, solve
from loombench.circuit.loops import FloatArray
from loombench.circuit.network import BoolArray, Prepared
from loombench.circuit.newton import LEAK_S, Solution
from loombench.circuit.tables.begun import Begun
from loombench.circuit.tables.bending import Own
from loombench.circuit.tables.spanning import Bridges, bridges
from loombench.circuit.tables.stiff import Firm, tied

# So many columns at a time stay in the processor's cache for a vehicle of some thousand nodes.
_TOGETHER = 32
# From so many questions on, one walk through the whole network answers the rest sooner.
_WALK_FROM = 30


Forced = tuple[tuple[str, str], ...]
"""Variables that are not where they are in the sound network, with where they are."""
States = npt.NDArray[np.int16]
"""[variables] where each is; none has as many states as would not go into so few bytes."""


@dataclass(frozen=True, eq=False)
class Watched:
    """Pairs of nodes between which the volts are wanted."""

    a: IntArray
    b: IntArray


NOTHING = Watched(np.zeros(0, dtype=np.intp), np.zeros(0, dtype=np.intp))


class Base:
    """A solution with every element linearised where it stands: current = slope_s volts + source_a, 0 where open.
    `watched` are the pairs of nodes that are looked at under every fault. Of the solution only the volts stay for good,
    from which the rest follows: a large vehicle's rows come through thousands of states."""

    def __init__(
        self,
        p: Prepared,
        values: IntArray,
        closed: BoolArray,
        at: Solution,
        watched: Watched = NOTHING,
        begun: Begun | None = None,
    ) -> None:
        self.p, self.closed, self.watched = p, closed, watched
        self.begun = begun or Begun()
        self.values: States = values.astype(np.int16)
        self.inner_v, self.island = at.inner_v, at.island
        self.switched: dict[Forced, tuple[States, IntArray]] = {}
        """The variables once some are forced, and which elements that switches; kept for who asks the next time."""
        self._tied: IntArray | None = None
        self._pieces: dict[int, BoolArray | None] = {}
        self._joined: dict[tuple[int, int], tuple[IntArray, BoolArray]] = {}
        self._islands: dict[bytes, IntArray] = {}
        self.on = closed[p.devices.index]
        # Their slope is negative, so a converter's input is a source here, and a port wherever it draws otherwise.
        self.draws = tuple(one for one in p.draws if closed[one.place] and at.island[one.a] == at.island[one.b])
        self._taken_a = at.current_a[[one.place for one in self.draws]]

    @cached_property
    def at(self) -> Solution:
        """The whole solution."""
        across = self.inner_v[self.p.a] - self.inner_v[self.p.b]
        return Solution(self.inner_v, self.island, across, self.slope_s * across + self.source_a, 0.0, 0, self.closed)

    @property
    def slope_s(self) -> FloatArray:
        """[elements] how the current of each rises with its volts."""
        return self._linear[0]

    @property
    def source_a(self) -> FloatArray:
        """[elements] the current of each at no volts."""
        return self._linear[1]

    @cached_property
    def _linear(self) -> tuple[FloatArray, FloatArray]:
        p, d = self.p, self.p.devices
        slope_s, source_a = np.where(self.closed, p.slope_s, 0.0), np.where(self.closed, p.source_a, 0.0)
        across = self.inner_v[p.a[d.index]] - self.inner_v[p.b[d.index]]
        current, rise = tangent(d, across)
        slope_s[d.index], source_a[d.index] = rise * self.on, (current - rise * across) * self.on
        source_a[[one.place for one in self.draws]] = self._taken_a
        return slope_s, source_a

    @property
    def can_be_asked(self) -> bool:
        """Whether all of the network here has volts, and no converter's input hangs between two islands."""
        joined = all(one in self.draws for one in self.p.draws if self.closed[one.place])
        return joined and bool(np.isfinite(self.inner_v).all())

    @property
    def tied(self) -> IntArray:
        """[nodes] the group each node is tied into, as by `stiff.tied`."""
        if self._tied is None:
            self._tied = tied(self.p, self.closed, self.at.current_a)
        return self._tied

    @cached_property
    def firm(self) -> Firm:
        """What ties its ends whatever becomes of the network."""
        return Firm(self.p, self.closed)

    def piece(self, place: int) -> BoolArray | None:
        """[nodes] one of the two pieces that an island falls into if an element that conducts is opened; None where it
        stays whole."""
        if place not in self._pieces:
            self._pieces[place] = self._piece_by_walk(place) if len(self._pieces) >= _WALK_FROM else self._piece(place)
        return self._pieces[place]

    def joined(self, one: int, other: int) -> tuple[IntArray, BoolArray]:
        """[nodes] the islands once two of them, by their smallest node, are tied; and what is of `one`. The same arrays
        for all that ask."""
        if (one, other) not in self._joined:
            there = self.island == one
            island = np.where(there | (self.island == other), min(one, other), self.island)
            self._joined[one, other] = island, there
        return self._joined[one, other]

    def shared(self, island: IntArray) -> IntArray:
        """[nodes] the same islands, as one array for all that have them."""
        return self._islands.setdefault(island.tobytes(), island)

    def _piece(self, place: int) -> BoolArray | None:
        mask = self._carries.copy()
        mask[place] = False
        edges = self.p.ends
        apart: BoolArray = islands(self.p.netlist.nodes, edges, mask) != self.island
        return apart if apart.any() else None

    def _piece_by_walk(self, place: int) -> BoolArray | None:
        if self._bridges.behind[place] < 0:
            return None
        nodes = np.arange(self.p.netlist.nodes)
        piece: BoolArray = self._bridges.beyond(place, nodes) & (self.island == self.island[self.p.a[place]])
        return piece

    @property
    def behind(self) -> IntArray:
        """[elements] the node behind an element that is the only way to it, -1 for one that is not."""
        return self._bridges.behind

    def parts(self, places: IntArray, a: IntArray, b: IntArray) -> BoolArray:
        """[places, pairs] whether the nodes of a pair come apart where an only way is opened."""
        one, other = self._bridges.all_beyond(places, a), self._bridges.all_beyond(places, b)
        result: BoolArray = one != other
        return result

    @cached_property
    def _carries(self) -> BoolArray:
        """[elements] what a current may go through: what ties, and inputs that draw; what lies behind the only way of
        such is no piece by itself."""
        mask = self.closed & self.p.ties
        mask[[one.place for one in self.draws]] = True
        return mask

    @cached_property
    def _bridges(self) -> Bridges:
        return bridges(self.p.netlist.nodes, self.p.a, self.p.b, self._carries)

    @cached_property
    def own(self) -> Own:
        """The nonlinear elements that conduct."""
        along = np.flatnonzero(self.on)
        draws = [one.place for one in self.draws]
        place = np.concatenate((self.p.devices.index[along], np.array(draws, dtype=np.intp)))
        a, b = self.p.a[place], self.p.b[place]
        w = self.watched
        nodes = np.unique(np.concatenate((a, b, w.a, w.b)))
        columns = self.columns(list(zip(a.tolist(), b.tolist(), strict=True)), nodes)

        def between(one: IntArray, other: IntArray) -> FloatArray:
            return columns[:, np.searchsorted(nodes, one)] - columns[:, np.searchsorted(nodes, other)]

        line = np.stack((self.slope_s[place], self.source_a[place]), axis=1)
        index = self.p.devices.index
        return Own(along, index, self.draws, place, a, b, line, between(a, b), between(w.a, w.b))

    def forget(self) -> None:
        """Drop what can be worked out again."""
        for name in (
            "own",
            "factors",
            "_bridges",
            "_carries",
            "_linear",
            "at",
            "_firm",
            "_firm_bridges",
            "held_of",
            "held_at",
        ):
            self.__dict__.pop(name, None)
        self._pieces.clear()
        self.switched.clear()
        self._joined.clear()
        self._islands.clear()
        self._tied = None

    def drawn_v(self, a: IntArray, b: IntArray, current_a: FloatArray) -> FloatArray:
        """[nodes] what currents [ports] from `a` to `b` take off the volts of the linearised network."""
        drawn = np.zeros(self.p.netlist.nodes)
        np.add.at(drawn, a, current_a)
        np.add.at(drawn, b, -current_a)
        return solve(self.p.plan, self.factors, drawn)

    def columns(self, ends: Sequence[tuple[int, int]], nodes: IntArray | None = None) -> FloatArray:
        """[pairs, nodes] volts of the linearised network for one ampere in at the first node and out at the second, at
        `nodes` (all of them where None)."""
        plan, count = self.p.plan, self.p.netlist.nodes
        found = np.empty((len(ends), count if nodes is None else len(nodes)))
        loops = compiled_from(count)
        for start in range(0, len(ends), _TOGETHER):
            some = ends[start : start + _TOGETHER]
            if loops is not None:
                at, width = plan.position if nodes is None else plan.position[nodes], len(some)
                loops.columns_loop(
                    plan.column_start, plan.column, plan.row, plan.entry_start, plan.entry_slot, self.factors.share,
                    self.factors.total_s, plan.position[np.array(some, dtype=np.intp)], at, np.empty((count, width)),
                    np.empty((count + 1, width)), found[start : start + width],
                )  # fmt: skip
                continue
            drawn = np.zeros((count, len(some)))
            for k, (a, b) in enumerate(some):
                drawn[a, k] += 1.0
                drawn[b, k] -= 1.0
            volts = solve(plan, self.factors, drawn)
            found[start : start + len(some)] = (volts if nodes is None else volts[nodes]).T
        return found

    @cached_property
    def held_of(self) -> IntArray:
        """[nodes] the node of its island that is held at 0 V."""
        reference = np.arange(self.p.netlist.nodes)
        reference[self.island[self.p.netlist.reference]] = self.p.netlist.reference
        return reference[self.island]

    @cached_property
    def held_at(self) -> tuple[int, ...]:
        """The nodes that are held at 0 V, ascending."""
        return tuple(np.unique(self.held_of).tolist())

    @cached_property
    def factors(self) -> Factors:
        """Those of the linearised network."""
        held = np.zeros(self.p.netlist.nodes)
        held[self.held_of] = LEAK_S
        return factor(self.p.plan, self.slope_s, held)
