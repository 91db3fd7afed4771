"""`loombench draw`: what it lists and writes, and what it says where it cannot."""

from pathlib import Path

import pytest

from loombench.app.drawing import CACHE, cache_folder
from tests.diagnose.vehicles import LAMP
from tests.shell.test_commands import ask


@pytest.fixture
def file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> str:
    monkeypatch.setenv(CACHE, str(tmp_path / "kept"))
    path = tmp_path / "rig.circuit"
    path.write_text(LAMP, encoding="utf-8")
    return str(path)


def test_functions_are_listed_and_one_is_drawn(file: str, tmp_path: Path) -> None:
    listed = ask("draw", file)
    assert listed.exit_code == 0
    assert "supply and ground: G1" in listed.output
    for name, begin in (("a.svg", b"<svg"), ("a.html", b"<!doctype html>"), ("a.pdf", b"%PDF"), ("a.png", b"\x89PNG")):
        target = tmp_path / name
        assert ask("draw", file, "--function", "E7", "--set", "S4=on", "-o", str(target)).exit_code == 0
        assert target.read_bytes().startswith(begin)
    assert list((tmp_path / "kept").iterdir())


def test_several_pages_are_numbered_files_or_one_is_taken(file: str, tmp_path: Path) -> None:
    many = ask("draw", file, "-o", str(tmp_path / "all.svg"))
    assert many.exit_code == 0
    assert sorted(path.name for path in tmp_path.glob("all-*.svg")) == [f"all-{at}.svg" for at in (1, 2)]
    assert ask("draw", file, "--page", "2", "-o", str(tmp_path / "two.svg")).exit_code == 0
    assert (tmp_path / "two.svg").read_text("utf-8") == (tmp_path / "all-2.svg").read_text("utf-8")


def test_what_cannot_be_drawn_is_said(file: str, tmp_path: Path) -> None:
    for words, code in (
        (("--function", "bean"), "drawing-unknown"),
        (("--paper", "B5", "-o", "a.svg"), "drawing-paper"),
        (("--page", "99", "-o", "a.svg"), "drawing-page"),
        (("-o", "a.bmp"), "drawing-form"),
        (("-o", str(tmp_path / "none" / "a.svg")), "paper-unwritten"),
        (("--set", "S99=on", "-o", "a.svg"), "S99"),
    ):
        told = ask("draw", file, *words)
        assert told.exit_code == 1
        assert code in told.output


def test_where_arrangements_are_kept() -> None:
    assert cache_folder({"HOME": "h"}, "linux") == Path("h/.cache/loombench/layouts")
    assert cache_folder({"HOME": "h", "XDG_CACHE_HOME": "x"}, "linux") == Path("x/loombench/layouts")
    assert cache_folder({"HOME": "h"}, "darwin") == Path("h/Library/Caches/loombench/layouts")
    assert cache_folder({"LOCALAPPDATA": "l", "USERPROFILE": "u"}, "win32") == Path("l/loombench/layouts")
    assert cache_folder({CACHE: "c", "HOME": "h"}, "linux") == Path("c")
    assert cache_folder({CACHE: "", "HOME": "h"}, "linux") is None
    assert cache_folder({}, "linux") is None
