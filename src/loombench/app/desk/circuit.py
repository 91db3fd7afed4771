"""The circuit view: the functions of a vehicle, and one drawn in the condition that the page has put it in."""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from loombench.app.desk.asking import Asked
from loombench.app.desk.desk import Desk, Task
from loombench.app.desk.saying import Told, told
from loombench.app.drawing import function_title
from loombench.app.drawnstate import overlay_of
from loombench.text.names import read_condition


@dataclass(frozen=True)
class FunctionLine:
    """A function in the list: what addresses it, its title, its loads."""

    key: str
    title: str
    loads: tuple[str, ...]


@dataclass(frozen=True)
class CircuitList:
    """The functions of a vehicle."""

    vehicle: str
    name: str
    functions: tuple[FunctionLine, ...]
    problems: tuple[Told, ...]


@dataclass(frozen=True)
class Drawn:
    """The pages of one function as SVG, in the condition that stands in `condition` in words."""

    vehicle: str
    name: str
    key: str
    title: str
    pages: tuple[str, ...]
    condition: str
    problems: tuple[Told, ...]


def circuit_list(desk: Desk, asked: Asked, vehicle: str) -> CircuitList:
    """All functions of a vehicle."""
    found = desk.vehicle(vehicle)
    if found.value is None:
        return CircuitList(vehicle, "", (), told(found.problems, asked.words))
    drawings = found.value.drawings
    lines = tuple(FunctionLine(one.key, function_title(one, asked.words), one.loads) for one in drawings.functions)
    problems = told(found.value.opened.problems, asked.words)
    return CircuitList(vehicle, found.value.shelved.name, lines, problems)


def drawn(desk: Desk, asked: Asked, vehicle: str, function: str, operations: tuple[str, ...] = ()) -> Drawn:
    """A function drawn after some operations from rest."""
    found = desk.vehicle(vehicle)
    here = found.value
    chosen = next((one for one in here.drawings.functions if one.key == function), None) if here else None
    if here is None or chosen is None:
        return Drawn(vehicle, "", function, "", (), "", told(found.problems, asked.words))
    condition = read_condition(here.opened.vehicle, operations)
    asked.go_on()
    overlay = overlay_of(here.opened.vehicle, condition.value)
    asked.go_on()
    pages = here.drawings.pages(chosen, desk.layouts, overlay.value, words=asked.words)
    problems = told((*condition.problems, *overlay.problems, *pages.problems), asked.words)
    svgs = tuple(page.svg for page in pages.value)
    title = function_title(chosen, asked.words)
    return Drawn(vehicle, here.shelved.name, function, title, svgs, str(condition.value), problems)


TASKS: Mapping[str, Task] = MappingProxyType({"circuit.list": circuit_list, "circuit.drawn": drawn})
