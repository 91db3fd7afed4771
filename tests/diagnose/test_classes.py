"""Where a case ends with several suspects as one class, no reading within reach parts them: found by brute force."""

import pytest

from loombench.app.case import Case, bench_for
from loombench.app.finding import answer, next_step, open_case
from loombench.app.practice import PRACTICE_TIME, PracticeVehicle, complaint_of, usual_conditions
from loombench.circuit.fault import Fault, read_fault
from loombench.diagnose.belief import contradicted
from loombench.diagnose.bench import Bench
from loombench.diagnose.verdict import ONE_CLASS
from loombench.record.memory import MemoryStore
from loombench.vehicle.condition import Condition, Operation
from loombench.vehicle.model import Vehicle
from tests.diagnose.classes import Faults, partings
from tests.diagnose.vehicles import LAMP, RELAY, vehicle

LAMPS, HORN = vehicle(LAMP), vehicle(RELAY)
SAMPLE = {
    "lamps": (LAMPS, ("open contact W9.b", "open S4", "open SP2~E7.1")),
    "horn": (HORN, ("stuck K4 released", "short K4.87 to supply", "stuck K4 pulled")),
}
MOST_STEPS = 30


def fault(text: str) -> Fault:
    found = read_fault(text)
    assert found is not None
    return found


def ended(car: Vehicle, bench: Bench, hidden: Fault) -> Case:
    """The case of a hidden fault, taken until a class or a proof is said, or nothing is left."""
    complaint = complaint_of(car, hidden, usual_conditions(car))
    assert complaint is not None
    case = open_case(car, "0" * 64, complaint, MemoryStore(), "c", PRACTICE_TIME, bench=bench)
    practice = PracticeVehicle(car, hidden)
    for _ in range(MOST_STEPS):
        card = next_step(case)
        if card is None or case.verdict.proven or case.verdict.state == ONE_CLASS:
            return case
        said = practice.reply(case.offered(card.id), case.course.situation.repaired)
        case = answer(case, card.id, said, PRACTICE_TIME)
    raise AssertionError(hidden)


def still_possible(case: Case, group: str) -> list[Faults]:
    """The faults of a suspect that no reading of the case speaks against."""
    known = case.belief.hypotheses
    spoken = contradicted(case.belief).any(axis=0)
    members = [one for one, against in zip(known.members, spoken, strict=True) if one.group == group and not against]
    return [known.faults[row] for row in sorted({row for one in members for row in (one.low, one.high)})]


@pytest.mark.parametrize("name", SAMPLE)
def test_no_reading_within_reach_parts_the_members_of_a_class(name: str) -> None:
    car, hidden = SAMPLE[name]
    bench = bench_for(car)
    for text in hidden:
        case = ended(car, bench, fault(text))
        said = case.verdict
        assert said.proven or said.state == ONE_CLASS, text
        if len(said.groups) > 1:
            suspects = {group: possible for group in said.groups if (possible := still_possible(case, group))}
            assert len(suspects) > 1
            assert next(partings(car, case.complaint.condition, suspects), None) is None, text


def test_suspects_that_a_reading_parts_are_seen_to_be_parted() -> None:
    """Planted: a class that is none."""
    on = Condition((Operation("set", "S4", "on"),))
    both = {"S4": [(fault("open S4"),)], "contact W3": [(fault("open contact W3"),)]}
    found = list(partings(LAMPS, on, both))
    assert any("G1.- to S4.2, S4=on" in reading for _, _, reading in found)
    alike = {"wire": [(fault("open SP2~E7.1"),)], "joint": [(fault("open contact SP2<SP2~E7.1"),)]}
    assert list(partings(LAMPS, on, alike)) == []
