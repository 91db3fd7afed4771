"""Looking for waste seldom: what is in circles is still found, only later."""

import gc
import weakref
from collections.abc import Iterator

import pytest

from loombench.base.waste import look_seldom


@pytest.fixture
def usual() -> Iterator[tuple[int, int, int]]:
    before = gc.get_threshold()
    yield before
    gc.set_threshold(*before)


class Ring:
    """Refers to itself."""

    def __init__(self) -> None:
        self.own = self


def test_it_is_looked_for_more_seldom_but_still(usual: tuple[int, int, int]) -> None:
    look_seldom()
    assert all(now > before for now, before in zip(gc.get_threshold(), usual, strict=True))
    gone = weakref.ref(Ring())
    kept = [[k] for k in range(gc.get_threshold()[0] + 1)]
    assert gone() is None
    assert len(kept) == gc.get_threshold()[0] + 1
