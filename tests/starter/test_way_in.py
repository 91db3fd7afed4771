"""`start.py` itself: readable to old Pythons, and helpful without an environment."""

import ast
import subprocess
import sys
from pathlib import Path

import pytest

from starter import main

ROOT = Path(__file__).resolve().parents[2]
NEWER = (ast.JoinedStr, ast.NamedExpr, ast.AnnAssign, ast.AsyncFunctionDef, ast.Await, ast.Nonlocal, ast.Match)


def start(*words: str, root: Path = ROOT) -> subprocess.CompletedProcess[str]:
    """Run `start.py` with words that need no environment."""
    return subprocess.run(
        [sys.executable, str(root / "start.py"), *words], check=False, capture_output=True, text=True, encoding="utf-8"
    )


def newer(source: str) -> list[str]:
    """What in a source Python 2.7 and 3.6 could not read."""
    tree = ast.parse(source, feature_version=(3, 6))
    found = [type(node).__name__ for node in ast.walk(tree) if isinstance(node, NEWER)]
    found += ["annotation" for node in ast.walk(tree) if isinstance(node, ast.arg) and node.annotation is not None]
    return found + ["letter" for letter in source if ord(letter) > 127]


def test_an_old_python_can_read_the_first_file() -> None:
    assert newer((ROOT / "start.py").read_text(encoding="utf-8")) == []


@pytest.mark.parametrize("source", ["f'{a}'", "a: int = 1", "def f(a: int): pass", "s = 'ä'"])
def test_what_an_old_python_cannot_read_is_caught(source: str) -> None:
    assert newer(source) != []


def test_the_version_is_checked_before_anything_new_is_imported() -> None:
    lines = (ROOT / "start.py").read_text(encoding="utf-8").splitlines()
    check = next(number for number, line in enumerate(lines) if "sys.version_info < (3, 11)" in line)
    imported = next(number for number, line in enumerate(lines) if line.startswith("from starter"))
    assert check < imported


@pytest.mark.parametrize("words", [("-h",), ("--help",)])
def test_it_says_what_there_is(words: tuple[str, ...]) -> None:
    done = start(*words)
    assert done.returncode == 0
    for verb in ("demo", "run", "setup", "test", "proof"):
        assert f"python3 start.py {verb} " in done.stdout


def test_without_a_word_the_bench_is_served_on_the_examples(monkeypatch: pytest.MonkeyPatch) -> None:
    handed = list[tuple[str, ...]]()

    def hand_over(_checkout: object, words: tuple[str, ...], _folder: object) -> int:
        handed.append(words)
        return 0

    monkeypatch.setattr(main, "ensure", lambda *_, **__: None)
    monkeypatch.setattr(main, "_hand_over", hand_over)
    assert main.main(()) == 0
    assert handed == [("-m", "loombench", "serve", str(ROOT / "examples"), "--show")]
    assert (ROOT / "examples/telehandler-roof/vehicle.circuit").is_file()


@pytest.mark.parametrize("words", [("bench",), ("tset",), ("setup", "now")])
def test_a_word_it_does_not_know_is_refused(words: tuple[str, ...]) -> None:
    done = start(*words)
    assert done.returncode == 2
    assert f"'{words[-1]}'" in done.stderr


def test_a_folder_that_is_no_environment_is_left_alone(tmp_path: Path) -> None:
    for name in ("start.py", "requirements.txt"):
        (tmp_path / name).write_bytes((ROOT / name).read_bytes())
    (tmp_path / "starter").mkdir()
    for path in (ROOT / "starter").glob("*.py"):
        (tmp_path / "starter" / path.name).write_bytes(path.read_bytes())
    (tmp_path / ".venv").mkdir()
    (tmp_path / ".venv" / "mine").write_text("kept", encoding="utf-8")
    done = start("setup", root=tmp_path)
    assert done.returncode == 1
    assert "is no Python environment: move it away" in done.stderr
    assert "Traceback" not in done.stderr
    assert (tmp_path / ".venv" / "mine").read_text(encoding="utf-8") == "kept"
