"""Loads by what people call them: by name, by what is written on them or on what feeds them, by where they are.

What is written on a part (`"boom work lamp, left"`) is its function up to the first comma; what follows says which one.
"""

import re
from collections.abc import Iterable, Sequence

from loombench.base.listing import shortened
from loombench.base.nearest import nearest
from loombench.base.outcome import Outcome
from loombench.base.problems import error
from loombench.text.names import find_element
from loombench.vehicle.model import Vehicle
from loombench.vehicle.points import Point
from loombench.vehicle.trace import ACTING, Run, runs

_SEVERAL = re.compile(r"\s*(?:,|\+|&|\band\b)\s*")
MOST_NAMED = 12


def find_loads(vehicle: Vehicle, said: str) -> Outcome[tuple[str, ...]]:
    """The loads that words mean: names (`E7`, `E7 and E8`, `M5.53-31`), else a function or a piece of its name.

    A part that is no load is given back as it is; words that fit several functions, or none, are a problem.
    """
    names = [piece for piece in _SEVERAL.split(said) if piece]
    if names and all(_is_name(vehicle, name) for name in names):
        return Outcome(tuple(dict.fromkeys(names)))
    if '"' not in said and len(said.split()) == 1 and not _by_function(vehicle, said):
        found = find_element(vehicle, said)
        if found.value is None:
            return Outcome((), found.problems)
        part, element = found.value
        return Outcome((f"{part.id}.{element.name}" if element is not None else part.id,))
    functions = _by_function(vehicle, said.replace('"', ""))
    if len(functions) == 1:
        return Outcome(next(iter(functions.values())))
    if functions:
        listed = [f"{', '.join(loads)} ({name})" for name, loads in functions.items()]
        loads = shortened(listed, MOST_NAMED, "; ")
        return Outcome((), (error("complaint-several", text=said[:60], loads=loads),))
    known = dict.fromkeys(_function(label) for _, label in _labels(vehicle, loads_of(vehicle)) if label)
    return Outcome((), (error("function-unknown", text=said[:60], nearest=nearest(said, known)),))


def _is_name(vehicle: Vehicle, name: str) -> bool:
    part, _, element = name.partition(".")
    known = vehicle.parts.get(part)
    return known is not None and (not element or any(inner.name == element for inner in known.elements))


def loads_of(vehicle: Vehicle) -> tuple[str, ...]:
    """What a complaint can be about, `E7` or `M5.53-31`, in file order."""
    return tuple(run.load.via for run in _acting(vehicle))


def loads_at(vehicle: Vehicle, where: str) -> tuple[str, ...]:
    """The loads that are at a place, or whose current goes through a connector, fuse, loom or other part."""
    found = []
    for run in _acting(vehicle):
        parts = {run.load.a.part, *(point.part for point in _points(run))}
        wires = (vehicle.wire_by_id.get(step.link.via) for step in (*run.feed, *run.back))
        there = vehicle.parts[run.load.a.part].place == where
        if there or where in parts or any(wire is not None and where in (wire.loom, *wire.via) for wire in wires):
            found.append(run.load.via)
    return tuple(found)


def _points(run: Run) -> Iterable[Point]:
    return (point for step in (*run.feed, *run.back) for point in (step.start, step.end))


def _acting(vehicle: Vehicle) -> Sequence[Run]:
    return [run for run in runs(vehicle) if _kind(vehicle, run.load.via) in ACTING]


def _kind(vehicle: Vehicle, load: str) -> str:
    part, name = _split(vehicle, load)
    elements = vehicle.parts[part].elements
    return next((inner.kind for inner in elements if inner.name == name or len(elements) == 1), "")


def _split(vehicle: Vehicle, load: str) -> tuple[str, str]:
    """The part and the element of a load's name; a part's own name may hold dots."""
    if load in vehicle.parts:
        return load, ""
    part, _, name = load.rpartition(".")
    return part, name


def _labels(vehicle: Vehicle, loads: Iterable[str]) -> Iterable[tuple[str, str]]:
    for load in loads:
        part, name = _split(vehicle, load)
        inner = next((one.label for one in vehicle.parts[part].elements if one.name == name), "")
        yield load, inner or vehicle.parts[part].label


def _by_function(vehicle: Vehicle, said: str) -> dict[str, tuple[str, ...]]:
    """The loads that fit, by function: by their own label first, else by that of a part that feeds or switches them."""
    acting = _acting(vehicle)
    own = list(_labels(vehicle, (run.load.via for run in acting)))
    behind = [
        (run.load.via, part.label)
        for run in acting
        for part in (vehicle.parts.get(name) for name in dict.fromkeys(point.part for point in _points(run)))
        if part is not None and part.label
    ]
    for labels in (own, behind):
        for fits in (_same, _same_function, _function_holds, _holds):
            found: dict[str, dict[str, None]] = {}
            for load, label in labels:
                if label and fits(label, said):
                    found.setdefault(_function(label), {})[load] = None
            if found:
                return {name: tuple(loads) for name, loads in found.items()}
    return {}


def _function(label: str) -> str:
    return label.partition(",")[0].strip()


def _words(text: str) -> list[str]:
    """The words of a label, small, without marks and plurals."""
    return [word.removesuffix("s") for word in re.findall(r"[\w/]+", text.casefold()) if word not in ("the", "of")]


def _same(label: str, said: str) -> bool:
    return _words(label) == _words(said)


def _same_function(label: str, said: str) -> bool:
    return _words(_function(label)) == _words(said)


def _function_holds(label: str, said: str) -> bool:
    return _holds(_function(label), said)


def _holds(label: str, said: str) -> bool:
    wanted = _words(said)
    return bool(wanted) and set(wanted) <= set(_words(label))
