"""What settling finds that is worth saying, in terms of variables, elements and nodes; `circuit.explain` words it."""

from dataclasses import dataclass


@dataclass(frozen=True, order=True)
class FuseOpens:
    """A fuse or breaker opens: `current_a` flowed, for at least `t_min_s` and at most `t_max_s`."""

    variable: str
    current_a: float
    rated_a: float
    t_min_s: float
    t_max_s: float


@dataclass(frozen=True, order=True)
class FuseMayHold:
    """A fuse between 1.1 and 1.35 times its rating: the answer has it whole, an alternative has it open."""

    variable: str
    current_a: float
    rated_a: float
    t_min_s: float


@dataclass(frozen=True, order=True)
class Chatter:
    """Variables that change for ever although nothing declares a rhythm."""

    variables: tuple[str, ...]


@dataclass(frozen=True, order=True)
class Race:
    """The end depends on which of these moves first; the answer lets them move one by one in file order."""

    variables: tuple[str, ...]


@dataclass(frozen=True, order=True)
class SupplyCollapses:
    """What a converter asks for cannot be delivered to its input: the volts collapse and it stops."""

    element: str
    nodes: tuple[int, int]


@dataclass(frozen=True, order=True)
class OutputLimits:
    """A module's output protects itself: it would carry `current_a`, more than `limit_a`."""

    variable: str
    current_a: float
    limit_a: float
    latched: bool


@dataclass(frozen=True, order=True)
class TooManyRhythms:
    """More rhythms at once than are followed; the first few are, the others are held in their first phase."""

    variables: tuple[str, ...]


@dataclass(frozen=True, order=True)
class Unsolved:
    """No solution was found in this state; the answer is the last one that was. `nodes` are where it failed."""

    reason: str
    nodes: tuple[int, ...]


Finding = FuseOpens | FuseMayHold | Chatter | Race | SupplyCollapses | OutputLimits | TooManyRhythms | Unsolved
