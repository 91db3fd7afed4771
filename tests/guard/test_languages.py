"""German says all that English says, with the same facts; planted differences are found."""

from pathlib import Path

from loombench.base.wording import catalogue, languages
from tests.guard.languages import files_unlike, unlike

DATA = Path("src/loombench/base/data")
SAME = (
    "card.time",
    "import.format.kbl",
    "import.format.vec",
    "joblist.go-on",
    "jobs.go-on",
    "places.minutes",
    "problem.event-format.expected",
    "session.undrawn-line",
    "shell.sound",
    "web.circuit.pin",
    "web.first.language-de",
    "web.first.language-en",
    "web.name",
    "web.pair.tablet",
    "web.record.name",
)
"""Names, units and commands, which are the same in both, and words that happen to be."""
ENGLISH = {"a": "one {fact}", "b": "two", "c": "{first} and {second}", "d": "{fact}"}


def test_german_says_all_that_english_says() -> None:
    assert languages() == ("de", "en")
    assert files_unlike(DATA, "en", "de") == ()
    assert tuple(unlike(catalogue("en").sentences, catalogue("de").sentences, SAME)) == ()


def test_what_is_said_alike_passes() -> None:
    german = {"a": "eins {fact}", "b": "zwei", "c": "{second} und {first}", "d": "{fact}"}
    assert tuple(unlike(ENGLISH, german)) == ()


def test_a_missing_key_and_one_too_many_are_found() -> None:
    german = {"a": "eins {fact}", "c": "{first} und {second}", "d": "{fact}", "e": "fünf"}
    assert tuple(unlike(ENGLISH, german)) == ("b: missing", "e: only there")


def test_another_fact_is_found() -> None:
    german = {"a": "eins {Fact}", "b": "zwei", "c": "{first}", "d": "{fact}"}
    assert tuple(unlike(ENGLISH, german)) == (
        "a: its facts are {Fact}, not {fact}",
        "c: its facts are {first}, not {first}, {second}",
    )


def test_a_sentence_left_in_english_is_found_and_so_is_leave_that_nobody_needs() -> None:
    german = {"a": "one {fact}", "b": "two", "c": "{first} und {second}", "d": "{fact}"}
    assert tuple(unlike(ENGLISH, german, ("b", "c"))) == ("a: the same sentence", "c: no longer the same sentence")


def test_a_file_that_one_language_lacks_is_found(tmp_path: Path) -> None:
    for name in ("en/card.toml", "de/card.toml", "en/steps.toml"):
        (tmp_path / name).parent.mkdir(exist_ok=True)
        (tmp_path / name).write_text("", encoding="utf-8")
    assert files_unlike(tmp_path, "en", "de") == ("steps.toml",)
