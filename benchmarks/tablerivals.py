"""Other ways to choose the next test of a dictionary. All take only tests that part what is left, and end where the
optimum ends; of two that come out alike the cheaper one is taken, then the first.

half_by_count       the largest part it may leave has the fewest states
half_by_share       the same by probability
walk_from_power     the first test on the way from power that parts anything, then the others in their order
walk_from_load      the same from the load
cheapest            the least cost
likeliest_part      what parts the likeliest suspect from most of the others
information         most information about the suspects per cost, one step ahead
random              drawn by seed

On a dictionary drawn by seed there is no way: the walks take its tests in order, and in the opposite one.
"""

import math
import random
from collections.abc import Callable, Mapping
from types import MappingProxyType

from benchmarks.dictionaries import Dictionary

Rule = Callable[[Dictionary, int, int, int], float]
"""A number for a test (of a dictionary, from a set of states and a standing); the least is taken."""


def _half_by_count(one: Dictionary, test: int, states: int, standing: int) -> float:  # noqa: ARG001
    return max(part.bit_count() for part in one.table.parts(test, states))


def _half_by_share(one: Dictionary, test: int, states: int, standing: int) -> float:  # noqa: ARG001
    return max(one.table.mass(part) for part in one.table.parts(test, states))


def _walk_from_power(one: Dictionary, test: int, states: int, standing: int) -> float:  # noqa: ARG001
    return one.from_power.index(test)


def _walk_from_load(one: Dictionary, test: int, states: int, standing: int) -> float:  # noqa: ARG001
    return one.from_load.index(test)


def _cheapest(one: Dictionary, test: int, states: int, standing: int) -> float:  # noqa: ARG001
    return one.costs.cost(test, standing)


def _likeliest_part(one: Dictionary, test: int, states: int, standing: int) -> float:  # noqa: ARG001
    mass = _by_group(one, states)
    likeliest = max(mass, key=lambda group: (mass[group], -group))
    beside = 0.0
    for part in one.table.parts(test, states):
        of = _by_group(one, part)
        beside += of.get(likeliest, 0.0) / mass[likeliest] * sum(of[group] for group in of if group != likeliest)
    return round(beside, 12)


def _information(one: Dictionary, test: int, states: int, standing: int) -> float:
    whole = one.table.mass(states)
    told = _entropy(_by_group(one, states))
    for part in one.table.parts(test, states):
        told -= one.table.mass(part) / whole * _entropy(_by_group(one, part))
    return -round(told / one.costs.cost(test, standing), 12)


def _random(one: Dictionary, test: int, states: int, standing: int) -> float:
    return random.Random(f"{one.name} {test} {states} {standing}").random()


RIVALS: Mapping[str, Rule] = MappingProxyType(
    {
        "half_by_count": _half_by_count,
        "half_by_share": _half_by_share,
        "walk_from_power": _walk_from_power,
        "walk_from_load": _walk_from_load,
        "cheapest": _cheapest,
        "likeliest_part": _likeliest_part,
        "information": _information,
        "random": _random,
    }
)


def rival(name: str, one: Dictionary) -> Callable[[tuple[int, ...], int], int]:
    """The test, by number, that a rule takes with some states left, from a standing."""
    rule = RIVALS[name]

    def choose(alive: tuple[int, ...], standing: int) -> int:
        states = sum(1 << state for state in alive)
        useful = one.table.useful(states)
        return min(useful, key=lambda test: (rule(one, test, states, standing), one.costs.cost(test, standing), test))

    return choose


def _by_group(one: Dictionary, states: int) -> dict[int, float]:
    mass: dict[int, float] = {}
    for state in one.table.of(states):
        group = one.table.group[state]
        mass[group] = mass.get(group, 0.0) + one.table.weight[state]
    return mass


def _entropy(mass: Mapping[int, float]) -> float:
    whole = sum(mass.values())
    return -sum(one / whole * math.log(one / whole) for one in mass.values())
