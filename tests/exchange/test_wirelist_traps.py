"""Each trap of wire lists met in trade practice as a small list of ours, held against `traps/wirelist.toml`.

Nothing may be guessed: a size or colour that cannot be told for certain stays unknown and is reported.
"""

import tomllib
from typing import Any

import pytest

from loombench.base.outcome import errors
from loombench.base.problems import Level
from loombench.exchange.harness import OPEN_END
from loombench.exchange.variants import chosen
from loombench.exchange.wirelist.read import read_wirelist
from tests.exchange.reading import TRAPS, Read, netlist, nets

Trap = dict[str, Any]
ALL: list[Trap] = tomllib.loads((TRAPS / "wirelist.toml").read_text(encoding="utf-8"))["trap"]


def having(*keys: str) -> pytest.MarkDecorator:
    """The traps whose row says one of these things."""
    held = [trap for trap in ALL if any(key in trap for key in keys)]
    assert held, f"no trap says {keys}"
    names = [f"{trap['file']}-{'+'.join(trap['codes'])}" if "codes" in trap else trap["file"] for trap in held]
    return pytest.mark.parametrize("trap", held, ids=names)


def of(trap: Trap, filtered: bool = True) -> Read:
    """The trap's list, with the lists beside it, filtered by its codes."""
    others = [((TRAPS / name).read_bytes(), name) for name in trap.get("beside", ())]
    found = read_wirelist((TRAPS / trap["file"]).read_bytes(), trap["file"], others=others)
    assert found.harness is not None, found.problems
    assert not errors(found.problems)
    if "codes" not in trap or not filtered:
        return Read(found.harness, found.problems, dict(found.repairs))
    left = chosen(found.harness, trap["codes"])
    assert left.harness is not None
    return Read(left.harness, found.problems + left.problems, dict(found.repairs) | dict(left.repairs))


def test_each_list_is_in_the_table() -> None:
    held = {name for trap in ALL for name in (trap["file"], *trap.get("beside", ()))} | {"no-header.csv"}
    assert {path.name for path in TRAPS.iterdir() if path.suffix in (".csv", ".tsv")} == held


@having("nets", "nets_with")
def test_the_nets(trap: Trap) -> None:
    found = netlist(of(trap).harness)
    if "nets" in trap:
        assert found == nets(trap["nets"])
    assert nets(trap.get("nets_with", ())) <= found


@having("wires")
def test_the_wires(trap: Trap) -> None:
    found = of(trap)
    for number, (colours, area_mm2, length_m) in trap["wires"].items():
        wire = found.wire(number)
        assert " ".join(wire.colour.parts) == colours
        assert (-1 if wire.area_mm2 is None else wire.area_mm2) == pytest.approx(area_mm2, rel=0.005)
        assert (-1 if wire.length_m is None else wire.length_m) == pytest.approx(length_m, rel=1e-5)
    if "nets" in trap and "connections" not in trap:
        assert len(found.harness.wires) == len(trap["nets"])


@having("connections")
def test_how_many_wires_there_are(trap: Trap) -> None:
    assert len(of(trap).harness.wires) == trap["connections"]


@having("system", "no_system")
def test_the_colour_system(trap: Trap) -> None:
    said = {wire.colour.system for wire in of(trap).harness.wires}
    assert said == {trap.get("system", "")}


@having("refused_without_codes")
def test_the_variants_are_seen(trap: Trap) -> None:
    assert of(trap, filtered=False).harness.variants
    assert not of(trap).harness.variants


@having("signals", "remarks")
def test_texts_of_other_scripts_are_whole(trap: Trap) -> None:
    found = of(trap)
    assert {number: found.wire(number).signal for number in trap.get("signals", {})} == trap.get("signals", {})
    assert {number: found.wire(number).remark for number in trap.get("remarks", {})} == trap.get("remarks", {})


@having("kinds", "places")
def test_the_holders(trap: Trap) -> None:
    found = {holder.name or holder.id: holder for holder in of(trap).harness.holders}
    assert {name: found[name].kind for name in trap.get("kinds", {})} == trap.get("kinds", {})
    assert {name: found[name].place for name in trap.get("places", {})} == trap.get("places", {})


@having("fuses")
def test_the_fuses(trap: Trap) -> None:
    assert {one.id: one.rating_a for one in of(trap).harness.fitted} == trap["fuses"]


@having("open_ends")
def test_the_open_ends(trap: Trap) -> None:
    harness = of(trap).harness
    open_at = {holder.id for holder in harness.holders if holder.kind == OPEN_END}
    found = [
        wire.number
        for wire in harness.wires
        if any(end.spot is None or end.spot.holder in open_at for end in wire.ends)
    ]
    assert found == trap["open_ends"]


@having("twisted")
def test_what_is_twisted_together(trap: Trap) -> None:
    by = {wire.number: wire.twist for wire in of(trap).harness.wires}
    groups = {by[number] for number in trap["twisted"]}
    assert len(groups) == 1
    assert "" not in groups
    assert not groups & {twist for number, twist in by.items() if number not in trap["twisted"]}


@having("reported")
def test_what_is_reported(trap: Trap) -> None:
    """With a place in the file for each."""
    found = of(trap)
    assert set(trap["reported"]) <= set(found.repairs)
    assert all(problem.spans for problem in found.problems)


@having("codes")
def test_a_variant_leaves_nothing_unsaid(trap: Trap) -> None:
    assert "option-code-unknown" not in of(trap).repairs


def test_a_list_without_headings_is_refused() -> None:
    found = read_wirelist((TRAPS / "no-header.csv").read_bytes(), "no-header.csv")
    assert found.harness is None
    (problem,) = [problem for problem in found.problems if problem.level is Level.ERROR]
    assert problem.code == "list-header-missing"
    assert problem.spans[0].file == "no-header.csv"
