"""A desk with one small vehicle and a store of its own."""

import pytest

from loombench.app.desk.desk import Desk, DeskPlace
from tests.web.server import LAMP


@pytest.fixture(scope="module")
def place(tmp_path_factory: pytest.TempPathFactory) -> DeskPlace:
    folder = tmp_path_factory.mktemp("desk")
    (folder / "lamp.circuit").write_text(LAMP, encoding="utf-8")
    return DeskPlace(folder, folder / "store" / "jobs.sqlite")


@pytest.fixture
def desk(place: DeskPlace) -> Desk:
    """A worker that was just started."""
    return Desk(place)
