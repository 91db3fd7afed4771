"""The samples counted a second time, apart from the program, and held against figures written by hand."""

import json
from pathlib import Path

import pytest
from typer.testing import CliRunner

from loombench.exchange.netcount import Counts, count
from loombench.shell.cli import application
from tests.exchange.reading import SAMPLES, TRAPS, netlist, nets, read
from tests.exchange.secondcount import Count, kbl, vec, wirelist

NOT_COUNTED = {"old-2.2", "twice-the-same-id", "wrong-kinds", "qualified", "two-slots", "old-fuse"}
"""Files that have to be mended or understood first, which the second count does not."""
NAMES = ("connections", "connectors", "splices", "rings", "carriers", "fuses", "segments", "nets", "largest_net")


def counted(name: str) -> Count:
    """The second count of a sample."""
    return {"kbl": kbl, "csv": wirelist}.get(name.rpartition(".")[2], vec)(SAMPLES / name)


HAND = {
    "mini.kbl": ((4, 4, 1, 2, 1, 1, 1, 3, 3), nets(["BAT+ FH1:A1", "FH1:A2 S1 E12-A:1", "E12-A:2 G5"])),
    "mini.vec": ((2, 3, 1, 1, 0, 0, 0, 2, 2), nets(["S1 E12-A:1", "E12-A:2 G5"])),
    "mini_fuse.vec": ((0, 0, 0, 0, 1, 1, 0, 0, 0), nets([])),
    "mini_wirelist.csv": (
        (6, 7, 1, 2, 0, 0, 0, 5, 3),
        nets(["BAT+ FH1:1", "FH1:2 S1 E12-A:1", "E12-A:2 G5", "C7:12 C31:3", "C7:13 C31:4"]),
    ),
    "ARENA-VWS4LS-DEMO.vec": ((3, 2, 0, 0, 0, 0, 0, 3, 2), nets(["A1:1 A2:1", "A1:2 A2:2", "A1:3 A2:3"])),
    "VEC-Change-Example-I.xml": ((2, 3, 0, 0, 0, 0, 0, 2, 2), nets(["XA.F2.1_1:2 XA.44.1:1", "YW001:1 XA.F2.1_1:1"])),
    "VEC-Change-Example-II.xml": ((2, 3, 0, 0, 0, 0, 0, 2, 2), nets(["XA.F2.1_1:2 XA.44.1:1", "YW001:1 XA.F2.1_1:1"])),
}
"""Counted by hand from the files, in the order of `NAMES`."""


@pytest.mark.parametrize("name", HAND)
def test_a_sample(name: str) -> None:
    figures, netlist = HAND[name]
    second = counted(name)
    assert dict(zip(NAMES, figures, strict=True)) == {one: getattr(second, one) for one in NAMES}
    assert second.netlist == netlist


def test_two_formats_of_one_circuit_have_the_same_nets_where_they_overlap() -> None:
    """What the second file has not, is left out: the fuse holder and the wires to it."""
    pins = {pin for net in counted("mini.vec").netlist for pin in net}
    assert {net & pins for net in counted("mini.kbl").netlist} - {frozenset()} == counted("mini.vec").netlist


def test_options_of_the_wire_list() -> None:
    assert wirelist(SAMPLES / "mini_wirelist.csv", ()).connections == 4
    assert wirelist(SAMPLES / "mini_wirelist.csv", ("OPT-A",)).connections == 6


READ = tuple(HAND)
OF_ALL_VARIANTS = ("ARENA-VWS4LS-DEMO.vec", "mini_wirelist.csv")


@pytest.mark.parametrize("name", READ)
def test_the_program_finds_the_same(name: str) -> None:
    found, second = read(SAMPLES / name).harness, counted(name)
    assert count(found) == Counts(**{one: getattr(second, one) for one in NAMES})
    assert netlist(found) == second.netlist


@pytest.mark.parametrize("name", READ)
def test_the_command_prints_the_same(name: str) -> None:
    """As JSON; a file of all variants is counted and refused."""
    printed = CliRunner().invoke(application, ["import", str(SAMPLES / name), "--json"])
    said = json.loads(printed.stdout)
    assert {one: said[one] for one in NAMES} == dict(zip(NAMES, HAND[name][0], strict=True))
    assert printed.exit_code == int(name in OF_ALL_VARIANTS)


@pytest.mark.parametrize(("codes", "connections"), [("BASIS", 1), ("BASIS,VAR1", 2), ("BASIS,VAR1,VAR2", 3)])
def test_a_vehicle_of_the_sample_with_variants(codes: str, connections: int) -> None:
    """By the file's part structures: wire 2 is in BASIS, wire 1 in VAR1, wire 3 in VAR2."""
    arguments = ["import", str(SAMPLES / "ARENA-VWS4LS-DEMO.vec"), "--options", codes, "--json"]
    said = json.loads(CliRunner().invoke(application, arguments).stdout)
    assert (said["connections"], said["connectors"], said["nets"]) == (connections, 2, connections)


@pytest.mark.parametrize(("codes", "connections"), [("none", 4), ("OPT-A", 6)])
def test_a_vehicle_of_the_wire_list(codes: str, connections: int) -> None:
    arguments = ["import", str(SAMPLES / "mini_wirelist.csv"), "--options", codes, "--json"]
    said = json.loads(CliRunner().invoke(application, arguments).stdout)
    second = wirelist(SAMPLES / "mini_wirelist.csv", codes.split())
    assert (said["connections"], said["nets"]) == (connections, second.nets)


@pytest.mark.parametrize("path", [path for path in sorted(TRAPS.glob("*.kbl")) if path.stem not in NOT_COUNTED])
def test_a_trap_counted_a_second_time(path: Path) -> None:
    """The traps in KBL too, with all variants."""
    second, found = kbl(path), read(path).harness
    assert netlist(found) == second.netlist
    wanted = {one: getattr(second, one) for one in NAMES[:-1]}
    assert {one: getattr(count(found), one) for one in NAMES[:-1]} == wanted
