"""Each trap met in real harness files as a small file of ours, held against tables counted by hand (`traps/*.toml`)."""

import tomllib
from typing import Any

import pytest

from loombench.app.importing import Request, import_bytes
from loombench.base.outcome import errors
from loombench.exchange.colours import meaning
from loombench.exchange.netcount import count
from tests.exchange.reading import TRAPS, Read, netlist, nets, read

Trap = dict[str, Any]


def table(name: str) -> list[Trap]:
    """The traps of a table."""
    rows: list[Trap] = tomllib.loads((TRAPS / name).read_text(encoding="utf-8"))["trap"]
    return rows


ALL = table("kbl.toml") + table("vec.toml")


def having(*keys: str) -> pytest.MarkDecorator:
    """The traps whose row says one of these things."""
    held = [trap for trap in ALL if any(key in trap for key in keys)]
    assert held, f"no trap says {keys}"
    names = [f"{trap['file']}-{'+'.join(trap['codes'])}" if "codes" in trap else trap["file"] for trap in held]
    return pytest.mark.parametrize("trap", held, ids=names)


def of(trap: Trap) -> Read:
    """The trap's file, filtered by its codes."""
    return read(TRAPS / trap["file"], trap.get("codes"))


def test_each_file_is_in_a_table() -> None:
    held = {trap["file"] for trap in ALL} | {"old-2.2.kbl", "coupled-cab.kbl", "coupled-frame.kbl"}
    assert {path.name for path in TRAPS.iterdir() if path.suffix in (".kbl", ".vec")} == held


@having("counts")
def test_the_figures(trap: Trap) -> None:
    found = count(of(trap).harness)
    assert {key: getattr(found, key) for key in trap["counts"]} == trap["counts"]


@having("counts")
def test_the_whole_import_counts_the_same(trap: Trap) -> None:
    """With the assembly behind it, which must take every trap."""
    data = {trap["file"]: (TRAPS / trap["file"]).read_bytes()}
    made = import_bytes(data, Request((), tuple(trap["codes"]) if "codes" in trap else None))
    assert not errors(made.problems)
    assert made.value is not None
    assert {key: getattr(made.value.counts, key) for key in trap["counts"]} == trap["counts"]


@having("nets", "nets_with", "apart")
def test_the_nets(trap: Trap) -> None:
    found = netlist(of(trap).harness)
    if "nets" in trap:
        assert found == nets(trap["nets"])
    assert nets(trap.get("nets_with", ())) <= found
    apart = trap.get("apart", ())
    assert all(len(net & set(apart)) < 2 for net in found)
    assert set(apart) <= {pin for net in found for pin in net}


@having("wires", "between")
def test_the_wires(trap: Trap) -> None:
    found = of(trap)
    for number, (colours, area_mm2, length_m) in trap.get("wires", {}).items():
        wire = found.wire(number)
        assert " ".join(wire.colour.parts) == colours
        assert (-1 if wire.area_mm2 is None else wire.area_mm2) == pytest.approx(area_mm2, rel=0.005)
        assert (-1 if wire.length_m is None else wire.length_m) == pytest.approx(length_m, rel=1e-5)
    for number, (least, most) in trap.get("between", {}).items():
        length_m = found.wire(number).length_m
        assert length_m is not None
        assert least - 1e-9 <= length_m <= most + 1e-9


@having("means")
def test_what_the_colours_mean(trap: Trap) -> None:
    found = of(trap)
    said = {number: str(meaning(found.wire(number).colour)) for number in trap["means"]}
    assert said == trap["means"]


@having("fitted")
def test_what_is_fitted(trap: Trap) -> None:
    found = of(trap).harness.fitted
    for name, (kind, spots, rating_a) in trap["fitted"].items():
        (one,) = [item for item in found if name in (item.slot, item.id)]
        assert (one.kind, len(one.spots)) == (kind, spots)
        assert (-1 if one.rating_a is None else one.rating_a) == rating_a


@having("reported")
def test_what_is_reported(trap: Trap) -> None:
    """Nothing is mended in silence, and no sound file is complained of by an error."""
    found = of(trap)
    assert set(trap["reported"]) <= set(found.repairs)
    assert not errors(found.problems)
    assert all(problem.spans for problem in found.problems)


@having("refused_without_codes")
def test_a_harness_of_all_variants_is_not_computed(trap: Trap) -> None:
    made = import_bytes({trap["file"]: (TRAPS / trap["file"]).read_bytes()}, Request(()))
    assert [problem.code for problem in errors(made.problems)] == ["import-variants"]
    assert made.value is not None
    assert not made.value.files


@having("twisted")
def test_what_is_twisted_together(trap: Trap) -> None:
    groups = [wire.twist for wire in of(trap).harness.wires if wire.number in trap["twisted"]]
    others = [wire.twist for wire in of(trap).harness.wires if wire.number not in trap["twisted"]]
    assert len(groups) > 1
    assert groups[0]
    assert set(groups) == {groups[0]}
    assert groups[0] not in others


@having("signals")
def test_the_signals(trap: Trap) -> None:
    found = of(trap)
    assert {number: found.wire(number).signal for number in trap["signals"]} == trap["signals"]


def test_texts_that_say_nothing_are_none() -> None:
    found = read(TRAPS / "texts.kbl")
    assert [(wire.number, wire.signal, wire.colour.parts) for wire in found.harness.wires] == [("", "", ())] * 2
    first, second = found.harness.holders
    assert first.id != second.id
    assert (first.name or first.id, second.name or second.id) == ("X 1.2 (left) [A]",) * 2
    assert first.cavities == second.cavities == ("3E", "3S")
    assert first.description.startswith("Rückleuchte")
    assert len(first.description) < 2500
    assert second.description == ""


def test_a_drain_wire_is_bare_and_not_black() -> None:
    drain = read(TRAPS / "cable-jacket.kbl").wire("SL1-3")
    assert str(meaning(drain.colour)) == "bare"


def test_the_old_schema_is_refused_with_a_place() -> None:
    path = TRAPS / "old-2.2.kbl"
    made = import_bytes({path.name: path.read_bytes()}, Request(()))
    assert made.value is None
    (problem,) = errors(made.problems)
    assert problem.code == "kbl-old"
    assert str(problem.spans[0]) == "old-2.2.kbl:2:1"
