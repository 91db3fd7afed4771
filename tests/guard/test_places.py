"""The guard against places on one machine."""

from pathlib import Path

import pytest

from tests.guard.places import offences

ROOT = Path(__file__).resolve().parents[2]
# The planted folders are put together, so that this file passes the guard.
BAR = "/"


def test_the_tree_names_none() -> None:
    assert offences(ROOT) == ()


@pytest.mark.parametrize(
    "text",
    [
        f"see {BAR}work/main/docs",
        f'open("{BAR}tmp/x.json")',
        f"`{BAR}home/anna/.venv`",
        f"cd {BAR}root/x",
        f"path={BAR}opt/wheels",
        f"({BAR}Users/anna/x)",
        "C:" + "\\Users\\anna",
        "https:/" + "/pypi" + ".org/simple",
        "pip install --index" + "-url x",
        "https:/" + "/files.python" + "hosted.org/x",
    ],
)
def test_a_planted_place_is_caught(tmp_path: Path, text: str) -> None:
    (tmp_path / "a.md").write_text(f"first\n{text}\n", encoding="utf-8")
    found = offences(tmp_path)
    assert len(found) == 1, found
    assert found[0].startswith("a.md:2: ")


@pytest.mark.parametrize(
    "text",
    [
        "docs/work/a.md",
        "https://example.org/work/a",
        "and/or, mm2/work",
        "$HOME/work/x",
        "../tmp/x",
        "tmp_path / 'a'",
        "/etc/debian_version",
        "S4 off/work/park",
    ],
)
def test_other_slashes_pass(tmp_path: Path, text: str) -> None:
    (tmp_path / "a.md").write_text(text, encoding="utf-8")
    assert offences(tmp_path) == ()


def test_an_empty_folder_is_refused(tmp_path: Path) -> None:
    with pytest.raises(ValueError, match="is the path right"):
        offences(tmp_path)
