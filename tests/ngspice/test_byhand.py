"""The engine against circuits written by hand as ngspice sheets; where they are from stands in `hand/README.md`."""

from collections.abc import Iterator

import pytest

from tests.ngspice.byhand import Sheet, compare_sheet, sheets
from tests.ngspice.driver import Spice

pytestmark = pytest.mark.ngspice


@pytest.fixture(scope="module")
def spice() -> Iterator[Spice]:
    with Spice() as one:
        yield one


def test_there_are_at_least_ten() -> None:
    assert len(sheets()) >= 10


@pytest.mark.parametrize("sheet", sheets(), ids=lambda sheet: sheet.name)
def test_volts_as_by_hand(spice: Spice, sheet: Sheet) -> None:
    found = compare_sheet(spice, sheet)
    assert found.nodes > 10
    assert found.misses == []
