"""The editor and the vendored scripts in a browser under the strict policy: they work, and nothing is refused."""

from collections.abc import Iterator
from typing import Any

import pytest
from playwright.sync_api import Page

from loombench.text.tokens import STRING, tokens
from tests.browser import browser_page
from tests.web.serving import NONCE, ROOT, files, served

pytestmark = pytest.mark.chromium

TEXT = """loombench 1
vehicle "Café 12V" 12V
# a note with "quotes" and (brackets)
if tow-bar connector X50 2way   # said aside
lamp E7 12V 55W “curly #1”
G1.+ (RD 6mm2 0.6m via boom-pivot) F12 (#214 16AWG ?m) E7
G1.- (GY/RD 0.5..1mm2 2m "core # 2") W1/a # done
"""


DRAWN = "() => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done)))"


@pytest.fixture(scope="module")
def opened() -> Iterator[tuple[Page, list[str]]]:
    """The page, and what its console says."""
    with served(files()) as address, browser_page(1000, 720) as page:
        said: list[str] = []
        page.on("console", lambda message: said.append(message.text))
        page.on("pageerror", lambda wrong: said.append(str(wrong)))
        page.context.set_offline(False)
        page.goto(address)
        page.wait_for_function("window.made !== undefined")
        yield page, said


@pytest.fixture
def page(opened: tuple[Page, list[str]]) -> Iterator[Page]:
    """The page with an empty text; after the test the console is silent and the policy has refused nothing."""
    page, said = opened
    said.clear()
    page.evaluate("made.setProblems([]); made.setText('')")
    page.evaluate(DRAWN)
    page.evaluate("() => { changes.length = cursor.length = refused.length = 0; }")
    yield page
    page.evaluate(DRAWN)
    assert page.evaluate("refused") == []
    assert said == []


def classes(page: Page) -> list[tuple[str, str]]:
    """The marked words of `TEXT` as the editor shows them, once it has got to its end: class and word."""
    page.evaluate("(text) => made.setText(text)", TEXT)
    page.locator(".lb-note", has_text="# done").wait_for()
    found: list[Any] = page.evaluate(
        "[...document.querySelectorAll('.cm-line span[class^=lb-]')].map((it) => [it.className, it.textContent])"
    )
    return [(str(name), str(word)) for name, word in found]


def test_what_is_typed_is_told_and_marked(page: Page) -> None:
    page.click(".cm-content")
    page.keyboard.type('lamp E7 55W "work lamp"')
    assert page.evaluate("made.text()") == 'lamp E7 55W "work lamp"'
    assert page.evaluate("changes.at(-1)") == 'lamp E7 55W "work lamp"'
    assert page.evaluate("cursor.at(-1)") == 23
    assert page.locator(".lb-kind").inner_text() == "lamp"
    page.keyboard.press("Control+z")
    assert page.evaluate("made.text()") == ""


def test_a_text_of_the_page_is_no_change_by_the_person(page: Page) -> None:
    page.evaluate(r"made.setText('lamp E7\r\nfuse F1')")
    assert page.evaluate("[made.text(), changes.length]") == ["lamp E7\nfuse F1", 0]


def test_another_text_has_none_of_the_problems_of_the_one_before(page: Page) -> None:
    page.evaluate("made.setText('lamp E7'); made.setProblems([{from: 0, to: 4, level: 'error', message: 'm'}])")
    assert page.locator(".lb-sign").count() == 1
    page.evaluate("made.setText('fuse F1')")
    assert page.locator(".lb-sign, .cm-lintRange, .lb-said").count() == 0


@pytest.mark.parametrize(("level", "style"), [("error", "wavy"), ("warning", "dashed"), ("note", "dotted")])
def test_a_problem_has_a_line_a_sign_and_its_sentence(page: Page, level: str, style: str) -> None:
    page.evaluate("made.setText('loombench 1\\nlamp E7 55X\\nfuse F1')")
    page.evaluate("(level) => made.setProblems([{from: 20, to: 23, level, message: 'a unit <b>is</b> odd'}])", level)
    mark = page.locator(".cm-lintRange")
    assert mark.inner_text() == "55X"
    assert mark.evaluate("(it) => getComputedStyle(it).textDecorationStyle") == style
    sign = page.locator(f".lb-problems .lb-sign:has(.lb-problem-{level})")
    assert sign.get_attribute("aria-label") == "a unit <b>is</b> odd"
    assert page.locator(".lb-said").inner_text() == ""
    page.click(".lb-sign")
    assert page.evaluate("cursor.at(-1)") == 20
    assert page.locator(f".lb-said .lb-sentence-{level}").inner_text() == "a unit <b>is</b> odd"
    page.evaluate("made.setProblems([])")
    assert page.locator(".cm-lintRange, .lb-sign, .lb-said").count() == 0


def test_the_worst_of_a_line_is_its_sign(page: Page) -> None:
    page.evaluate("made.setText('lamp E7 55X')")
    page.evaluate(
        "made.setProblems([{from: 5, to: 7, level: 'note', message: 'n'}, {from: 8, to: 11, level: 'error', "
        "message: 'e'}, {from: 900, to: 950, level: 'warning', message: 'beyond the end'}])"
    )
    assert page.locator(".lb-sign").count() == 1
    assert page.locator(".lb-sign:has(.lb-problem-error)").get_attribute("aria-label") == "n\ne\nbeyond the end"


def test_a_place_without_width_is_shown(page: Page) -> None:
    page.evaluate("made.setText('lamp E7\\n\\nfuse')")
    page.evaluate(
        "made.setProblems([4, 7, 8, 13].map((at) => ({from: at, to: at, level: 'error', message: `at ${at}`})))"
    )
    assert page.locator(".cm-lintRange").all_inner_texts() == [" ", "7", "e"]
    signs = page.locator(".lb-sign")
    assert [one.get_attribute("aria-label") for one in signs.all()] == ["at 4\nat 7", "at 8", "at 13"]


def test_a_problem_stays_with_its_words(page: Page) -> None:
    page.evaluate("made.setText('lamp E7 55X')")
    page.evaluate("made.setProblems([{from: 8, to: 11, level: 'error', message: 'm'}])")
    page.evaluate("made.goTo(0)")
    page.keyboard.type("# above\n")
    assert page.locator(".cm-lintRange").inner_text() == "55X"
    page.click(".lb-sign")
    assert page.evaluate("cursor.at(-1)") == 16


def test_places_are_counted_in_characters(page: Page) -> None:
    text = 'lamp E7 "\U0001f69c\U0001f69c" 55X'
    page.evaluate("(text) => made.setText(text)", text)
    at = text.index("55X")
    page.evaluate("(at) => made.setProblems([{from: at, to: at + 3, level: 'error', message: 'm'}])", at)
    assert page.locator(".cm-lintRange").inner_text() == "55X"
    page.evaluate("(at) => made.goTo(at)", at)
    assert page.evaluate("cursor.at(-1)") == at


def test_go_to_brings_the_place_into_view(page: Page) -> None:
    page.evaluate("made.setText('lamp E7\\n'.repeat(300) + 'fuse F1')")
    assert page.get_by_text("fuse F1").count() == 0
    page.evaluate("made.goTo(300 * 8)")
    page.locator(".cm-line", has_text="fuse F1").wait_for(state="visible")
    assert page.evaluate("document.activeElement.className").startswith("cm-content")


def test_texts_and_notes_are_those_of_the_reader(page: Page) -> None:
    shown = classes(page)
    lines = TEXT.splitlines()
    texts = [line[one.column - 1 : one.end - 1] for line in lines for one in tokens(line) if one.kind == STRING]
    assert len(texts) == 3
    assert [word for name, word in shown if name == "lb-text"] == texts
    assert [word for name, word in shown if name == "lb-note"] == [lines[2], "# said aside", "# done"]


def test_words_are_told_apart(page: Page) -> None:
    shown = classes(page)
    by = {name: [word for found, word in shown if found == name] for name in dict(shown)}
    assert by["lb-kind"] == ["vehicle", "if", "connector", "lamp"]
    assert by["lb-colour"] == ["RD", "GY/RD"]
    assert by["lb-printed"] == ["#214"]
    assert by["lb-open"] == ["?m"]
    assert by["lb-name"] == ["tow-bar", "X50", "E7", "G1.+", "boom-pivot", "F12", "E7", "G1.-", "W1/a"]
    assert by["lb-quantity"] == ["1", "12V", "2way", "12V", "55W", "6mm2", "0.6m", "16AWG", "0.5..1mm2", "2m"]


def test_enter_ends_the_line_while_words_are_offered(page: Page) -> None:
    page.click(".cm-content")
    page.keyboard.type("lam", delay=20)
    page.locator(".cm-tooltip-autocomplete li").wait_for()
    page.keyboard.press("Enter")
    assert page.evaluate("made.text()") == "lam\n"
    page.keyboard.type("la", delay=20)
    page.locator(".cm-tooltip-autocomplete li").click()
    assert page.evaluate("made.text()") == "lam\nlamp"


def test_it_wraps_is_named_and_lets_the_keyboard_out(page: Page) -> None:
    page.evaluate("made.setText('lamp E7 ' + '55W '.repeat(200))")
    content = page.locator(".cm-content")
    assert page.evaluate("document.querySelector('.cm-scroller').scrollWidth") <= 1000
    assert float(content.evaluate("(it) => parseFloat(getComputedStyle(it).fontSize)")) >= 16
    assert content.get_attribute("aria-label") == "The vehicle's text"
    assert page.locator(".cm-lineNumbers .cm-gutterElement", has_text="1").first.is_visible()
    content.click()
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.id") == "ask"


def test_a_word_is_found_and_what_was_done_is_undone_without_keys(page: Page) -> None:
    page.evaluate("made.setText('lamp E7\\nlamp E.\\nfuse F1'); made.goTo(0); made.find()")
    page.keyboard.type("e.")
    assert page.locator(".cm-searchMatch").all_inner_texts() == ["E."]
    page.get_by_role("button", name="next").click()
    assert page.evaluate("cursor.at(-1)") == 15
    page.get_by_role("button", name="close").click()
    assert page.locator(".lb-find").count() == 0
    page.evaluate("made.focus()")
    page.keyboard.type("X")
    assert page.evaluate("made.undo() && made.text()") == "lamp E7\nlamp E.\nfuse F1"
    assert page.evaluate("made.redo() && made.text()") == "lamp E7\nlamp X\nfuse F1"


def test_keys_find_a_word_and_the_next_problem(page: Page) -> None:
    page.evaluate("made.setText('lamp E7\\nfuse F1')")
    page.evaluate("made.setProblems([{from: 13, to: 15, level: 'note', message: 'n'}])")
    page.click(".cm-content")
    page.keyboard.press("Control+Home")
    page.keyboard.press("F8")
    assert page.evaluate("cursor.at(-1)") == 15
    page.keyboard.press("Control+f")
    page.locator(".lb-find input").wait_for()
    page.keyboard.press("Escape")
    assert page.locator(".lb-find").count() == 0


@pytest.mark.parametrize("theme", ["light", "dark"])
def test_nothing_in_the_way_of_anybody(page: Page, theme: str) -> None:
    page.evaluate("(theme) => document.documentElement.dataset.theme = theme", theme)
    page.evaluate("(text) => made.setText(text)", TEXT)
    page.evaluate("made.setProblems([{from: 0, to: 9, level: 'warning', message: 'old'}])")
    page.evaluate((ROOT / "tests/web/vendor/axe.min.js").read_text(encoding="utf-8"))
    found = page.evaluate("axe.run('#editor').then((all) => [all.violations, all.passes.length])")
    page.evaluate("document.documentElement.dataset.theme = 'light'")
    assert [(one["id"], [node["html"] for node in one["nodes"]]) for one in found[0]] == []
    assert found[1] > 5


def test_the_other_scripts_work_under_the_policy(page: Page) -> None:
    page.click("#ask")
    page.locator("#answer b").wait_for()
    assert page.inner_text("#answer") == "answered"
    assert page.evaluate("typeof htmx.createEventSource") == "function"
    page.evaluate("plotted() && undefined")
    assert page.locator("#plot canvas").count() == 1


def test_a_planted_refusal_is_seen(opened: tuple[Page, list[str]]) -> None:
    page, said = opened
    page.evaluate(
        "() => { const it = document.createElement('script'); it.textContent = 'window.ran = 1'; "
        "document.body.append(it); }"
    )
    page.wait_for_function("refused.length > 0")
    assert page.evaluate("[refused, window.ran ?? null]") == [["script-src-elem inline"], None]
    assert any("Content Security Policy" in line for line in said)


def test_without_the_nonce_the_styles_are_refused(opened: tuple[Page, list[str]]) -> None:
    kind, text = files()["/"]
    page = opened[0].context.new_page()
    with served({**files(), "/": (kind, text.replace(NONCE.encode(), b""))}) as address:
        page.goto(address)
        page.wait_for_function("refused.length > 0")
        assert set(page.evaluate("refused")) == {"style-src-elem inline"}
    page.close()
