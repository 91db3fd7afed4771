"""What is asked beside devices and rings: volts, matings, batteries; and answers that cannot be taken."""

from dataclasses import replace
from types import MappingProxyType

from loombench.base.problems import Level
from loombench.exchange.assembly.parts import ANSWERABLE, read_bolted
from loombench.exchange.assembly.points import Points
from loombench.exchange.assembly.rings import BODY
from loombench.exchange.harness import Harness
from loombench.exchange.mating import mated, propose_matings
from loombench.exchange.missing import (
    BATTERY,
    DEVICE,
    MATING,
    MINUS,
    RING,
    VEHICLE,
    VOLTAGE,
    Answer,
    Answers,
    Key,
    Lack,
)
from loombench.exchange.report import Notes

USUAL_V = 12.0


def voltage_lack(harness: Harness) -> Lack:
    said = f"{harness.voltage_v:g}V" if harness.voltage_v is not None else f"{USUAL_V:g}V"
    because = "voltage-said" if harness.voltage_v is not None else "voltage"
    return Lack(VOLTAGE, VEHICLE, proposal=said, because=because)


def joined(harness: Harness, answers: Answers, notes: Notes) -> tuple[Harness, Answers, list[Lack]]:
    """The harness with the matings that are confirmed, and the rows of all that are proposed or told.

    A pair told in the other order than it was proposed in answers that proposal; so the answers come back too.
    """
    lacks: list[Lack] = []
    by_id = {item.id: item for item in harness.holders}
    for one in propose_matings(harness):
        a, b = by_id[one.mating.a], by_id[one.mating.b]
        facts = (("same", str(one.same)), ("other", str(one.other)), ("count", str(len(one.mating.pairs))))
        why = "mating-said" if one.said else "mating"
        lacks.append(Lack(MATING, a.id, "", a.description, b.id, "", why, facts, a.place, a.description, a.span))
    proposed = {lack.id for lack in lacks}
    pairs = {(lack.proposal, lack.id) for lack in lacks}
    given: dict[Key, Answer] = {}
    for (what, name), answer in answers.given.items():
        other = answer.text.strip()
        turned = what == MATING and (name, other) in pairs
        given[(what, other) if turned else (what, name)] = replace(answer, text=name) if turned else answer
    answers = replace(answers, given=MappingProxyType(given))
    told = [name for (what, name), answer in given.items() if what == MATING and answer.text and name not in proposed]
    lacks.extend(Lack(MATING, name, because="mating-told") for name in told)
    for lack in lacks:
        decided = answers.to(lack)
        if decided is None:
            continue
        plugged = mated(harness, lack.id, decided.text.strip())
        if plugged is None:
            refuse(notes, lack, decided, "mating")
        else:
            harness = plugged
    return harness, answers, lacks


def battery_lacks(lacks: list[Lack], answers: Answers, points: Points) -> list[Lack]:
    """The batteries whose posts were named or proposed, and the ground of each that no ring or pin is at."""
    posts: dict[str, set[str]] = {}
    places: dict[str, str] = {}
    rings: set[str] = set()
    for lack in lacks:
        answer = answers.to(lack)
        text = answer.text if answer is not None else lack.proposal
        bolted = read_bolted(text, lack.id) if lack.what in (RING, DEVICE) else None
        if bolted is not None and lack.what == DEVICE:
            rings.add(lack.id)
        if bolted is not None and bolted.point is not None:
            posts.setdefault(bolted.point.part, set()).add(bolted.point.pin)
            places[bolted.point.part] = places.get(bolted.point.part) or lack.place
    found: list[Lack] = []
    for name, pins in posts.items():
        if (name not in points.called or name in rings) and pins <= {"+", "-"}:
            found.append(Lack(BATTERY, name, proposal="battery ?Ah", because="battery", place=places[name]))
            if "-" not in pins:
                found.append(Lack(MINUS, name, proposal=f"stud GND-{name} on {BODY}", because="minus"))
    return found


def refuse(notes: Notes, lack: Lack, answer: Answer, reason: str) -> None:
    facts = {"what": lack.what, "name": lack.id[:60], "answer": answer.text[:80], "pins": lack.pins[:120] or "-"}
    notes.add(f"answer-{reason}", Level.ERROR, answer.span, lack.span, kinds=", ".join(ANSWERABLE), **facts)
