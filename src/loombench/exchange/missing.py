"""The one table of what harness data lacks, with what may be meant; and the answers that somebody gave to it.

Proposals come from names, words and signals (`exchange.assembly.proposals`). None is taken without being told to:
`Answers` holds what the user wrote in the table, and whether the proposals of the other rows count.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

from loombench.base.problems import Span

MATING, RING, DEVICE, RELAY, FITTED, RATING, FEED, BATTERY, MINUS, VOLTAGE = (
    "mating", "ring", "device", "relay", "fitted", "rating", "feed", "battery", "minus", "voltage",
)  # fmt: skip
WHAT = (VOLTAGE, MATING, RING, BATTERY, MINUS, DEVICE, RELAY, FITTED, RATING, FEED)
"""What can be asked, in the order of the table."""
VEHICLE = "vehicle"
"""The id of what is asked about the whole vehicle."""
YES, NO = ("yes", "y", "x", "ok", "ja", "oui", "si"), ("no", "none", "-", "n")
"""Answers that take the row's proposal, and those that leave it open though proposals are accepted."""

Key = tuple[str, str]


@dataclass(frozen=True)
class Lack:
    """One row: what is not known of what.

    Attributes:
        what: one of `WHAT`.
        id: the name in the files of the device, ring, fuse or connector; the name of a battery.
        pins: its pins with their signals, `1 30-F1; 2 31`.
        seen: what the files say of it.
        proposal, proposed_pins: an answer that may be right, empty where there is none.
        because, facts: key of the sentence that says why, and what it needs.
        place, label: as in the files.
        span: where it stands in the file.
    """

    what: str
    id: str
    pins: str = ""
    seen: str = ""
    proposal: str = ""
    proposed_pins: str = ""
    because: str = ""
    facts: tuple[tuple[str, str], ...] = ()
    place: str = ""
    label: str = ""
    span: Span | None = None

    @property
    def key(self) -> Key:
        """What an answer is found by."""
        return self.what, self.id


@dataclass(frozen=True)
class Answer:
    """What is to be taken for a row.

    `text` is in the words of the notation without the name, such as `lamp 55W`, `stud on chassis`, `G1.+`; rows of a
    unit are parted by semicolons. `pins` says which printed pin is which pin of the kind: `1=+ 2=-`. `accepted` is true
    where it is the proposal, taken over.
    """

    text: str
    pins: str = ""
    place: str = ""
    label: str = ""
    span: Span | None = None
    accepted: bool = False


@dataclass(frozen=True)
class Answers:
    """All answers by the rows they are for; with `accept` a row without one is answered by its proposal."""

    given: Mapping[Key, Answer] = field(default_factory=lambda: MappingProxyType({}))
    accept: bool = False

    def to(self, lack: Lack) -> Answer | None:
        """The answer to a row; None where it stays open."""
        given = self.given.get(lack.key)
        place, label = (given.place, given.label) if given else ("", "")
        text = given.text.strip() if given else ""
        folded = text.casefold()
        if folded in NO:
            return None
        if given is not None and text and folded not in YES:
            return given
        if lack.proposal and (folded in YES or self.accept):
            span = given.span if given else None
            return Answer(lack.proposal, lack.proposed_pins, place or lack.place, label or lack.label, span, True)
        return None
