"""The live circuit: what an address spells, what of a page follows it, and the page in a browser."""

import json

import pytest
from playwright.sync_api import Browser, Page, expect
from starlette.datastructures import QueryParams
from starlette.testclient import TestClient

from loombench.app.desk.circuit import Live
from loombench.shell.web.circuitaddress import CircuitAddress, read_live
from tests.web.server import Server, barriers, watched

expect.set_options(timeout=60_000)

BOOM = "/vehicle/telehandler-roof/circuit/E7"
JSON = {"Accept": "application/json"}


def test_an_address_spells_what_was_done_and_what_is_held() -> None:
    live = Live(("S4=on", "pull F12"), ("open SP2~E7.1",), "F12", "X12.3@boom", "ohmmeter", "X12.3@boom", "G1.-")
    at = CircuitAddress("van", "E1.56b-31", live)
    assert read_live(QueryParams(str(at).partition("?")[2])) == live
    assert read_live(QueryParams(str(at.hidden("do")) and "supply=11.5&wait=3")).operations == (
        "supply 11.5V",
        "wait 3s",
    )
    assert read_live(QueryParams(at.after(1).partition("?")[2])).operations == ("S4=on",)
    assert read_live(QueryParams(at.doing("S4=off").partition("?")[2])).operations[-1] == "S4=off"
    assert read_live(QueryParams(at.without("open SP2~E7.1").partition("?")[2])).faults == ()
    assert (
        CircuitAddress("van", "a b", Live()).path
        == str(CircuitAddress("van", "a b", Live()))
        == "/vehicle/van/circuit/a%20b"
    )


def test_a_page_says_what_works_and_is_an_address(client: TestClient) -> None:
    rest = client.get(BOOM)
    on = client.get(f"{BOOM}?do=S4%3Don&red=X12.3@boom&pin=X12.3@boom&part=F12")
    assert rest.status_code == on.status_code == 200
    assert ("dark" in rest.text, "works" in rest.text) == (True, True)
    assert 'class="works" data-load="E7"' in on.text
    assert 'class="works"' not in rest.text
    assert "11.84 V" in on.text


def test_only_what_a_page_does_not_have_is_sent(client: TestClient) -> None:
    first = client.get(BOOM, headers=JSON).json()
    assert first["pages"][0]["still"]
    assert first["taps"]["S4"] == "S4=on"
    same = client.get(f"{BOOM}?do=S5%3Don", headers={**JSON, "X-Loombench-Have": first["pages"][0]["key"]}).json()
    assert same["pages"][0]["still"] is None
    assert same["address"] == f"{BOOM}?do=S5%3Don"
    turned = client.get(f"{BOOM}?do=S4%3Don", headers={**JSON, "X-Loombench-Have": first["pages"][0]["key"]}).json()
    assert turned["pages"][0]["still"]
    assert turned["taps"]["S4"] == "S4=off"
    assert set(first) == {"address", "pieces", "pages", "taps"}


def test_history_decides_and_what_is_not_understood_is_said(client: TestClient) -> None:
    answer = client.get(f"{BOOM}?do=S4%3Don&do=nonsense&fault=blown+F12&fault=what", headers=JSON).json()
    assert answer["address"] == f"{BOOM}?do=S4%3Don&fault=blown+F12&fault=what"
    assert "nonsense" in answer["pieces"]["trouble"]
    assert "dark" in answer["pieces"]["loads"]


@pytest.mark.parametrize(
    ("path", "status"),
    [("/vehicle/nothing/circuit/E7", 404), ("/vehicle/telehandler-roof/circuit/E99", 404), (BOOM, 200),
     ("/vehicle/telehandler-roof/circuit?find=boom+work+lamp", 200), ("/vehicle/nothing/circuit", 404)],
)  # fmt: skip
def test_what_there_is_not_is_no_page(client: TestClient, path: str, status: int) -> None:
    assert client.get(path).status_code == status


def test_what_comes_from_outside_is_text(client: TestClient) -> None:
    bad = "<script>x</script>"
    for path in (f"{BOOM}?do={bad}&fault={bad}&part={bad}&pin={bad}&red={bad}&meter={bad}", f"{BOOM}{bad}"):
        answer = client.get(path)
        assert bad not in answer.text
        assert bad not in json.dumps(client.get(path, headers=JSON).text)


def works(page: Page, *loads: str) -> None:
    """Wait until these loads are drawn to work, and no other."""
    expect(page.locator(".works")).to_have_count(len(loads))
    for load in loads:
        expect(page.locator(f'.works[data-load="{load}"]')).to_have_count(1)


def opened(page: Page, address: str) -> None:
    """A live page, as soon as taps are heard."""
    page.goto(address)
    expect(page.locator("body[data-ready]")).to_be_attached(timeout=60_000)


def tap(page: Page, what: str) -> None:
    """A tap in the middle of something drawn, whatever lies on it."""
    drawn = page.locator(what).first
    drawn.scroll_into_view_if_needed()
    box = drawn.bounding_box()
    assert box is not None
    page.mouse.click(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)


@pytest.mark.chromium
@pytest.mark.parametrize("size", ["tablet", "laptop"])
def test_a_tap_on_the_drawing_lights_the_lamps_and_a_step_back_puts_them_out(
    server: Server, browser: Browser, size: str
) -> None:
    with watched(browser, server.address, size) as page:
        opened(page, f"{server.address}vehicle/telehandler-roof/circuit/E7")
        works(page)
        tap(page, '.part[data-part="S4"]')
        works(page, "E7", "E8")
        expect(page.locator("#loads")).to_contain_text("lit")
        assert page.url.endswith("?part=S4&do=S4%3Don") or page.url.endswith("?do=S4%3Don&part=S4")
        tap(page, '.part[data-part="F12"]')
        works(page)
        page.get_by_role("link", name="Take back the last").click()
        works(page, "E7", "E8")
        page.go_back()
        works(page)
        page.reload()
        works(page)


@pytest.mark.chromium
@pytest.mark.parametrize("size", ["tablet", "laptop"])
def test_two_taps_are_a_reading(server: Server, browser: Browser, size: str) -> None:
    with watched(browser, server.address, size) as page:
        opened(page, f"{server.address}vehicle/telehandler-roof/circuit/E7?do=S4%3Don")
        page.get_by_role("button", name="A tap puts a lead").click()
        tap(page, '[data-read="E7.1"]')
        expect(page.locator("#reading")).to_have_text("11.65 V")
        expect(page.locator("#pin")).to_contain_text("OG/BK")
        page.locator('[data-read="E7.2"]').first.scroll_into_view_if_needed()
        expect(page.locator("#glance b")).to_have_text("11.65 V")
        expect(page.locator("#glance b")).to_be_in_viewport(ratio=1)
        assert page.locator("#glance").inner_text().startswith("Live circuit: do not let the tips bridge two pins")
        tap(page, '[data-read="E7.2"]')
        expect(page.locator("#reading")).to_have_text("11.59 V")
        page.get_by_role("combobox", name="Which meter").select_option("ohmmeter")
        expect(page.locator("#meter .caution").first).to_contain_text("Ohms only on a dead circuit")
        expect(page.locator("#meter")).to_contain_text("There are volts on this circuit")
        assert barriers(page) == []


@pytest.mark.chromium
def test_a_page_wider_than_the_screen_is_read_from_its_highest_part(server: Server, browser: Browser) -> None:
    with watched(browser, server.address, "phone") as page:
        opened(page, f"{server.address}vehicle/telehandler-roof/circuit/E7")
        frame, battery = page.locator(".paper .sheet").first, page.locator(".part[data-part='G1']").first
        assert frame.evaluate("(it) => it.scrollWidth > it.clientWidth")
        box, part = frame.bounding_box(), battery.bounding_box()
        assert box is not None
        assert part is not None
        assert part["x"] + part["width"] / 2 == pytest.approx(box["x"] + box["width"] / 2, abs=4)


@pytest.mark.chromium
def test_a_fault_is_laid_in_and_taken_out(page: Page) -> None:
    opened(page, f"{page.url}vehicle/telehandler-roof/circuit/E7?do=S4%3Don&part=F12")
    page.get_by_text("What if something is wrong here?").click()
    page.locator("#chosen a[data-live]", has_text="F12 blown").click()
    works(page)
    expect(page.locator(".suspect").first).to_be_attached()
    page.get_by_role("link", name="Take out").click()
    works(page, "E7", "E8")


@pytest.mark.chromium
def test_keys_do_what_taps_do_while_the_drawing_has_the_focus(page: Page) -> None:
    opened(page, f"{page.url}vehicle/telehandler-roof/circuit/E7?do=S4%3Don")
    sheet = page.locator(".paper .sheet")
    sheet.focus()
    wide = page.locator(".sheet svg").first.bounding_box()
    page.keyboard.press("+")
    nearer = page.locator(".sheet svg").first.bounding_box()
    assert wide is not None
    assert nearer is not None
    assert nearer["width"] > 1.3 * wide["width"]
    page.keyboard.press("m")
    expect(page.get_by_role("button", name="A tap puts a lead")).to_have_attribute("aria-pressed", "true")
    page.keyboard.press("u")
    works(page)


@pytest.mark.chromium
@pytest.mark.parametrize("theme", ["dark", "sun"])
def test_nobody_is_kept_out(server: Server, browser: Browser, theme: str) -> None:
    with watched(browser, server.address, "tablet") as page:
        page.context.add_cookies([{"name": "theme", "value": theme, "url": server.address}])
        for path in ("circuit", "circuit/E7?do=S4%3Don&pin=X12.3@boom&red=X12.3@boom&part=F12", "sheets/plug/X12@boom"):
            page.goto(f"{server.address}vehicle/telehandler-roof/{path}")
            assert page.locator("html").get_attribute("data-theme") == theme
            assert barriers(page) == []
            assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
