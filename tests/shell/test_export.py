"""The command `export` as a user gives it, and the way back beside the folder of parts."""

import json
from pathlib import Path

from loombench.app.exporting import SUFFIXES
from tests.shell.test_commands import ROOF, ask


def test_each_format_is_written_and_what_is_lost_is_said(tmp_path: Path) -> None:
    for file_format in SUFFIXES:
        out = tmp_path / f"roof-{file_format}.txt"
        result = ask("export", ROOF, "--as", file_format, "-o", str(out), "--json")
        assert result.exit_code == 0, result.output
        said = json.loads(result.stdout)
        assert said["files"][0] == str(out)
        assert all(Path(file).read_bytes() for file in said["files"])
        assert said["losses"]


def test_nothing_is_written_over_and_no_unknown_format_or_state_is_guessed(tmp_path: Path) -> None:
    out = tmp_path / "roof.kbl"
    out.write_text("mine", encoding="utf-8")
    for words in (
        ["--as", "kbl"],
        ["--as", "pdf"],
        ["--as", "spice", "--set", "S99=on"],
        ["--as", "spice", "--phase", "7"],
    ):
        result = ask("export", ROOF, *words, "-o", str(out))
        assert result.exit_code == 1
        assert "do:" in result.output
    assert [path.name for path in tmp_path.iterdir()] == ["roof.kbl"]
    assert out.read_text(encoding="utf-8") == "mine"


def test_a_vehicle_goes_out_and_comes_back_with_the_same_readings(tmp_path: Path) -> None:
    assert ask("export", ROOF, "--as", "vec", "-o", str(tmp_path / "roof.vec")).exit_code == 0
    back = str(tmp_path / "back")
    parts = str(tmp_path / "roof.parts")
    assert ask("import", str(tmp_path / "roof.vec"), "--parts", parts, "-o", back).exit_code == 0
    words = ("--set", "S5=on", "--json")
    pins = [json.loads(ask("readings", vehicle, *words).stdout)["pins"] for vehicle in (ROOF, back)]
    assert pins[0] == pins[1]
