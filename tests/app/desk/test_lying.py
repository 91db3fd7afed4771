"""Where a job's vehicle lies, when somebody else has written the job."""

from pathlib import Path

import pytest

from loombench.app.desk.desk import lying

TEXT = 'loombench 1\nvehicle "A" 12V\n'


@pytest.fixture
def store(tmp_path: Path) -> Path:
    (tmp_path / "van").mkdir()
    (tmp_path / "van" / "vehicle.circuit").write_text(TEXT, encoding="utf-8")
    (tmp_path / "lamp.circuit").write_text(TEXT, encoding="utf-8")
    (tmp_path / "store").mkdir()
    return tmp_path / "store" / "jobs.sqlite"


@pytest.mark.parametrize("told", ["../lamp.circuit", "../van", "../van/vehicle.circuit"])
def test_a_vehicle_is_found_where_it_lies(store: Path, told: str) -> None:
    assert lying(store, told) == (store.parent / told).resolve()


@pytest.mark.parametrize(
    "told",
    ["", ".", "..", "/etc/passwd", "../../../../../../etc/passwd", "\0", "a\0.circuit", "/dev/zero",
     "../lamp.circuit/x", "../gone.circuit", "x" * 5000, "file:///etc/passwd", "/proc/self/environ", "\ud800.circuit"],
)  # fmt: skip
def test_nothing_else_is_opened(store: Path, told: str) -> None:
    assert lying(store, told) is None


def test_a_link_called_so_is_what_it_leads_to(store: Path) -> None:
    link = store.parent / "link.circuit"
    link.symlink_to("/etc/passwd")
    assert lying(store, "link.circuit") is None
