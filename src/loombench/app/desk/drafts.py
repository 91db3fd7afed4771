"""Texts that somebody has under way in an editor, as read: the cursor moves more often than the text changes."""

import hashlib
from collections import OrderedDict
from collections.abc import Mapping
from pathlib import Path

from loombench.app.drawing import Drawings
from loombench.app.notation import draft_of
from loombench.base.outcome import Outcome
from loombench.vehicle.model import Vehicle

KEPT = 2


class Drafts:
    """Drafts by what they hold."""

    def __init__(self) -> None:
        self._kept: OrderedDict[str, tuple[Outcome[Vehicle], Drawings]] = OrderedDict()

    def read(self, main: Path, texts: Mapping[str, str]) -> tuple[Outcome[Vehicle], Drawings]:
        """The vehicle that some texts make, and its drawings."""
        told_apart = repr((str(main), sorted(texts.items())))
        digest = hashlib.sha256(told_apart.encode("utf-8", "surrogatepass")).hexdigest()
        kept = self._kept.pop(digest, None)
        if kept is None:
            loaded = draft_of(main, texts)
            kept = loaded, Drawings(loaded.value)
        self._kept[digest] = kept
        while len(self._kept) > KEPT:
            self._kept.popitem(last=False)
        return kept
