"""Wrong gates of logic circuits: complete groups on the published scenarios, and on random circuits by brute force.

The files in `logic/` are those of the public synthetic diagnosis track (README.md beside this file says whence).
"""

import random
from collections.abc import Mapping
from itertools import combinations, product
from pathlib import Path

import pytest

from benchmarks.gategroups import diagnose
from benchmarks.gates import AND, OR, XOR, Circuit, Gate, Scenario, read_circuit, read_scenario
from benchmarks.logic import judged, shows

HOME = Path(__file__).parent / "logic"
CIRCUIT = read_circuit(HOME / "74L85.xml")
SCENARIOS = tuple(read_scenario(path) for path in sorted((HOME / "scenarios").glob("*.scn")))
# Of these two the file leaves out groups that show all that was read; see README.md.
SHORT = {"74L85.022": 6, "74L85.023": 6}


def named(scenario: Scenario) -> str:
    return scenario.name


def test_the_circuit_is_read_whole() -> None:
    assert len(CIRCUIT.gates) == 33
    assert len(CIRCUIT.inputs) == 11
    assert len(SCENARIOS) == 28
    for scenario in SCENARIOS:
        sound, faulty = scenario.readings
        inputs = [sound[one] for one in CIRCUIT.inputs]
        wrong = frozenset(
            CIRCUIT.first + k for k, gate in enumerate(CIRCUIT.gates) if gate.name in scenario.injected
        )  # fmt: skip
        for reading, turned in ((sound, frozenset[int]()), (faulty, wrong)):
            values = CIRCUIT.values(inputs, turned)
            assert all(values[CIRCUIT.signal[one]] == value for one, value in reading.items()), scenario.name


@pytest.mark.parametrize("scenario", SCENARIOS, ids=named)
def test_groups_are_those_given(scenario: Scenario) -> None:
    found = judged(CIRCUIT, scenario)
    assert found.found.complete
    assert found.recall == 1.0
    assert found.found.count == len(set(found.found.groups()))
    assert found.found.count - found.given == SHORT.get(scenario.name, 0)
    assert found.right == SHORT.get(scenario.name, 0)


@pytest.mark.parametrize("scenario", [one for one in SCENARIOS if one.name in SHORT], ids=named)
def test_groups_of_three_are_those_of_trying_all(scenario: Scenario) -> None:
    names = [gate.name for gate in CIRCUIT.gates]
    sets = [[frozenset(some) for some in combinations(names, size)] for size in range(4)]
    by_size = next(found for some in sets if (found := {one for one in some if shows(CIRCUIT, scenario, one)}))
    assert set(judged(CIRCUIT, scenario).found.groups()) == by_size


def drawn(seed: int) -> tuple[Circuit, list[Mapping[str, int]]]:
    """A random circuit and one to three sets of readings of it with some gates turned round, differing ones each."""
    draw = random.Random(seed)
    first = draw.randrange(3, 6)
    gates = []
    for number in range(draw.randrange(6, 13)):
        before = range(first + number)
        sources = tuple(draw.sample(before, min(draw.choice((1, 2, 2, 2, 3)), len(before))))
        gates.append(Gate(f"g{number}", draw.choice((AND, OR, XOR)), draw.random() < 0.5, sources))
    taken = {source for gate in gates for source in gate.sources}
    ends = [one for one in range(first, first + len(gates)) if one not in taken or draw.random() < 0.15]
    names = [f"i{k}" for k in range(first)]
    signal = {name: k for k, name in enumerate(names)} | {f"o{one}": one for one in ends}
    circuit = Circuit(f"drawn {seed}", tuple(names), tuple(gates), signal)
    wrong = draw.sample(range(first, first + len(gates)), draw.randrange(1, 4))
    readings: list[Mapping[str, int]] = []
    for _ in range(draw.choice((1, 1, 1, 2, 3))):
        inputs = [draw.randrange(2) for _ in names]
        values = circuit.values(inputs, frozenset(one for one in wrong if draw.random() < 0.8))
        readings.append({name: values[at] for name, at in signal.items()})
    return circuit, readings


def by_trying_all(circuit: Circuit, readings: list[Mapping[str, int]]) -> set[frozenset[str]]:
    """The least sets of gates for which some values of theirs give all that was read."""
    numbers = range(circuit.first, circuit.first + len(circuit.gates))
    for size in range(len(circuit.gates) + 1):
        found = set()
        for some in combinations(numbers, size):
            if all(gives(circuit, reading, some) for reading in readings):
                found.add(frozenset(circuit.gates[one - circuit.first].name for one in some))
        if found:
            return found
    return set()


def gives(circuit: Circuit, reading: Mapping[str, int], free: tuple[int, ...]) -> bool:
    for values_of in product((0, 1), repeat=len(free)):
        values = [reading[one] for one in circuit.inputs]
        for number, gate in enumerate(circuit.gates, circuit.first):
            taken = [values[one] for one in gate.sources]
            value = {AND: all(taken), OR: any(taken), XOR: sum(taken) % 2 == 1}[gate.kind] != gate.inverting
            values.append(values_of[free.index(number)] if number in free else int(value))
        if all(values[circuit.signal[name]] == value for name, value in reading.items()):
            return True
    return False


def test_random_circuits_by_trying_all() -> None:
    sizes = []
    for seed in range(120):
        circuit, readings = drawn(seed)
        found = diagnose(circuit, readings, 12, 100_000)
        groups = list(found.groups())
        assert found.complete
        assert len(groups) == len(set(groups)) == found.count
        assert set(groups) == by_trying_all(circuit, readings), seed
        sizes.append((found.size, len(readings)))
    assert {size for size, _ in sizes} >= {0, 1, 2, 3}
    assert any(size > 1 and sets > 1 for size, sets in sizes)


def test_limits_are_said() -> None:
    three = next(one for one in SCENARIOS if one.name == "74L85.024")
    assert not judged(CIRCUIT, three, most_gates=2).found.complete
    assert judged(CIRCUIT, three, most_gates=2).recall == 0.0
    assert not judged(CIRCUIT, three, most_groups=2).found.complete
    with pytest.raises(ValueError, match="no reading of the inputs i2"):
        diagnose(CIRCUIT, [{one: 0 for one in CIRCUIT.inputs if one != "i2"}], 3, 10)


def test_what_is_no_gate_is_refused(tmp_path: Path) -> None:
    text = (HOME / "74L85.xml").read_text(encoding="utf-8")
    other = tmp_path / "other.xml"
    other.write_text(text.replace("<componentType>nor2</componentType>", "<componentType>lamp</componentType>", 1))
    with pytest.raises(ValueError, match="is a lamp"):
        read_circuit(other)
