"""Whether two, three and more faults at once are found completely: gates of a logic circuit that explain what was read.

Of each scenario all groups of the least number of gates, beside the groups that its file gives: recall is the part of
the given ones that were found, precision the part of those found that were given. What was found but not given is put
into the circuit one by one and swept on its own; `beyond_given_right` says how many of them do show what was read.

    python benchmarks/logic.py CIRCUIT SCENARIO... [--json] [--gates 12] [--groups 200000]

CIRCUIT is an XML catalogue, SCENARIO a text or a folder of them. Logic gates and not wiring: what is proven is that the
search for groups (`loombench.diagnose.groups`) leaves none out. No more than `--groups` groups of gates that no other
stands before are kept; where that limit or `--gates` ends a search, `complete` is false.
"""

import argparse
import json
import sys
import time
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from benchmarks.gategroups import Found, diagnose
from benchmarks.gates import Circuit, Scenario, read_circuit, read_scenario

MOST_GATES = 12
MOST_GROUPS = 200_000
MOST_LISTED = 2_000_000
"""Groups written out one by one; beyond, only their number is given."""
HOME = Path(__file__).resolve().parents[1] / "tests" / "reference" / "diagnosis" / "logic"


@dataclass(frozen=True)
class Judged:
    """The groups of one scenario against those given: how many of each, and of what was found but not given how many do
    show what was read (`right`)."""

    found: Found
    given: int
    both: int
    right: int
    seconds: float

    @property
    def recall(self) -> float:
        """The part of the given groups that was found; 1 where none is given."""
        return self.both / self.given if self.given else 1.0

    @property
    def precision(self) -> float:
        """The part of the found groups that was given; 1 where none is given or found."""
        return self.both / self.found.count if self.given and self.found.count else 1.0


def judged(
    circuit: Circuit, scenario: Scenario, most_gates: int = MOST_GATES, most_groups: int = MOST_GROUPS
) -> Judged:
    """Find the groups of a scenario and hold them against those given."""
    began = time.perf_counter()
    found = diagnose(circuit, scenario.readings, most_gates, most_groups)
    seconds = time.perf_counter() - began
    both = right = 0
    for group in found.groups() if scenario.groups else ():
        if group in scenario.groups:
            both += 1
        else:
            right += shows(circuit, scenario, group)
    return Judged(found, len(scenario.groups), both, right, seconds)


def shows(circuit: Circuit, scenario: Scenario, group: frozenset[str]) -> bool:
    """Whether the circuit shows each set of readings with some of a group giving the opposite, by plain sweeps."""
    wrong = [circuit.first + place for place, gate in enumerate(circuit.gates) if gate.name in group]
    for reading in scenario.readings:
        values = [reading[one] for one in circuit.inputs]
        ways = range(1 << len(wrong))
        some = (frozenset(one for place, one in enumerate(wrong) if way >> place & 1) for way in ways)
        if not any(_as_read(circuit, circuit.values(values, turned), reading) for turned in some):
            return False
    return True


def _as_read(circuit: Circuit, values: list[int], reading: Mapping[str, int]) -> bool:
    return all(values[circuit.signal[one]] == value for one, value in reading.items() if one in circuit.signal)


def _scenarios(paths: list[Path]) -> Iterator[Path]:
    for path in paths:
        if path.is_dir():
            yield from sorted(path.glob("*.scn"))
        else:
            yield path


def main() -> int:
    """The command; 1 where a search was ended by a limit or a given group is missing."""
    parser = argparse.ArgumentParser(description="Least groups of wrong gates, against those given.")
    parser.add_argument("circuit", nargs="?", type=Path, default=HOME / "74L85.xml")
    parser.add_argument("scenarios", nargs="*", type=Path)
    parser.add_argument("--gates", type=int, default=MOST_GATES, help="most gates of a group")
    parser.add_argument("--groups", type=int, default=MOST_GROUPS, help="most groups searched")
    parser.add_argument("--json", action="store_true")
    wanted = parser.parse_args()
    circuit = read_circuit(wanted.circuit)
    cases: list[dict[str, object]] = []
    every: list[Judged] = []
    for path in _scenarios(wanted.scenarios or [HOME / "scenarios"]):
        scenario = read_scenario(path)
        one = judged(circuit, scenario, wanted.gates, wanted.groups)
        every.append(one)
        listed = sorted(map(sorted, one.found.groups())) if one.found.count <= MOST_LISTED else []
        cases.append(
            {
                "scenario": scenario.name, "size": one.found.size, "count": one.found.count, "given": one.given,
                "recall": one.recall, "precision": one.precision, "complete": one.found.complete,
                "beyond_given": one.found.count - one.both if one.given else 0, "beyond_given_right": one.right,
                "tried": one.found.tried, "conflicts": one.found.conflicts, "seconds": one.seconds, "groups": listed,
            }
        )  # fmt: skip
        if not wanted.json:
            print(
                f"{scenario.name}: {one.found.count} groups of {one.found.size}, given {one.given}; recall"
                f" {one.recall:.4f}, precision {one.precision:.4f}, {one.seconds:.2f} s"
                f"{'' if one.found.complete else ', ended by a limit'}"
            )
            for group in listed:
                print("   ", ", ".join(group))
    figures = {
        "gates": len(circuit.gates),
        "scenarios": len(every),
        "complete": sum(one.found.complete for one in every),
        "recall_least": min((one.recall for one in every), default=1.0),
        "recall_mean": sum(one.recall for one in every) / max(len(every), 1),
        "precision_least": min((one.precision for one in every), default=1.0),
        "precision_mean": sum(one.precision for one in every) / max(len(every), 1),
        "recall_and_precision_1": sum(one.recall == one.precision == 1.0 for one in every),
        "beyond_given": sum(one.found.count - one.both for one in every if one.given),
        "beyond_given_right": sum(one.right for one in every),
        "seconds_most": max((one.seconds for one in every), default=0.0),
    }
    if wanted.json:
        print(json.dumps({"benchmark": "logic", "figures": figures, "cases": cases}))
    else:
        for name, value in figures.items():
            print(f"{name:24} {value:.6g}")
    return 0 if all(one.found.complete and one.recall == 1.0 for one in every) else 1


if __name__ == "__main__":
    sys.exit(main())
