"""A harness as the program reads it, in the words of the second count: the file's own names, nets by brute force."""

import io
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path

from loombench.base.problems import Problem
from loombench.exchange.harness import BOX, RING, SPLICE, Harness, Spot, Wire
from loombench.exchange.reading import read_harnesses
from loombench.exchange.report import Imported
from loombench.exchange.variants import chosen
from tests.exchange.secondcount import Net, joined

TRAPS = Path(__file__).parent / "traps"
SAMPLES = Path(__file__).parent / "samples"


@dataclass(frozen=True)
class Read:
    """A file as read and, with codes, as filtered; `problems` and `repairs` are of both."""

    harness: Harness
    problems: tuple[Problem, ...]
    repairs: Mapping[str, int]

    def wire(self, number: str) -> Wire:
        """The one wire with that number printed on it."""
        (found,) = [wire for wire in self.harness.wires if wire.number == number]
        return found


def imported(data: bytes, file: str) -> Imported:
    """What the reader for a file's content makes of it."""
    ((_, found),) = read_harnesses([(io.BytesIO(data), file)])
    return found


def read(path: Path, codes: Iterable[str] | None = None) -> Read:
    """A file that can be read, filtered by codes where there are any."""
    found = imported(path.read_bytes(), path.name)
    assert found.harness is not None, found.problems
    if codes is None:
        return Read(found.harness, found.problems, dict(found.repairs))
    left = chosen(found.harness, codes)
    assert left.harness is not None
    return Read(left.harness, found.problems + left.problems, dict(found.repairs) | dict(left.repairs))


def netlist(harness: Harness) -> frozenset[Net]:
    """The nets that wires, contacts and matings make, without those no wire is on."""
    holders = {holder.id: holder for holder in harness.holders}

    def pin(spot: Spot) -> str:
        holder = holders.get(spot.holder)
        name = (holder.name or holder.id) if holder else spot.holder
        if not spot.cavity or (holder is not None and holder.kind in (SPLICE, RING)):
            return name
        cavity = re.sub(r"[^0-9A-Za-z]", "", spot.cavity) if holder and holder.kind == BOX else spot.cavity
        return f"{name}:{cavity}"

    wired = [
        [f"wire {wire.id}", *(pin(end.spot) for end in wire.ends if end.spot is not None)] for wire in harness.wires
    ]
    held = [[pin(Spot(one.holder, cavity)) for cavity in one.cavities] for one in harness.contacts]
    mated = [
        [pin(Spot(one.a, cavity)), pin(Spot(one.b, other))] for one in harness.matings for cavity, other in one.pairs
    ]
    live = [net for net in joined(wired + held + mated) if any(one.startswith("wire ") for one in net)]
    nets = (frozenset(pin for pin in net if not pin.startswith("wire ")) for net in live)
    return frozenset(net for net in nets if net)


def nets(texts: Iterable[str]) -> frozenset[Net]:
    """`X1:1 S1` and the like as nets."""
    return frozenset(frozenset(text.split()) for text in texts)
