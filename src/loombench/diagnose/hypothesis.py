"""Hypotheses: what may be wrong, with a weight each, and the faults that have to be computed to judge them.

A series resistance is not one number but anything over four decades, a short is anything from a weld to an ohm, so both
are cut into cells. What the circuit does at
the two ends of a cell is computed; between them it is taken as going evenly from one to the other. Each cell is held as
several hypotheses side by side, so that two readings that would need different ends do not both fit.

Row 0 of the faults is always the sound vehicle. Beside the faults there are two more hypotheses: the vehicle is sound,
and "nothing in the model explains this".
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from types import MappingProxyType
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from loombench.circuit.fault import Fault
from loombench.diagnose.place import suspect_surroundings
from loombench.diagnose.suspect import group_of, kind_of
from loombench.facts.weight import fault_weight, surroundings_factor
from loombench.vehicle.model import Vehicle

FloatArray = npt.NDArray[np.float64]
IntArray = npt.NDArray[np.intp]

RESISTANCE_EDGES_OHM = (0.12, 0.5, 2.0, 10.0, 60.0, 1000.0)
LEAK_EDGES_OHM = (500.0, 10e3, 500e3)
"""What a wet connector has between two contacts: from a puddle of salt water to a damp film."""
SHORT_EDGES_OHM = (0.005, 0.05, 0.3, 1.5)
"""From metal pressed on metal to a strand that touches rust: what a battery gives into it differs a hundredfold."""
EDGES_OHM = MappingProxyType({"resistance": RESISTANCE_EDGES_OHM, "leak": LEAK_EDGES_OHM, "short": SHORT_EDGES_OHM})
"""The modes of which the ohms are not known."""
ACROSS = ("short", "leak")
PARTS = 2
"""Hypotheses side by side in a cell of resistance."""
SOUND, UNEXPLAINED = "sound", "unexplained"
BOTH = " and "
"""Between the names of two groups that are wrong at once; no name of one group has it."""


@dataclass(frozen=True)
class Hypothesis:
    """One thing that may be wrong.

    `group` is what would be put right (two modes of one relay are one group), `fault` the middle of the cell (None for
    sound and unexplained), `low` and `high` the rows of the two ends in `Hypotheses.faults`; `weight` is relative. It
    stands for the part of the cell from `start` to `end`, 0 being the low end and 1 the high one.

    Where it is two faults at once (`diagnose.pairs`) `other` is the second, and `alone` are the rows of the two ends of
    the first and of the second without the other.
    """

    group: str
    fault: Fault | None
    low: int
    high: int
    weight: float
    start: float = 0.0
    end: float = 1.0
    other: Fault | None = None
    alone: tuple[tuple[int, int], ...] = ()

    @property
    def faults(self) -> tuple[Fault, ...]:
        """What is wrong: none, one or two faults."""
        return tuple(one for one in (self.fault, self.other) if one is not None)

    def left(self, repaired: Iterable[str]) -> tuple[Fault, ...]:
        """What is wrong after the repair of some groups."""
        wanted = frozenset(repaired)
        each = zip(self.faults, halves(self.group), strict=True) if self.fault is not None else ()
        return tuple(fault for fault, group in each if group not in wanted)


class Ends(NamedTuple):
    """[hypotheses] rows each: of the two ends of its cell, and of what is wrong beside that which has the cell: the
    sound vehicle's, or that of the other of two faults."""

    low: IntArray
    high: IntArray
    beside: IntArray


@dataclass(frozen=True, eq=False)
class Hypotheses:
    """All hypotheses in a fixed order; `faults[row]` are the faults of a row, row 0 none."""

    members: tuple[Hypothesis, ...]
    faults: tuple[tuple[Fault, ...], ...]
    groups: tuple[str, ...] = field(init=False)
    of_all: "tuple[Hypotheses, IntArray] | None" = field(init=False, repr=False, default=None)
    """Of what these are some, and their numbers there, where `some` made them."""
    _some: dict[bytes, "Hypotheses"] = field(init=False, repr=False, default_factory=dict)

    def __post_init__(self) -> None:
        object.__setattr__(self, "groups", tuple(dict.fromkeys(member.group for member in self.members)))

    @cached_property
    def sound(self) -> int:
        """The place of what says that nothing is wrong."""
        return [member.group for member in self.members].index(SOUND)

    @cached_property
    def low(self) -> IntArray:
        """[hypotheses] row of the lower end of each cell."""
        return np.array([member.low for member in self.members], dtype=np.intp)

    @cached_property
    def high(self) -> IntArray:
        """[hypotheses] row of the upper end of each cell."""
        return np.array([member.high for member in self.members], dtype=np.intp)

    @cached_property
    def start(self) -> FloatArray:
        """[hypotheses] where in its cell each begins."""
        return np.array([member.start for member in self.members])

    @cached_property
    def end(self) -> FloatArray:
        """[hypotheses] where in its cell each ends."""
        return np.array([member.end for member in self.members])

    @cached_property
    def reach(self) -> FloatArray:
        """[hypotheses] the ohms at the high end of each cell as a multiple of those at its low end; infinite where it
        is not a cell of one fault."""
        return np.array([one[1].ohm / one[0].ohm if one is not None else np.inf for one in self._cells])

    @cached_property
    def across(self) -> npt.NDArray[np.bool_]:
        """[hypotheses] True where more ohms are nearer to a sound vehicle: between two things that should be apart."""
        with_cell = ((one[0] if one is not None else member.fault) for one, member in self._with_cells)
        return np.array([fault is not None and fault.mode in ACROSS for fault in with_cell])

    @cached_property
    def beside(self) -> IntArray:
        """[hypotheses] the row of what is wrong beside the fault that has the cell: the sound vehicle's, where it is
        one of two that of the other; of a pair of which both have a range that of the sound vehicle too."""
        return np.array(
            [
                member.alone[1 - self.faults[member.low].index(one[0])][0] if one is not None and member.alone else 0
                for one, member in self._with_cells
            ],
            dtype=np.intp,
        )

    @cached_property
    def _cells(self) -> tuple[tuple[Fault, Fault] | None, ...]:
        """The fault with a range at the low and at the high end of each cell; None where none has, or both of two."""
        found = []
        for member in self.members:
            pairs = zip(self.faults[member.low], self.faults[member.high], strict=True)
            differ = [(low, high) for low, high in pairs if low != high]
            found.append(differ[0] if len(differ) == 1 else None)
        return tuple(found)

    @property
    def _with_cells(self) -> Iterator[tuple[tuple[Fault, Fault] | None, Hypothesis]]:
        return zip(self._cells, self.members, strict=True)

    @cached_property
    def group(self) -> IntArray:
        """[hypotheses] index of the group in `groups`."""
        index = {name: number for number, name in enumerate(self.groups)}
        return np.array([index[member.group] for member in self.members], dtype=np.intp)

    @cached_property
    def by_target(self) -> Mapping[str, tuple[int, ...]]:
        """The numbers of the hypotheses with a fault at a target."""
        found: dict[str, list[int]] = {}
        for number, member in enumerate(self.members):
            for target in dict.fromkeys(fault.target for fault in member.faults):
                found.setdefault(target, []).append(number)
        return MappingProxyType({target: tuple(numbers) for target, numbers in found.items()})

    @cached_property
    def _of_group(self) -> Mapping[str, tuple[Fault, ...]]:
        found: dict[str, list[Fault]] = {}
        for member in self.members:
            if member.fault is not None:
                found.setdefault(member.group, []).append(member.fault)
        return MappingProxyType({group: tuple(faults) for group, faults in found.items()})

    def faults_of(self, group: str) -> tuple[Fault, ...]:
        """The (first) faults of the hypotheses of a group, in their order; none if there is no such group."""
        return self._of_group.get(group, ())

    @cached_property
    def log_prior(self) -> FloatArray:
        """[hypotheses] log of the weights, which sum to one."""
        weights = np.array([member.weight for member in self.members])
        result: FloatArray = np.log(weights / weights.sum())
        return result

    @cached_property
    def unexplained(self) -> npt.NDArray[np.bool_]:
        """[hypotheses] True for the one that nothing explains."""
        return np.array([member.group == UNEXPLAINED for member in self.members])

    @cached_property
    def no_fault(self) -> npt.NDArray[np.bool_]:
        """[hypotheses] True for those that are none: sound, and what nothing explains."""
        return np.array([member.fault is None for member in self.members], dtype=np.bool_)

    def some(self, numbers: IntArray) -> "Hypotheses":
        """Those of some numbers, ascending. What was asked for last is kept, as a whole choice asks for the same."""
        key = numbers.tobytes()
        if key not in self._some:
            found = Hypotheses(tuple(self.members[number] for number in numbers.tolist()), self.faults)
            for name in ("low", "high", "start", "end", "reach", "across", "beside", "unexplained", "no_fault"):
                found.__dict__[name] = getattr(self, name)[numbers]
            object.__setattr__(found, "of_all", (self, numbers))
            self._some.clear()
            self._some[key] = found
        return self._some[key]

    def reweighed(self, factors: Sequence[float | None]) -> "Hypotheses":
        """The same with the weight of each multiplied; those without a factor keep their share of the whole."""
        before = sum(member.weight for member in self.members)
        free = [member.weight for member, factor in zip(self.members, factors, strict=True) if factor is None]
        after = sum(
            member.weight * factor for member, factor in zip(self.members, factors, strict=True) if factor is not None
        )
        kept = after / (before - sum(free))
        weights = (
            member.weight * (kept if factor is None else factor)
            for member, factor in zip(self.members, factors, strict=True)
        )
        members = (replace(member, weight=weight) for member, weight in zip(self.members, weights, strict=True))
        return Hypotheses(tuple(members), self.faults)

    @cached_property
    def _doubles(self) -> tuple[int, ...]:
        return tuple(number for number, member in enumerate(self.members) if member.alone)

    def repaired(self, groups: Iterable[str]) -> npt.NDArray[np.bool_]:
        """[hypotheses] True where the repair of one of `groups` takes the fault away."""
        wanted = frozenset(groups)
        if not wanted:
            return np.zeros(len(self.members), dtype=np.bool_)
        gone = np.array([wanted.issuperset(halves(group)) for group in self.groups], dtype=np.bool_)
        result: npt.NDArray[np.bool_] = gone[self.group]
        return result

    def rows_after(self, groups: Iterable[str]) -> Ends:
        """The rows of each after the repair of `groups`: the sound vehicle's where nothing is left, those of the other
        fault where one of two is."""
        wanted = frozenset(groups)
        if not wanted:
            return Ends(self.low, self.high, self.beside)
        gone = self.repaired(wanted)
        low, high, beside = (np.where(gone, 0, rows) for rows in (self.low, self.high, self.beside))
        for number in self._doubles:
            member = self.members[number]
            if not gone[number]:
                left = [half not in wanted for half in halves(member.group)]
                if not all(left):
                    low[number], high[number] = member.alone[left.index(True)]
                    beside[number] = 0
        return Ends(low, high, beside)


def paired(one: str, other: str) -> str:
    """The name of two groups at once."""
    return f"{one}{BOTH}{other}"


def halves(group: str) -> tuple[str, ...]:
    """The groups a group consists of: itself, or the two of a pair."""
    return tuple(group.split(BOTH))


def hypotheses(vehicle: Vehicle, faults: Sequence[Fault]) -> Hypotheses:
    """The hypotheses for single faults of a vehicle, in the order given, resistances of one target as cells."""
    rows: list[tuple[Fault, ...]] = [()]
    members: list[Hypothesis] = []
    spread: set[tuple[str, str, str]] = set()
    for fault in faults:
        weight = _weight(vehicle, fault)
        group = group_of(vehicle, fault)
        edges = EDGES_OHM.get(fault.mode)
        if edges is None:
            rows.append((fault,))
            members.append(Hypothesis(group, fault, len(rows) - 1, len(rows) - 1, weight))
        elif (fault.mode, fault.target, fault.to) not in spread:
            spread.add((fault.mode, fault.target, fault.to))
            first = len(rows)
            rows.extend((replace(fault, ohm=ohm),) for ohm in edges)
            cells = len(edges) - 1
            for cell in range(cells):
                middle = round(float(np.sqrt(edges[cell] * edges[cell + 1])), 2)
                named = replace(fault, ohm=middle)
                members += [
                    Hypothesis(
                        group, named, first + cell, first + cell + 1, weight / cells / PARTS, k / PARTS, (k + 1) / PARTS
                    )
                    for k in range(PARTS)
                ]
    # The two that are no fault are shares of the whole, or they would fade in a large vehicle.
    total = sum(member.weight for member in members) or 1.0
    for name, mode in ((SOUND, "healthy"), (UNEXPLAINED, "unexplained")):
        share = fault_weight("nothing", mode).weight / 100.0
        members.append(Hypothesis(name, None, 0, 0, total * share))
    return Hypotheses(tuple(members), tuple(rows))


def _weight(vehicle: Vehicle, fault: Fault) -> float:
    what = kind_of(vehicle, fault)
    return fault_weight(what, fault.mode).weight * surroundings_factor(what, suspect_surroundings(vehicle, fault))
