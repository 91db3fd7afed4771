"""The polybox by brute force: three multipliers, two adders, all ways to be broken, all values a broken one gives."""

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from itertools import combinations, product

import numpy as np

PARTS = ("M1", "M2", "M3", "A1", "A2")
Candidate = tuple[str, ...]


@dataclass(frozen=True, eq=False)
class Polybox:
    """`weight[candidate]` is the probability that just these parts are broken, given what was seen;
    `ends[probe][candidate][value]` that a probe then shows a value."""

    weight: Mapping[Candidate, float]
    ends: Mapping[str, Mapping[Candidate, Mapping[int, float]]]

    def faulty(self, part: str) -> float:
        """The probability that a part is broken."""
        return sum(share for candidate, share in self.weight.items() if part in candidate)

    def minimal(self) -> set[Candidate]:
        """The candidates of which no part can be left out."""
        return {one for one in self.weight if not any(set(other) < set(one) for other in self.weight)}

    def entropy(self) -> float:
        """Bits over the candidates."""
        return entropy(list(self.weight.values()))

    def entropy_after(self, probe: str) -> float:
        """Expected bits over the candidates once a probe was read."""
        joint: dict[int, list[float]] = defaultdict(list)
        for candidate, share in self.weight.items():
            for value, chance in self.ends[probe][candidate].items():
                joint[value].append(share * chance)
        return sum(sum(some) * entropy(some) for some in joint.values())


def entropy(weights: list[float]) -> float:
    """Bits; the weights need not sum to one."""
    share = np.array([one for one in weights if one > 0.0])
    share = share / share.sum()
    return float(-(share * np.log2(share)).sum())


def polybox(given: Mapping[str, int], seen: Mapping[str, int], prior: float, m: int) -> Polybox:
    """Each part is broken with the same probability, on its own; a broken one gives any of `m` values alike."""
    a, b, c, d, e = (given[name] for name in "ABCDE")
    weight: dict[Candidate, float] = {}
    ends: dict[str, dict[Candidate, dict[int, float]]] = {name: {} for name in "XYZ"}
    for count in range(len(PARTS) + 1):
        for broken in combinations(PARTS, count):
            found: dict[str, dict[int, float]] = {name: defaultdict(float) for name in "XYZ"}
            total = 0.0
            inner = [part for part in broken if part in ("M1", "M2", "M3")]
            for values in product(range(m), repeat=len(inner)):
                of = dict(zip(inner, values, strict=True))
                x, y, z = of.get("M1", a * c), of.get("M2", b * d), of.get("M3", c * e)
                # A broken adder gives what was seen in one of m cases.
                if ("A1" in broken or x + y == seen["F"]) and ("A2" in broken or y + z == seen["G"]):
                    chance = m**-count
                    total += chance
                    for name, value in zip("XYZ", (x, y, z), strict=True):
                        found[name][value] += chance
            if total > 0.0:
                weight[broken] = prior**count * (1.0 - prior) ** (len(PARTS) - count) * total
                for name in "XYZ":
                    ends[name][broken] = {value: chance / total for value, chance in found[name].items()}
    whole = sum(weight.values())
    return Polybox({one: share / whole for one, share in weight.items()}, ends)
