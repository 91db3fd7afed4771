"""The polybox of de Kleer and Williams: its minimal diagnoses by the search for groups, and the probe that tells most.

X = A*C, Y = B*D, Z = C*E, F = X+Y, G = Y+Z. A part is right or gives anything.
"""

import json
import math
from dataclasses import dataclass, replace
from itertools import combinations
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from loombench.diagnose.bench import Bench
from loombench.diagnose.choose import choose, information
from loombench.diagnose.groups import Checked, hitting_sets, members, minimal_groups, union
from loombench.diagnose.observation import Observation
from loombench.diagnose.situation import Situation
from loombench.diagnose.step import FloatArray, Outcome, Outcomes
from tests.reference.diagnosis.dictionary import believed

CASE: dict[str, Any] = json.loads((Path(__file__).parent / "fixtures.json").read_text())["polybox"]
NAMES = ("M1", "M2", "M3", "A1", "A2")
PROBES = ("X", "Y", "Z")
WAYS: int = CASE["m"]


def values(sound: frozenset[str], read: dict[str, int]) -> dict[str, int] | None:
    """All that follows where some parts are sound, with what was read; None where it contradicts itself."""
    known = {**CASE["inputs"], **read}
    laws = {
        "M1": ("A", "C", "X", True), "M2": ("B", "D", "Y", True), "M3": ("C", "E", "Z", True),
        "A1": ("X", "Y", "F", False), "A2": ("Y", "Z", "G", False),
    }  # fmt: skip
    # Each law is gone through often enough to reach all; products have known factors, sums work both ways.
    for _ in range(4):
        for part in sorted(sound):
            a, b, out, product = laws[part]
            if a in known and b in known:
                given = known[a] * known[b] if product else known[a] + known[b]
                if known.setdefault(out, given) != given:
                    return None
            elif not product and out in known and (a in known or b in known):
                one, other = (a, b) if a in known else (b, a)
                known[other] = known[out] - known[one]
    return known


def sound(suspects: int) -> frozenset[str]:
    return frozenset(name for number, name in enumerate(NAMES) if not suspects >> number & 1)


def check(suspects: int) -> int | None:
    """A smallest set of sound parts that what was read contradicts."""
    left = sorted(sound(suspects))
    for size in range(len(left) + 1):
        for some in combinations(left, size):
            if values(frozenset(some), CASE["obs"]) is None:
                return union(NAMES.index(one) for one in some)
    return None


def named(groups: tuple[int, ...]) -> set[frozenset[str]]:
    return {frozenset(NAMES[number] for number in members(group)) for group in groups}


def test_minimal_diagnoses() -> None:
    found = minimal_groups(Checked(check), len(NAMES), len(NAMES), 100)
    assert found.complete
    assert named(found.found) == {frozenset(one) for one in CASE["minimal_diagnoses"]}


def test_its_two_conflicts_have_the_same_hitting_sets() -> None:
    conflicts = [("M1", "M2", "A1"), ("M1", "M3", "A1", "A2")]
    for some in conflicts:
        assert values(frozenset(some), CASE["obs"]) is None
    sets = hitting_sets(union(NAMES.index(one) for one in some) for some in conflicts)
    assert named(sets) == {frozenset(one) for one in CASE["minimal_diagnoses"]}


@dataclass(frozen=True)
class Probe:
    """A look at one value inside: what it would be by each set of suspects, one of `WAYS` alike where none follows."""

    id: str
    by_set: tuple[int | None, ...]
    kind: str = "table"
    number: bool = False

    def cost_s(self, bench: Bench, situation: Situation) -> float:  # noqa: ARG002
        return 60.0

    def outcomes(self, bench: Bench, share: FloatArray, situation: Situation) -> Outcomes:  # noqa: ARG002
        shown = sorted({one for one in self.by_set if one is not None})
        words = [*shown, *(f"other {k}" for k in range(WAYS - len(shown)))]
        table = np.full((len(bench.hypotheses.members), WAYS), 1.0 / WAYS)
        for row, value in enumerate(self.by_set):
            if value is not None:
                table[row] = [float(word == value) for word in words]
        return Outcomes(tuple(Outcome(str(word)) for word in words), table)

    def after(self, bench: Bench, situation: Situation) -> Situation:  # noqa: ARG002
        return replace(situation, done=situation.done | {self.id})

    def observe(self, situation: Situation, value: float | str) -> Observation:
        raise NotImplementedError("a probe is only chosen here")


def posterior(prior: float) -> tuple[list[int], list[float]]:
    """All sets of suspects that explain what was read, with their shares."""
    sets, weights = [], []
    for suspects in range(1 << len(NAMES)):
        if values(sound(suspects), CASE["obs"]) is None:
            continue
        free = values(sound(suspects), {})
        assert free is not None
        unsaid = sum(one not in free for one in CASE["obs"])
        # F and G are told by one part each or not at all: what is read of one may tell the other.
        if unsaid == 2:
            told = values(sound(suspects), {"F": CASE["obs"]["F"]})
            assert told is not None
            unsaid = 1 + int("G" not in told)
        size = suspects.bit_count()
        sets.append(suspects)
        weights.append(prior**size * (1.0 - prior) ** (len(NAMES) - size) / WAYS**unsaid)
    return sets, [one / sum(weights) for one in weights]


def probes(sets: list[int]) -> list[Probe]:
    found = []
    for probe in PROBES:
        by_set = []
        for suspects in sets:
            told = values(sound(suspects), CASE["obs"])
            assert told is not None
            by_set.append(told.get(probe))
        found.append(Probe(probe, tuple(by_set)))
    return found


def test_how_likely_each_part_is_wrong() -> None:
    sets, share = posterior(CASE["prior"])
    for number, name in enumerate(NAMES):
        wrong = sum(part for suspects, part in zip(sets, share, strict=True) if suspects >> number & 1)
        assert wrong == pytest.approx(CASE["P_faulty"][name], abs=6e-5), name


def test_what_each_probe_leaves_open() -> None:
    sets, share = posterior(CASE["prior"])
    entropy = -sum(one * math.log2(one) for one in share)
    assert entropy == pytest.approx(CASE["entropy"], abs=6e-5)
    belief = believed(share)
    for probe in probes(sets):
        outcomes = probe.outcomes(belief.bench, belief.share, Situation())
        left = entropy - information(belief, belief.share, outcomes) / math.log(2.0)
        assert left == pytest.approx(CASE["expected_entropy_after"][probe.id], abs=6e-5), probe.id


@pytest.mark.parametrize("prior", [CASE["prior"] / 2, CASE["prior"], CASE["prior"] * 2, 0.1])
def test_the_probe_chosen_does_not_hang_on_the_common_prior(prior: float) -> None:
    """After de Kleer, Artificial Intelligence 45 (1990): with equal small priors the choice needs no numbers."""
    sets, share = posterior(prior)
    choice = choose(believed(share), Situation(), probes(sets))
    assert choice.step is not None
    assert choice.step.id == CASE["best_probe"]
