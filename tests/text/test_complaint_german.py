"""Complaints in German, beside the notation's own words, which are always read."""

import pytest

from loombench.base.wording import catalogue
from loombench.evidence.complaint import HISTORIES, PRESENCES, SYMPTOMS, History
from loombench.text.complaint import Said, phrases, read_complaint
from tests.text.circuits import codes
from tests.text.test_complaint import CAR

GERMAN = catalogue("de")


def said(text: str) -> tuple[Said | History, ...]:
    read = read_complaint(CAR, text, GERMAN)
    assert codes(read.problems) == []
    return read.value


@pytest.mark.parametrize(
    ("text", "targets", "symptom", "condition"),
    [
        ("E7 tot wenn S4=on", ("E7",), "dead", "S4=on"),
        ("E7 geht nicht", ("E7",), "dead", None),
        ("E7 ist schwach wenn S4=on", ("E7",), "dim", "S4=on"),
        ("E7 geht nicht aus", ("E7",), "always-on", None),
        ("E7 geht", ("E7",), "works", None),
        ("E9 blinkt zu schnell wenn S5=on", ("E9",), "quick", "S5=on"),
        ("M5.53-31 läuft verkehrt herum", ("M5.53-31",), "backwards", None),
        ("Sicherung F12 brennt sofort durch wenn S4=on", ("F12",), "blows-at-once", "S4=on"),
        ("beacon tot wenn S5=on", ("E9",), "dead", "S5=on"),
        ("alles bei rear tot", ("E9", "E10"), "dead", None),
        ("E7 dead when S4=on", ("E7",), "dead", "S4=on"),
    ],
)  # fmt: skip
def test_what_is_said_in_german(text: str, targets: tuple[str, ...], symptom: str, condition: str | None) -> None:
    (one,) = said(text)
    assert isinstance(one, Said)
    assert (one.targets, one.symptom) == (targets, symptom)
    assert (None if one.condition is None else str(one.condition)) == condition
    assert one.text == text


def test_what_happened_before_and_that_it_comes_and_goes() -> None:
    one, history = sorted(
        said("E7 tot wenn S4=on, nur bei Nässe; nach einem Unfall an rear"), key=lambda x: isinstance(x, History)
    )
    assert isinstance(one, Said)
    assert (one.symptom, one.presence) == ("dead", "wet")
    assert isinstance(history, History)
    assert (history.word, history.where) == ("accident", "rear")


@pytest.mark.parametrize(("text", "word", "where"), [
    ("rear wurde gequetscht", "crushed", "rear"), ("seit Reparatur an X12", "repair", "X12"),
    ("nach Regen", "rain", ""), ("Marderbiss bei head", "rodents", "head"),
])  # fmt: skip
def test_history_in_german(text: str, word: str, where: str) -> None:
    (one,) = said(text)
    assert isinstance(one, History)
    assert (one.word, one.where) == (word, where)


def test_german_words_are_read_where_german_is_spoken_alone() -> None:
    assert codes(read_complaint(CAR, "E7 tot wenn S4=on").problems) == ["complaint-unread"]
    read = read_complaint(CAR, "E7 lila", GERMAN)
    assert codes(read.problems) == ["complaint-unread"]
    assert read.problems[0].fact("allowed").startswith("tot, schwach")


def test_no_phrase_means_two_things() -> None:
    spoken = [phrase.strip() for name in SYMPTOMS for phrase in GERMAN.say(f"complaint.{name}").split(";")]
    assert len(set(spoken)) == len(spoken)
    assert set(phrases(GERMAN)) == {*phrases(), *spoken}
    for table, names in (("history", HISTORIES), ("presence", [one for one in PRESENCES if one])):
        some = [phrase.strip() for name in names for phrase in GERMAN.say(f"{table}.{name}").split(";")]
        assert len(set(some)) == len(some)
