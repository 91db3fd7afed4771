"""The cases of the finding benchmark: which fault in which vehicle, what is complained of. Drawn by seed, then fixed.

Kinds: `catalogue` (a single fault of the catalogue, a resistance anywhere over four decades), `guarded` (the same in a
vehicle on which pins are marked pyro, hv or mains: only whether a step touches them counts) and `outside` (a damage
that the catalogue does not have, named by `outside`, put into the sheet of the simulator).
"""

import json
import math
import random
from collections.abc import Iterator, Sequence
from dataclasses import asdict, dataclass, replace
from pathlib import Path
from types import MappingProxyType

from loombench.app.practice import complaint_of, usual_conditions
from loombench.circuit.catalogue import single_faults
from loombench.circuit.fault import Fault
from loombench.evidence.complaint import Complaint
from loombench.text.load import load_file
from loombench.vehicle.condition import Condition, read_operation
from loombench.vehicle.model import Vehicle

ROOT = Path(__file__).resolve().parents[1]
RESISTANCE_OHM = (0.15, 900.0)
SHORT_OHM, LEAK_OHM = (0.01, 1.0), (500.0, 20000.0)
MARKED = 3
MARKABLE = ("lamp", "led", "heater", "solenoid", "horn", "motor", "unit", "fuse", "connector")


@dataclass(frozen=True)
class Spec:
    """A case, as it is kept in a file. `fault` is (mode, target, to, ohm), `marks` (part, pin, class)."""

    name: str
    kind: str
    file: str
    fault: tuple[str, str, str, float]
    target: str
    symptom: str
    operations: tuple[str, ...]
    seed: int
    marks: tuple[tuple[str, str, str], ...] = ()
    outside: tuple[str, ...] = ()

    @property
    def hidden(self) -> Fault:
        """The fault, of an outside damage the nearest one there is."""
        return Fault(*self.fault)

    @property
    def complaint(self) -> Complaint:
        """What is complained of."""
        read = [read_operation(text) for text in self.operations]
        condition = Condition(tuple(one for one in read if one is not None))
        return Complaint(self.target, self.symptom, condition, f"{self.target} {self.symptom} when {condition}")


def files() -> tuple[str, ...]:
    """The example vehicles, by path from the repository."""
    folders = sorted((ROOT / "examples").glob("*/vehicle.circuit"))
    cases = sorted((ROOT / "examples" / "cases").glob("[0-9]*.circuit"))
    return tuple(str(path.relative_to(ROOT)) for path in folders + cases)


def load(file: str, marks: Sequence[tuple[str, str, str]] = ()) -> Vehicle:
    """A vehicle, with pins marked as if the file had `class NAME PART.PIN` lines more."""
    vehicle = load_file(ROOT / file).value
    parts = dict(vehicle.parts)
    for part, pin, name in marks:
        parts[part] = replace(parts[part], class_marks=(*parts[part].class_marks, (pin, name)))
    return replace(vehicle, parts=MappingProxyType(parts)) if marks else vehicle


def spec_of(name: str, kind: str, file: str, fault: Fault, complaint: Complaint, seed: int) -> Spec:
    """A case as it is kept."""
    words = tuple(str(operation) for operation in complaint.condition.operations)
    kept = (fault.mode, fault.target, fault.to, fault.ohm)
    return Spec(name, kind, file, kept, complaint.target, complaint.symptom, words, seed)


def varied(fault: Fault, draw: random.Random) -> Fault:
    """A resistance, a short or a leak with an ohm value of its own, even on the logarithm; other faults as they are."""
    ranges = {"resistance": RESISTANCE_OHM, "short": SHORT_OHM, "leak": LEAK_OHM}
    if fault.mode not in ranges:
        return fault
    low, high = (math.log(ohm) for ohm in ranges[fault.mode])
    return replace(fault, ohm=float(f"{math.exp(draw.uniform(low, high)):.4g}"))


def drawn(file: str, seed: int, most: int | None) -> Iterator[Spec]:
    """Faults in an order drawn by seed that cause a complaint, up to `most` of them (None: all there are)."""
    vehicle = load(file)
    usual = usual_conditions(vehicle)
    draw = random.Random(f"{seed} {file}")
    faults = list(single_faults(vehicle))
    draw.shuffle(faults)
    count = 0
    for fault in faults:
        if most is not None and count >= most:
            return
        hidden = varied(fault, draw)
        complaint = complaint_of(vehicle, hidden, usual)
        if complaint is not None:
            count += 1
            yield spec_of(f"{file} {count}", "catalogue", file, hidden, complaint, draw.randrange(1 << 30))


def guarded(specs: Sequence[Spec], seed: int) -> tuple[Spec, ...]:
    """Some of the cases again, in a vehicle with marked pins: the same marks for all of a vehicle."""
    marks: dict[str, tuple[tuple[str, str, str], ...]] = {}
    for file in dict.fromkeys(spec.file for spec in specs):
        vehicle = load(file)
        draw = random.Random(f"marks {seed} {file}")
        pins = [(part.id, pin) for part in vehicle.parts.values() if part.kind in MARKABLE for pin in part.pins]
        chosen = draw.sample(pins, min(MARKED, len(pins)))
        marks[file] = tuple((*pin, name) for pin, name in zip(chosen, ("pyro", "hv", "mains"), strict=False))
    return tuple(replace(spec, name=f"{spec.name} guarded", kind="guarded", marks=marks[spec.file]) for spec in specs)


def encode(spec: Spec) -> str:
    """A case as a line of JSON."""
    return json.dumps(asdict(spec))


def decode(line: str) -> Spec:
    """A case from its line."""
    kept = json.loads(line)
    for name in ("fault", "operations", "outside"):
        kept[name] = tuple(kept[name])
    kept["marks"] = tuple(tuple(mark) for mark in kept["marks"])
    return Spec(**kept)
