"""The commands for faces, plans and trees: a file in the form asked for, or what is wrong and no file."""

from pathlib import Path

import pytest
from typer.testing import CliRunner

from loombench.shell.cli import application

EXAMPLES = Path(__file__).parents[2] / "examples"
TRACTOR, HANDLER = str(EXAMPLES / "vintage-tractor"), str(EXAMPLES / "telehandler-roof")


@pytest.mark.parametrize(
    ("words", "name", "begins"),
    [
        (["face", HANDLER, "X12.3@boom"], "a.svg", "<svg"),
        (["face", HANDLER, "X12", "--mating", "--states", "at rest"], "a.html", "<!doctype html>"),
        (["places", TRACTOR, "--ring", "dash"], "a.svg", "<svg"),
        (["feeds", TRACTOR, "--set", "S2=on"], "a.svg", "<svg"),
        (["returns", TRACTOR], "a.html", "<!doctype html>"),
    ],
)
def test_a_drawing_is_written(words: list[str], name: str, begins: str, tmp_path: Path) -> None:
    done = CliRunner().invoke(application, [*words, "-o", str(tmp_path / name)])
    assert done.exit_code == 0, done.output
    assert (tmp_path / name).read_text(encoding="utf-8").lower().startswith(begins)


@pytest.mark.parametrize(
    ("words", "name", "said"),
    [
        (["face", HANDLER, "X99"], "a.svg", "part-unknown"),
        (["face", HANDLER, "X12.99"], "a.svg", "pin-unknown"),
        (["face", HANDLER, "X12", "--states", "S99=on"], "a.svg", "control-unknown"),
        (["face", HANDLER, "X12"], "a.doc", "drawing-form"),
        (["face", "nowhere", "X12"], "a.svg", "file-missing"),
        (["places", TRACTOR], "a.doc", "drawing-form"),
        (["feeds", TRACTOR, "--set", "S99=on"], "a.svg", "control-unknown"),
    ],
)
def test_what_is_wrong_is_said_and_nothing_written(words: list[str], name: str, said: str, tmp_path: Path) -> None:
    done = CliRunner().invoke(application, [*words, "-o", str(tmp_path / name)])
    assert done.exit_code == 1
    assert said in done.output
    assert list(tmp_path.iterdir()) == []


def test_the_other_side_is_drawn_when_it_is_asked_for(tmp_path: Path) -> None:
    runner = CliRunner()
    for name, more in (("wires.svg", []), ("mating.svg", ["--mating"])):
        runner.invoke(application, ["face", HANDLER, "X12", *more, "-o", str(tmp_path / name)])
    texts = {name: (tmp_path / name).read_text(encoding="utf-8") for name in ("wires.svg", "mating.svg")}
    assert "Seen from the wires that go in" in texts["wires.svg"]
    assert "Seen from the face that mates" in texts["mating.svg"]
