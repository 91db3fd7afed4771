"""The bench is there: a program that serves, an application that answers, a page in a browser."""

from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, Route, expect
from starlette.testclient import TestClient

from tests.web.server import SIZES, Server, barriers, shelf_of, watched, writing

PLANTED = """
() => { const it = document.createElement("script"); it.textContent = "window.ran = 1"; document.body.append(it); }
"""


def test_the_first_screen_lists_the_vehicles(client: TestClient) -> None:
    answer = client.get("/")
    assert answer.status_code == 200
    assert '<a href="/vehicle/lamp/circuit">Lamp</a>' in answer.text
    assert len(writing(client)["X-Loombench-Token"]) == 64


@pytest.mark.chromium
@pytest.mark.parametrize("page", SIZES, indirect=True)
def test_a_vehicle_is_two_taps_from_its_drawing(page: Page) -> None:
    assert barriers(page) == []
    page.get_by_role("link", name="Lamp", exact=True).click()
    page.locator(".rows a").first.click()
    page.locator(".sheet svg").first.wait_for()
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")


@pytest.mark.chromium
def test_a_script_that_does_not_belong_there_is_refused_and_told(server: Server, browser: Browser) -> None:
    def plant() -> None:
        with watched(browser, server.address) as page:
            page.evaluate(PLANTED)
            assert page.evaluate("window.ran ?? null") is None

    with pytest.raises(AssertionError, match="refused: script-src-elem"):
        plant()


def test_the_folder_of_a_test_has_what_it_asked_for(tmp_path: Path) -> None:
    made = shelf_of(tmp_path / "shelf", "library-van")
    assert sorted(path.name for path in made.iterdir()) == ["lamp.circuit", "library-van"]


@pytest.mark.chromium
def test_what_takes_over_a_second_is_told_to_be_under_way(server: Server, browser: Browser) -> None:
    with watched(browser, server.address, "tablet") as page:
        held: list[Route] = []

        def hold(route: Route) -> None:
            held.append(route)

        page.route("**/settings", hold)
        page.get_by_role("button", name="dark").click()
        expect(page.locator("#said")).to_have_text("Being worked out ...")
        with page.expect_navigation():
            held[0].continue_()
        expect(page.locator("#said")).to_have_text("")
