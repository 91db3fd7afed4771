"""Each problem has a page that says what it means and how to mend it; the page's examples are run."""

import re
from pathlib import Path

import pytest

from loombench.base.wording import PARTS, catalogue
from tests.problems.pages import Page, read_page
from tests.problems.runners import RUNNERS, report

PAGES = Path(__file__).parents[2] / "docs" / "problems"
LEAST_PROSE = 150


def page_codes() -> list[str]:
    return sorted(path.stem for path in PAGES.glob("*.md") if path.stem != "README")


def load_page(code: str) -> Page:
    return read_page(code, (PAGES / f"{code}.md").read_text(encoding="utf-8"))


def worded_codes() -> list[str]:
    return sorted({key.split(".")[1] for key in catalogue().sentences if key.startswith("problem.")})


def complaints_about(codes: list[str], pages: list[str]) -> list[str]:
    """What is wrong between the codes that are worded and the pages there are."""
    missing = [f"{code} has no page" for code in codes if code not in pages]
    return missing + [f"{page} is a page of no code" for page in pages if page not in codes]


def faults_of(page: Page) -> list[str]:
    """What is wrong with a page: its head, its prose, its examples."""
    faults = [] if page.head.get("source") in RUNNERS else [f"{page.code}: unknown source"]
    if len(page.prose) < LEAST_PROSE or not page.prose.startswith("# "):
        faults.append(f"{page.code}: no title or not enough prose")
    if not page.examples:
        faults.append(f"{page.code}: no example")
    for number, example in enumerate(page.examples, 1):
        if f" {page.code}: " not in example.expect:
            faults.append(f"{page.code}: example {number} does not show it")
        seen = report(page, example)
        if seen != example.expect:
            faults.append(f"{page.code}: example {number} gives\n{seen}\ninstead of\n{example.expect}")
    return faults


def test_there_are_pages() -> None:
    assert len(page_codes()) > 60


def test_each_code_has_a_page_and_each_page_a_code() -> None:
    assert complaints_about(worded_codes(), page_codes()) == []


def test_each_code_has_all_its_sentences() -> None:
    words = catalogue()
    assert [
        f"{code}.{part}" for code in worded_codes() for part in PARTS if not words.has(f"problem.{code}.{part}")
    ] == []


@pytest.mark.parametrize("code", page_codes())
def test_page(code: str) -> None:
    assert faults_of(load_page(code)) == []


def test_no_sentence_is_left_with_a_hole() -> None:
    """A fact that a sentence names and the problem does not give would show as `{name}`."""
    hole = re.compile(r"\{\w+\}")
    holes = [code for code in page_codes() for example in load_page(code).examples if hole.search(example.expect)]
    assert holes == []


def test_a_missing_page_is_found() -> None:
    assert complaints_about(["kind-unknown", "made-up"], ["kind-unknown"]) == ["made-up has no page"]
    assert complaints_about([], ["kind-unknown"]) == ["kind-unknown is a page of no code"]


def test_an_altered_expectation_is_found() -> None:
    text = (PAGES / "kind-unknown.md").read_text(encoding="utf-8")
    planted = text.replace("  seen:     ", "  seen:     not ", 1)
    assert planted != text
    assert any("instead of" in fault for fault in faults_of(read_page("kind-unknown", planted)))


def test_a_page_without_prose_or_example_is_found() -> None:
    bare = read_page("kind-unknown", "---\nsource: load\n---\n# Too short\n")
    assert len(faults_of(bare)) == 2
