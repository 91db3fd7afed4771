"""What closed jobs say of how often things fail, and what that makes of the weights of suspects.

Of each closed job with a proven cause two things are counted for every kind of suspect the vehicle has (what it is, the
mode, what surrounds it): the faults `found`, and the faults `expected` by the weights of the table. Were the table
right, both would come to the same in the long run. The weight of a kind is the mean of a Gamma distribution for its
rate in multiples of the table's: it starts as if `PSEUDO` faults had been expected and found, so

    factor = (PSEUDO + found) / (PSEUDO + expected)

It is 1 without jobs, moves little by one, goes to found / expected by many, and is never zero. Three factors are worked
out one after the other, each from what the one before leaves: by kind and mode; by kind and each word of surroundings;
by kind on the vehicle of that name. The pseudo-counts are estimates: so many jobs weigh as much as the table.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property
from math import fsum, prod
from types import MappingProxyType

import numpy as np
import numpy.typing as npt

from loombench.diagnose.hypothesis import Hypotheses, halves
from loombench.diagnose.place import suspect_surroundings
from loombench.diagnose.suspect import kind_of
from loombench.vehicle.model import Vehicle

PSEUDO_KIND, PSEUDO_SURROUNDINGS, PSEUDO_VEHICLE = 5.0, 10.0, 10.0
"""Faults of a kind that the table's word counts for, before a job has been closed."""
FloatArray = npt.NDArray[np.float64]
Key = tuple[str, str, str, tuple[str, ...]]


@dataclass(frozen=True, order=True)
class Count:
    """Faults of one kind on the vehicle of one name: found, and expected by the table. Both are numbers from 0, not
    whole ones where a cause may have been one of several modes. `surroundings` are in alphabetical order."""

    vehicle: str
    what: str
    mode: str
    surroundings: tuple[str, ...]
    found: float
    expected: float


@dataclass(frozen=True)
class Rates:
    """Counts of closed jobs, one for each kind, in order."""

    counts: tuple[Count, ...] = ()

    def factor(self, vehicle: str, what: str, mode: str, surroundings: Iterable[str]) -> float:
        """What the weight of a suspect is multiplied by; 1 where nothing was learned."""
        return self._by_word(what, mode, surroundings) * self._of_vehicle.get((vehicle, what), 1.0)

    def _by_word(self, what: str, mode: str, surroundings: Iterable[str]) -> float:
        words = [self._of_surroundings.get((word, what), 1.0) for word in sorted(set(surroundings))]
        return self._of_kind.get((what, mode), 1.0) * prod(words)

    @cached_property
    def _of_kind(self) -> Mapping[tuple[str, str], float]:
        return _factors((((one.what, one.mode), one.found, one.expected) for one in self.counts), PSEUDO_KIND)

    @cached_property
    def _of_surroundings(self) -> Mapping[tuple[str, str], float]:
        by_kind = self._of_kind
        parts = (
            ((word, one.what), one.found, one.expected * by_kind[one.what, one.mode])
            for one in self.counts
            for word in one.surroundings
        )
        return _factors(parts, PSEUDO_SURROUNDINGS)

    @cached_property
    def _of_vehicle(self) -> Mapping[tuple[str, str], float]:
        parts = (
            ((one.vehicle, one.what), one.found, one.expected * self._by_word(one.what, one.mode, one.surroundings))
            for one in self.counts
        )
        return _factors(parts, PSEUDO_VEHICLE)


NO_RATES = Rates()


def _factors(
    parts: Iterable[tuple[tuple[str, str], float, float]], pseudo: float
) -> Mapping[tuple[str, str], float]:  # fmt: skip
    found: dict[tuple[str, str], list[float]] = {}
    expected: dict[tuple[str, str], list[float]] = {}
    for key, one, other in parts:
        found.setdefault(key, []).append(one)
        expected.setdefault(key, []).append(other)
    return MappingProxyType({key: (pseudo + fsum(found[key])) / (pseudo + fsum(expected[key])) for key in found})


def together(every: Iterable[Rates]) -> Rates:
    """The counts of several added up; in which order they come makes no difference."""
    found: dict[Key, list[tuple[float, float]]] = {}
    for rates in every:
        for one in rates.counts:
            key = (one.vehicle, one.what, one.mode, one.surroundings)
            found.setdefault(key, []).append((one.found, one.expected))
    return Rates(
        tuple(
            Count(*key, fsum(one for one, _ in parts), fsum(other for _, other in parts))
            for key, parts in sorted(found.items())
        )
    )


def of_job(vehicle: Vehicle, known: Hypotheses, share: FloatArray, cause: str) -> Rates:
    """The counts of one closed job.

    `known` are the hypotheses with the weights of the table alone, `share` [hypotheses] what the job believed of them
    at its end, `cause` the group that was proven, or two of them. No counts where the vehicle has no such group.
    """
    groups = [group for group in halves(cause) if known.faults_of(group)]
    found = np.zeros(len(known.members))
    for group in groups:
        own = np.array([member.group == group and member.fault is not None for member in known.members])
        weight = np.where(own, share, 0.0)
        if weight.sum() <= 0.0:
            weight = np.where(own, np.exp(known.log_prior), 0.0)
        found += weight / weight.sum()
    faulty = np.array([member.fault is not None for member in known.members])
    prior = np.where(faulty, np.exp(known.log_prior), 0.0)
    expected = len(groups) * prior / prior.sum()
    parts: dict[Key, list[tuple[float, float]]] = {}
    for number, member in enumerate(known.members if groups else ()):
        if member.fault is not None:
            words = tuple(sorted(suspect_surroundings(vehicle, member.fault)))
            key = (vehicle.name, kind_of(vehicle, member.fault), member.fault.mode, words)
            parts.setdefault(key, []).append((float(found[number]), float(expected[number])))
    return together(Rates((Count(*key, one, other),)) for key, pairs in parts.items() for one, other in pairs)


def weighed(vehicle: Vehicle, known: Hypotheses, rates: Rates) -> Hypotheses:
    """The hypotheses with what was learned in their weights; those that are no fault keep their share."""
    if not rates.counts:
        return known
    return known.reweighed(
        tuple(
            rates.factor(
                vehicle.name, kind_of(vehicle, one.fault), one.fault.mode, suspect_surroundings(vehicle, one.fault)
            )
            if one.fault is not None
            else None
            for one in known.members
        )
    )
