"""The pages of a vehicle as the program draws them, and how long one of about 60 parts takes."""

import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from loombench.app.drawing import Drawings, function_title, layouts_here
from loombench.app.vehicles import open_vehicle
from loombench.draw.circuit.functions import Function, functions
from loombench.draw.layout.arrange import Layouts
from loombench.vehicle.model import Vehicle

EXAMPLE = Path(__file__).resolve().parents[1] / "examples" / "library-van"
"""The one example with functions of about that many parts."""
PARTS, TIMES = 60, 5


@dataclass(frozen=True)
class Pages:
    """A function with its pages as SVG; `problems` are the codes where there are none."""

    name: str
    loads: tuple[str, ...]
    svgs: tuple[str, ...]
    problems: tuple[str, ...] = ()


def all_pages(vehicle: Vehicle) -> Iterator[Pages]:
    """The pages of every function."""
    layouts, drawings = layouts_here(None), Drawings(vehicle)
    for function in drawings.functions:
        made = drawings.pages(function, layouts)
        name = f"{function.key} {function_title(function)}"
        codes = tuple(problem.code for problem in made.problems)
        yield Pages(name, function.loads, tuple(page.svg for page in made.value), codes)


def times(folder: Path | None = None) -> dict[str, float]:
    """Seconds of the processor for a function of about 60 parts: the first time in this process, the shortest after.

    With a folder arrangements are kept there and taken from there.
    """
    vehicle = open_vehicle(str(EXAMPLE)).vehicle
    function = min(functions(vehicle), key=lambda one: (abs(len(one.parts) - PARTS), one.key))
    drawings, layouts = Drawings(vehicle), layouts_here(folder)
    spent = [_seconds(drawings, function, layouts) for _ in range(1 + TIMES)]
    return {
        "timed_parts": len(function.parts),
        "timed_wires": len(function.wires),
        "seconds_cold_60_parts": round(spent[0], 3),
        "seconds_cached_60_parts": round(min(spent[1:]), 4),
    }


def _seconds(drawings: Drawings, function: Function, layouts: Layouts) -> float:
    start = time.process_time()
    made = drawings.pages(function, layouts)
    seconds = time.process_time() - start
    assert made.value
    return seconds
