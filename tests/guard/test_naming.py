"""The guard of the files and names that pages give."""

from pathlib import Path

import pytest

from tests.guard.naming import missing_names, resolves

ROOT = Path(__file__).resolve().parents[2]
PAGES = tuple(path.relative_to(ROOT).as_posix() for path in sorted([*ROOT.glob("*.md"), *ROOT.glob("docs/**/*.md")]))


@pytest.mark.parametrize("page", PAGES)
def test_what_a_page_names_is_there(page: str) -> None:
    assert missing_names(ROOT, page) == ()


@pytest.fixture
def tree(tmp_path: Path) -> Path:
    """A checkout with one package, one table and a folder of pages."""
    for name in ("src/loombench/circuit/__init__.py", "src/loombench/facts/data/relay.csv", "docs/kinds/lamp.md"):
        (tmp_path / name).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / name).write_text("", encoding="utf-8")
    return tmp_path


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("see `docs/kinds/horn.md`", "docs/p.md:2: there is no docs/kinds/horn.md"),
        ("see `tests/`", "docs/p.md:2: there is no tests/"),
        ("see `docs/<what>/*.csv`", "docs/p.md:2: there is no docs/<what>/*.csv"),
        ("see `relais.csv`", "docs/p.md:2: there is no table relais.csv"),
        ("see `circuit.inject.injects`", "docs/p.md:2: there is nothing called circuit.inject.injects"),
        ("see `loombench.circuits`", "docs/p.md:2: there is nothing called loombench.circuits"),
        ("```py\n`a/b.py`\n```\n`a/c.py`", "docs/p.md:5: there is no a/c.py"),
    ],
)
def test_a_planted_name_is_caught(tree: Path, text: str, said: str) -> None:
    (tree / "docs/p.md").write_text(f"first\n{text}\n", encoding="utf-8")
    assert missing_names(tree, "docs/p.md") == (said,)


@pytest.mark.parametrize(
    "text",
    [
        "`docs/kinds/lamp.md` `kinds/lamp.md` `docs/kinds/<kind>.md` `docs/kinds/*.md` `docs/`",
        "`relay.csv` `facts/data/relay.csv`",
        "`circuit.inject.inject` `loombench.circuit.fault.Fault.target` `loombench`",
        "`E7.1` `W1/a` `vehicle.circuit` `X3/7` `and/or` `x.y.z`",
    ],
)
def test_what_is_there_and_what_is_no_name_pass(tree: Path, text: str) -> None:
    (tree / "docs/p.md").write_text(f"{text}\n", encoding="utf-8")
    assert missing_names(tree, "docs/p.md") == ()


def test_a_name_is_looked_up_to_its_end() -> None:
    assert resolves("loombench.base.problems.Problem.code")
    assert not resolves("loombench.base.problems.Problem.code.more")
    assert not resolves("nothing.at.all")
