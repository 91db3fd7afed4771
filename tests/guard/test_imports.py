"""The import guard: the tree is clean, each planted import is caught, an empty tree is refused."""

from pathlib import Path

import pytest

from tests.guard.imports import LAYERS, offences, unlocked

ROOT = Path(__file__).resolve().parents[2]


def plant(folder: Path, path: str, text: str) -> Path:
    """A root with one file in it."""
    file = folder / path
    file.parent.mkdir(parents=True, exist_ok=True)
    file.write_text(text, encoding="utf-8")
    return folder


def test_the_tree_is_clean() -> None:
    assert offences(ROOT / "src") == ()


def locks() -> list[str]:
    """The lock files a user installs: all but that of the tests."""
    return [path.read_text() for path in sorted(ROOT.glob("requirements*.txt")) if path.name != "requirements-dev.txt"]


def test_what_is_imported_is_installed() -> None:
    assert unlocked(ROOT / "src", locks()) == ()


def test_a_library_of_the_tests_alone_is_caught(tmp_path: Path) -> None:
    root = plant(
        tmp_path, "loombench/diagnose/a.py", "import math\nimport numpy as np\nfrom scipy.sparse import coo_array"
    )
    (line,) = unlocked(root, locks())
    assert line.startswith("loombench/diagnose/a.py:3: scipy.sparse")


def test_a_library_is_found_under_the_name_of_its_package(tmp_path: Path) -> None:
    root = plant(tmp_path, "loombench/shell/web/a.py", "from PIL import Image\nimport python_multipart")
    assert unlocked(root, ["pillow==13.0.0\npython-multipart==0.0.34"]) == ()
    (line,) = unlocked(root, ["python-multipart==0.0.34"])
    assert line.startswith("loombench/shell/web/a.py:1: PIL")


def test_the_table_points_downwards() -> None:
    order = list(LAYERS)
    for layer, below in LAYERS.items():
        assert all(order.index(name) < order.index(layer) for name in below), layer


@pytest.mark.parametrize(
    ("path", "text", "said"),
    [
        ("vehicle/a.py", "import loombench.text.load", "vehicle may not import text"),
        ("vehicle/a.py", "import loombench.base.problems, loombench.text", "vehicle may not import text"),
        ("vehicle/a.py", "from loombench.text.load import load_text", "vehicle may not import text"),
        ("vehicle/a.py", "from loombench import text", "vehicle may not import text"),
        ("vehicle/a.py", "def f():\n    from loombench.text import load", "vehicle may not import text"),
        ("vehicle/a.py", "import importlib\nimportlib.import_module('loombench.text')", "vehicle may not import text"),
        ("vehicle/a.py", "__import__('loombench.text')", "vehicle may not import text"),
        ("vehicle/a.py", "from loombench import *", "vehicle may not import everything"),
        ("vehicle/a.py", "import loombench", "vehicle may not import the top of the package"),
        ("vehicle/a.py", "from loombench import __main__", "vehicle may not import __main__"),
        ("vehicle/a.py", "from . import model", "a relative import"),
        ("vehicle/a.py", "from ..base.problems import Problem", "a relative import"),
        ("shell/cli.py", "from loombench.circuit.settle import settle", "shell may not import circuit"),
        ("garage/a.py", "import math", "the package garage is not in the table of layers"),
        ("text/a.py", "import numpy as np", "numpy may be imported only in circuit/"),
        ("circuit/settle.py", "from numba import njit", "numba may be imported only in circuit/compiled.py"),
        ("text/a.py", "from xml.etree import ElementTree", "xml may be imported only in exchange/"),
        ("shell/cli.py", "import starlette.routing", "starlette may be imported only in shell/web/"),
        ("app/a.py", "from PIL import Image", "PIL may be imported only in shell/web/"),
        ("app/a.py", "import typer", "typer may be imported only in shell/"),
        ("app/a.py", "import requests", "the library requests is in no table"),
    ],
)
def test_a_planted_import_is_caught(tmp_path: Path, path: str, text: str, said: str) -> None:
    found = offences(plant(tmp_path, f"loombench/{path}", text))
    assert len(found) == 1, found
    assert said in found[0]
    assert found[0].startswith(f"loombench/{path}:")


@pytest.mark.parametrize(
    ("path", "text"),
    [
        (
            "vehicle/a.py",
            "import math\nfrom loombench.base.problems import Problem\nfrom loombench.vehicle import model",
        ),
        ("circuit/compiled.py", "import numpy, numba"),
        ("shell/web/pages.py", "import starlette, typer"),
        ("__main__.py", "from loombench.shell.cli import main"),
    ],
)
def test_an_allowed_import_passes(tmp_path: Path, path: str, text: str) -> None:
    assert offences(plant(tmp_path, f"loombench/{path}", text)) == ()


def test_an_empty_tree_is_refused(tmp_path: Path) -> None:
    with pytest.raises(ValueError, match="is the path right"):
        offences(tmp_path)


def test_a_tree_without_the_package_is_refused(tmp_path: Path) -> None:
    with pytest.raises(ValueError, match="is the path right"):
        offences(plant(tmp_path, "elsewhere/a.py", "import math"))
