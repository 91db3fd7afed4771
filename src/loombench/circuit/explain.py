"""Findings as problems: variables by the names of their parts, nodes by the pins at them."""

from loombench.base.problems import Level, Problem, problem
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
from loombench.vehicle.points import WIRE

CODES = (
    "fuse-opens", "fuse-may-hold", "chatter", "first-one-wins", "supply-collapses", "output-limits",
    "too-many-rhythms", "no-steady-answer",
)  # fmt: skip
_MOST_NAMES = 6


def explain(netlist: Netlist, finding: Finding) -> Problem:
    """A finding as a problem of the catalogue, in the names of parts and pins."""
    match finding:
        case FuseOpens():
            return _warn(
                "fuse-opens",
                fuse=thing(finding.variable),
                current=f"{finding.current_a:.1f} A",
                rating=f"{finding.rated_a:g} A",
                soonest=seconds(finding.t_min_s),
                latest=seconds(finding.t_max_s),
            )
        case FuseMayHold():
            return _warn(
                "fuse-may-hold",
                fuse=thing(finding.variable),
                current=f"{finding.current_a:.1f} A",
                rating=f"{finding.rated_a:g} A",
                soonest=seconds(finding.t_min_s),
            )
        case Chatter():
            return _warn("chatter", things=listed(finding.variables))
        case Race():
            return _warn("first-one-wins", things=listed(finding.variables))
        case SupplyCollapses():
            plus, minus = (pins(netlist, node) for node in finding.nodes)
            return _warn("supply-collapses", converter=finding.element.partition(".")[0], plus=plus, minus=minus)
        case OutputLimits():
            return _warn(
                "output-limits",
                output=thing(finding.variable),
                current=f"{finding.current_a:.1f} A",
                limit=f"{finding.limit_a:g} A",
            )
        case TooManyRhythms():
            return problem("too-many-rhythms", Level.NOTE, things=listed(finding.variables))
        case Unsolved():
            return problem(
                "no-steady-answer", Level.ERROR, where=", ".join(pins(netlist, n) for n in finding.nodes) or "?"
            )


def thing(variable: str) -> str:
    """A variable by what it belongs to: `fuse:F12` is F12, `tick:A2#0` is A2."""
    return (variable.partition(":")[2] or variable).partition("#")[0]


def listed(variables: tuple[str, ...]) -> str:
    """Variables as a list of what they belong to, shortened where it is long."""
    names = list(dict.fromkeys(thing(variable) for variable in variables))
    more = len(names) - _MOST_NAMES
    return ", ".join(names[:_MOST_NAMES]) + (f" and {more} more" if more > 0 else "")


def pins(netlist: Netlist, node: int) -> str:
    """A node by a point at it, one on the wire side if there is one."""
    points = netlist.names[node]
    return str(min(points, key=lambda point: (point.layer != WIRE, str(point)))) if points else "a point inside"


def seconds(value: float) -> str:
    """A time for a person: 0.15 s, 5 s, 30 min, 100 h."""
    if value < 120.0:
        return f"{value:.2g} s"
    return f"{value / 60.0:.0f} min" if value < 7200.0 else f"{value / 3600.0:.0f} h"


def _warn(code: str, **facts: object) -> Problem:
    return problem(code, Level.WARNING, **facts)
