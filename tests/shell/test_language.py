"""A search in German from the complaint to the job card: no sentence of it is left in English."""

import html
import re
from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

from loombench.base.wording import catalogue
from loombench.shell.cli import application
from loombench.shell.language import VARIABLE
from tests.shell.test_session import SMALL

LONGER = 12
"""A piece of a sentence with no more signs than this may stand in the other language too."""
_FACT = re.compile(r"\{[^}]*\}")
_TYPED = re.compile(r"`[^`]*`")


def squeezed(text: str) -> str:
    """The text on one line, as no line's end is part of a sentence."""
    return " ".join(text.split())


def english() -> tuple[str, ...]:
    """What only English sentences say: their pieces between facts, and between what is typed."""
    german = squeezed(" ".join(catalogue("de").sentences.values()))
    pieces = {
        squeezed(piece).strip(" .,:;()")
        for text in catalogue("en").sentences.values()
        for clause in _FACT.split(text)
        for piece in _TYPED.split(clause)
    }
    return tuple(sorted(piece for piece in pieces if len(piece) > LONGER and piece not in german))


ENGLISH = english()


def left_in_english(text: str) -> tuple[str, ...]:
    """The pieces of English sentences in a text."""
    whole = squeezed(text)
    return tuple(piece for piece in ENGLISH if re.search(rf"(?<!\w){re.escape(piece)}(?!\w)", whole))


def run(*words: str, env: dict[str, str] | None = None) -> Result:
    result = CliRunner().invoke(application, list(words), env=env)
    assert result.exception is None or isinstance(result.exception, SystemExit), result.exception
    return result


def printed(page: Path) -> str:
    """A page's words."""
    body = page.read_text(encoding="utf-8").partition("</style>")[2]
    return html.unescape(re.sub(r"<[^>]*>", " ", body))


@pytest.fixture(scope="module")
def small(tmp_path_factory: pytest.TempPathFactory) -> str:
    file = tmp_path_factory.mktemp("vehicle") / "lampe.circuit"
    file.write_text(SMALL.replace('"Lamp"', '"Lampe"'), encoding="utf-8")
    return str(file)


@pytest.fixture(scope="module")
def searched(small: str, tmp_path_factory: pytest.TempPathFactory) -> tuple[str, Path]:
    """A practice search that the tool plays, in German from the complaint on: what is said, and where it is kept."""
    folder = tmp_path_factory.mktemp("cards")
    begun = ["--language", "de", "find", small, "--complaint", "E7 tut nichts wenn S4=on", "--case", "eins"]
    result = run(*begun, "--hidden", "open S4.2~E7.1", "--auto", "--folder", str(folder))
    return result.output, folder


def test_a_practice_search_says_nothing_in_english(searched: tuple[str, Path]) -> None:
    output, _ = searched
    assert "Nachgewiesen: Leitung S4.2 nach E7.1 (GY)." in squeezed(output)
    assert left_in_english(output) == ()


def test_both_cards_are_german(searched: tuple[str, Path]) -> None:
    _, folder = searched
    for name in ("eins.html", "eins-customer.html"):
        card = printed(folder / name)
        assert "Beanstandung" in card
        assert "E7 tut nichts wenn S4=on" in card
        assert left_in_english(card) == ()


def test_what_a_person_types_is_answered_in_german(small: str, tmp_path: Path) -> None:
    typed = (
        "none", "dead", "help", "suspects", "suspects all", "why 1", "why E7", "verdict", "undrawn", "what if 12.4V",
        "what if bla", "S4.1 12.6V", "S4.1 viel", "undo", "cannot", "cannot kein Zugang", "bla", "", "part",
        "part Lampe x2 no 433 used", "because Feuchtigkeit", "note Kunde wartet", "temporary Lampe",
        "disturbed Stecker",
        "not as drawn size S4.2~E7.1 2.5mm2", "not as drawn alles neu", "cleaned bla", "renewed 1, neue Leitung",
        "works", "card", "close", "close yes",
    )  # fmt: skip
    words = [word for line in typed for word in ("--say", line)]
    begun = ["find", small, "--complaint", "E7 tot wenn S4=on", "--case", "zwei", "--folder", str(tmp_path), *words]
    result = run(*begun, env={VARIABLE: "de_DE.UTF-8"})
    assert "gespeichert 3: Fehlercodes vor der Arbeit: keine gespeichert" in result.output
    assert "behoben:" in result.output
    assert left_in_english(result.output) == ()
    assert left_in_english(run("--language", "de", "cases", "--folder", str(tmp_path)).output) == ()


@pytest.mark.parametrize(
    "words",
    [
        ("check", "{file}"), ("runs", "{file}"), ("readings", "{file}", "--set", "S4=on"),
        ("readings", "{file}", "--at", "E7.1", "--meter", "test-lamp"), ("sheet", "{file}"), ("cases",),
        ("wire", "{file}", "--at", "S4", "--colour", "GY"), ("effects", "{file}", "--states", "S4=on"),
        ("procedure", "{file}", "--complaint", "E7 tot wenn S4=on", "--depth", "2", "--least", "20"),
        ("find", "{file}", "--complaint", "E99 tot"),
        ("readings", "{file}", "--set", "S5=on"), ("new", "nothing-like-it"),
    ],
    ids=lambda words: "-".join(word for word in words if word.isalpha()),
)  # fmt: skip
def test_other_commands_say_nothing_in_english(small: str, words: tuple[str, ...]) -> None:
    result = run("--language", "de", *(word.format(file=small) for word in words))
    assert result.exit_code != 2, result.output
    assert result.output.strip()
    assert left_in_english(result.output) == ()


def test_english_is_found_where_it_is_spoken(small: str) -> None:
    assert len(ENGLISH) > 1000
    assert "Wires that no fuse protects" in left_in_english(run("check", small).output)
    assert any(
        "of the drawing" in one for one in left_in_english(run("wire", small, "--at", "S4", "--colour", "GY").output)
    )


def test_a_language_that_is_not_spoken_is_refused() -> None:
    result = run("--language", "tlh", "cases")
    assert result.exit_code == 2
    assert "de, en" in result.output
