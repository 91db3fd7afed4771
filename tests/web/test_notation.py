"""The notation view: problems as one types, the drawing beside it, saving, and nothing typed is ever lost."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect
from starlette.testclient import TestClient

from tests.web.server import LAMP, Server, barriers, watched, writing

BASE = "/vehicle/lamp/notation"


@pytest.fixture(autouse=True)
def text(place: Path) -> Iterator[Path]:
    """The file of the lamp, as it was, for each test."""
    file = place / "vehicles/lamp.circuit"
    file.write_text(LAMP, encoding="utf-8")
    yield file
    file.write_text(LAMP, encoding="utf-8")


def at_notation(page: Page, vehicle: str = "lamp") -> Page:
    """The page once it has drawn."""
    page.goto(f"/vehicle/{vehicle}/notation")
    page.set_default_timeout(10_000)
    page.locator("#drawing svg").wait_for()
    return page


def write(page: Page, words: str) -> None:
    """Type at the end of the text."""
    page.locator(".cm-content").click()
    page.keyboard.press("Control+End")
    page.keyboard.type(words)


def test_a_draft_is_checked_and_drawn(client: TestClient) -> None:
    headers = writing(client)
    drafts = {"lamp.circuit": LAMP.replace("21W", "21X")}
    found = client.post(f"{BASE}/check", json={"drafts": drafts, "file": "lamp.circuit", "line": 11}, headers=headers)
    (flaw,) = found.json()["flaws"]
    assert flaw["told"]["code"] == "number-unit"
    assert drafts["lamp.circuit"][flaw["places"][0]["start"] : flaw["places"][0]["end"]] == "21X"
    assert found.json()["functions"][0][0] == "E7"
    drawn = client.post(f"{BASE}/draw", json={"drafts": drafts, "function": "E7"}, headers=headers)
    assert "<svg" in drawn.text


def test_a_file_is_saved_only_where_it_is_as_shown(client: TestClient, text: Path) -> None:
    headers = writing(client)
    (shown,) = client.get(f"{BASE}/files").json()["files"]
    mine = {"file": "lamp.circuit", "text": LAMP + "# mine\n", "seen": shown["seen"]}
    assert client.post(f"{BASE}/save", json=mine, headers=headers).json()["problems"] == []
    again = client.post(f"{BASE}/save", json=mine | {"text": "other"}, headers=headers)
    assert again.json()["seen"] != shown["seen"]
    assert again.json()["theirs"] == LAMP + "# mine\n"
    assert text.read_text(encoding="utf-8") == LAMP + "# mine\n"


@pytest.mark.parametrize("name", ["../store/jobs.sqlite", "/etc/passwd", "lamp.circuit/../../x", "x.circuit", "\0"])
def test_no_other_file_is_written(client: TestClient, place: Path, name: str) -> None:
    before = sorted(place.rglob("*.circuit"))
    sent = {"file": name, "text": "taken over", "seen": ""}
    answer = client.post(f"{BASE}/save", json=sent, headers=writing(client))
    assert answer.json()["problems"][0]["code"] == "notation-no-file"
    assert sorted(place.rglob("*.circuit")) == before


@pytest.mark.parametrize(
    "body", [b"[]", b"{", b"[" * 100_000, b'{"drafts": 4}', b'{"drafts": {"a": 4}}', b'{"file": 4}']
)
def test_what_no_page_of_ours_sends_is_refused(client: TestClient, body: bytes) -> None:
    assert client.post(f"{BASE}/check", content=body, headers=writing(client)).status_code == 400


def test_a_text_that_is_too_large_is_refused(client: TestClient) -> None:
    body = b'{"text": "' + b"x" * (16 * 1024 * 1024) + b'"}'
    assert client.post(f"{BASE}/save", content=body, headers=writing(client)).status_code == 413


def test_nothing_is_saved_without_the_token(client: TestClient, text: Path) -> None:
    client.get("/")
    assert client.post(f"{BASE}/save", json={"file": "lamp.circuit", "text": "x", "seen": ""}).status_code == 403
    assert text.read_text(encoding="utf-8") == LAMP


def test_of_a_vehicle_that_is_none_nothing_is_shown(client: TestClient) -> None:
    for address in ("/vehicle/none/notation", "/vehicle/none/notation/files", "/vehicle/..%2f..%2fetc/notation"):
        assert client.get(address).status_code == 404


@pytest.mark.chromium
@pytest.mark.parametrize("page", ["tablet", "laptop"], indirect=True)
def test_a_problem_is_shown_as_one_types_and_goes_when_it_is_mended(page: Page, text: Path) -> None:
    at_notation(page)
    expect(page.locator("#found-head")).to_have_text("No problems")
    write(page, "lamp E8 12V 5X")
    flaw = page.locator("#flaws button")
    expect(flaw).to_contain_text("Correct the unit")
    expect(page.locator(".cm-line", has_text="lamp E8")).to_be_in_viewport()
    page.keyboard.press("Control+Home")
    flaw.click()
    page.keyboard.press("End")
    page.keyboard.press("Backspace")
    page.keyboard.type("W\nS4.2 (GY 1mm2 2m) E8 (BN 1mm2 1m) W1/c\n")
    expect(page.locator("#flaws button")).to_have_count(0)
    expect(page.locator("#drawing svg").first).to_contain_text("E8")
    assert barriers(page) == []
    page.get_by_role("button", name="Save").click()
    expect(page.locator("#state")).to_have_text("Saved.")
    assert text.read_text(encoding="utf-8") == LAMP + "lamp E8 12V 5W\nS4.2 (GY 1mm2 2m) E8 (BN 1mm2 1m) W1/c\n"


@pytest.mark.chromium
def test_the_drawing_follows_the_cursor_and_the_choice(page: Page) -> None:
    at_notation(page, "telehandler-roof")
    page.locator("#function").select_option(index=1)
    expect(page.locator("#drawing")).to_have_attribute("data-of", page.locator("#function").input_value())
    page.locator(".cm-line", has_text="loombench 1").click()
    for _ in range(30):
        page.keyboard.press("ArrowDown")
    expect(page.locator("#drawing svg").first).to_be_visible()
    assert page.locator("#drawing").get_attribute("data-of") == page.locator("#function").input_value()


@pytest.mark.chromium
def test_names_are_completed(page: Page) -> None:
    at_notation(page)
    write(page, "E7")
    page.keyboard.type(" (BN 1mm2 1m) S")
    page.locator(".cm-tooltip-autocomplete").get_by_text("S4", exact=True).click()
    assert page.locator(".cm-line").last.inner_text() == "E7 (BN 1mm2 1m) S4"


@pytest.mark.chromium
def test_a_draft_outlives_the_page(browser: Browser, server: Server, text: Path) -> None:
    with watched(browser, server.address) as page:
        at_notation(page)
        write(page, "# not saved")
        expect(page.locator("#state")).to_contain_text("kept in this browser")
        # As after a crash: another page of the same browser, which the first one tells nothing.
        other = at_notation(page.context.new_page())
        expect(other.locator("#restored")).to_contain_text("which was not saved, is back")
        expect(other.locator(".cm-content")).to_contain_text("# not saved")
        assert text.read_text(encoding="utf-8") == LAMP
        other.get_by_role("button", name="Leave it").click()
        expect(other.locator(".cm-content")).not_to_contain_text("# not saved")
        other.get_by_role("button", name="Undo").click()
        expect(other.locator(".cm-content")).to_contain_text("# not saved")


@pytest.mark.chromium
@pytest.mark.parametrize("mine", [True, False])
def test_where_the_file_changed_meanwhile_both_texts_are_shown(page: Page, text: Path, mine: bool) -> None:
    at_notation(page)
    write(page, "# mine")
    theirs = LAMP.replace("21W", "55W")
    text.write_text(theirs, encoding="utf-8")
    page.keyboard.press("Control+s")
    expect(page.locator("#clash")).to_be_visible()
    expect(page.locator("#their-text .theirs")).to_have_text("lamp E7 12V 55W\n")
    expect(page.locator(".cm-content")).to_contain_text("# mine")
    assert text.read_text(encoding="utf-8") == theirs
    assert barriers(page) == []
    if mine:
        page.get_by_role("button", name="Write mine over it").click()
        expect(page.locator("#state")).to_have_text("Saved.")
        assert text.read_text(encoding="utf-8") == LAMP + "# mine"
    else:
        page.get_by_role("button", name="Take the file's text").click()
        expect(page.locator(".cm-content")).to_contain_text("55W")
        page.get_by_role("button", name="Undo").click()
        expect(page.locator(".cm-content")).to_contain_text("# mine")


@pytest.mark.chromium
def test_while_the_bench_does_not_answer_what_is_typed_stays(page: Page, text: Path) -> None:
    # Its console tells of the requests that fail, so it is a page beside the one that is watched.
    page = at_notation(page.context.new_page())
    page.route("**/notation/*", lambda route: route.abort())
    write(page, "# typed without a bench")
    page.get_by_role("button", name="Save").click()
    expect(page.locator("#state")).to_contain_text("The bench does not answer")
    assert text.read_text(encoding="utf-8") == LAMP
    page.unroute("**/notation/*")
    page.get_by_role("button", name="Save").click()
    expect(page.locator("#state")).to_have_text("Saved.")
    assert text.read_text(encoding="utf-8") == LAMP + "# typed without a bench"
