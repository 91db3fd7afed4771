"""Works ahead in the background while a line is awaited, and stops as soon as it comes."""

import threading
from collections.abc import Iterator
from contextlib import contextmanager

from loombench.app.ahead import look_ahead
from loombench.app.cards import StepCard
from loombench.app.case import Case
from loombench.base.wording import Catalogue
from loombench.shell.waiting import waiting

PATIENCE_S = 0.5
"""A line that comes within this needs nothing worked out before."""


@contextmanager
def working_ahead(
    case: Case, card: StepCard | None, words: Catalogue, patience_s: float = PATIENCE_S
) -> Iterator[None]:
    """While the block waits for the person, what follows each answer is worked out. The block must not use the case."""
    if card is None:
        yield
        return
    done = threading.Event()

    def work() -> None:
        if not done.wait(patience_s):
            look_ahead(case, card, done.is_set)

    worker = threading.Thread(target=work, daemon=True)
    worker.start()
    try:
        yield
    finally:
        done.set()
        with waiting(words):
            worker.join()
