"""The complaint line: `E7 dead when S4=on`, `E7 works when S5=on`, `blows F12 when key=run, S4=on`."""

from types import MappingProxyType

from loombench.base.outcome import Outcome
from loombench.base.problems import Problem, error
from loombench.evidence.complaint import SYMPTOMS, Complaint
from loombench.text.names import find_element, read_condition
from loombench.text.tokens import plain
from loombench.vehicle.condition import Condition
from loombench.vehicle.model import Vehicle

LONGEST = 2000
PHRASES = MappingProxyType(
    {
        **{symptom: symptom for symptom in SYMPTOMS},
        "always on": "always-on", "glows when off": "always-on", "on when off": "always-on",
        "blows fuse": "blows-fuse", "blows": "blows-fuse", "ok": "works", "weak": "dim", "does not work": "dead",
    }
)  # fmt: skip
"""Words for symptoms, the longest first where one begins with another."""
FUSES = ("fuse", "fuselink", "breaker")
_FILLERS = ("is", "are", "the", "its", "fuse")


def read_complaint(vehicle: Vehicle, text: str) -> Outcome[Complaint | None]:
    """The complaint a line spells; None with the problem where it spells none.

    After `when` stand operations as in a condition, several joined by commas. A fuse that blows is the target itself,
    whether it says `F12 blows`, `blows F12` or `E7 blows F12`.
    """
    said = " ".join(plain(text)[:LONGEST].split())
    words, symptom, operations = _parted(said)
    target = _target(vehicle, words, symptom)
    if not symptom or not target:
        return Outcome(None, (error("complaint-unread", text=said[:80], allowed=", ".join(PHRASES)),))
    found = find_element(vehicle, target)
    condition: Outcome[Condition] = read_condition(vehicle, operations)
    problems: list[Problem] = [*found.problems, *condition.problems]
    if found.value is None or not condition.usable:
        return Outcome(None, tuple(problems))
    part, element = found.value
    if symptom == "blows-fuse" and part.kind not in FUSES:
        said_kind = error("operation-target", part.span, text=said[:80], part=part.id, kind=part.kind)
        return Outcome(None, (*problems, said_kind))
    name = f"{part.id}.{element.name}" if element is not None else part.id
    return Outcome(Complaint(name, symptom, condition.value, text.strip()[:LONGEST]), tuple(problems))


def _parted(said: str) -> tuple[list[str], str, str]:
    """The words about the part, the symptom, and the operations after `when` (that of `glows when off` is none)."""
    padded = f" {said} "
    for phrase in sorted(PHRASES, key=len, reverse=True):
        before, mark, after = padded.partition(f" {phrase} ")
        if mark and " when " not in f"{before} ":
            more, _, operations = f" {after}".partition(" when ")
            words = [word for word in (*before.split(), *more.split()) if word not in _FILLERS]
            return words, PHRASES[phrase], operations.strip()
    return [], "", ""


def _target(vehicle: Vehicle, words: list[str], symptom: str) -> str:
    """What the complaint is about; of a blown fuse the fuse. Empty where it is not one name."""
    if symptom == "blows-fuse":
        fuses = [word for word in words if word in vehicle.parts and vehicle.parts[word].kind in FUSES]
        return (fuses or words or [""])[-1]
    return words[0] if len(words) == 1 else ""
