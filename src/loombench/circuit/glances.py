"""Modules at a solution, each looked at anew only where something that it looks at stands otherwise than it did once.

What a module wants follows from what its inputs and supplies say, which is a few bits, and from where it and what it
drives stand; nearly all modules stand as they did one event before, whatever moved elsewhere. One that keeps a rhythm,
runs a clock of a rule, or is over a limit is always looked at.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import accumulate

import numpy as np

from loombench.circuit.elimination import IntArray
from loombench.circuit.loops import FloatArray
from loombench.circuit.moduleview import ModuleView, Volts, deadlines, sleep_clock, view
from loombench.circuit.netlist import ModuleAgent
from loombench.circuit.network import Prepared
from loombench.circuit.newton import Solution
from loombench.circuit.working import Working

MOST = 4096
"""Views of one module that are kept."""


@dataclass(frozen=True, eq=False)
class _Kept:
    """A module with `signs` and `values` that part those of all modules, its clocks, and its views by both; with each
    whether it is idle."""

    module: ModuleAgent
    signs: slice
    values: slice
    clocks: tuple[str, ...]
    views: dict[bytes, tuple[ModuleView, bool]] = field(default_factory=dict)


class Glances:
    """Looks at the modules of a network, or of one in which more or less is held."""

    def __init__(self, p: Prepared, modules: Sequence[ModuleAgent]) -> None:
        self.p, self.modules = p, tuple(modules)
        signs, one, other, low, high, place, limit, whose = [0], [], [], [], [], [], [], []
        variables: list[list[int]] = []
        for number, module in enumerate(self.modules):
            for reading in module.inputs:
                one.append(reading.node)
                other.append(reading.reference)
                low.append(reading.low_v)
                high.append(reading.high_v)
            for supply in module.supplies:
                one.append(supply)
                other.append(module.ground)
                # A supply is no input: it is never between two, and what floats has no volts.
                low.append(np.nan)
                high.append(np.nan)
            signs.append(len(one))
            for drive in module.outputs:
                if drive.limit_a > 0.0 and drive.element in p.index:
                    place.append(p.index[drive.element])
                    limit.append(drive.limit_a)
                    whose.append(number)
            driven = [name for drive in module.rules for name in drive.variables]
            names = (module.variable, *module.input_variables, *(drive.variable for drive in module.outputs), *driven)
            variables.append([p.variable[name] for name in names])
        self._one, self._other = np.array(one, dtype=np.intp), np.array(other, dtype=np.intp)
        self._low, self._high = np.array(low), np.array(high)
        counts = np.array([len(module.supplies) for module in self.modules], dtype=np.intp)
        self._is_supply = np.isnan(self._low)
        self._starts = np.repeat([module.starts_v for module in self.modules], counts)
        self._resets = np.repeat([module.resets_v for module in self.modules], counts)
        self._place, self._limit = np.array(place, dtype=np.intp), np.array(limit)
        self._whose = np.array(whose, dtype=np.intp)
        self._variables: IntArray = np.array([k for some in variables for k in some], dtype=np.intp)
        size = self._variables.itemsize
        ends = [0, *accumulate(len(some) * size for some in variables)]
        self._reads = {name: number for number, module in enumerate(modules) for name in module.input_variables}
        self._kept = tuple(
            _Kept(module, slice(signs[k], signs[k + 1]), slice(ends[k], ends[k + 1]), tuple(deadlines(module)))
            for k, module in enumerate(self.modules)
        )

    def views(self, volts: Volts, at: Solution, w: Working) -> list[ModuleView]:
        """By `moduleview.view`, of all modules in their order."""
        over = np.abs(at.current_a[self._place]) > self._limit
        across = at.inner_v[self._one] - at.inner_v[self._other]
        frozen, usual = w.p.netlist.frozen, self.p.netlist.frozen
        if w.p.variable is not self.p.variable or w.blocked or np.isnan(across).any():
            return [view(module, volts, at, w) for module in self.modules]
        anew = set(self._whose[over].tolist())
        if frozen is not usual:
            # An input that is held otherwise than here says what it is held at.
            anew.update(self._reads[name] for name in frozen.keys() ^ usual.keys() if name in self._reads)
        signs = self._signs(at, across).tobytes()
        values = w.values[self._variables].tobytes()
        engine = b"1" if w.state.get("engine") == "run" else b"0"
        return [
            view(one.module, volts, at, w)
            if number in anew
            else _again(one, signs[one.signs] + values[one.values] + engine, volts, at, w)
            for number, one in enumerate(self._kept)
        ]

    def _signs(self, at: Solution, across: FloatArray) -> np.ndarray[tuple[int], np.dtype[np.int8]]:
        """[inputs and supplies] what each says: of an input 0 what it said before, 1 and 2 high and low; of a supply
        bits for enough to start and too little to go on."""
        tied = at.island[self._one] == at.island[self._other]
        found = np.where(across >= self._high, 1, 2).astype(np.int8)
        found[~tied | ((self._low < across) & (across < self._high))] = 0
        supply_v = np.where(tied, across, 0.0)[self._is_supply]
        found[self._is_supply] = (supply_v >= self._starts) + 2 * (supply_v < self._resets)
        return found


def _again(kept: _Kept, key: bytes, volts: Volts, at: Solution, w: Working) -> ModuleView:
    module, sleep = kept.module, ""
    if module.asleep_after_s > 0.0:
        sleep = sleep_clock(module)
        key += b"1" if w.reached(sleep, module.asleep_after_s) else b"0"
    known = kept.views.get(key)
    if known is not None:
        for clock in kept.clocks:
            w.clocks.pop(clock, None)
        if sleep:
            w.run_clock(sleep, known[1])
        return known[0]
    found = view(module, volts, at, w)
    if not (found.rhythms or found.limits or any(clock in w.clocks for clock in kept.clocks)):
        if len(kept.views) >= MOST:
            kept.views.clear()
        kept.views[key] = found, bool(sleep) and sleep in w.clocks
    return found
