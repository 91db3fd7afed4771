"""What a workshop puts on a circuit to test it: lamps as limiter and as substitute load, leads with clips."""

from loombench.facts.typical import typical

_TABLE = "aid"
_LAMPS = ("substitute-small", "substitute-middle", "substitute-large")
_FROM_24_V = 18.0


def limiter_w(system_v: float) -> float:
    """Watts of the lamp that limits the current in place of a fuse, at 12 V, or at 24 V above 18 V."""
    return typical(_TABLE, "limiter-24" if system_v > _FROM_24_V else "limiter-12").value


def substitute_w(load_w: float) -> float:
    """Watts of the lamp that stands in for a load: the largest that takes no more than it does, else the smallest."""
    lamps = [typical(_TABLE, name).value for name in _LAMPS]
    return max((watts for watts in lamps if watts <= load_w), default=lamps[0])


def lead_ohm() -> float:
    """Resistance of a by-pass lead with its clips. An estimate."""
    return typical(_TABLE, "lead").value
