"""One harness drawn by lot in three formats: the same nets by every reader, by the second count, and by the plan."""

from pathlib import Path

import pytest

from benchmarks.harnessfiles import FORMATS, OPTIONS, Plan, figures, plan
from loombench.exchange.netcount import Counts, count
from loombench.exchange.wirelist.read import read_wirelist
from tests.exchange.out.schema import breaches
from tests.exchange.reading import netlist, read
from tests.exchange.secondcount import Net, kbl, vec

WIRES = 150


def written(made: Plan, name: str, folder: Path) -> Path:
    """The plan's file."""
    path = folder / f"plan.{name}"
    path.write_text("".join(FORMATS[name](made)), encoding="utf-8")
    return path


def by_hand(made: Plan) -> frozenset[Net]:
    """The plan's nets: pins by name, put together pair by pair."""
    nets: list[set[str]] = []

    def pin(end: tuple[int, int]) -> str:
        name, kind, _ = made.holders[end[0]]
        return name if kind in ("splice", "ring") else f"{name}:{end[1] + 1}"

    for a, b, *_ in made.wires:
        touched = [net for net in nets if net & {pin(a), pin(b)}]
        nets = [net for net in nets if net not in touched] + [{pin(a), pin(b)}.union(*touched)]
    return frozenset(frozenset(net) for net in nets)


def plugs(found: frozenset[Net]) -> frozenset[Net]:
    """The nets with the cavities of boxes as the plan numbers them."""
    return frozenset(frozenset(pin.replace(":A", ":") if pin.startswith("FB") else pin for pin in net) for net in found)


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_the_nets_are_the_same(seed: int, tmp_path: Path) -> None:
    made = plan(WIRES, seed)
    wanted = by_hand(made)
    as_kbl, as_vec, as_list = (written(made, name, tmp_path) for name in ("kbl", "vec", "csv"))
    assert plugs(netlist(read(as_kbl, OPTIONS).harness)) == wanted
    assert netlist(read(as_vec).harness) == wanted
    assert plugs(kbl(as_kbl).netlist) == wanted
    assert vec(as_vec).netlist == wanted
    assert count(read(as_kbl, OPTIONS).harness) == Counts(**figures(made))
    found = read_wirelist(as_list.read_bytes(), "plan.csv")
    assert found.harness is not None
    rings = {f"{name}:1": name for name, kind, _ in made.holders if kind == "ring"}  # to a list they are plugs
    assert {frozenset(rings.get(pin, pin) for pin in net) for net in netlist(found.harness)} == wanted


@pytest.mark.parametrize("seed", [1, 2])
def test_without_options_their_wires_are_gone(seed: int, tmp_path: Path) -> None:
    made = plan(WIRES, seed)
    path = written(made, "kbl", tmp_path)
    for codes in ((), OPTIONS[:7]):
        kept = [wire for wire in made.wires if wire[5] in ("", *codes)]
        assert 0 < len(kept) < len(made.wires)
        assert len(read(path, codes).harness.wires) == len(kept)
        assert kbl(path, codes).connections == len(kept)


def test_the_file_keeps_to_the_published_schema() -> None:
    assert breaches("kbl", "".join(FORMATS["kbl"](plan(40)))) == ()
