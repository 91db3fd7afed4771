"""The vehicle while its text is being read: what has been declared so far, what waits for names, what was wrong."""

from collections.abc import Iterable
from dataclasses import dataclass, field, replace

from loombench.base.nearest import NONE, nearest
from loombench.base.problems import Problem, Span, error, warning
from loombench.text.limits import LIMITS, Limits
from loombench.text.syntax import Line, Statement
from loombench.text.tokens import Token
from loombench.vehicle.face import Face
from loombench.vehicle.model import Mating, Part, Place, Wire

MOST_COMPARED = 300_000
"""Names compared per vehicle to find the nearest: a file of nothing but wrong names would take minutes otherwise."""


@dataclass(frozen=True)
class Trailer:
    """`plug "trailer.circuit".P1 into X50`, to be read once the vehicle itself is."""

    file: str
    plug: str
    socket: str
    span: Span


@dataclass
class Draft:
    """Grows statement by statement; only the loader sees it."""

    limits: Limits = LIMITS
    problems: list[Problem] = field(default_factory=list)
    name: str = ""
    nominal_v: float = 12.0
    form: str = ""
    system: str = "IEC"
    head: Span | None = None
    loom: str = ""
    places: dict[str, Place] = field(default_factory=dict)
    parts: dict[str, Part] = field(default_factory=dict)
    looms: dict[str, None] = field(default_factory=dict)
    loom_lines: dict[str, Span] = field(default_factory=dict)
    offers: dict[str, Span] = field(default_factory=dict)
    chosen: tuple[str, ...] = ()
    wires: list[Wire] = field(default_factory=list)
    wire_lines: list[tuple[Line, str, str]] = field(default_factory=list)
    joins: list[Statement] = field(default_factory=list)
    marks: list[Line] = field(default_factory=list)
    face_lines: list[Statement] = field(default_factory=list)
    faces: dict[str, Face] = field(default_factory=dict)
    cabled: list[tuple[str, Line, tuple[Token, ...]]] = field(default_factory=list)
    changes: list[Line] = field(default_factory=list)
    trailers: list[Trailer] = field(default_factory=list)
    matings: list[Mating] = field(default_factory=list)
    wanted_places: list[tuple[str, Span]] = field(default_factory=list)
    unknown: dict[str, list[Span]] = field(default_factory=dict)
    failed: set[str] = field(default_factory=set)
    compared: int = 0

    @property
    def hopeless(self) -> bool:
        """Whether so much is wrong that reading on is of no use."""
        return len(self.problems) >= self.limits.hopeless

    def wrong(self, code: str, *spans: Span | None, **facts: object) -> None:
        """Note an error."""
        self.problems.append(error(code, *spans, **facts))

    def doubtful(self, code: str, *spans: Span | None, **facts: object) -> None:
        """Note a warning."""
        self.problems.append(warning(code, *spans, **facts))

    def near(self, name: str, names: Iterable[str]) -> str:
        """The nearest of `names`, within the vehicle's budget of comparisons."""
        every = tuple(names)
        self.compared += len(every)
        return nearest(name, every) if self.compared <= MOST_COMPARED else NONE

    def unexpected(
        self, line: Line, token: Token, statement: str, allowed: Iterable[str] = (), meant: str = ""
    ) -> None:
        """A word that means nothing in its statement; `meant` is offered in its place, else the nearest allowed."""
        if self.hopeless:
            return
        words = tuple(allowed)
        self.wrong(
            "word-unexpected",
            line.span(token),
            word=token.text[:40],
            statement=statement,
            nearest=meant[:60] or self.near(token.text, words),
            allowed=", ".join(words) or NONE,
        )

    def missing(self, line: Line, statement: str, example: str) -> None:
        """A statement that lacks something; the example shows a whole one."""
        self.wrong("word-missing", line.span(), statement=statement, example=example)

    def add_part(self, part: Part) -> bool:
        """Take in a part, unless its name is taken: then both places are shown and the first one stays."""
        other = self.parts.get(part.id)
        if other is not None:
            self.wrong("name-twice", part.span, other.span, name=part.id)
            return False
        if len(part.pins) > self.limits.most_pins:
            limits = f"1 to {self.limits.most_pins} way"
            self.wrong("number-range", part.span, text=f"{len(part.pins)}way", limits=limits)
            return False
        self.parts[part.id] = part
        return True

    def amend(self, part_id: str, **fields: object) -> None:
        """Give a part other values."""
        self.parts[part_id] = replace(self.parts[part_id], **fields)  # type: ignore[arg-type]

    def put_in_cable(self, index: int, cable: str) -> None:
        """Put a wire into a cable."""
        self.wires[index] = replace(self.wires[index], cable=cable)
