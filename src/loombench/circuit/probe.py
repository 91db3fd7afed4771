"""A meter as an element between two nodes: what it draws at each voltage, leads in series included."""

from dataclasses import dataclass

from loombench.facts.filament import Filament


@dataclass(frozen=True)
class Probe:
    """A two-pole from `red` to `black`: a resistance, a filament, or a threshold with a resistance, and a source.

    Without filament: current (v - emf_v - t) / ohm where t is `threshold_v` towards the side v is on, none inside of
    it. With filament: the lamp's law behind `ohm` (0 allowed).
    """

    red: int
    black: int
    ohm: float
    emf_v: float = 0.0
    threshold_v: float = 0.0
    lamp: Filament | None = None

    def tangent(self, volts: float) -> tuple[float, float]:
        """Current and slope at a voltage."""
        if self.lamp is not None:
            own = self.lamp_v(volts)
            slope = self.lamp.slope_s(own)
            return self.lamp.current_a(own), slope / (1.0 + self.ohm * slope)
        beyond = volts - self.emf_v
        if abs(beyond) <= self.threshold_v and self.threshold_v > 0.0:
            return 0.0, 0.0
        threshold = self.threshold_v if beyond > 0.0 else -self.threshold_v
        return (beyond - threshold) / self.ohm, 1.0 / self.ohm

    def lamp_v(self, volts: float) -> float:
        """Volts across the filament itself when `volts` are across lamp and leads."""
        if self.lamp is None or self.ohm == 0.0:
            return volts
        low, high = min(0.0, volts), max(0.0, volts)
        own = volts
        for _ in range(200):
            excess = own + self.ohm * self.lamp.current_a(own) - volts
            if excess > 0.0:
                high = own
            else:
                low = own
            step = own - excess / (1.0 + self.ohm * self.lamp.slope_s(own))
            after = step if low <= step <= high else (low + high) / 2.0
            if abs(after - own) <= 1e-14 * abs(volts):
                return after
            own = after
        return own

    def limited(self, tried: float, answer: float) -> float:
        """Where to linearise next: a lamp that changes sign is tried cold, a threshold is not jumped across."""
        if self.lamp is not None and tried * answer < 0.0:
            return 0.0
        return answer
