"""The first screen, its box, its settings, and a vehicle begun without a file."""

from functools import partial
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, Route, expect
from starlette.testclient import TestClient

from tests.web.server import Server, barriers, watched, writing


def test_it_lists_the_vehicles_with_their_views(client: TestClient) -> None:
    text = client.get("/").text
    assert "Telehandler, roof equipment" in text
    for view in ("circuit", "find", "look-up", "notation"):
        assert f'href="/vehicle/telehandler-roof/{view}"' in text


def test_the_box_offers_what_it_understood(client: TestClient) -> None:
    text = client.get("/meant", params={"text": "telehandler boom work lamp left dead"}).text
    assert "Telehandler, roof equipment" in text
    assert "E7 (boom work lamp, left)" in text
    assert 'hx-post="/jobs"' in text
    assert 'name="complaint" value="boom work lamp left dead"' in text
    states = client.get("/meant/states", params={"vehicle": "telehandler-roof", "complaint": "E7 dead"}).text
    assert "when S4=on" in states


def test_german_is_understood_where_the_page_is_german(client: TestClient) -> None:
    german = {"accept-language": "de-AT,de;q=0.9,en;q=0.5"}
    text = client.get("/meant", params={"text": "telehandler E7 tot wenn S4=on"}, headers=german).text
    assert "<b>tot</b>" in text
    assert "wenn S4=on" in text
    assert "Auftrag beginnen" in text


def test_what_is_typed_comes_back_as_text_alone(client: TestClient) -> None:
    hostile = "lamp <img src=x onerror=alert(1)>'\"><script>alert(2)</script> dead"
    for address in ("/meant", "/meant/states"):
        text = client.get(address, params={"text": hostile, "complaint": hostile, "vehicle": "lamp"}).text
        assert "<img" not in text
        assert "<script" not in text
        assert "&lt;img" in text
    assert client.get("/meant", params={"text": "x" * 20_000, "vehicle": "../../etc"}).status_code == 200


@pytest.mark.parametrize(("name", "value"), [("theme", "dark"), ("theme", "sun"), ("language", "de")])
def test_a_setting_is_kept_in_the_browser(client: TestClient, name: str, value: str) -> None:
    answer = client.post("/settings", data={name: value}, headers=writing(client))
    assert answer.status_code == 204
    client.cookies.delete(name)
    kept = answer.headers["set-cookie"]
    assert f"{name}={value}" in kept
    assert "HttpOnly" in kept
    assert "samesite=strict" in kept.lower()
    if name == "theme":
        assert f'data-theme="{value}"' in client.get("/", headers={"cookie": f"theme={value}"}).text
    else:
        assert "Welches Fahrzeug" in client.get("/", headers={"cookie": f"language={value}"}).text


@pytest.mark.parametrize("data", [{"theme": "pink"}, {"language": "xx"}, {"loombench": "x" * 32}, {}])
def test_no_other_setting_is_kept(client: TestClient, data: dict[str, str]) -> None:
    answer = client.post("/settings", data=data, headers=writing(client))
    assert answer.status_code == 400
    assert "set-cookie" not in answer.headers


def test_nothing_is_written_without_the_token(client: TestClient, place: Path) -> None:
    client.get("/")
    before = sorted(place.rglob("*.circuit"))
    for headers in ({}, {"X-Loombench-Token": "0" * 64}):
        assert client.post("/vehicles", data={"kind": "trailer"}, headers=headers).status_code == 403
        assert client.post("/settings", data={"theme": "dark"}, headers=headers).status_code == 403
    assert sorted(place.rglob("*.circuit")) == before


@pytest.mark.parametrize("body", [b"x" * 70_000, b"kind=" + b"%41" * 30_000])
def test_a_form_that_is_too_large_is_refused(client: TestClient, body: bytes) -> None:
    headers = writing(client) | {"Content-Type": "application/x-www-form-urlencoded"}
    assert client.post("/vehicles", content=body, headers=headers).status_code == 413


@pytest.mark.parametrize("body", [b"\xff\xfe=1", b"&".join(b"a%d=1" % at for at in range(500))])
def test_what_is_no_form_is_refused(client: TestClient, body: bytes) -> None:
    headers = writing(client) | {"Content-Type": "application/x-www-form-urlencoded"}
    assert client.post("/vehicles", content=body, headers=headers).status_code == 400


def test_a_vehicle_is_begun_and_a_wrong_one_is_told(client: TestClient, place: Path) -> None:
    said = {"kind": "relay-and-load", "name": "../Old loader", "volts": "24V", "form": "machine", "colours": "DIN"}
    made = client.post("/vehicles", data=said, headers=writing(client))
    assert made.headers["hx-redirect"] == "/vehicle/old-loader/notation"
    text = (place / "vehicles/old-loader/vehicle.circuit").read_text(encoding="utf-8")
    assert 'vehicle "../Old loader" 24V machine' in text
    wrong = client.post("/vehicles", data=said | {"volts": "lots"}, headers=writing(client))
    assert "hx-redirect" not in wrong.headers
    assert 'class="problem error"' in wrong.text


@pytest.mark.chromium
@pytest.mark.parametrize("page", ["tablet", "laptop"], indirect=True)
def test_from_the_box_to_the_offer_without_a_tap(page: Page) -> None:
    page.get_by_label("Which vehicle, what is wrong?").fill("telehandlr boom work lamp left dead")
    page.get_by_text("when S4=on").wait_for()
    assert page.get_by_role("button", name="Start the job").is_visible()
    page.get_by_label("Which vehicle, what is wrong?").fill("work lamp dead")
    page.get_by_role("button", name="Lamp", exact=True).click()
    page.locator("#meant").get_by_text("No load is called this").wait_for()
    assert barriers(page) == []


@pytest.mark.chromium
@pytest.mark.parametrize(("theme", "size"), [("dark", "phone"), ("sun", "tablet-wide")])
def test_a_theme_is_one_tap_and_every_one_can_be_read(browser: Browser, server: Server, theme: str, size: str) -> None:
    with watched(browser, server.address, size) as page:
        with page.expect_navigation():
            page.get_by_role("button", name=theme, exact=True).click()
        assert page.locator("html").get_attribute("data-theme") == theme
        assert barriers(page) == []
        page.goto("/new")
        assert barriers(page) == []
        wide = page.evaluate("document.documentElement.scrollWidth <= innerWidth")
        assert wide, "it is as wide as the screen"


@pytest.mark.chromium
@pytest.mark.parametrize("page", ["tablet", "laptop"], indirect=True)
def test_from_nothing_to_the_first_step_in_seven_taps(page: Page) -> None:
    """Nothing has to be typed: a circuit, its load, what that does."""
    page.set_default_timeout(60_000)
    taps = (
        ("link", "Start without a file"), ("button", "Start drawing"), ("link", "Find the fault"), ("button", "E1"),
        ("button", "dead"), ("button", "Add to the complaint"), ("button", "Start the job"),
    )  # fmt: skip
    for role, name in taps:
        if name == "Find the fault":
            expect(page.locator("#drawing svg").first).to_be_visible()
            expect(page.locator("#flaws li.error")).to_have_count(0)
        found = page.get_by_role(role, name=name, exact=name != "E1").first
        found.click()
    expect(page.locator(".step")).to_be_visible(timeout=60_000)
    address = page.url
    page.goto("/")
    row = page.locator(".jobs li").first
    expect(row).to_contain_text("E1 dead")
    row.get_by_role("link").click()
    assert page.url == address


def answered(status: int | None, route: Route) -> None:
    """Answer a request with a status, or not at all."""
    if status is None:
        route.abort()
    else:
        route.fulfill(status=status)


@pytest.mark.chromium
def test_what_cannot_be_had_is_said_at_the_foot(browser: Browser, server: Server) -> None:
    with watched(browser, server.address) as watched_page:
        # A page beside the one that is watched, as its console tells of what fails.
        page = watched_page.context.new_page()
        page.goto("/")
        for answer, said in ((None, "does not answer"), (403, "out of date"), (500, "made a mistake")):
            page.route("**/meant?*", partial(answered, answer))
            page.get_by_label("Which vehicle, what is wrong?").fill(f"lamp {answer}")
            expect(page.locator("#said")).to_contain_text(said)
            page.unroute("**/meant?*")
        page.get_by_label("Which vehicle, what is wrong?").fill("telehandler E7 dead")
        expect(page.get_by_role("button", name="Start the job")).to_be_visible()
        expect(page.locator("#said")).to_have_text("")
