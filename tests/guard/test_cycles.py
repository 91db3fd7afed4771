"""The guard against circles."""

from pathlib import Path

import pytest

from tests.guard.cycles import cycles

ROOT = Path(__file__).resolve().parents[2]


def write(folder: Path, **files: str) -> Path:
    """Modules of a package `p`."""
    (folder / "p").mkdir()
    for name, text in files.items():
        (folder / "p" / f"{name}.py").write_text(text, encoding="utf-8")
    return folder


def test_the_tree_has_none() -> None:
    assert cycles(ROOT / "src") == ()


def test_a_circle_of_three_is_found(tmp_path: Path) -> None:
    root = write(tmp_path, a="import p.b", b="from p import c", c="def f():\n    from p.a import g", d="import p.a")
    assert cycles(root) == (("p.a", "p.b", "p.c"),)


def test_a_root_that_exports_what_imports_it_is_found(tmp_path: Path) -> None:
    assert cycles(write(tmp_path, __init__="from p.a import g", a="from p import h")) == (("p", "p.a"),)


def test_a_straight_tree_passes(tmp_path: Path) -> None:
    assert cycles(write(tmp_path, __init__="", a="import p.b, p.c", b="import p.c", c="import math")) == ()


def test_an_empty_tree_is_refused(tmp_path: Path) -> None:
    with pytest.raises(ValueError, match="is the path right"):
        cycles(tmp_path)
