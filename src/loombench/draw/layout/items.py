"""What stands on a page, before anybody knows where: things with a size and ports, and the lines between ports.

Lengths are millimetres; x runs to the right and y downwards from an item's upper left corner.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

from loombench.draw.shapes import BOTTOM, TOP, Shape, Symbol, Wanted

SYMBOL, PAIR, RAIL, CARRIER, JOIN = "symbol", "pair", "rail", "carrier", "join"
SUPPLY, BETWEEN, GROUND = 0, 1, 2
"""Levels of a page: at the top, between, at the bottom."""
WIRE, LINK = "wire", "link"
"""What a line is: a wire of the vehicle, a connection inside a box or of a stud to its body."""


@dataclass(frozen=True)
class Port:
    """Where lines meet an item. `name` is the point's name, empty where only links meet. A port of a rail has no place
    of its own yet (`x_mm` None): the arrangement finds its order. `fork_of` is the key of the port that a second line
    goes on to along the edge, so that two lines of one pin do not run on each other."""

    key: str
    name: str
    side: str
    x_mm: float | None = None
    y_mm: float = 0.0
    fork_of: str = ""


@dataclass(frozen=True)
class Note:
    """Words at a point, that other things hang on it too: `key` names the point, `functions` are keys of others."""

    key: str
    text: str
    functions: tuple[str, ...]


@dataclass(frozen=True)
class Item:
    """One thing, at one of the levels.

    A symbol has its `symbol`, and `wanted` where it looks otherwise in another position; a carrier its frame's `shapes`
    and the symbols `inside` it with their places; a pair the two halves plugged together `inside`; a rail its `texts`;
    a join its key and the page it leads to in `texts`.
    """

    key: str
    part: str
    sort: str
    kind: str
    width_mm: float
    height_mm: float
    ports: tuple[Port, ...]
    level: int = BETWEEN
    symbol: Symbol | None = None
    wanted: Wanted | None = None
    shapes: tuple[Shape, ...] = ()
    inside: tuple[tuple[Symbol, float, float], ...] = ()
    texts: tuple[str, ...] = ()
    note: Note | None = None

    def on(self, side: str) -> tuple[Port, ...]:
        """The ports of a side."""
        return tuple(port for port in self.ports if port.side == side)


@dataclass(frozen=True)
class Run:
    """A line from a port to a port, downwards where it can be: `(item key, port key)` each. `wire` is the wire's id;
    `backwards` says that it starts at the wire's second end."""

    key: str
    sort: str
    start: tuple[str, str]
    end: tuple[str, str]
    wire: str = ""
    backwards: bool = False


@dataclass(frozen=True)
class Plan:
    """All items and runs of a page; a key is that of one item only, and a run's ends are ports of items in it."""

    items: Mapping[str, Item] = field(default_factory=lambda: MappingProxyType({}))
    runs: tuple[Run, ...] = ()

    def problems(self) -> tuple[str, ...]:
        """What is wrong with the plan, the precondition of the arrangement; empty where it is right."""
        found = [f"item {key} is called {item.key}" for key, item in self.items.items() if key != item.key]
        for run in self.runs:
            for key, port in (run.start, run.end):
                item = self.items.get(key)
                if item is None or all(one.key != port for one in item.ports):
                    found.append(f"{run.key} ends at {key} {port}, which is not there")
        for item in self.items.values():
            if item.width_mm <= 0 or item.height_mm <= 0:
                found.append(f"{item.key} has no size")
            found += [
                f"{item.key} {port.key} lies outside"
                for port in item.ports
                if port.x_mm is not None and not (0 <= port.x_mm <= item.width_mm and 0 <= port.y_mm <= item.height_mm)
            ]
            if item.sort == RAIL and any(port.side not in (TOP, BOTTOM) for port in item.ports):
                found.append(f"{item.key} has a port at its side")
        return tuple(found)
