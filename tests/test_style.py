"""The linter, the formatter and the type checker find nothing."""

import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]


@pytest.mark.parametrize(
    "tool",
    [("ruff", "check", "--no-cache", "."), ("ruff", "format", "--no-cache", "--check", "."), ("mypy",)],
    ids=["lint", "format", "types"],
)
def test_finds_nothing(tool: tuple[str, ...]) -> None:
    done = subprocess.run([sys.executable, "-m", *tool], cwd=ROOT, check=False, capture_output=True, text=True)
    assert done.returncode == 0, done.stdout + done.stderr


def test_the_type_checker_fires(tmp_path: Path) -> None:
    (tmp_path / "planted.py").write_text("def area_mm2(text):\n    return 1 + text\n", encoding="utf-8")
    done = subprocess.run(
        [sys.executable, "-m", "mypy", "--config-file", str(ROOT / "pyproject.toml"), str(tmp_path / "planted.py")],
        cwd=tmp_path, check=False, capture_output=True, text=True,
    )  # fmt: skip
    assert "no-untyped-def" in done.stdout


def test_the_linter_fires(tmp_path: Path) -> None:
    (tmp_path / "planted.py").write_text("import os\n", encoding="utf-8")
    done = subprocess.run(
        [sys.executable, "-m", "ruff", "check", "--config", str(ROOT / "pyproject.toml"), str(tmp_path)],
        check=False, capture_output=True, text=True,
    )  # fmt: skip
    assert "F401" in done.stdout
