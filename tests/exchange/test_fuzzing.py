"""Sound files spoilt in many ways: the import never raises, says where it is wrong, and makes nothing that cannot be.

`python tools/fuzz.py` does the same for as long as one likes.
"""

from dataclasses import dataclass
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.exchange.reading import SAMPLES, TRAPS
from tests.exchange.soundness import check
from tests.exchange.spoiling import spoilt_bytes, spoilt_rows, spoilt_tree

TREES = sorted([*SAMPLES.glob("mini*.kbl"), *SAMPLES.glob("mini*.vec"), *TRAPS.glob("*.kbl"), *TRAPS.glob("*.vec")])
LISTS = sorted([*SAMPLES.glob("*.csv"), *TRAPS.glob("*.csv"), *TRAPS.glob("*.tsv")])


@dataclass(frozen=True)
class Drawn:
    """Dice that hypothesis throws, so that what fails is made small."""

    data: st.DataObject

    def below(self, sides: int) -> int:
        return int(self.data.draw(st.integers(0, sides - 1)))


@pytest.mark.parametrize("path", TREES + LISTS, ids=lambda path: path.name)
def test_the_files_themselves_are_sound(path: Path) -> None:
    check(path.read_bytes(), path.name)


@settings(max_examples=200)
@given(st.sampled_from(TREES), st.data())
def test_a_spoilt_tree(path: Path, data: st.DataObject) -> None:
    check(spoilt_tree(path.read_bytes(), Drawn(data)), path.name)


@settings(max_examples=200)
@given(st.sampled_from(LISTS), st.data())
def test_a_spoilt_list(path: Path, data: st.DataObject) -> None:
    check(spoilt_rows(path.read_bytes(), Drawn(data)), "list.csv")


@settings(max_examples=100)
@given(st.sampled_from(TREES + LISTS), st.data())
def test_spoilt_bytes(path: Path, data: st.DataObject) -> None:
    check(spoilt_bytes(path.read_bytes(), Drawn(data)), path.name)
