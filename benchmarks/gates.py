"""Logic circuits of gates, as the public synthetic diagnosis track writes them: an XML catalogue of components and
connections, and scenarios as texts of sensor readings, faults put in and the groups that are right.
"""

import re
import xml.etree.ElementTree as ET
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from types import MappingProxyType

_TYPE = re.compile(r"(and|nand|or|nor|xor|xnor|not|inverter|buf|buffer)\d*$")
_PIN = re.compile(r"(?P<gate>.+)\.(?:(?P<out>o\d*)|i(?P<place>\d*))$")
_INVERTING = frozenset({"nand", "nor", "xnor", "not", "inverter"})
AND, OR, XOR = 0, 1, 2
_KIND = MappingProxyType({"and": AND, "nand": AND, "or": OR, "nor": OR, "xor": XOR, "xnor": XOR})


@dataclass(frozen=True)
class Gate:
    """A gate: its function of the signals `sources`, giving the signal of its own number in `Circuit.gates`."""

    name: str
    kind: int
    inverting: bool
    sources: tuple[int, ...]


@dataclass(frozen=True, eq=False)
class Circuit:
    """Signals are numbered: first the inputs, then the gates' outputs in an order in which each comes after what it
    takes. `signal` has the number of each named port or probe."""

    name: str
    inputs: tuple[str, ...]
    gates: tuple[Gate, ...]
    signal: Mapping[str, int]

    @property
    def first(self) -> int:
        """The number of the first gate's signal."""
        return len(self.inputs)

    @cached_property
    def taken_by(self) -> tuple[tuple[int, ...], ...]:
        """[signals] the gates, by their signals, that take each."""
        found: list[list[int]] = [[] for _ in range(self.first + len(self.gates))]
        for number, gate in enumerate(self.gates):
            for source in dict.fromkeys(gate.sources):
                found[source].append(self.first + number)
        return tuple(map(tuple, found))

    def values(self, inputs: Sequence[int], wrong: frozenset[int] = frozenset()) -> list[int]:
        """[signals] 0 or 1 for the inputs given, the gates (by signal) of `wrong` giving the opposite."""
        values = list(inputs)
        for number, gate in enumerate(self.gates, self.first):
            values.append(given(gate, values, 1) ^ (number in wrong))
        return values


def given(gate: Gate, values: Sequence[int], every: int) -> int:
    """What a gate gives for the values of all signals before it, in each of the patterns of `every` at once."""
    sources = gate.sources
    value = values[sources[0]]
    if gate.kind == AND:
        for one in sources[1:]:
            value &= values[one]
    elif gate.kind == OR:
        for one in sources[1:]:
            value |= values[one]
    else:
        for one in sources[1:]:
            value ^= values[one]
    return value ^ every if gate.inverting else value


def read_circuit(path: Path) -> Circuit:
    """A circuit out of its XML file.

    Raises:
        ValueError: a component is of no known kind, or the gates go in a circle.
    """
    root = ET.parse(path).getroot()
    system = next(one for one in root.iter() if _tag(one) == "system")
    kinds: dict[str, str] = {}
    links: list[tuple[str, str]] = []
    for one in system.iter():
        if _tag(one) == "component":
            kinds[_child(one, "name")] = _child(one, "componentType")
        elif _tag(one) == "connection":
            links.append((_child(one, "c1"), _child(one, "c2")))
    return _assembled(_child(system, "systemName"), kinds, links)


def _tag(node: ET.Element) -> str:
    return node.tag.rpartition("}")[2]


def _child(node: ET.Element, tag: str) -> str:
    return next((one.text or "" for one in node if _tag(one) == tag), "").strip()


def _assembled(name: str, kinds: Mapping[str, str], links: Iterable[tuple[str, str]]) -> Circuit:
    net = _nets(links)
    pins: dict[str, dict[int, str]] = {}
    driver: dict[str, str] = {}
    ports = [one for one, kind in kinds.items() if kind in ("port", "probe")]
    for one, kind in kinds.items():
        found = _PIN.match(one)
        if found and kind == "wire":
            if found["out"]:
                driver[net(one)] = found["gate"]
            else:
                pins.setdefault(found["gate"], {})[int(found["place"] or 1)] = net(one)
    gates = {one: kind for one, kind in kinds.items() if kind not in ("port", "probe", "wire")}
    for one, kind in gates.items():
        if not _TYPE.match(kind):
            raise ValueError(f"{one} is a {kind}, which is no gate that is known")
    inputs = list(dict.fromkeys(net(one) for one in ports if net(one) not in driver))
    number = {one: place for place, one in enumerate(inputs)}
    made: list[Gate] = []
    takes = {one: [pins[one][place] for place in sorted(pins[one])] for one in gates}
    gives = {gate: one for one, gate in driver.items()}
    for one in _sorted(gates, takes, driver):
        word = _TYPE.match(gates[one])
        assert word is not None
        sources = tuple(number[source] for source in takes[one])
        made.append(Gate(one, _KIND.get(word[1], AND), word[1] in _INVERTING, sources))
        number[gives[one]] = len(inputs) + len(made) - 1
    names = {one: next(port for port in ports if net(port) == one) for one in inputs}
    return Circuit(name, tuple(names[one] for one in inputs), tuple(made), {one: number[net(one)] for one in ports})


class _nets:  # noqa: N801
    """The net of a pin or port, by what is joined."""

    def __init__(self, links: Iterable[tuple[str, str]]) -> None:
        self._parent: dict[str, str] = {}
        for one, other in links:
            self._parent[self(one)] = self(other)

    def __call__(self, name: str) -> str:
        while (above := self._parent.get(name, name)) != name:
            name = above
        return name


def _sorted(gates: Iterable[str], takes: Mapping[str, Sequence[str]], driver: Mapping[str, str]) -> Iterator[str]:
    """The gates, each after those it takes from."""
    left: dict[str, set[str]] = {one: {driver[net] for net in takes[one] if net in driver} for one in gates}
    waiting: dict[str, list[str]] = {}
    for one, before in left.items():
        for other in sorted(before):
            waiting.setdefault(other, []).append(one)
    ready = [one for one, before in left.items() if not before]
    done = 0
    while ready:
        one = ready.pop()
        done += 1
        yield one
        for other in waiting.get(one, ()):
            left[other].discard(one)
            if not left[other]:
                ready.append(other)
    if done < len(left):
        raise ValueError("the gates go in a circle")


@dataclass(frozen=True)
class Scenario:
    """Sensor readings, one set after the other, each by name; `injected` the gates made faulty; `groups` what is right,
    empty where the file does not say."""

    name: str
    readings: tuple[Mapping[str, int], ...]
    injected: tuple[str, ...]
    groups: frozenset[frozenset[str]]


_STATEMENT = re.compile(r"^\s*(sensors|faultInjection|ambiguityGroup)\s*@\s*\d+\s*(.*?);\s*$", re.MULTILINE | re.DOTALL)
_SENSOR = re.compile(r"([\w.]+)\s*=\s*(true|false|1|0)\b")
_FAULT = re.compile(r"([\w.]+)\s*=\s*faulty\b")
_INNER = re.compile(r"\{([^{}]*)\}")


def read_scenario(path: Path) -> Scenario:
    """A scenario out of its file. A sensor that is not read again keeps its reading."""
    readings: list[Mapping[str, int]] = []
    injected: list[str] = []
    groups: set[frozenset[str]] = set()
    for word, rest in _STATEMENT.findall(path.read_text(encoding="utf-8")):
        if word == "sensors":
            now = {name: int(value in ("true", "1")) for name, value in _SENSOR.findall(rest)}
            readings.append({**(readings[-1] if readings else {}), **now})
        elif word == "faultInjection":
            injected += _FAULT.findall(rest)
        else:
            names = [
                frozenset(re.findall(r"[\w.]+", inner)) for inner in _INNER.findall(rest.partition("diagnoses")[2])
            ]
            groups.update(names)
    return Scenario(path.stem, tuple(readings), tuple(injected), frozenset(groups))
