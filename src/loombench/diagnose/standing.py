"""Steps for a battery that goes flat: what it gives when all sleeps, through which fuse it goes, what ends it.

First it is looked whether anything is on that should not be. Then a clamp at the battery; then millivolts across each
fuse, which wakes nobody; only then fuses and relays are drawn, with the clamp in place. Behind the fuse that carries
it, volts as for any other complaint.
"""

from collections.abc import Iterator

from loombench.diagnose.belief import Belief
from loombench.diagnose.bench import Bench
from loombench.diagnose.looking import See
from loombench.diagnose.measuring import Measure
from loombench.diagnose.region import Region, region
from loombench.diagnose.step import Step
from loombench.diagnose.suspect import part_of
from loombench.diagnose.trying import suspects
from loombench.vehicle.condition import ENGINE, Condition, Operation, Setup
from loombench.vehicle.points import Point
from loombench.vehicle.trace import Run

CLAMP, MILLIVOLTS = "clamp", "millivoltmeter"
GIVES_LIGHT = ("lamp", "led", "motor", "heater", "unit")
SEATED = ("fuse", "relay")


def is_battery(bench: Bench, name: str) -> bool:
    """Whether a name is that of a battery."""
    part = bench.vehicle.parts.get(name)
    return part is not None and part.kind == "battery"


def standing(bench: Bench, belief: Belief, battery: str, condition: Condition) -> tuple[list[Step], Region | None]:
    """The steps, and the region behind the fuses that the suspects are behind, None while these are many."""
    vehicle = bench.vehicle
    found: list[Step] = [See(battery, condition, True)]
    if any(part.kind == "alternator" for part in vehicle.parts.values()):
        found.append(See(battery, Condition((Operation("set", ENGINE, "run"),))))
    for part in vehicle.parts.values():
        if part.kind in GIVES_LIGHT and part.kind != "unit":
            found.append(See(part.id, condition))
    lead = next((end for wire in vehicle.wires for end in (wire.a, wire.b) if _is_minus(end, battery)), None)
    fuses = [part.id for part in vehicle.parts.values() if part.kind == "fuse"]
    for name in fuses:
        red, black = (Point(name, pin, layer="pin") for pin in ("in", "out"))
        found.append(Measure(Setup(condition, red, black, MILLIVOLTS), drop=True))
    left = suspects(belief)
    parts = (part_of(vehicle, fault) for fault in left.faults.values())
    own = [part.id for part in parts if part is not None]
    if lead is not None:
        drawn = [name for name in dict.fromkeys((*fuses, *own)) if vehicle.parts[name].kind in SEATED]
        for apart in (None, *drawn):
            state = condition if apart is None else condition.then(Operation("pull", apart))
            found.append(Measure(Setup(state, lead, None, CLAMP), drop=True))
    return found, _behind(bench, own)


def _is_minus(end: Point, battery: str) -> bool:
    return end.part == battery and end.pin == "-"


MOST_LOADS = 3


def _behind(bench: Bench, parts: list[str]) -> Region | None:
    """The region of the loads that the suspects are on the way of, where these are few."""
    every = region(bench.vehicle, tuple(name for name in bench.vehicle.parts)).runs
    some = (run for run in every if run.load.kind == "load" and any(name in _on(run) for name in parts))
    loads = dict.fromkeys(run.load.via for run in some)
    return region(bench.vehicle, tuple(loads)) if 0 < len(loads) <= MOST_LOADS else None


def _on(run: Run) -> Iterator[str]:
    for step in (*run.feed, *run.back):
        yield step.link.via.partition(".")[0]
    yield run.load.a.part
