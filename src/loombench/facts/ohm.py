"""Ohm's law for the sums a handbook prints: resistances side by side, dividers, a source with its resistance."""


def parallel_ohm(*resistance_ohm: float) -> float:
    """Resistance of several side by side, each above zero.

    Raises:
        ValueError: none given, or one that is not above zero.
    """
    if not resistance_ohm or not all(value > 0.0 for value in resistance_ohm):
        raise ValueError("resistances side by side have to be above zero")
    return 1.0 / sum(1.0 / value for value in resistance_ohm)


def loop_current_a(source_v: float, *resistance_ohm: float) -> float:
    """Current round one loop: source volts over the sum of its resistances (sum above zero)."""
    total_ohm = sum(resistance_ohm)
    if not total_ohm > 0.0:
        raise ValueError("the loop has no resistance")
    return source_v / total_ohm


def load_voltage_v(source_v: float, load_ohm: float, *series_ohm: float) -> float:
    """Volts across a load fed through series resistances: what remains of the source (sum above zero)."""
    return loop_current_a(source_v, load_ohm, *series_ohm) * load_ohm
