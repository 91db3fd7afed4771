"""The guards against tests set aside and against errors caught blindly."""

from pathlib import Path

import pytest

from tests.guard.habits import broad_excepts, set_aside

ROOT = Path(__file__).resolve().parents[2]


def test_no_test_is_set_aside() -> None:
    assert set_aside(ROOT / "tests") == ()


@pytest.mark.parametrize("tree", ["src", "starter", "tools", "benchmarks", "tests"])
def test_no_error_is_caught_blindly(tree: str) -> None:
    assert broad_excepts(ROOT / tree) == ()


@pytest.mark.parametrize(
    "text",
    [
        "import pytest\n@pytest.mark.skip\ndef test_a(): pass",
        "import pytest\n@pytest.mark.skipif(True, reason='x')\ndef test_a(): pass",
        "from pytest import mark\n@mark.xfail(strict=True)\ndef test_a(): pass",
        "import pytest\ndef test_a(): pytest.skip('not here')",
        "import pytest\nnp = pytest.importorskip('numpy')",
        "import pytest\ncase = pytest.param(1, marks=pytest.mark.xfail)",
        "from unittest import skipIf",
        "import unittest\nclass A:\n    @unittest.skip('x')\n    def test_a(self): pass",
        "from pytest import skip",
    ],
)
def test_a_planted_skip_is_caught(tmp_path: Path, text: str) -> None:
    (tmp_path / "test_a.py").write_text(text, encoding="utf-8")
    assert len(set_aside(tmp_path)) == 1


def test_a_group_is_no_skip(tmp_path: Path) -> None:
    (tmp_path / "test_a.py").write_text("import pytest\n@pytest.mark.ngspice\ndef test_a(): it.skip()", "utf-8")
    assert set_aside(tmp_path) == ()


@pytest.mark.parametrize(
    "line",
    [
        "except:",
        "except Exception:",
        "except Exception as failure:  # noqa: BLE001",
        "except BaseException:  # type: ignore[misc]",
        "except (ValueError, Exception):",
        "except builtins.Exception:  # oh well",
    ],
)
def test_a_planted_blind_catch_is_caught(tmp_path: Path, line: str) -> None:
    (tmp_path / "a.py").write_text(f"try:\n    f()\n{line}\n    pass\n", encoding="utf-8")
    assert len(broad_excepts(tmp_path)) == 1


@pytest.mark.parametrize(
    "line",
    ["except ValueError:", "except Exception:  # noqa: BLE001  (a plug-in may raise anything; it is reported)"],
)
def test_a_named_or_reasoned_catch_passes(tmp_path: Path, line: str) -> None:
    (tmp_path / "a.py").write_text(f"try:\n    f()\n{line}\n    pass\n", encoding="utf-8")
    assert broad_excepts(tmp_path) == ()


@pytest.mark.parametrize("guard", [set_aside, broad_excepts])
def test_an_empty_tree_is_refused(tmp_path: Path, guard: object) -> None:
    with pytest.raises(ValueError, match="is the path right"):
        guard(tmp_path)  # type: ignore[operator]
