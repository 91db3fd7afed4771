"""A complaint in words, several parted by `;`: a load, what it does, and when.

    E7 dead when S4=on; E8 works            by name, and what is all right
    work lamps dead                         by what is written on them; the state is then looked for
    everything through X12 dead             by a connector, a place, a loom, a fuse
    blows F12 at once when key=run, S4=on   of a fuse the fuse itself
    E7 joins in with E8
    E7 dead when S4=on, only when moved     it comes and goes
    after a repair at X12; X12 crushed      what happened before

The words for all of it are the catalogue's (`complaint.toml`): those of the notation, which are English, and beside
them those of the language one speaks.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType

from loombench.base.nearest import nearest
from loombench.base.outcome import Outcome
from loombench.base.problems import Problem, error
from loombench.base.wording import Catalogue, catalogue
from loombench.evidence.complaint import FUSE_SYMPTOMS, SYMPTOMS, History
from loombench.text.functions import find_loads, loads_at
from loombench.text.history import places_of, read_beside
from loombench.text.names import read_condition
from loombench.text.phrases import alternatives, pattern
from loombench.text.tokens import plain
from loombench.vehicle.condition import Condition
from loombench.vehicle.model import Vehicle
from loombench.vehicle.trace import runs

LONGEST = 2000
MOST_CLAUSES = 50
FUSES = ("fuse", "fuselink", "breaker")


@dataclass(frozen=True)
class Said:
    """One thing said of loads. `targets` are parts or `part.element`; `condition` the state named, None where none was;
    `other` the loads it joins in with; `where` the place, connector or loom that all of it is about, if one was named;
    `presence` whether it comes and goes."""

    targets: tuple[str, ...]
    symptom: str
    condition: Condition | None
    text: str
    other: tuple[str, ...] = ()
    where: str = ""
    presence: str = ""


def phrases(words: Catalogue | None = None) -> Mapping[str, str]:
    """The symptom of each phrase."""
    found = {phrase: name for name in SYMPTOMS for phrase in alternatives(f"complaint.{name}", words)}
    return MappingProxyType({**{name: name for name in SYMPTOMS}, **found})


def read_complaint(vehicle: Vehicle, text: str, words: Catalogue | None = None) -> Outcome[tuple[Said | History, ...]]:
    """What a text says, clause by clause; what cannot be understood is left out and is a problem."""
    said: list[Said | History] = []
    problems: list[Problem] = []
    clauses = [" ".join(clause.split()) for clause in plain(text)[:LONGEST].split(";")]
    for clause in [clause for clause in clauses if clause][:MOST_CLAUSES] or [""]:
        beside = read_beside(vehicle, clause, words)
        problems += beside.problems
        said += beside.value.histories
        if beside.value.left or not beside.value.histories:
            read = _read_clause(vehicle, beside.value.left, words)
            problems += read.problems
            if read.value is not None:
                said.append(replace(read.value, text=clause, presence=beside.value.presence))
    return Outcome(tuple(said), tuple(problems))


def _read_clause(vehicle: Vehicle, clause: str, spoken: Catalogue | None) -> Outcome[Said | None]:
    before, symptom, after, operations = _parted(clause, spoken)
    # `blows F12` names its fuse after the verb; what a load joins in with is no part of its name.
    words = before if symptom == "joins-in" and before else f"{before} {after}".strip()
    if not symptom or not words:
        allowed = ", ".join((spoken or catalogue()).say(f"complaint.{name}").partition(";")[0] for name in SYMPTOMS)
        return Outcome(None, (error("complaint-unread", text=clause[:80], allowed=allowed),))
    condition: Outcome[Condition | None] = read_condition(vehicle, operations) if operations else Outcome(None)
    every, through = (pattern(alternatives(f"complaint.{key}", spoken)) for key in ("everything", "through"))
    place = re.fullmatch(rf"(?:{every}) (?:{through}) (?P<where>\S+)", words)
    where = place["where"] if place else ""
    if where:
        targets = _at(vehicle, where)
    elif symptom == "flat":
        targets = _battery(vehicle, words, spoken)
    else:
        targets = _fuse(vehicle, words) if symptom in FUSE_SYMPTOMS else find_loads(vehicle, words)
    others = find_loads(vehicle, after) if symptom == "joins-in" and before and after else Outcome(())
    problems = (*targets.problems, *condition.problems, *others.problems)
    if not Outcome(None, problems).usable or not targets.value:
        return Outcome(None, problems)
    return Outcome(Said(targets.value, symptom, condition.value, clause, others.value, where), problems)


def _parted(clause: str, spoken: Catalogue | None) -> tuple[str, str, str, str]:
    """The words before the symptom, the symptom, the words after it, and the operations after `when` (that of `glows
    when off` is none)."""
    known, fillers = phrases(spoken), alternatives("complaint.fillers", spoken)
    when = re.compile(rf" (?:{pattern(alternatives('complaint.when', spoken))}) ")

    def kept(words: str) -> str:
        return " ".join(word for word in words.split() if word not in fillers)

    padded = f" {clause} "
    for phrase in sorted(known, key=lambda one: (-len(one), one)):
        before, mark, after = padded.partition(f" {phrase} ")
        if mark and not when.search(f"{before} "):
            more, operations = _split(f" {after}", when)
            return kept(before), known[phrase], kept(more), operations
    # `work lamps work`: as the last word it is a verb.
    said, operations = _split(clause, when)
    words, _, last = said.rpartition(" ")
    return (kept(words), "works", "", operations) if last in alternatives("complaint.last", spoken) else ("",) * 4


def _split(text: str, when: re.Pattern[str]) -> tuple[str, str]:
    """The text before the first `when`, and what comes after it."""
    said, *operations = when.split(text, maxsplit=1)
    return said, "".join(operations).strip()


def _at(vehicle: Vehicle, where: str) -> Outcome[tuple[str, ...]]:
    places = places_of(vehicle)
    if where not in places:
        return Outcome((), (error("whereabouts-unknown", name=where[:60], nearest=nearest(where, places)),))
    found = loads_at(vehicle, where)
    problem = error("whereabouts-empty", name=where)
    return Outcome(found) if found else Outcome((), (problem,))


def _battery(vehicle: Vehicle, words: str, spoken: Catalogue | None) -> Outcome[tuple[str, ...]]:
    """The battery named; without a name the only one, or the first."""
    batteries = [part.id for part in vehicle.parts.values() if part.kind == "battery"]
    named = [name for name in batteries if name in words.split()]
    if named or (batteries and words.casefold() in alternatives("complaint.batteries", spoken)):
        return Outcome(tuple(named or batteries[:1]))
    return Outcome((), (error("part-unknown", name=words[:60], nearest=nearest(words, batteries)),))


def _fuse(vehicle: Vehicle, words: str) -> Outcome[tuple[str, ...]]:
    """The fuse named; else the last one before the load that is."""
    fuses = [word for word in words.split() if word in vehicle.parts and vehicle.parts[word].kind in FUSES]
    if fuses:
        return Outcome((fuses[-1],))
    loads = find_loads(vehicle, words)
    found = [
        step.link.via
        for name in loads.value
        for run in runs(vehicle)
        if run.load.via == name or run.load.via.startswith(f"{name}.")
        for step in [one for one in run.feed if one.link.kind == "protection"][-1:]
    ]
    if found or not loads.value:
        return Outcome(tuple(dict.fromkeys(found)), loads.problems)
    part = vehicle.parts[loads.value[0].split(".", maxsplit=1)[0]]
    return Outcome((), (error("operation-target", part.span, text=words[:80], part=part.id, kind=part.kind),))
