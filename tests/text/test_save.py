"""Saving: refused where the file changed since it was shown, whole or not at all otherwise."""

import os
from pathlib import Path

import pytest

from loombench.base.band import exactly
from loombench.text.edit_file import edit_file
from loombench.text.save import fingerprint, save_text
from loombench.text.sources import read_path
from loombench.vehicle.change import Change, SetNumber
from tests.text.circuits import LAMP, codes

NEW = LAMP.replace("10A", "15A")


@pytest.fixture
def path(tmp_path: Path) -> Path:
    target = tmp_path / "lamp.circuit"
    target.write_bytes(LAMP.encode())
    return target


def test_a_file_that_is_as_it_was_shown_is_replaced(path: Path) -> None:
    path.chmod(0o640)
    assert save_text(path, NEW, fingerprint(LAMP)) == ()
    assert path.read_bytes() == NEW.encode()
    assert path.stat().st_mode & 0o777 == 0o640
    assert [entry.name for entry in path.parent.iterdir()] == ["lamp.circuit"]


def test_a_stale_file_is_not_touched(path: Path) -> None:
    path.write_text(LAMP + "# meanwhile\n", encoding="utf-8")
    assert codes(save_text(path, NEW, fingerprint(LAMP))) == ["file-changed"]
    assert path.read_text(encoding="utf-8") == LAMP + "# meanwhile\n"


def test_a_file_that_went_away_is_not_made_again(path: Path) -> None:
    path.unlink()
    assert codes(save_text(path, NEW, fingerprint(LAMP))) == ["file-changed"]
    assert not path.exists()


def test_a_new_file_is_written_only_where_there_is_none(path: Path) -> None:
    assert codes(save_text(path, NEW, "")) == ["file-changed"]
    fresh = path.with_name("fresh.circuit")
    assert save_text(fresh, NEW, "") == ()
    assert fresh.read_text(encoding="utf-8") == NEW


def test_line_breaks_and_the_mark_at_the_beginning_are_kept(path: Path) -> None:
    text = LAMP.replace("\n", "\r\n")
    path.write_bytes(b"\xef\xbb\xbf" + text.encode())
    shown = read_path(path)
    assert isinstance(shown, str)
    assert save_text(path, shown.replace("10A", "15A"), fingerprint(shown)) == ()
    assert path.read_bytes() == b"\xef\xbb\xbf" + text.replace("10A", "15A").encode()


def test_a_write_that_fails_leaves_the_old_file_and_nothing_else(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(_: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    (problem,) = save_text(path, NEW, fingerprint(LAMP))
    assert (problem.code, problem.fact("reason")) == ("write-failed", "No space left on device")
    assert path.read_bytes() == LAMP.encode()
    assert [entry.name for entry in path.parent.iterdir()] == ["lamp.circuit"]


def test_a_link_stays_a_link(path: Path) -> None:
    link = path.with_name("link.circuit")
    link.symlink_to(path)
    assert save_text(link, NEW, fingerprint(LAMP)) == ()
    assert link.is_symlink()
    assert path.read_text(encoding="utf-8") == NEW


def test_a_change_is_made_in_a_file_that_nobody_touched(path: Path) -> None:
    change = Change(SetNumber("F12", "rated_a", exactly(15)), "as found", "2026-11-03")
    assert edit_file(path, change, fingerprint(LAMP)).value == NEW
    assert path.read_text(encoding="utf-8") == NEW
    stale = edit_file(path, change, fingerprint(LAMP))
    assert (codes(stale.problems), stale.value) == (["file-changed"], NEW)
    noted = edit_file(
        path, Change(SetNumber("E7", "rated_w", exactly(21)), "x", "2026-11-03"), fingerprint(NEW), noted=True
    )
    assert noted.problems == ()
    assert path.read_text(encoding="utf-8") == NEW + 'change 2026-11-03 "x" number E7 21W\n'
    assert codes(edit_file(path.with_name("none"), change, "").problems) == ["file-missing"]
