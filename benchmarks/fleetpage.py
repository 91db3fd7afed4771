"""What a made-up vehicle is written from: files of boxes, studs, parts, connectors and looms; zones.

Connectors have as many ways as they come to need, so they are written when the drawing is done.
"""

from dataclasses import dataclass, field

WAYS = (2, 4, 6, 8, 12, 16, 24)


@dataclass
class Coupling:
    """A connector between two looms; its ways are counted when the drawing is done."""

    id: str
    halves: tuple[str, str]
    place: str
    label: str
    used: int = 0

    def line(self) -> str:
        """As written."""
        ways = next(ways for ways in WAYS if ways >= self.used)
        return f'connector {self.id} {ways}way {self.halves[0]} | {self.halves[1]} at {self.place} "{self.label}"'


@dataclass
class Box:
    """A fuse and relay box: bars with what hangs on them, joins, and the parts that sit in it."""

    id: str
    place: str
    label: str
    bars: dict[str, tuple[str, list[str]]] = field(default_factory=dict)
    joins: list[str] = field(default_factory=list)
    parts: list[str] = field(default_factory=list)

    def lines(self) -> list[str]:
        """As written."""
        bars = [f"  bar {name} from {start} : {' '.join(points)}" for name, (start, points) in self.bars.items()]
        return [f'carrier {self.id} "{self.label}" at {self.place}', *bars, *self.joins, *self.parts]


@dataclass
class Unit:
    """A housing with several elements over one ground."""

    id: str
    place: str
    label: str
    elements: list[str] = field(default_factory=list)

    def lines(self) -> list[str]:
        """As written."""
        return [f'unit {self.id} "{self.label}" at {self.place}', *self.elements]


@dataclass
class Page:
    """One file: parts in the order they were drawn, wires by loom."""

    remark: str
    boxes: list[Box] = field(default_factory=list)
    studs: list[str] = field(default_factory=list)
    parts: list[str] = field(default_factory=list)
    units: list[Unit] = field(default_factory=list)
    couplings: list[Coupling] = field(default_factory=list)
    looms: dict[str, list[str]] = field(default_factory=dict)

    def text(self) -> str:
        """The file."""
        blocks = [["loombench 1"], [f"# {line}" for line in self.remark.splitlines()]]
        blocks += [box.lines() for box in self.boxes]
        blocks.append(self.studs)
        blocks.append([*self.parts, *(line for unit in self.units for line in unit.lines())])
        blocks.append([coupling.line() for coupling in self.couplings])
        blocks += [[f"loom {name}", *lines] for name, lines in self.looms.items()]
        return "\n\n".join("\n".join(block).strip() for block in blocks if block) + "\n"


@dataclass
class Zone:
    """A part of the vehicle with its own box, panel and loom; `sides` are the places its loads are at."""

    number: int
    name: str
    loom: str
    body: str
    box_place: str
    panel: str
    sides: tuple[str, ...]
    page: Page
    trunk_m: float = 0.0
    lived_in: bool = False
    box: Box | None = None
    trunk: list[Coupling] = field(default_factory=list)
    branches: dict[str, list[Coupling]] = field(default_factory=dict)
    studs: dict[str, list[tuple[str, int]]] = field(default_factory=dict)
    feed: tuple[str, int] = "", 0
