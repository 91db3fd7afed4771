"""The guard of the documentation's examples."""

import os
import shutil
import subprocess
import sys
from collections.abc import Callable, Sequence
from pathlib import Path

import pytest

from loombench.base.report import render_all
from loombench.text.load import load_text
from tests.guard.pages import blocks, named, wrong_circuits, wrong_commands

ROOT = Path(__file__).resolve().parents[2]
# docs/problems has circuits with errors on purpose and a guard of its own, tests/problems.
PAGES = tuple(
    path.relative_to(ROOT).as_posix()
    for path in sorted([*ROOT.glob("*.md"), *ROOT.glob("docs/**/*.md")])
    if "docs/problems/" not in path.as_posix()
)

LIES = """
```circuit
loombench 1
vehicle "Planted" 12V
lamp E7 12V
G9.+ (RD 1mm2 1m) E7.1
```
"""
TRUTH = """
```circuit
loombench 1
vehicle "Planted" 12V
colours IEC
battery G1 70Ah
lamp E7 12V 55W
G1.+ (RD 1mm2 1m) E7.1
```
"""
INCLUDED = TRUTH.replace("battery G1 70Ah\n", 'include "supply.circuit"\n') + (
    "\n```circuit supply.circuit\nloombench 1\nbattery G1 70Ah\n```\n"
)


def load_errors(text: str, include: Callable[[str], str | None]) -> Sequence[str]:
    """The report on a circuit that has errors; nothing for one that has none."""
    outcome = load_text(text, "page.circuit", include)
    return () if outcome.usable else (render_all(outcome.problems, {"page.circuit": text}),)


def program(folder: Path) -> Callable[[Sequence[str]], str]:
    """The program, run in a folder that is also its home."""
    env = {name: value for name, value in os.environ.items() if not name.startswith(("LOOMBENCH_", "XDG_", "COV_"))}
    env |= {
        "HOME": str(folder), "USERPROFILE": str(folder), "COLUMNS": "100", "NO_COLOR": "1", "TERM": "dumb",
        "PYTHONPATH": str(ROOT / "src"), "PYTHONUTF8": "1", "LANG": "C.UTF-8",
    }  # fmt: skip

    def run(words: Sequence[str]) -> str:
        done = subprocess.run(
            [sys.executable, "-m", "loombench", *words],
            cwd=folder, env=env, check=False, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True,
            stdin=subprocess.DEVNULL, encoding="utf-8",
        )  # fmt: skip
        return done.stdout

    return run


def test_there_are_pages_with_examples() -> None:
    assert any(blocks((ROOT / page).read_text(encoding="utf-8")) for page in PAGES)


@pytest.mark.parametrize("page", PAGES)
def test_the_circuits_of_a_page_load(page: str) -> None:
    assert wrong_circuits(page, (ROOT / page).read_text(encoding="utf-8"), load_errors) == ()


@pytest.mark.parametrize("page", PAGES)
def test_the_commands_of_a_page_print_what_it_shows(page: str, tmp_path: Path) -> None:
    text = (ROOT / page).read_text(encoding="utf-8")
    shutil.copytree(ROOT / "examples", tmp_path / "examples")
    for name, circuit in named(text).items():
        (tmp_path / name).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / name).write_text(circuit, encoding="utf-8")
    wrong = wrong_commands(page, text, program(tmp_path))
    assert not wrong, "\n\n".join(wrong)


def test_a_circuit_that_does_not_load_is_caught() -> None:
    (said,) = wrong_circuits("p.md", LIES, load_errors)
    assert said.startswith("p.md:3: the circuit does not load: ")
    assert "G9" in said


@pytest.mark.parametrize("page", [TRUTH, INCLUDED])
def test_a_circuit_that_loads_passes(page: str) -> None:
    assert wrong_circuits("p.md", page, load_errors) == ()


def test_a_named_circuit_that_nothing_reads_is_caught() -> None:
    page = TRUTH + "\n```circuit roof.circuit\nnonsense\n```\n"
    assert wrong_circuits("p.md", page, load_errors) == ("p.md: nothing on the page reads the circuit roof.circuit",)


def echo(words: Sequence[str]) -> str:
    """A planted program: its words, a number that changes, a last line."""
    return f"said {' '.join(words)}\ntook 3.7 s\nbye   \n"


@pytest.mark.parametrize(
    "shown",
    ["said a b\ntook 3.7 s\nbye", "said a b\ntook ... s\nbye", "said a b\n...\nbye\n", "...\nbye", "said a b\n..."],
)
def test_the_output_shown_passes(shown: str) -> None:
    assert wrong_commands("p.md", f"```console\n$ loombench a 'b'\n{shown}\n```\n", echo) == ()


@pytest.mark.parametrize(
    ("block", "said"),
    [
        ("$ loombench a\nsaid b\n...", "printed"),
        ("$ loombench a\nsaid a\nbye", "printed"),
        ("$ loombench a\nsaid a\n...\n$ loombench b\nsaid a\n...", "printed"),
        ("$ loombench a", "shows nothing"),
        ("$ loombench a\n...", "shows nothing"),
        ("$ make demo\nhello", "is not run here"),
        ("loombench a\nsaid a", "a console block begins with"),
    ],
)
def test_a_planted_command_is_caught(block: str, said: str) -> None:
    (wrong,) = wrong_commands("p.md", f"```console\n{block}\n```\n", echo)
    assert said in wrong


def test_a_crash_cannot_be_shown_as_right() -> None:
    page = "```console\n$ loombench a\nTraceback (most recent call last):\n...\n```\n"
    assert len(wrong_commands("p.md", page, lambda _: "Traceback (most recent call last):\n  File x\n")) == 1


def test_the_program_itself_is_what_runs(tmp_path: Path) -> None:
    assert program(tmp_path)(["--help"]).startswith("Usage: ")
