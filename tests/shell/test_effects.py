"""`loombench effects`: what it prints and writes, and what it says where it cannot."""

from pathlib import Path

import pytest

from tests.diagnose.vehicles import LAMP
from tests.shell.test_commands import ask


@pytest.fixture
def file(tmp_path: Path) -> str:
    path = tmp_path / "rig.circuit"
    path.write_text(LAMP, encoding="utf-8")
    return str(path)


def test_rows_are_printed_or_written(file: str, tmp_path: Path) -> None:
    told = ask("effects", file, "--states", "S4=on")
    assert told.exit_code == 0
    assert "F12 in " in told.output
    table, page, folder = tmp_path / "e.csv", tmp_path / "e.html", tmp_path / "shards"
    made = ask("effects", file, "--states", "S4=on", "--csv", str(table), "-o", str(page), "--shards", str(folder))
    assert made.exit_code == 0
    assert table.read_text(encoding="utf-8").startswith("Fault,")
    assert "<table>" in page.read_text(encoding="utf-8")
    assert len(list(folder.iterdir())) == 1


def test_what_cannot_be_done_is_said(file: str, tmp_path: Path) -> None:
    assert ask("effects", file, "--states", "S99=on").exit_code == 1
    assert ask("effects", str(tmp_path / "none.circuit")).exit_code == 1
    unwritten = ask("effects", file, "--states", "S4=on", "--csv", str(tmp_path / "none" / "e.csv"))
    assert unwritten.exit_code == 1
    assert "paper-unwritten" in unwritten.output
    blocked = ask("effects", file, "--states", "S4=on", "--shards", f"{file}/inside")
    assert blocked.exit_code == 1
    assert "paper-unwritten" in blocked.output
