"""Fuses, fuse links, breakers and thermal cut-outs: a resistance that a variable opens.

A fuse has one resistance, that of the cold element (`facts.fuse`): at most loads it carries less than half its rating,
and one number keeps the law linear. A rating that is only known as a range counts with its upper end when it is asked
whether the fuse blows: what is not known is not said to have blown.
"""

from types import MappingProxyType

from loombench.base.band import Band
from loombench.circuit.lowering.builder import Builder, ends, numbers, owner, owners
from loombench.circuit.netlist import BreakerAgent, FuseAgent, Gate
from loombench.facts.breaker import cooling_time, reclose_time
from loombench.facts.contact import joint_resistance_ohm
from loombench.facts.fuse import cold_resistance_ohm, hot_resistance_ohm
from loombench.facts.typical import typical
from loombench.vehicle.model import Inner, Part

RESETS = ("cycling", "stays-open", "manual")
SERIES = MappingProxyType({"fuse": "blade", "fuselink": "link"})


def lower_fuse(b: Builder, part: Part, inner: Inner) -> None:
    """A fuse or fuse link; the word `maxi` makes it one of that series."""
    a, other = ends(b, part, inner)
    rated = _rated(b, part, inner)
    maxi = "maxi" in inner.words or "maxi" in part.words
    series = "maxi" if maxi else SERIES.get(inner.kind, "blade")
    name = owner(part, inner)
    variable = b.variable(f"fuse:{name}", ("whole", "blown"), "whole")
    ohm = cold_resistance_ohm(rated.nominal, series)
    element = b.conductor(name, a, other, ohm, (Gate(variable, ("whole",)),), owners(part, inner))
    b.agents.append(FuseAgent(variable, element, rated.high, series))


def lower_breaker(b: Builder, part: Part, inner: Inner) -> None:
    """A breaker: resets by itself, when it has cooled without power, or by hand (what it is unless the file says)."""
    a, other = ends(b, part, inner)
    rated = _rated(b, part, inner)
    name = owner(part, inner)
    variable = b.variable(f"breaker:{name}", ("closed", "tripped"), "closed")
    ohm = hot_resistance_ohm(rated.nominal, "breaker")
    element = b.conductor(name, a, other, ohm, (Gate(variable, ("closed",)),), owners(part, inner))
    resets = _resets(part, inner)
    b.agents.append(BreakerAgent(variable, element, rated.high, resets, _closes_s(part, inner, resets).nominal))


def cooling_s(part: Part) -> Band | None:
    """How long a breaker that stays open has to be without power until it closes; None for anything else."""
    inner = next((one for one in part.elements if one.kind == "breaker"), None)
    return _closes_s(part, inner, "stays-open") if inner is not None and _resets(part, inner) == "stays-open" else None


def _resets(part: Part, inner: Inner) -> str:
    return next((word for word in (*inner.words, *part.words) if word in RESETS), "manual")


def _closes_s(part: Part, inner: Inner, resets: str) -> Band:
    band = inner.params.get("closes_s") or part.params.get("closes_s")
    if band is not None and band.nominal > 0.0:
        return band
    usual = reclose_time() if resets == "cycling" else cooling_time()
    return Band(usual.value, usual.low, usual.high)


def lower_cutout(b: Builder, part: Part, inner: Inner) -> None:
    """A thermal cut-out: closed, since heat is not computed; a fault may hold it open."""
    a, other = ends(b, part, inner)
    name = owner(part, inner)
    gate = Gate(b.variable(f"cutout:{name}", ("closed", "open"), "closed"), ("closed",))
    b.conductor(name, a, other, joint_resistance_ohm("switch"), (gate,), owners(part, inner))


def _rated(b: Builder, part: Part, inner: Inner) -> Band:
    band = numbers(b, part, inner).band("rated_a")
    if band is not None and band.nominal > 0.0:
        return band
    usual = typical("assumed", f"{inner.kind}.rated_a")
    return Band(usual.value, usual.low, usual.high)
