"""A complaint understood: the loads, and the state where none was said."""

from pathlib import Path

import pytest

from loombench.app.complaints import understand
from loombench.app.finding import next_step, verdict
from loombench.app.practice import auto, complaint_of
from loombench.app.search import start
from loombench.app.states import States
from loombench.app.vehicles import open_vehicle
from loombench.circuit.fault import read_fault
from loombench.evidence.complaint import Complaint
from loombench.evidence.envelope import envelope
from loombench.evidence.events import CaseOpened, ComplaintGiven
from loombench.record.jsonl import JsonlStore
from loombench.vehicle.condition import Condition, Operation
from tests.diagnose.vehicles import HEAD, LAMP, RELAY, vehicle

EXAMPLES = Path(__file__).parents[2] / "examples"
TIME = "2000-01-01T00:00:00+00:00"
CAR = vehicle(LAMP)


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("E7 dead", ["E7 dead S4=on"]),
        ("work lamps dead", ["E7 dead S4=on", "E8 dead S4=on"]),
        ("left dead; right works", ["E7 dead S4=on", "E8 works S4=on"]),
        ("E7 always on", ["E7 always-on at rest"]),
        ("E7 blows its fuse", ["F12 blows-fuse S4=on"]),
        ("F12 blows", ["F12 blows-fuse S4=on"]),
        ("E7 dim when S4=on, supply 11V", ["E7 dim S4=on, supply 11V"]),
    ],
)
def test_the_state_is_found_where_none_is_said(text: str, found: list[str]) -> None:
    outcome = understand(CAR, text)
    assert [f"{one.target} {one.symptom} {one.condition}" for one in outcome.value] == found
    said = [one.fact("condition") for one in outcome.problems if one.code == "state-taken"]
    assert bool(said) == (" when " not in text and "always" not in text)
    assert outcome.value[0].text == text


def test_a_relay_is_worked_through() -> None:
    outcome = understand(vehicle(RELAY), "horn dead")
    assert [f"{one.target} {one.condition}" for one in outcome.value] == ["B7 S7=push"]


def test_one_thing_not_understood_and_nothing_is_taken() -> None:
    outcome = understand(CAR, "E7 dead; E9 dead")
    assert outcome.value == ()
    assert [one.code for one in outcome.problems if one.level.value == "error"] == ["part-unknown"]


def test_a_complaint_about_no_load_names_those_behind_it() -> None:
    outcome = understand(CAR, "S4 dead")
    assert outcome.value == ()
    assert outcome.problems[0].fact("loads") == "E7, E8"


TIMED = (
    HEAD
    + """
fuse F1 20A at box
switch S1 key at dash
  key off | run: 1=2
switch S2 off | on: 1=2 at dash
switch S3 off | on: 1=2 at dash
relay K1 make 30 85 86 87 at box
lamp E1 12V 21W at head "one"
lamp E2 12V 21W at head "two"
lamp E3 12V 21W at head "three"
G1.- (BK 25mm2 0.4m) W1/a
G1.+ (RD 6mm2 0.8m) F1 (RD 2mm2 1m) S1.1
S1.2 (BK 2mm2 1m) S2 (BU 1mm2 1m) E1 (BN 1mm2 1m) W3/a
S2.2 (BU 1mm2 1m) K1.86
K1.85 (BN 1mm2 1m) W1/b
S1.2 (BK 2mm2 1m) K1.30
K1.87 (GN 1mm2 1m) E2 (BN 1mm2 1m) W3/b
S3.1 (RD 1mm2 1m) F1.out
S3.2 (GN 1mm2 1m) E3 (BN 1mm2 1m) W3/c
"""
)


def state(*settings: str) -> Condition:
    return Condition(tuple(Operation("set", *one.split("=")) for one in settings))


def test_a_state_has_no_more_in_it_than_the_load_needs() -> None:
    found = States(vehicle(TIMED)).together(("E1", "E3"))
    assert found == {"E1": found["E3"], "E3": found["E1"]}
    alone = States(vehicle(TIMED)).working("E2")
    assert alone is not None
    assert set(alone.operations) == set(state("S1.key=run", "S2=on").operations)
    assert States(vehicle(TIMED)).working("E3") == state("S3=on")


def test_in_the_state_found_the_load_works_in_the_sound_vehicle() -> None:
    opened = open_vehicle(str(EXAMPLES / "camper-van"))
    assert not opened.broken
    states = States(opened.vehicle)
    names = [sight.id for sight in states.sights(Condition())]
    found = {name: states.working(name) for name in names}
    assert [name for name, one in found.items() if one is None] == []
    assert all(states.works(name, one) for name, one in found.items() if one is not None)


def test_a_case_begins_with_all_complaints_and_keeps_what_was_said(tmp_path: Path) -> None:
    file = _file(tmp_path)
    text = "work lamps dead; F12 blows"
    begun = start(file, text, tmp_path, "1", TIME)
    assert begun.value is not None
    told = [one.payload for one in begun.value.case.events]
    assert isinstance(told[0], CaseOpened)
    assert told[0].complaint == text
    given = [one.complaint.target for one in told if isinstance(one, ComplaintGiven)]
    assert given == ["E7", "E8", "F12"]
    again = start(file, "", tmp_path, "1", TIME)
    assert again.value is not None
    assert again.value.case.events == begun.value.case.events


def test_complaints_lost_when_the_program_was_killed_are_given_again(tmp_path: Path) -> None:
    file = _file(tmp_path)
    text = "work lamps dead"
    first, _ = understand(CAR, text).value
    store = JsonlStore(tmp_path)
    for number, payload in enumerate((CaseOpened(CAR.name, "0" * 64, text), ComplaintGiven(first)), 1):
        store.append(envelope(number, TIME, "1", "", payload))
    begun = start(file, "", tmp_path, "1", TIME)
    assert begun.value is not None
    payloads = [one.payload for one in begun.value.case.events]
    assert [one.complaint.target for one in payloads if isinstance(one, ComplaintGiven)] == ["E7", "E8"]


def _file(folder: Path) -> str:
    path = folder / "car.circuit"
    path.write_text(LAMP, encoding="utf-8")
    return str(path)


INDICATORS = str(EXAMPLES / "cases" / "3-indicators.circuit")


def test_the_card_offers_the_looks_that_part_suspects(tmp_path: Path) -> None:
    begun = start(INDICATORS, "E3 quick flash when S10=left", tmp_path, "1", TIME)
    assert begun.value is not None
    card = next_step(begun.value.case)
    assert card is not None
    assert card.choices[:3] == ("dead", "dim", "works")
    assert {"quick", "steady"} <= set(card.choices)
    meant = {one.mark: one.suspects for one in card.meanings}
    assert meant["quick"] != meant["steady"]
    assert all(one.text for one in card.meanings)


def test_what_glows_when_it_should_be_off_is_searched_to_the_cure(tmp_path: Path) -> None:
    begun = start(INDICATORS, "E31.3-6 glows when off when S11=on", tmp_path, "1", TIME, "open E31.6~W3/a")
    assert begun.value is not None
    assert begun.value.practice is not None
    case = auto(begun.value.case, begun.value.practice)
    assert verdict(case).state == "cured"
    assert verdict(case).groups == ("E31.6~W3/a",)


def test_a_complaint_made_by_a_hidden_fault_has_the_word_for_it() -> None:
    car = open_vehicle(INDICATORS).vehicle
    left, brake = (understand(car, f"E3 dead when {state}").value[0] for state in ("S10=left", "S11=on"))
    assert isinstance(left, Complaint)
    assert isinstance(brake, Complaint)
    hidden = {
        "stuck K9 closed": ("steady", left.condition),
        "open E3": ("quick", left.condition),
        "open E31.6~W3/a": ("glows", brake.condition),
    }
    for text, (symptom, condition) in hidden.items():
        fault = read_fault(text)
        assert fault is not None
        told = complaint_of(car, fault, (condition,))
        assert told is not None
        assert told.symptom == symptom, text
