"""`loombench check`: problems of reading and of the rules together, for people and for machines."""

import json
from pathlib import Path

import pytest
from typer.testing import CliRunner

from loombench.app.checking import check_vehicle
from loombench.app.vehicles import open_vehicle
from loombench.shell.cli import application
from tests.check.circuits import CLEAN


def checked(folder: Path, text: str, *options: str) -> tuple[int, str]:
    """Exit status and output of a check of a text."""
    path = folder / "vehicle.circuit"
    path.write_text(text, encoding="utf-8")
    result = CliRunner().invoke(application, ["check", str(path), *options])
    return result.exit_code, result.stdout


def test_nothing_to_mend(tmp_path: Path) -> None:
    status, said = checked(tmp_path, CLEAN)
    assert status == 0
    assert "nothing to mend" in said


def test_an_error_of_a_rule_ends_with_1_and_comes_before_notes(tmp_path: Path) -> None:
    text = CLEAN.replace("E2 (BN 1mm2 0.4m) W2/b", "E2.1").replace("lamp E1 12V 21W", "lamp E1 12V ?W")
    status, said = checked(tmp_path, text)
    assert status == 1
    assert said.index("error load-no-return") < said.index("note assumed")


@pytest.mark.parametrize("broken", ["", "lamp E9 12V 5furlongs\n"])
def test_json_has_reading_and_rules_with_sentences(tmp_path: Path, broken: str) -> None:
    status, said = checked(tmp_path, CLEAN.replace("E2 (BN 1mm2 0.4m) W2/b", "E2.1") + broken, "--json")
    assert status == 1
    problems = json.loads(said)["problems"]
    lost = next(item for item in problems if item["code"] == "load-no-return")
    assert lost["level"] == "error"
    assert lost["facts"] == {"load": "E2", "point": "E2.2"}
    assert lost["spans"][0]["line"] > 1
    assert all(item[part] for item in problems for part in ("title", "seen", "expected", "fix"))
    assert ("number-unit" in {item["code"] for item in problems}) is bool(broken)


def test_a_file_that_is_not_there(tmp_path: Path) -> None:
    opened = open_vehicle(str(tmp_path / "none.circuit"))
    assert opened.broken
    assert check_vehicle(opened) == ()
