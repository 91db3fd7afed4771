"""The state that settling works on: variables, running clocks, the phase each rhythm is held in."""

from collections.abc import Mapping
from types import MappingProxyType

from loombench.circuit.elimination import IntArray
from loombench.circuit.network import BoolArray, Prepared

CLOCK = "clock:"
"""Memory names of running timers begin so; their value is the seconds since they were started."""
# Times are added up, so a deadline counts as reached this much before.
_LATE_S = 1e-9


class Working:
    """A state in the making. Variables a fault holds never move."""

    def __init__(self, p: Prepared, inputs: Mapping[str, str], memory: Mapping[str, str]) -> None:
        self.p = p
        self.values: IntArray = p.rest.copy()
        self.state = dict(p.netlist.at_rest)
        self.clocks: dict[str, float] = {}
        self.phase: dict[str, bool] = {}
        """By rhythm: True in its first part (on, closed, away from park), False in its second."""
        self.blocked: set[str] = set()
        """Outputs that protect themselves without latching."""
        for given in (memory, inputs, p.netlist.frozen):
            for name, value in given.items():
                # Most are where they rest.
                if self.state.get(name) != value:
                    if name.startswith(CLOCK):
                        self.clocks[name.removeprefix(CLOCK)] = float(value)
                    else:
                        self._put(name, value)

    def copy(self) -> "Working":
        """The same state, to be moved on its own."""
        twin = Working.__new__(Working)
        twin.p, twin.values, twin.state = self.p, self.values.copy(), dict(self.state)
        twin.clocks, twin.phase, twin.blocked = dict(self.clocks), dict(self.phase), set(self.blocked)
        return twin

    def take(self, other: "Working") -> None:
        """Become a copy of another state of the same network."""
        twin = other.copy()
        self.values, self.state = twin.values, twin.state
        self.clocks, self.phase, self.blocked = twin.clocks, twin.phase, twin.blocked

    def _put(self, name: str, value: str) -> None:
        self.values[self.p.variable[name]] = self.p.value(name, value)
        self.state[name] = value

    def move(self, wishes: Mapping[str, str]) -> bool:
        """Set what is wished and not held by a fault; whether anything changed."""
        changed = False
        for name, value in wishes.items():
            if name not in self.p.netlist.frozen and self.state[name] != value:
                self._put(name, value)
                changed = True
        return changed

    def closed(self) -> BoolArray:
        """[elements] which conduct."""
        return self.p.closed(self.values)

    def key(self) -> tuple[object, ...]:
        """What tells two states apart, for seeing that one comes again."""
        return (
            self.values.tobytes(),
            tuple(sorted(self.clocks.items())),
            tuple(sorted(self.phase.items())),
            tuple(sorted(self.blocked)),
        )

    def run_clock(self, name: str, runs: bool) -> float:
        """Start the clock of that name if it is to run, stop it if not; the seconds it has run."""
        if not runs:
            self.clocks.pop(name, None)
            return 0.0
        return self.clocks.setdefault(name, 0.0)

    def reached(self, name: str, seconds: float) -> bool:
        """Whether a running clock has come to `seconds`."""
        return self.clocks.get(name, 0.0) >= seconds - _LATE_S

    def memory(self) -> Mapping[str, str]:
        """What the next settling needs: all variables that are no inputs, and the clocks."""
        kept = dict(self.state)
        for name in self.p.netlist.inputs:
            del kept[name]
        kept |= {f"{CLOCK}{name}": repr(value) for name, value in self.clocks.items()}
        return MappingProxyType(kept)
