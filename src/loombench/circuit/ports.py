"""Elements solved on their ports beside the star-mesh: converter inputs, whose slope is negative, and a meter."""

from collections.abc import Sequence

import numpy as np

from loombench.circuit.core import Core, Reduced
from loombench.circuit.loops import FloatArray
from loombench.circuit.network import Draw
from loombench.circuit.probe import Probe

# A port's volts are met to this share of themselves beside the same in volts.
_NEAR = 1e-9


class Ports:
    """The ports of one solve, with where each is linearised; lives as long as the solve does."""

    def __init__(self, draws: Sequence[Draw], probe: Probe | None) -> None:
        self.draws = tuple(draws)
        self.probe = probe
        self.ends = [(draw.a, draw.b) for draw in draws] + ([(probe.red, probe.black)] if probe else [])
        self.x: FloatArray | None = None
        self.volts: FloatArray = np.zeros(len(self.ends))
        self.current_a: FloatArray = np.zeros(len(self.ends))
        self.collapsed: Draw | None = None
        self.at_core: FloatArray = np.zeros((0, len(self.ends)))
        """[nodes of the core, ports] what one ampere into each port brings to the core's nodes."""
        self._left_a: FloatArray = np.zeros((0, len(self.ends)))
        self._alone_v: FloatArray = np.zeros(len(self.ends))
        self._alone_ohm: FloatArray = np.zeros((len(self.ends), len(self.ends)))

    @property
    def any(self) -> bool:
        """Whether there is a port at all."""
        return bool(self.ends)

    @property
    def probe_a(self) -> float:
        """Current into the probe's red end."""
        return float(self.current_a[-1]) if self.probe else 0.0

    def stand_in(self, rest: Reduced, left_a: FloatArray) -> None:
        """See the ports from the core of a network, in the rest of which currents `left_a` are left."""
        if not self.ends:
            return
        drawn = np.zeros((rest.whole.nodes, len(self.ends)))
        for k, (a, b) in enumerate(self.ends):
            drawn[a, k] += 1.0
            drawn[b, k] -= 1.0
        self._left_a, self.at_core = rest.passed_on(drawn)
        alone_v = rest.alone_v(self._left_a)
        self._alone_v, self._alone_ohm = left_a @ alone_v, self._left_a.T @ alone_v

    def left(self, left_a: FloatArray) -> FloatArray:
        """[rest] `left_a` with what the ports take."""
        return left_a - self._left_a @ self.current_a if self.ends else left_a

    def answer(
        self, wide: FloatArray, core: Core, x: FloatArray, device_a: FloatArray, device_s: FloatArray
    ) -> FloatArray:
        """Port currents, from the core's solution without them and its responses (`wide`), devices linearised at `x`,
        where they have `device_a` and `device_s`.

        `collapsed` is then an input that cannot be given what it asks for, with the devices as they are; None for none.
        """
        seen = self.at_core.T @ wide
        free, response = self._alone_v + seen[:, 0], self._alone_ohm + seen[:, 1:]
        if self.x is None:
            # From the open ports: the side of the higher volts.
            self.x = free.copy()
        current, slope = np.zeros(len(self.ends)), np.zeros(len(self.ends))
        matrix, right = np.eye(len(self.ends)), np.zeros(len(self.ends))
        for k, draw in enumerate(self.draws):
            if self.x[k] <= draw.from_v:
                continue
            power, rises = _asked(draw, x, device_a, device_s)
            current[k] = power / (draw.efficiency * self.x[k])
            slope[k] = -current[k] / self.x[k]
            for place, rise in rises:
                ends = wide[core.a[place]] - wide[core.b[place]]
                share = rise / (draw.efficiency * self.x[k])
                matrix[k] += share * ends[1:]
                right[k] += share * (ends[0] - x[place])
        if self.probe:
            current[-1], slope[-1] = self.probe.tangent(float(self.x[-1]))
        matrix += slope[:, np.newaxis] * response
        right += current + slope * (free - self.x)
        inputs, self.collapsed = len(self.draws), None
        if inputs and np.linalg.det(matrix[:inputs, :inputs]) <= 0.0:
            # More is asked for than can be given as the devices stand; a resistance that takes the same here lets them
            # move to where it may be.
            self.collapsed = self.draws[0]
            slope[:inputs] = -slope[:inputs]
            matrix = np.eye(len(self.ends)) + slope[:, np.newaxis] * response
            right = current + slope * (free - self.x)
        self.current_a = np.linalg.solve(matrix, right).astype(np.float64)
        self.volts = free - response @ self.current_a
        if self.probe and slope[-1] > 0.0:
            # By its own law: nothing is subtracted, however great the response.
            self.volts[-1] = self.x[-1] + (self.current_a[-1] - current[-1]) / slope[-1]
        for k, draw in enumerate(self.draws):
            if self.x[k] > draw.from_v >= self.volts[k]:
                self.collapsed = draw
        if self.collapsed is not None:
            # From above again.
            self.volts[:inputs] = free[:inputs]
        return self.current_a

    def near(self) -> bool:
        """Whether every port answered where it was linearised."""
        if self.x is None:
            return True
        return self.collapsed is None and bool(
            np.all(np.abs(self.volts - self.x) <= _NEAR * (1.0 + np.abs(self.volts)))
        )

    def move(self) -> None:
        """Linearise next at what was answered."""
        if self.x is None:
            return
        after = self.volts.copy()
        if self.probe:
            after[-1] = self.probe.limited(float(self.x[-1]), float(after[-1]))
        self.x = after

    def power(self, volts: FloatArray, way: FloatArray) -> float:
        """The probe's part in the slope of the co-content along `way`."""
        if not self.probe:
            return 0.0
        a, b = self.ends[-1]
        current, _ = self.probe.tangent(float(volts[a] - volts[b]))
        return current * float(way[a] - way[b])


def _asked(
    draw: Draw, x: FloatArray, device_a: FloatArray, device_s: FloatArray
) -> tuple[float, list[tuple[int, float]]]:
    """Power that the supplies a draw feeds give out, and its slope by each supply's volts."""
    power, rises = 0.0, []
    for place in draw.feeds:
        power += float(-device_a[place] * x[place])
        rises.append((place, float(-device_a[place] - x[place] * device_s[place])))
    if power <= 0.0:
        return 0.0, [(place, max(rise, 0.0)) for place, rise in rises if power == 0.0]
    return power, rises
