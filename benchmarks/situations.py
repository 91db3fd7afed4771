"""Situations in which a search is harder than by the book, and their cases: drawn by seed, fixed before any is played.

A case is drawn by kind, so that situations which only answer otherwise share their cases:

    catalogue   a single fault of the catalogue, each as often as any other
    weighted    the same, each as often as the table of weights has it
    double      two of them at once; where the number is odd the second has a complaint of its own, which is told too
    outside     a damage that the catalogue does not have (`damages`)
    coming      a joint or wire that comes and goes

The first cases are the same however many are drawn. Vehicles take turns by `TURNS`: four in five cases are of
circuits with one function, since a case of these costs a tenth; the largest examples are not among them.
"""

import json
import random
from collections.abc import Callable, Iterator, Mapping
from dataclasses import asdict, dataclass
from itertools import islice
from types import MappingProxyType

from benchmarks.damages import OUTSIDE, Damage, DamagedLowering, drawn_damage
from benchmarks.findcases import load, varied
from loombench.app.practice import complaint_of, usual_conditions
from loombench.circuit.catalogue import single_faults
from loombench.circuit.fault import Fault
from loombench.diagnose.hypothesis import hypotheses
from loombench.diagnose.suspect import CONTACT, group_of
from loombench.evidence.complaint import Complaint
from loombench.vehicle.condition import Condition, read_operation
from loombench.vehicle.model import Vehicle

_SMALL = tuple(f"tests/ngspice/hand/{name}.circuit" for name in ("lamp-chain", "relay-horn", "module", "shared-ground"))
_CASES = tuple(
    f"examples/cases/{name}.circuit" for name in ("1-blower", "0-supply", "5-tarpaulin", "4-body-controller")
)
_LARGER = tuple(
    f"examples/{name}/vehicle.circuit" for name in ("library-saloon", "vintage-tractor", "fire-appliance", "camper-van")
)
TURNS = tuple(
    file
    for turn in range(4)
    for file in (
        *_SMALL,
        _CASES[turn],
        *_SMALL,
        _CASES[(turn + 1) % 4],
        *_SMALL,
        *_SMALL,
        _CASES[(turn + 2) % 4],
        _LARGER[turn],
    )
)
"""Which vehicle the next case is of, over and over: of 20 cases 16 are of circuits with one function and 350 to 650
suspects, three of middle ones (1,000 to 1,500), one of a whole vehicle (800 to 2,600)."""
TRIES = 400
"""Draws for a case of a vehicle before it has no more."""
PATIENCE = 12
"""Single faults that wait for a second of the other kind before any will do."""
COMING = ("open", "resistance")


@dataclass(frozen=True)
class Trial:
    """A case, as it is kept in a file. `faults` are (mode, target, to, ohm), `complaints` (target, symptom,
    operations); of a damage `words`, and `cures`, the suspects any of which names its place."""

    name: str
    kind: str
    file: str
    faults: tuple[tuple[str, str, str, float], ...]
    complaints: tuple[tuple[str, str, tuple[str, ...]], ...]
    seed: int
    words: tuple[str, ...] = ()
    cures: tuple[str, ...] = ()

    @property
    def hidden(self) -> tuple[Fault, ...]:
        """What is wrong."""
        return tuple(Fault(*fault) for fault in self.faults)

    def told(self, presence: str = "") -> tuple[Complaint, ...]:
        """What is complained of."""
        found = []
        for target, symptom, operations in self.complaints:
            read = [read_operation(text) for text in operations]
            condition = Condition(tuple(one for one in read if one is not None))
            found.append(Complaint(target, symptom, condition, f"{target} {symptom} when {condition}", presence))
        return tuple(found)


@dataclass(frozen=True)
class Situation:
    """What is asked of the search. `kind` says which cases; `wrong` the share of readings that are wrong, `persistent`
    whether asking again the same way gives the same; `presence` the share of looks at which the fault is there; `off`
    by what factor (of a log-normal spread) the weights that are believed are off.

    `without` leaves an ingredient of the tool out: look-ahead, cost, doubles, or outliers: no reading is then taken to
    be wrong."""

    name: str
    kind: str
    wrong: float = 0.0
    persistent: bool = False
    presence: float = 1.0
    off: float = 1.0
    without: str = ""
    like: str = ""


SITUATIONS: Mapping[str, Situation] = MappingProxyType(
    {
        one.name: one
        for one in (
            Situation("plain", "catalogue"),
            Situation("wrong_2", "catalogue", wrong=0.02, like="plain"),
            Situation("wrong_5", "catalogue", wrong=0.05, like="plain"),
            Situation("wrong_2_persistent", "catalogue", wrong=0.02, persistent=True, like="plain"),
            Situation("wrong_5_persistent", "catalogue", wrong=0.05, persistent=True, like="plain"),
            Situation("doubles", "double"),
            Situation("unmodelled", OUTSIDE),
            Situation("intermittent_8", "coming", presence=0.8),
            Situation("intermittent_5", "coming", presence=0.5),
            Situation("intermittent_2", "coming", presence=0.2),
            Situation("rates_1", "weighted"),
            Situation("rates_3", "weighted", off=3.0),
            Situation("rates_10", "weighted", off=10.0),
            Situation("plain_no_look_ahead", "catalogue", without="look-ahead"),
            Situation("plain_no_cost", "catalogue", without="cost"),
            Situation("doubles_no_doubles", "double", without="doubles"),
            Situation("plain_no_outlier", "catalogue", without="outliers"),
            Situation("wrong_2_no_outlier", "catalogue", wrong=0.02, without="outliers", like="plain_no_outlier"),
            Situation(
                "wrong_2_persistent_no_outlier",
                "catalogue",
                wrong=0.02,
                persistent=True,
                without="outliers",
                like="plain_no_outlier",
            ),
        )
    }
)
"""All situations by name; the last ones are ablations. `like`: cases that nothing disturbs go as they do there."""


def trials(kind: str, count: int, seed: int) -> Iterator[Trial]:
    """Cases of a kind in the order of the turns, up to `count`."""
    drawers: dict[str, Iterator[Trial]] = {}
    found = turn = 0
    gone: set[str] = set()
    while found < count and len(gone) < len(set(TURNS)):
        file = TURNS[turn % len(TURNS)]
        turn += 1
        if file not in drawers:
            drawers[file] = DRAWERS[kind](file, load(file), random.Random(f"{kind} {seed} {file}"))
        one = next(drawers[file], None)
        if one is None:
            gone.add(file)
        else:
            found += 1
            yield one


def _trial(
    number: int, kind: str, file: str, faults: tuple[Fault, ...], complaints: tuple[Complaint, ...],
    draw: random.Random, damage: Damage | None = None,
) -> Trial:  # fmt: skip
    return Trial(
        f"{file} {kind} {number}",
        kind,
        file,
        tuple((one.mode, one.target, one.to, one.ohm) for one in faults),
        tuple((one.target, one.symptom, tuple(map(str, one.condition.operations))) for one in complaints),
        draw.randrange(1 << 30),
        damage.words if damage else (),
        damage.cures if damage else (),
    )


def _catalogue(file: str, vehicle: Vehicle, draw: random.Random) -> Iterator[Trial]:
    faults = list(single_faults(vehicle))
    draw.shuffle(faults)
    return _single("catalogue", file, vehicle, draw, iter(faults))


def _coming(file: str, vehicle: Vehicle, draw: random.Random) -> Iterator[Trial]:
    wires = vehicle.wire_by_id
    faults = [
        fault
        for fault in single_faults(vehicle)
        if fault.mode in COMING and (fault.target.startswith(CONTACT) or fault.target in wires)
    ]
    draw.shuffle(faults)
    return _single("coming", file, vehicle, draw, iter(faults))


def _weighted(file: str, vehicle: Vehicle, draw: random.Random) -> Iterator[Trial]:
    faults = single_faults(vehicle)
    weights: dict[tuple[str, str, str], float] = {}
    for member in hypotheses(vehicle, faults).members:
        if member.fault is not None:
            place = (member.fault.mode, member.fault.target, member.fault.to)
            weights[place] = weights.get(place, 0.0) + member.weight
    by_fault = [0.0 if not one else weights[one.mode, one.target, one.to] for one in faults]
    return _single("weighted", file, vehicle, draw, (draw.choices(faults, by_fault)[0] for _ in iter(int, 1)))


def _single(
    kind: str, file: str, vehicle: Vehicle, draw: random.Random, faults: Iterator[Fault]
) -> Iterator[Trial]:  # fmt: skip
    usual = usual_conditions(vehicle)
    number = 0
    for fault in faults:
        hidden = varied(fault, draw)
        complaint = complaint_of(vehicle, hidden, usual)
        if complaint is not None:
            number += 1
            yield _trial(number, kind, file, (hidden,), (complaint,), draw)


def _double(file: str, vehicle: Vehicle, draw: random.Random) -> Iterator[Trial]:
    """Each alone is complained of: the even ones of the same load in the same state, so that what is seen after the
    first repair is the complaint again; the odd ones of another load, where the vehicle has one."""
    waiting: list[tuple[Fault, Complaint]] = []
    number = 1
    for single in _catalogue(file, vehicle, draw):
        (hidden,), (complaint,) = single.hidden, single.told()
        apart = number % 2 == 1
        for place, (second, other) in enumerate(waiting):
            same = (other.target, other.condition) == (complaint.target, complaint.condition)
            wanted = (not same) == apart if len(waiting) < PATIENCE else True
            if not wanted or _group(vehicle, second, hidden) or (other.target == complaint.target and not same):
                continue
            both = complaint_of(vehicle, (second, hidden), (other.condition,))
            if both is not None and both.target == other.target:
                told = (both,) if same else (both, complaint)
                yield _trial(number, "double", file, (second, hidden), told, draw)
                number += 1
                del waiting[place]
                break
        else:
            waiting.append((hidden, complaint))


def _group(vehicle: Vehicle, one: Fault, other: Fault) -> bool:
    """Whether two faults are put right together."""
    return group_of(vehicle, one) == group_of(vehicle, other)


def _outside(file: str, vehicle: Vehicle, draw: random.Random) -> Iterator[Trial]:
    usual = usual_conditions(vehicle)
    number = 0
    known: set[frozenset[str]] = set()
    for _ in range(TRIES):
        damage = drawn_damage(vehicle, draw.choice(usual), draw)
        # The same place twice, with its ends named the other way round too, is one case.
        if damage is None or (place := frozenset(damage.words[:3])) in known:
            continue
        known.add(place)
        hidden = Fault(OUTSIDE, damage.target)
        complaint = complaint_of(vehicle, hidden, usual, DamagedLowering(damage.words))
        if complaint is not None:
            number += 1
            yield _trial(number, OUTSIDE, file, (hidden,), (complaint,), draw, damage)


DRAWERS: Mapping[str, Callable[[str, Vehicle, random.Random], Iterator[Trial]]] = MappingProxyType(
    {"catalogue": _catalogue, "weighted": _weighted, "double": _double, OUTSIDE: _outside, "coming": _coming}
)


def first(kind: str, count: int, seed: int) -> tuple[Trial, ...]:
    """The first cases of a kind."""
    return tuple(islice(trials(kind, count, seed), count))


def encode(trial: Trial) -> str:
    """A case as a line of JSON."""
    return json.dumps(asdict(trial))


def decode(line: str) -> Trial:
    """A case from its line."""
    kept = json.loads(line)
    kept["faults"] = tuple(tuple(one) for one in kept["faults"])
    kept["complaints"] = tuple((one, two, tuple(three)) for one, two, three in kept["complaints"])
    for name in ("words", "cures"):
        kept[name] = tuple(kept[name])
    return Trial(**kept)
