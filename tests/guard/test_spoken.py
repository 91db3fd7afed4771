"""What the pages of the bench can say is said somewhere; a planted sentence that nothing says is found."""

from pathlib import Path

from loombench.base.wording import catalogue
from tests.guard.spoken import sources_of, unsaid

SOURCES = Path("src/loombench")
TEMPLATES = SOURCES / "shell/web/templates"
SENTENCES = {"web.a": "one", "web.b.c": "two", "web.b.state-open": "three", "other.d": "four"}


def said(*texts: str) -> list[str]:
    return list(unsaid(SENTENCES, "web", sources_of(texts)))


def test_every_sentence_of_the_pages_is_said() -> None:
    files = sorted([*SOURCES.rglob("*.py"), *TEMPLATES.glob("*.html")])
    sources = sources_of(file.read_text(encoding="utf-8") for file in files)
    assert list(unsaid(catalogue("en").sentences, "web", sources)) == []


def test_what_is_said_whole_or_in_pieces_passes() -> None:
    assert said('say("a")', "say('b.c')", 'say("b.state-" ~ one)', 'OPEN = "open"') == []
    assert said('say("web.a")', 'f"web.b.{one}"', "c: int", 'f"web.b.{one}-{open}"', "state") == []


def test_what_nothing_says_is_found() -> None:
    assert said('say("b.state-" ~ one)', '"shut"') == ["web.a", "web.b.c", "web.b.state-open"]
    assert said("a = b.c = open") == ["web.a", "web.b.c", "web.b.state-open"]
