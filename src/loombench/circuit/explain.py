"""Findings as problems: variables by the names of their parts, nodes by the pins at them."""

import re
from collections.abc import Iterator, Mapping

from loombench.base.listing import shortened
from loombench.base.problems import Level, Problem, Span, problem
from loombench.base.wording import Fact
from loombench.circuit.finding import (
    Chatter,
    Finding,
    FuseMayHold,
    FuseOpens,
    OutputLimits,
    Race,
    SupplyCollapses,
    TooManyRhythms,
    Unsolved,
)
from loombench.circuit.netlist import Netlist
from loombench.vehicle.model import Vehicle
from loombench.vehicle.points import WIRE

CODES = (
    "fuse-opens", "fuse-may-hold", "chatter", "first-one-wins", "supply-collapses", "output-limits",
    "too-many-rhythms", "no-steady-answer",
)  # fmt: skip
_MOST_NAMES = 6
_MOST_LINES = 4


def explain(netlist: Netlist, finding: Finding, vehicle: Vehicle | None = None) -> Problem:
    """A finding as a problem of the catalogue, in the names of parts and pins, at the lines of the vehicle's parts."""
    code, level, facts = _worded(netlist, finding)
    spans = () if vehicle is None else tuple(_lines(vehicle, _about(netlist, finding)))
    return problem(code, level, *spans, **facts)


def _worded(netlist: Netlist, finding: Finding) -> tuple[str, Level, Mapping[str, Fact]]:
    match finding:
        case FuseOpens():
            times = {"soonest": seconds(finding.t_min_s), "latest": seconds(finding.t_max_s)}
            return "fuse-opens", Level.WARNING, _fuse(finding) | times
        case FuseMayHold():
            return "fuse-may-hold", Level.WARNING, _fuse(finding) | {"soonest": seconds(finding.t_min_s)}
        case Chatter():
            return "chatter", Level.WARNING, {"things": listed(finding.variables)}
        case Race():
            return "first-one-wins", Level.WARNING, {"things": listed(finding.variables)}
        case SupplyCollapses():
            plus, minus = (pins(netlist, node) for node in finding.nodes)
            return (
                "supply-collapses",
                Level.WARNING,
                {"converter": _part(finding.element), "plus": plus, "minus": minus},
            )
        case OutputLimits():
            facts = {"current": amperes(finding.current_a), "limit": amperes(finding.limit_a)}
            return "output-limits", Level.WARNING, {"output": thing(finding.variable)} | facts
        case TooManyRhythms():
            return "too-many-rhythms", Level.NOTE, {"things": listed(finding.variables)}
        case Unsolved():
            where = ", ".join(pins(netlist, node) for node in finding.nodes)
            return "no-steady-answer", Level.ERROR, {"where": where or "?"}


def _fuse(finding: FuseOpens | FuseMayHold) -> dict[str, str]:
    facts = {"current": amperes(finding.current_a), "rating": f"{finding.rated_a:g} A"}
    return {"fuse": thing(finding.variable)} | facts


def _about(netlist: Netlist, finding: Finding) -> tuple[str, ...]:
    """The variables and elements a finding is about."""
    match finding:
        case Chatter(variables=names) | Race(variables=names) | TooManyRhythms(variables=names):
            return names
        case FuseOpens(variable=name) | FuseMayHold(variable=name) | OutputLimits(variable=name):
            return (name,)
        case SupplyCollapses(element=name):
            return (_part(name),)
        case Unsolved(nodes=nodes):
            return tuple(point.part for node in nodes for point in netlist.names[node])


def _lines(vehicle: Vehicle, names: tuple[str, ...]) -> Iterator[Span]:
    parts = dict.fromkeys(_part(thing(name)) for name in names)
    for name in list(parts)[:_MOST_LINES]:
        part = vehicle.parts.get(name)
        if part is not None and part.span is not None:
            yield part.span


def _part(name: str) -> str:
    """The part of an element or a pin of its own."""
    return re.split("[.:#]", name, maxsplit=1)[0]


def amperes(value: float) -> str:
    """A current to three figures: 30.0 A, 0.25 A, 812 A."""
    digits = 0 if value >= 100.0 else 1 if value >= 10.0 else 2
    return f"{value:.{digits}f} A"


def thing(variable: str) -> str:
    """A variable by what it belongs to: `fuse:F12` is F12, `tick:A2#0` is A2."""
    return (variable.partition(":")[2] or variable).partition("#")[0]


def listed(variables: tuple[str, ...]) -> Fact:
    """Variables as a list of what they belong to, shortened where it is long."""
    return shortened(list(dict.fromkeys(thing(variable) for variable in variables)), _MOST_NAMES)


def pins(netlist: Netlist, node: int) -> str:
    """A node by a point at it, named as on the wire side."""
    points = netlist.names[node]
    return str(min(points, key=lambda p: (p.layer != WIRE, str(p))).at(WIRE)) if points else "a point inside"


def seconds(value: float) -> str:
    """A time for a person: 0.15 s, 5 s, 30 min, 100 h."""
    if value < 120.0:
        return f"{value:.2g} s"
    return f"{value / 60.0:.0f} min" if value < 7200.0 else f"{value / 3600.0:.0f} h"
