"""What is asked beside devices and rings: volts, matings, batteries; and answers that cannot be taken."""

from loombench.base.problems import Level
from loombench.exchange.assembly.parts import ANSWERABLE, read_bolted
from loombench.exchange.assembly.points import Points
from loombench.exchange.assembly.proposals import BODY
from loombench.exchange.harness import Harness
from loombench.exchange.joining import mated, propose_matings
from loombench.exchange.missing import BATTERY, DEVICE, MATING, MINUS, RING, VEHICLE, VOLTAGE, Answer, Answers, Lack
from loombench.exchange.report import Notes

USUAL_V = 12.0


def voltage_lack(harness: Harness) -> Lack:
    said = f"{harness.voltage_v:g}V" if harness.voltage_v is not None else f"{USUAL_V:g}V"
    because = "voltage-said" if harness.voltage_v is not None else "voltage"
    return Lack(VOLTAGE, VEHICLE, proposal=said, because=because)


def joined(harness: Harness, answers: Answers, notes: Notes) -> tuple[Harness, list[Lack]]:
    """The harness with the matings that are confirmed, and the rows of all that are proposed or told."""
    lacks: list[Lack] = []
    by_id = {item.id: item for item in harness.holders}
    for one in propose_matings(harness):
        a, b = by_id[one.mating.a], by_id[one.mating.b]
        facts = (("same", str(one.same)), ("other", str(one.other)), ("count", str(len(one.mating.pairs))))
        lacks.append(Lack(MATING, a.id, "", a.description, b.id, "", "mating", facts, a.place, a.description, a.span))
    proposed = {lack.id for lack in lacks}
    told = [name for what, name in answers.given if what == MATING and name not in proposed]
    lacks.extend(Lack(MATING, name, because="mating-told") for name in told)
    for lack in lacks:
        answer = answers.to(lack)
        if answer is None:
            continue
        joined = mated(harness, lack.id, answer.text.strip())
        if joined is None:
            refuse(notes, lack, answer, "mating")
        else:
            harness = joined
    return harness, lacks


def battery_lacks(lacks: list[Lack], answers: Answers, points: Points) -> list[Lack]:
    """The batteries whose posts were named or proposed, and the ground of each that no ring or pin is at."""
    posts: dict[str, set[str]] = {}
    places: dict[str, str] = {}
    for lack in lacks:
        answer = answers.to(lack)
        text = answer.text if answer is not None else lack.proposal
        bolted = read_bolted(text, lack.id) if lack.what in (RING, DEVICE) else None
        if bolted is not None and bolted.point is not None:
            posts.setdefault(bolted.point.part, set()).add(bolted.point.pin)
            places[bolted.point.part] = places.get(bolted.point.part) or lack.place
    found: list[Lack] = []
    for name, pins in posts.items():
        if name not in points.called and pins <= {"+", "-"}:
            found.append(Lack(BATTERY, name, proposal="battery ?Ah", because="battery", place=places[name]))
            if "-" not in pins:
                found.append(Lack(MINUS, name, proposal=f"stud GND-{name} on {BODY}", because="minus"))
    return found


def refuse(notes: Notes, lack: Lack, answer: Answer, reason: str) -> None:
    facts = {"what": lack.what, "name": lack.id[:60], "answer": answer.text[:80], "pins": lack.pins[:120] or "-"}
    notes.add(f"answer-{reason}", Level.ERROR, answer.span, lack.span, kinds=", ".join(ANSWERABLE), **facts)
