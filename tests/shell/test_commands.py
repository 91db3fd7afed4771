"""The commands as a user gives them: exit status, what is said, and that nothing is lost."""

import json
from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

from loombench.shell.cli import application
from loombench.text.skeleton import SKELETONS

ROOF = str(Path(__file__).resolve().parents[2] / "examples" / "telehandler-roof")


def ask(*words: str, typed: str = "") -> Result:
    result = CliRunner().invoke(application, list(words), input=typed)
    assert result.exception is None or isinstance(result.exception, SystemExit), result.exception
    return result


def test_a_sound_vehicle_checks() -> None:
    assert ask("check", ROOF).exit_code == 0


def test_a_broken_line_fails_the_check_with_its_place(tmp_path: Path) -> None:
    file = tmp_path / "v.circuit"
    file.write_text('loombench 1\nvehicle "V" 12V\ncolours IEC\nlump E7 12V\n', encoding="utf-8")
    result = ask("check", str(file))
    assert result.exit_code == 1
    assert "v.circuit:4:1" in result.output
    found = json.loads(ask("check", str(file), "--json").output)
    assert [one["level"] for one in found["problems"]].count("error") == 1


@pytest.mark.parametrize("path", ["nowhere.circuit", "/dev/null", "."])
def test_a_file_that_is_none(path: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    for words in (["check", path], ["readings", path], ["find", path, "--complaint", "E7 dead when S4=on"]):
        result = ask(*words)
        assert result.exit_code == 1
        assert "do:" in result.output


def test_readings_of_one_meter() -> None:
    result = ask("readings", ROOF, "--set", "S4=on", "--at", "E7.1", "--json")
    shown = json.loads(result.output)["reading"]
    assert shown["low"] < shown["value"] < shown["high"]
    assert 11.0 < shown["value"] < 12.6


def test_a_fault_changes_the_readings() -> None:
    sound = json.loads(ask("readings", ROOF, "--set", "S4=on", "--json").output)["pins"]
    wrong = json.loads(ask("readings", ROOF, "--set", "S4=on", "--fault", "open S4.2~X12.3", "--json").output)["pins"]
    at = {(row["part"], row["pin"]): row["volts"] for row in wrong}
    before = {(row["part"], row["pin"]): row["volts"] for row in sound}
    assert at["S4", "2"] > before["S4", "2"]
    assert abs(at["E7", "1"]) < 0.01


@pytest.mark.parametrize(
    "words",
    [
        ["--set", "S4=maybe"], ["--set", "S99=on"], ["--unplug", "X99"], ["--fault", "melted E7"],
        ["--fault", "open E99"], ["--at", "E7.9"], ["--at", "E7.1", "--meter", "crystal"], ["--part", "E99"],
    ],
)  # fmt: skip
def test_a_wrong_question_is_answered_with_what_to_do(words: list[str]) -> None:
    result = ask("readings", ROOF, *words)
    assert result.exit_code == 1
    assert "do:" in result.output


@pytest.mark.parametrize("kind", sorted(SKELETONS))
def test_a_skeleton_loads_draws_and_is_never_overwritten(kind: str, tmp_path: Path) -> None:
    file = tmp_path / "new.circuit"
    assert ask("new", kind, "-o", str(file)).exit_code == 0
    text = file.read_text(encoding="utf-8")
    assert "?" in text
    assert ask("check", str(file)).exit_code == 0
    assert "  *  " in ask("runs", str(file)).output
    assert ask("new", kind, "-o", str(file)).exit_code == 1
    assert file.read_text(encoding="utf-8") == text


def test_a_practice_case_by_hand_and_resumed(tmp_path: Path) -> None:
    words = ["find", ROOF, "--complaint", "E7 dead when S4=on", "--hidden", "open S4.2~X12.3"]
    words += ["--folder", str(tmp_path), "--case", "one"]
    first = ask(*words, typed="nonsense\n\nsuspects\nstop\n")
    assert "Not understood" in first.output
    assert "is kept in" in first.output
    kept = next(tmp_path.glob("*one*")).read_text(encoding="utf-8").splitlines()
    again = ask(*words, typed="stop\n")
    assert next(tmp_path.glob("*one*")).read_text(encoding="utf-8").splitlines() == kept
    assert again.exit_code == 0


def test_the_tool_finds_what_is_hidden(tmp_path: Path) -> None:
    words = ["find", ROOF, "--complaint", "E7 dead when S4=on", "--hidden", "open S4.2~X12.3", "--auto", "--json"]
    events = [json.loads(line) for line in ask(*words, "--folder", str(tmp_path)).output.splitlines()]
    assert events[-1]["event"] == "verdict"
    assert events[-1]["proven"]
    assert "S4.2" in events[-1]["suspects"][0]
    assert events[-1]["hidden"] == "open S4.2~X12.3"
    assert any(path.endswith(".html") and Path(path).stat().st_size > 10_000 for path in events[-1]["card"])
