"""What people complain about: by name, by function, by place, several at once."""

from collections.abc import Sequence

import pytest

from loombench.base.wording import catalogue
from loombench.evidence.complaint import FUSE_SYMPTOMS, HISTORIES, PRESENCES, SYMPTOMS, History
from loombench.text.complaint import Said, phrases, read_complaint
from loombench.vehicle.model import Vehicle
from tests.diagnose.vehicles import HEAD, vehicle
from tests.text.circuits import codes

CAR: Vehicle = vehicle(
    HEAD
    + """
place rear reach 1min
fuse   F12 15A at box "outside lights"
switch S4 off | on: 1=2 at dash "work lamps"
switch S5 off | on: 1=2 at dash "beacon"
lamp   E7 12V 55W at head "boom work lamp, left"
lamp   E8 12V 55W at head "boom work lamp, right"
lamp   E9 12V 21W at rear "beacon"
lamp   E10 12V 5W at rear "parking lamp"
unit   M5 "wiper" at head
  53-31  motor 12V 5A slow
  53b-31 motor 12V 7A fast
connector X12 2way chassis | boom at head
loom chassis
G1.- (BK 25mm2 0.4m) W1/a
G1.+ (RD 6mm2 0.8m) F12 (GY 1.5mm2 0.5m) S4.1
F12.out (GY 1.5mm2 0.5m) S5 (BU 1.5mm2 3m) E9 (BN 1.5mm2 3m) W1/b
S4.2 (GY/RD 1.5mm2 3.2m) X12.1
S5.2 (BU 1mm2 1m) E10 (BN 1mm2 1m) W1/c
loom boom
X12.1 (OG/BK 1.5mm2 2m) SP2
SP2 (OG/BK 1.5mm2 0.3m) E7 (BK 1.5mm2 0.8m) W3/a
SP2 (OG/BK 1.5mm2 1.1m) E8 (BK 1.5mm2 1.6m) W3/b
SP2 (OG/BK 1.5mm2 1.1m) M5.53
SP2 (OG/BK 1.5mm2 1.1m) M5.53b
M5.31 (BK 1.5mm2 0.8m) W3/c
"""
)


def only(told: Sequence[Said | History]) -> list[Said]:
    """What is said of loads; nothing else may have been told."""
    assert all(isinstance(one, Said) for one in told)
    return [one for one in told if isinstance(one, Said)]


@pytest.mark.parametrize(
    ("text", "targets"),
    [
        ("E7 dead", ("E7",)),
        ("E7 and E8 dead", ("E7", "E8")),
        ("E7, E8 are dead when S4=on", ("E7", "E8")),
        ("boom work lamp dead", ("E7", "E8")),
        ("Boom Work Lamps dead", ("E7", "E8")),
        ('"boom work lamp, left" dead', ("E7",)),
        ("boom work lamp left dead", ("E7",)),
        ("beacon dead", ("E9",)),
        ("boom lamp dead", ("E7", "E8")),
        ("outside lights dead", ("E7", "E8", "E9", "E10", "M5.53-31", "M5.53b-31")),
        ("wiper slow", ("M5.53-31", "M5.53b-31")),
        ("M5 slow", ("M5",)),
        ("M5.53b-31 slow", ("M5.53b-31",)),
        ("everything at rear dead", ("E9", "E10")),
        ("everything through X12 dead", ("E7", "E8", "M5.53-31", "M5.53b-31")),
        ("all in boom dead", ("E7", "E8", "M5.53-31", "M5.53b-31")),
        ("everything behind S5 dead", ("E9", "E10")),
        ("E7 blows its fuse", ("F12",)),
        ("beacon blows its fuse", ("F12",)),
    ],
)
def test_what_it_is_about(text: str, targets: tuple[str, ...]) -> None:
    outcome = read_complaint(CAR, text)
    assert outcome.problems == ()
    assert [said.targets for said in outcome.value if isinstance(said, Said)] == [targets]


@pytest.mark.parametrize(
    ("text", "code", "named"),
    [
        ("lamp dead", "complaint-several", "E7, E8 (boom work lamp); E10 (parking lamp)"),
        ("beacn light dead", "function-unknown", ""),
        ("everything at reer dead", "whereabouts-unknown", "rear"),
        ("everything at dash dead", "whereabouts-empty", "dash"),
        ("X99 dead", "part-unknown", ""),
    ],
)
def test_what_is_not_clear_is_asked_for(text: str, code: str, named: str) -> None:
    outcome = read_complaint(CAR, text)
    assert (outcome.value, codes(outcome.problems)) == ((), [code])
    assert named in " ".join(catalogue().text(fact) for _, fact in outcome.problems[0].facts)


def test_several_at_once_and_what_works() -> None:
    outcome = read_complaint(CAR, "E7 dead when S4=on; E8 works when S4=on;; beacon dim when S5=on;")
    assert [(said.targets, said.symptom, str(said.condition)) for said in only(outcome.value)] == [
        (("E7",), "dead", "S4=on"), (("E8",), "works", "S4=on"), (("E9",), "dim", "S5=on"),
    ]  # fmt: skip


def test_work_is_a_verb_where_it_stands_last() -> None:
    outcome = read_complaint(CAR, "boom work lamps work when S4=on; E9, E10 work; boom work lamps dead")
    assert [(said.targets, said.symptom) for said in only(outcome.value)] == [
        (("E7", "E8"), "works"), (("E9", "E10"), "works"), (("E7", "E8"), "dead"),
    ]  # fmt: skip


def test_one_clause_not_understood_leaves_the_others() -> None:
    outcome = read_complaint(CAR, "E7 dead when S4=on; E8 sings")
    assert [said.targets for said in only(outcome.value)] == [("E7",)]
    assert codes(outcome.problems) == ["complaint-unread"]


@pytest.mark.parametrize("symptom", SYMPTOMS)
def test_every_phrase_of_a_symptom_is_read_as_it(symptom: str) -> None:
    about = "F12" if symptom in FUSE_SYMPTOMS else "G1" if symptom == "flat" else "E7"
    for phrase in (symptom, *(one.strip() for one in catalogue().say(f"complaint.{symptom}").split(";"))):
        outcome = read_complaint(CAR, f"{about} {phrase}")
        assert [(said.targets, said.symptom) for said in only(outcome.value)] == [((about,), symptom)], phrase


def test_no_phrase_stands_for_two_symptoms() -> None:
    listed = [one.strip() for name in SYMPTOMS for one in catalogue().say(f"complaint.{name}").split(";")]
    assert len(listed) == len(set(listed))
    assert set(listed) <= set(phrases())


@pytest.mark.parametrize(
    ("text", "happened", "left"),
    [
        ("E7 dead when S4=on, after rain", [("rain", "")], "S4=on"),
        ("E7 dead after rain when S4=on", [("rain", "")], "S4=on"),
        ("E7 dead since a repair at X12", [("repair", "X12")], "None"),
        ("E7 dead after an accident rear", [("accident", "rear")], "None"),
        ("E7 dead after an accident at rear when S4=on", [("accident", "rear")], "S4=on"),
        ("E7 dead, long stood", [("stood", "")], "None"),
        ("E7 dead; after heavy rain; after work in boom", [("rain", ""), ("repair", "boom")], "None"),
        ("E7 dead; X12 crushed", [("crushed", "X12")], "None"),
        ("E7 dead; everything through X12 was squashed", [("crushed", "X12")], "None"),
        ("E7 dead; rear flooded", [("flooded", "rear")], "None"),
        ("E7 dead after a jump start", [("jump-start", "")], "None"),
    ],
)
def test_what_happened_before(text: str, happened: list[tuple[str, str]], left: str) -> None:
    outcome = read_complaint(CAR, text)
    assert outcome.problems == ()
    assert [(one.word, one.where) for one in outcome.value if isinstance(one, History)] == happened
    assert [(one.targets, str(one.condition)) for one in outcome.value if isinstance(one, Said)] == [(("E7",), left)]


@pytest.mark.parametrize("text", ["E7 dead after a repair at X99", "X99 crushed"])
def test_where_it_happened_is_a_place_there_is(text: str) -> None:
    assert codes(read_complaint(CAR, text).problems) == ["whereabouts-unknown"]


@pytest.mark.parametrize("word", HISTORIES)
def test_every_phrase_of_the_history_is_read_as_it(word: str) -> None:
    for phrase in (one.strip() for one in catalogue().say(f"history.{word}").split(";")):
        outcome = read_complaint(CAR, f"E7 dead after {phrase}")
        assert [one.word for one in outcome.value if isinstance(one, History)] == [word], phrase
        assert [one.targets for one in outcome.value if isinstance(one, Said)] == [("E7",)], phrase


@pytest.mark.parametrize("presence", [one for one in PRESENCES if one])
def test_what_comes_and_goes(presence: str) -> None:
    for phrase in (one.strip() for one in catalogue().say(f"presence.{presence}").split(";")):
        for text in (f"E7 dead when S4=on, {phrase}", f"E7 dead {phrase} when S4=on"):
            (said,) = only(read_complaint(CAR, text).value)
            assert (said.targets, said.symptom, str(said.condition), said.presence) == (
                ("E7",), "dead", "S4=on", presence,
            ), text  # fmt: skip


def test_a_fuse_that_blows_after_a_time_is_no_history() -> None:
    (said,) = only(read_complaint(CAR, "F12 blows after a time when S4=on").value)
    assert (said.targets, said.symptom) == (("F12",), "blows-later")
