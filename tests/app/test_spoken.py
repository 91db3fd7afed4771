"""A sentence whose facts are not all known reads as one that never had them."""

import pytest

from loombench.app.spoken import without_gaps


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("Fuse F1 (, 60 A): renewed.", "Fuse F1 (60 A): renewed."),
        ("Renew F1 () by the same type.", "Renew F1 by the same type."),
        ("Wire A to B (BK, , 2 m, loom ): put right.", "Wire A to B (BK, 2 m, loom ): put right."),
        ("motor M8 (): renewed", "motor M8: renewed"), ("S4 (work lamps, ): cleaned", "S4 (work lamps): cleaned"),
        ("as it is (here, and there), too", "as it is (here, and there), too"),
    ],
)  # fmt: skip
def test_gaps_are_closed(text: str, said: str) -> None:
    assert without_gaps(text) == said
