"""The look-up view: one box, faces and wires, which wire is in the hand."""

import pytest
from playwright.sync_api import Browser, Page, expect
from starlette.testclient import TestClient

from tests.web.server import Server, barriers, watched

BASE = "/vehicle/telehandler-roof/look-up"


def test_a_pin_is_told_with_its_face_and_its_page(client: TestClient) -> None:
    text = client.get(f"{BASE}/found", params={"text": "X12.3"}).text
    assert "OG/BK" in text
    assert "<svg" in text
    assert 'href="/vehicle/telehandler-roof/circuit/E7"' in text


def test_the_caution_stands_before_the_readings(client: TestClient) -> None:
    text = client.get(f"{BASE}/which", params={"where": "dash", "colour": "GY,GY/RD,GN"}).text
    assert 0 < text.index('class="caution"') < text.index('class="readings"')


@pytest.mark.parametrize("text", ["<script>alert(1)</script>", "'\"><img src=x onerror=alert(1)>", "x" * 5000])
def test_what_is_asked_comes_back_as_text_alone(client: TestClient, text: str) -> None:
    for address, names in ((BASE, ("text",)), (f"{BASE}/found", ("text",)), (f"{BASE}/which", ("where", "colour"))):
        answer = client.get(address, params=dict.fromkeys(names, text))
        assert answer.status_code == 200
        assert "<script>alert" not in answer.text
        assert "<img" not in answer.text
        assert len(answer.text) < 40_000


@pytest.mark.parametrize("vehicle", ["none", "..%2f..%2fetc", "%00"])
def test_of_a_vehicle_that_is_none_nothing_is_told(client: TestClient, vehicle: str) -> None:
    assert client.get(f"/vehicle/{vehicle}/look-up").status_code == 404
    assert 'class="thing"' not in client.get(f"/vehicle/{vehicle}/look-up/found", params={"text": "E7"}).text


@pytest.mark.chromium
@pytest.mark.parametrize("page", ["tablet", "laptop"], indirect=True)
def test_from_a_pin_to_its_part_and_its_drawing(page: Page) -> None:
    page.goto(f"{BASE}?text=X12.3")
    things = page.locator(".thing")
    expect(things).to_have_count(2)
    expect(things.first).to_contain_text("GY/RD")
    page.get_by_label("Pin, connector, colour, place, part or function").fill("E7")
    expect(things).to_have_count(1)
    expect(things.first).to_contain_text("boom work lamp, left")
    assert barriers(page) == []
    things.first.get_by_role("link", name="boom work lamp").click()
    page.wait_for_url("**/circuit/*")


@pytest.mark.chromium
def test_which_wire_is_this(browser: Browser, server: Server) -> None:
    with watched(browser, server.address, "phone") as page:
        page.goto(BASE)
        page.get_by_label("Place or part where you hold it").fill("dash")
        page.get_by_label("Its colour").fill("GY, GN, GY/RD")
        page.get_by_role("button", name="Tell me").click()
        expect(page.locator(".candidates li")).to_have_count(3, timeout=15_000)
        expect(page.locator("#wire .caution").first).to_be_visible()
        assert barriers(page) == []
        assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
        page.get_by_label("Pin, connector, colour, place, part or function").fill("dash GY")
        expect(page.locator("#found .candidates li").first).to_be_visible()
