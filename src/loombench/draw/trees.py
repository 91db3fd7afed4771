"""Who is fed through what, and who returns through what: trees of a vehicle, before anything is drawn.

A power tree goes from a source over its protections to the loads, a ground tree from a battery's minus over studs,
bodies and straps to the loads that return there. Both follow the ways of `vehicle.trace.runs`.
"""

from collections.abc import Callable
from dataclasses import dataclass, field

from loombench.vehicle.graph import PROTECTION, SOURCES
from loombench.vehicle.model import Vehicle
from loombench.vehicle.trace import Run, Step, runs

METAL = ("stud", "body", "strap")


@dataclass
class Branch:
    """A part on the way with what hangs on it: further branches, and loads by the name of their element.

    It grows while the ways are followed; whoever draws only reads it.
    """

    part: str
    branches: dict[str, "Branch"] = field(default_factory=dict)
    loads: dict[str, None] = field(default_factory=dict)

    def at(self, part: str) -> "Branch":
        """The branch of a part, made where there is none yet."""
        return self.branches.setdefault(part, Branch(part))


def power_tree(vehicle: Vehicle) -> Branch:
    """From the sources over what protects each way to the loads; its own part is empty."""
    return _tree(vehicle, lambda run: _along(vehicle, run.feed, (*PROTECTION, *SOURCES)))


def ground_tree(vehicle: Vehicle) -> Branch:
    """From each battery's minus over metal to the loads that return there; its own part is empty."""

    def way(run: Run) -> list[str]:
        return list(reversed(_along(vehicle, run.back, (*METAL, *SOURCES))))

    return _tree(vehicle, way)


def _tree(vehicle: Vehicle, way: Callable[[Run], list[str]]) -> Branch:
    top = Branch("")
    for run in runs(vehicle):
        if vehicle.parts[run.load.a.part].kind in SOURCES:
            continue
        branch = top
        for part in way(run):
            branch = branch.at(part)
        if branch is not top:
            branch.loads[run.load.via] = None
    return top


def _along(vehicle: Vehicle, steps: tuple[Step, ...], kinds: tuple[str, ...]) -> list[str]:
    """The parts of those kinds on a way, each once, in the order met; what sits at its ends included."""
    met: dict[str, None] = {}
    for step in steps:
        for name in (step.start.part, step.link.via.partition(".")[0], step.end.part):
            part = vehicle.parts.get(name)
            if part is not None and part.kind in kinds:
                met[name] = None
    return list(met)


@dataclass(frozen=True)
class Blocks:
    """The line of a function in five blocks: parts in the order met on the way."""

    source: tuple[str, ...]
    protection: tuple[str, ...]
    control: tuple[str, ...]
    load: tuple[str, ...]
    returns: tuple[str, ...]

    @property
    def columns(self) -> tuple[tuple[str, ...], ...]:
        """Source, protection, control, load, return."""
        return (self.source, self.protection, self.control, self.load, self.returns)


_CONTROL = ("switch", "relay", "module", "flasher", "timer", "sensor", "unit")


def blocks(vehicle: Vehicle, loads: tuple[str, ...]) -> Blocks:
    """What stands on the ways of some loads, named by their elements (`E7`, `E31.1-6`)."""
    found: tuple[dict[str, None], ...] = ({}, {}, {}, {}, {})
    for run in runs(vehicle):
        if run.load.via not in loads:
            continue
        own = run.load.a.part
        fed = _along(vehicle, run.feed, (*SOURCES, *PROTECTION, *_CONTROL))
        for name in fed:
            kind = vehicle.parts[name].kind
            if name != own:
                found[0 if kind in SOURCES else 1 if kind in PROTECTION else 2][name] = None
        back = _along(vehicle, run.back, (*_CONTROL, *METAL))
        for name in back:
            if name != own:
                found[4 if vehicle.parts[name].kind in METAL else 2][name] = None
        found[3][run.load.via] = None
    return Blocks(*(tuple(one) for one in found))
