"""Files made to do harm: each comes to a clear problem with a place, in bounded time and memory, none half imported."""

import json
import subprocess
import sys
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner

from loombench.app.importing import Request, import_bytes
from loombench.base.outcome import errors
from loombench.shell.cli import application
from tests.exchange.hostile import harnesses, packages
from tests.exchange.hostile.pieces import Make
from tests.exchange.reading import SAMPLES

ROOT = Path(__file__).resolve().parents[2]
LARGEST_MIB = 400
REFUSED = {**harnesses.REFUSED, **packages.REFUSED}
ENDURED = {**harnesses.ENDURED, **packages.ENDURED}
Said = dict[str, Any]


def run(cases: Mapping[str, Make], folder: Path) -> dict[str, Said]:
    """What came of each file, imported in a process of its own."""
    for name, make in cases.items():
        (folder / name).write_bytes(make())
    command = [sys.executable, "-m", "tests.exchange.hostilerun", *(str(folder / name) for name in cases)]
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False)
    said = [json.loads(line) for line in done.stdout.splitlines()]
    assert done.returncode == 0, (list(cases)[len(said)], done.stderr[-2000:])
    return {one["name"]: one for one in said}


@pytest.fixture(scope="module")
def refused(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Said]:
    return run(REFUSED, tmp_path_factory.mktemp("refused"))


@pytest.fixture(scope="module")
def endured(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Said]:
    return run(ENDURED, tmp_path_factory.mktemp("endured"))


@pytest.mark.parametrize("name", REFUSED)
def test_a_file_that_is_refused(refused: dict[str, Said], name: str) -> None:
    said = refused[name]
    assert not said["made"]
    wrong = [problem for problem in said["problems"] if problem[1] == "error"]
    assert wrong
    assert all(name in file and line >= 1 for _, _, file, line in wrong)


@pytest.mark.parametrize("name", ENDURED)
def test_a_file_that_is_endured(endured: dict[str, Said], name: str) -> None:
    """It may be read, in whole or in part, or be refused with a problem."""
    said = endured[name]
    assert said["made"] or any(level == "error" for _, level, *_ in said["problems"])


def test_memory_stays_bounded(refused: dict[str, Said], endured: dict[str, Said]) -> None:
    """The peak of a process that imports all of them one after the other; the largest file has 30 MB."""
    for said in (refused, endured):
        over = [one["name"] for one in said.values() if one["peak_mib"] > LARGEST_MIB]
        assert over[:1] == []


@pytest.mark.parametrize("name", ["mini.kbl", "mini.vec", "mini_fuse.vec"])
def test_a_harness_file_cut_off_anywhere_is_refused_with_its_place(name: str) -> None:
    """At every seventh byte; only what is behind the last tag can be missing."""
    data = (SAMPLES / name).read_bytes()
    for end in range(0, len(data.rstrip()), 7):
        made = import_bytes({name: data[:end]}, Request(()))
        assert made.value is None, end
        place = errors(made.problems)[0].spans[0]
        assert place.file == name
        assert 1 <= place.line <= data[:end].count(b"\n") + 1


@pytest.mark.parametrize("name", ["ARENA-VWS4LS-DEMO.vec", "VEC-Change-Example-I.xml"])
def test_a_larger_one_cut_off(name: str) -> None:
    data = (SAMPLES / name).read_bytes()
    for end in range(0, len(data.rstrip()), 7 * 31):
        assert import_bytes({name: data[:end]}, Request(())).value is None, end


def test_a_wire_list_cut_off_never_raises_and_makes_no_wire_that_was_not_there() -> None:
    data = (SAMPLES / "mini_wirelist.csv").read_bytes()
    for end in range(0, len(data), 7):
        made = import_bytes({"mini.csv": data[:end]}, Request((), ("OPT-A",)))
        if made.value is None:
            assert errors(made.problems)
        else:
            assert made.value.counts.connections <= max(data[:end].count(b"MAIN,"), 0)


def test_a_bad_file_among_good_ones_leaves_nothing_behind(tmp_path: Path) -> None:
    """Neither a folder nor a part of one, and the command ends with an error."""
    (tmp_path / "cut.kbl").write_bytes((SAMPLES / "mini.kbl").read_bytes()[:9000])
    (tmp_path / "out").mkdir()
    names = [str(SAMPLES / "mini.vec"), str(tmp_path / "cut.kbl")]
    done = CliRunner().invoke(application, ["import", *names, "-o", str(tmp_path / "out" / "van"), "--json"])
    assert done.exit_code == 1
    said = json.loads(done.stdout)
    assert [problem["code"] for problem in said["problems"] if problem["level"] == "error"] == ["xml-broken"]
    assert said["folder"] is None
    assert list((tmp_path / "out").iterdir()) == []


def test_the_samples_themselves_are_read() -> None:
    """So that the cuts above refuse the cut and not the file."""
    for name in ("mini.kbl", "mini.vec", "mini_fuse.vec"):
        made = import_bytes({name: (SAMPLES / name).read_bytes()}, Request(()))
        assert made.value is not None
        assert made.value.files
