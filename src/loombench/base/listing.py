"""Names as a list in a sentence, shortened where there are many."""

from collections.abc import Sequence

from loombench.base.wording import Fact, phrase


def shortened(names: Sequence[str], most: int, between: str = ", ") -> Fact:
    """The first `most` names, and how many more there are."""
    shown = between.join(names[:most])
    return phrase("report.and-more", names=shown, more=len(names) - most) if len(names) > most else shown
