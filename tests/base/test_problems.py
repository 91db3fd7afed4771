"""Problems, their wording and how they are shown."""

import pytest

from loombench.base.band import Band, between, exactly
from loombench.base.outcome import Outcome, errors
from loombench.base.problems import Level, Span, as_json, error, note, warning
from loombench.base.report import LONGEST_LINE, render
from loombench.base.wording import PARTS, Catalogue, catalogue, phrase

LABELS = {f"report.{name}": f"{name}:" for name in ("seen", "expected")} | {"report.fix": "do:"}
LEVELS = {f"report.{level.value}": level.value for level in Level}
SAID = {f"problem.planted.{part}": f"{part} of {{name}}" for part in PARTS}
WORDS = Catalogue("en", SAID | LABELS | LEVELS)


def test_a_problem_points_at_its_place() -> None:
    shown = render(error("planted", Span("a.circuit", 2, 5, 8), name="E7"), {"a.circuit": "one\nlamp E7 12V\n"}, WORDS)
    assert shown.splitlines()[:4] == [
        "error planted: title of E7",
        "  a.circuit:2:5",
        "    2 | lamp E7 12V",
        "            ^^^",
    ]
    assert shown.splitlines()[4:] == ["  seen:     seen of E7", "  expected: expected of E7", "  do:       fix of E7"]


def test_a_clash_shows_both_places() -> None:
    shown = render(error("planted", Span("a", 1), Span("b", 1), name="x"), {"a": "first", "b": "second"}, WORDS)
    assert "first" in shown
    assert "second" in shown


def test_a_huge_line_is_cut_round_the_place() -> None:
    text = "x" * 100_000 + "HERE" + "y" * 100_000
    shown = render(error("planted", Span("a", 1, 100_001, 100_005), name="x"), {"a": text}, WORDS)
    assert "HERE" in shown
    assert max(len(line) for line in shown.splitlines()) < LONGEST_LINE + 20
    place, mark = shown.splitlines()[2:4]
    assert place[mark.index("^") : mark.rindex("^") + 1] == "HERE"


def test_a_file_cannot_steer_the_terminal() -> None:
    shown = render(error("planted", Span("a", 1, 1, 5), name="\x1b[2J\x07"), {"a": "\x1b]0;x\x07 lamp\u202e"}, WORDS)
    assert all(line.isprintable() for line in shown.splitlines())
    assert "lamp" in shown


def test_a_place_beyond_the_text_is_named_without_a_line() -> None:
    assert "a:9:1" in render(error("planted", Span("a", 9), name="x"), {"a": "short"}, WORDS)


def test_levels_and_errors() -> None:
    found = (note("planted"), warning("planted"), error("planted"))
    assert errors(found) == (found[2],)
    assert Outcome(1, found[:2]).usable
    assert not Outcome(1, found).usable


def test_for_machines() -> None:
    made = as_json(error("planted", Span("a", 1, 2, 3), name="x"), WORDS)
    assert made["code"] == "planted"
    assert made["spans"] == [{"file": "a", "line": 1, "column": 2, "end_column": 3}]
    assert made["fix"] == "fix of x"


def test_a_phrase_among_the_facts_is_said_in_the_language_of_the_reader() -> None:
    item = error("table-unreadable", Span("a", 1), reason=phrase("table.large", count=7))
    assert item.fact("reason") == "table.large"
    said = [catalogue(name).problem(item.code, dict(item.facts))["seen"] for name in ("en", "de")]
    assert said == ["Nothing was taken over: it has 7 bytes.", "Nichts wurde übernommen: es hat 7 Bytes."]
    assert as_json(item, catalogue())["facts"] == {"reason": "it has 7 bytes"}


def test_a_problem_is_printed_in_the_language_asked_for() -> None:
    item = warning("wire-unprotected", count=1, wires="G1.+~F1.in", length="0.2 m")
    lines = render(item, {}, catalogue("de")).splitlines()
    assert lines[0] == "Warnung wire-unprotected: Leitungen, die keine Sicherung schützt"
    assert [line[:12] for line in lines[1:]] == ["  gesehen:  ", "  erwartet: ", "  zu tun:   "]


def test_every_problem_has_all_its_sentences() -> None:
    words = catalogue()
    codes = {key.split(".")[1] for key in words.sentences if key.startswith("problem.")}
    assert len(codes) > 100
    for code in sorted(codes):
        for part in PARTS:
            assert words.has(f"problem.{code}.{part}"), f"{code} has no {part}"


def test_an_unknown_language_and_key() -> None:
    with pytest.raises(FileNotFoundError):
        catalogue("xx")
    with pytest.raises(KeyError):
        catalogue().say("problem.none.title")


def test_bands() -> None:
    assert exactly(2.0).known
    assert between(1.0, 3.0) == Band(2.0, 1.0, 3.0)
    assert str(between(1.0, 3.0)) == "1..3"
    with pytest.raises(ValueError, match="low <= nominal <= high"):
        Band(5.0, 1.0, 3.0)
