"""The demonstration: a hidden break on an example vehicle, found by the tool's own steps."""

from collections.abc import Iterator
from pathlib import Path

from loombench.app.cards import StepCard
from loombench.app.finding import open_case, opening, verdict
from loombench.app.practice import PRACTICE_TIME, PracticeVehicle, auto
from loombench.app.vehicles import open_vehicle
from loombench.base.quantity import print_quantity
from loombench.circuit.fault import read_fault
from loombench.record.memory import MemoryStore
from loombench.text.complaint import read_complaint

FILE = Path(__file__).resolve().parents[3] / "examples" / "telehandler-roof"
HIDDEN = "open S4.2~X12.3"
COMPLAINT = "E7 dead when S4=on"


def demonstration() -> Iterator[str]:
    """The lines of a whole case, as they come."""
    vehicle = open_vehicle(str(FILE)).vehicle
    hidden, complaint = read_fault(HIDDEN), read_complaint(vehicle, COMPLAINT).value
    if hidden is None or complaint is None:
        yield "The example vehicle is not where it should be."
        return
    yield f"{vehicle.name}: {len(vehicle.parts)} parts, {len(vehicle.wires)} wires"
    yield f"Complaint: {complaint.text}"
    case = open_case(vehicle, "", complaint, MemoryStore(), "demo", PRACTICE_TIME)
    for line in opening(case):
        yield f"Caution: {line}"
    said: list[str] = []

    def watch(card: StepCard, answer: float | str) -> None:
        said.extend(f"  Caution: {line}" for line in card.cautions)
        said.append(f"  {card.action}")
        said.append(f"    -> {print_quantity(answer, card.unit) if isinstance(answer, float) else answer}")

    case = auto(case, PracticeVehicle(vehicle, hidden), watch)
    yield from said
    end = verdict(case)
    yield end.text
    yield from (f"  {one}" for one in end.suspects)
    if end.job:
        yield end.job
    yield f"Hidden was: {HIDDEN}"
