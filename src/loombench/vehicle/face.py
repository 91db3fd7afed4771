"""The face of a plug: how its cavities are numbered and how it opens, as somebody who holds it in the hand sees it."""

from dataclasses import dataclass

from loombench.base.problems import Span

NUMBERINGS = ("across", "zigzag", "back-and-forth", "clockwise", "anticlockwise")
"""Each row from left to right; each column from above; every other row from right to left; round from the top."""
SIDES = ("wires", "mating")
"""From where the numbering is said: looking at the wires that go in, or at the face that mates."""
EDGES = ("above", "below", "left", "right")


@dataclass(frozen=True)
class Face:
    """What is declared of one plug. `owner` is a part (`X12`) or a plug of it (`A2.X1`), `half` a connector's loom.

    `rows` is 0 and `numbering` and `seen_from` are empty where nothing is said. `grid` are the rows of cavities where
    they are written out, an empty text where there is none. `lever` says that the latch is a lever; `opens`, `lock` and
    `tool` are in words, `tool_from` one of `SIDES`. `blind` are cavities closed with a plug.
    """

    owner: str
    half: str = ""
    rows: int = 0
    numbering: str = ""
    grid: tuple[tuple[str, ...], ...] = ()
    seen_from: str = ""
    latch: str = ""
    lever: bool = False
    opens: str = ""
    lock: str = ""
    tool: str = ""
    tool_from: str = ""
    blind: tuple[str, ...] = ()
    span: Span | None = None

    @property
    def name(self) -> str:
        """`X12`, `X12@boom`, `A2.X1`: as it is written, and what a vehicle knows it by."""
        return f"{self.owner}@{self.half}" if self.half else self.owner

    @property
    def part(self) -> str:
        """The part it belongs to."""
        return self.owner.partition(".")[0]
