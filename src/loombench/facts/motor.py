"""DC brush motors and starter solenoids: currents running, starting, stalled, dragging.

Ratios are common practice from one wiper motor, or estimates (see `motor.csv`); solenoid windings are printed.
Keep people and objects clear before a motor is fed: it may move at once.
"""

import math

from loombench.facts.typical import Typical, typical

_TABLE = "motor"


def motor_value(name: str) -> Typical:
    """A figure of `motor.csv` with its range and provenance. Raises KeyError where there is none of that name."""
    return typical(_TABLE, name)


def running_resistance_ohm(rated_v: float, run_a: float) -> float:
    """Volts over current of a running motor: what it looks like to the circuit at that load."""
    if not (rated_v > 0.0 and run_a > 0.0 and math.isfinite(rated_v / run_a)):
        raise ValueError(f"a motor of {rated_v} V {run_a} A is none")
    return rated_v / run_a


def stall_current_a(run_a: float) -> float:
    """Current of a blocked motor from its running current: 2.6 times (2 to 6). Common practice, one motor."""
    return run_a * motor_value("stall-over-run").value


def winding_resistance_ohm(rated_v: float, run_a: float) -> float:
    """Resistance of winding and brushes: volts over the stall current."""
    return running_resistance_ohm(rated_v, run_a) / motor_value("stall-over-run").value


def speed_share(across_v: float, current_a: float, rated_v: float, run_a: float) -> float:
    """Speed over that at its ratings: what the winding leaves of the volts turns it. A dragging motor draws more at the
    same volts and turns slower; one behind a resistance gets less of both. 0 without current."""
    if current_a <= 0.0:
        return 0.0
    winding_ohm = winding_resistance_ohm(rated_v, run_a)
    return max(across_v - current_a * winding_ohm, 0.0) / (rated_v - run_a * winding_ohm)


def dragging_current_a(run_a: float) -> float:
    """Current of a motor on a stiff linkage: 1.6 times (1.3 to 2.5). An estimate."""
    return run_a * motor_value("drag-over-run").value


def starter_solenoid_a(size: int) -> tuple[float, float]:
    """Pull-in and hold-in current of a 12 V starter solenoid of size 28, 37, 41 or 50 (printed: US Army TM).

    Raises:
        KeyError: another size.
    """
    return motor_value(f"solenoid-{size}-pull-in").value, motor_value(f"solenoid-{size}-hold-in").value
