"""The guard against state in modules and classes."""

from pathlib import Path

import pytest

from tests.guard.state import offences

ROOT = Path(__file__).resolve().parents[2]


@pytest.mark.parametrize("tree", ["src", "starter", "tools", "benchmarks"])
def test_the_tree_holds_none(tree: str) -> None:
    assert offences(ROOT / tree) == ()


@pytest.mark.parametrize(
    "text",
    [
        "CACHE = {}",
        "CACHE: dict[str, int] = {}",
        "A = B = []",
        "NAMES = [n for n in 'ab']",
        "SEEN = set()",
        "from collections import defaultdict\nSEEN = defaultdict(list)",
        "import collections\nSEEN = collections.deque[int]()",
        "if True:\n    CACHE = {}",
        "try:\n    import x\nexcept ImportError:\n    CACHE = []",
        "CACHE = {} if True else None",
        "class A:\n    seen = []",
        "class A:\n    seen: ClassVar[list[int]] = []",
        "N = 0\ndef f():\n    global N",
        "N = ()\nN += (1,)",
    ],
)
def test_planted_state_is_caught(tmp_path: Path, text: str) -> None:
    (tmp_path / "a.py").write_text(text, encoding="utf-8")
    assert len(offences(tmp_path)) == 1


@pytest.mark.parametrize(
    "text",
    [
        "NAMES = ('a', 'b')",
        "NAMES = frozenset({'a'})",
        "from types import MappingProxyType\nTABLE = MappingProxyType({'a': [1]})",
        "TABLE: Final = {'a': 1}",
        "TABLE: Mapping[str, int] = {'a': 1}",
        "TABLE: typing.Final[dict[str, int]] = {}",
        "__all__ = ['a']",
        "def f():\n    seen = []",
        "class A:\n    names: ClassVar[Mapping[str, int]] = {}",
    ],
)
def test_a_constant_passes(tmp_path: Path, text: str) -> None:
    (tmp_path / "a.py").write_text(text, encoding="utf-8")
    assert offences(tmp_path) == ()


def test_an_empty_tree_is_refused(tmp_path: Path) -> None:
    with pytest.raises(ValueError, match="is the path right"):
        offences(tmp_path)
