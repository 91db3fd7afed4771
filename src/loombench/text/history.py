"""What a complaint says beside the load: what happened before (`after rain`, `X12 crushed`), and that it comes and goes
(`only when moved`). It is taken out of the text, and what is left is read as a complaint.

    after a repair at X12      after an accident front-left      long stood      rear-left crushed
"""

import re
from collections.abc import Iterable
from dataclasses import dataclass

from loombench.base.nearest import nearest
from loombench.base.outcome import Outcome
from loombench.base.problems import Problem, error
from loombench.base.wording import Catalogue
from loombench.evidence.complaint import HISTORIES, PRESENCES, History
from loombench.text.phrases import alternatives, pattern
from loombench.vehicle.model import Vehicle

ALONE = ("stood", "rodents", "jump-start", "flooded", "crushed")
"""Words that need no `after` before them."""
DONE_TO = ("crushed", "flooded")
"""Words that may follow the place: `X12 crushed`."""


@dataclass(frozen=True)
class Beside:
    """What was said beside the complaint: what is left of the clause, the history, how the fault is present (empty:
    always)."""

    left: str
    histories: tuple[History, ...]
    presence: str


def places_of(vehicle: Vehicle) -> tuple[str, ...]:
    """What can be named as a place: places, looms, parts."""
    return (*vehicle.places, *vehicle.looms, *vehicle.parts)


def read_beside(vehicle: Vehicle, clause: str, words: Catalogue | None = None) -> Outcome[Beside]:
    """Part a clause. A place that does not exist is a problem where a preposition says that it is meant as one."""
    known = frozenset(places_of(vehicle))
    left, presence = _presence(clause, words)
    found: list[History] = []
    problems: list[Problem] = []
    for word in HISTORIES:
        match = _match(word, left, known, words)
        if match is None:
            continue
        where = match["where"] or ""
        said = match[0].strip(" ,")
        if where not in known:
            if where and (match.groupdict().get("at") or word in DONE_TO):
                problems.append(error("whereabouts-unknown", name=where[:60], nearest=nearest(where, known)))
            elif where:
                # The next word is none of a place: it belongs to what is left.
                said = said.removesuffix(where).strip(" ,")
            where = ""
        found.append(History(word, where, said))
        left = " ".join(left.replace(said, " ", 1).strip(" ,").split()).replace(" ,", ",")
    return Outcome(Beside(left.strip(" ,"), tuple(found), presence), tuple(problems))


def _match(word: str, clause: str, known: Iterable[str], words: Catalogue | None) -> re.Match[str] | None:
    def some(key: str) -> str:
        return pattern(alternatives(key, words))

    phrases = some(f"history.{word}")
    after = rf"(?:{some('history.after')})\s+(?:(?:{some('history.articles')})\s+)*"
    if word in DONE_TO:
        every = rf"(?:(?:{some('complaint.everything')})\s+(?:{some('complaint.through')})\s+)?"
        start = rf"{every}(?P<where>[^\s,;]+)\s+(?:(?:{some('history.being')})\s+)?"
        before = re.search(rf"(?:^|(?<=,\s)){start}(?:{phrases})(?=$|[\s,;])", clause)
        if before is not None and (before["where"] in known or before.end() == len(clause)):
            return before if before["where"] not in alternatives("history.being", words) else None
    lead = rf"(?:{after})?" if word in ALONE else after
    place = rf"(?:\s+(?P<at>{some('history.at')})?\s*(?P<where>[^\s,;]+))?"
    return re.search(rf"(?:^|(?<=\s)){lead}(?:{phrases})(?=$|[\s,;]){place}", clause)


def _presence(clause: str, words: Catalogue | None) -> tuple[str, str]:
    """The clause without what says that it comes and goes, and which of `PRESENCES` that was."""
    joining = pattern(alternatives("history.joining", words))
    for presence in filter(None, PRESENCES):
        phrases = pattern(alternatives(f"presence.{presence}", words))
        match = re.search(rf"(?:^|,?\s+)(?:(?:{joining})\s+)?(?:{phrases})(?=$|[\s,;])", clause)
        if match is not None:
            return f"{clause[: match.start()]} {clause[match.end() :]}".strip(" ,"), presence
    return clause, ""
