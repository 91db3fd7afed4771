"""A fault found in the browser: from the complaint to the card, on two devices at once, with the connection cut."""

import os
import re
import signal
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, Route, expect

from tests.web.server import SIZES, Server, barriers, serving, shelf_of, watched

pytestmark = pytest.mark.chromium
LONG_MS = 240_000
"""The first step of a whole vehicle, on a machine that has much else to do."""
FIND = "vehicle/telehandler-roof/find"


def picked(page: Page, server: Server, load: str, does: str) -> str:
    """A job begun by picking a load and what it does; its address."""
    page.goto(server.address + FIND)
    page.get_by_role("searchbox").fill(load)
    page.locator(f"[data-load='{load}']").click()
    page.get_by_role("button", name=does, exact=True).click()
    page.get_by_role("button", name="Add to the complaint").click()
    page.get_by_role("button", name="Start the job").click()
    page.wait_for_url("**/job/*")
    expect(page.locator(".step")).to_be_visible(timeout=60_000)
    return page.url


def at(page: Page, number: int) -> None:
    """Wait until the page shows where the job stands after so many events."""
    expect(page.locator(f"#at[data-number='{number}']")).to_be_visible(timeout=60_000)


@pytest.mark.parametrize("page", ["tablet", "laptop"], indirect=True)
def test_from_a_picked_complaint_to_the_signed_card(page: Page, server: Server) -> None:
    picked(page, server, "E7", "dead")
    assert barriers(page) == []
    page.get_by_role("button", name="None stored").click()
    at(page, 3)
    expect(page.locator("#said")).to_contain_text("kept 3: codes before work: none stored")
    page.get_by_role("button", name="does nothing").focus()
    page.evaluate("scrollTo(0, document.body.scrollHeight)")
    page.keyboard.press("Enter")
    at(page, 4)
    expect(page.locator("#action")).to_be_focused()
    expect(page.locator(".step > :first-child")).to_be_in_viewport()
    expect(page.locator("#see svg").first).to_be_visible(timeout=60_000)
    assert barriers(page) == []
    page.locator("#line").fill("replaced E7, new bulb")
    page.keyboard.press("Enter")
    at(page, 5)
    while page.locator(".answer[data-say-step='works']").count():
        number = int(page.locator("#at").get_attribute("data-number") or 0)
        page.locator(".answer[data-say-step='works']").click()
        at(page, number + 1)
    page.get_by_role("button", name="All are out").click()
    expect(page.get_by_text("This job is closed.")).to_be_visible(timeout=60_000)
    page.get_by_role("link", name="Record").first.click()
    page.get_by_role("button", name="Start the work clock").click()
    expect(page.get_by_role("button", name="Stop the work clock")).to_be_visible()
    signed(page)
    assert barriers(page) == []
    page.get_by_role("link", name="Job card", exact=True).click()
    card = page.locator("main")
    for said in (
        "E7 dead",
        "E7 (boom work lamp, left)",
        "replaced, new bulb",
        "Test leads, bridges and lamps: all removed",
    ):
        expect(card).to_contain_text(said)
    expect(card.get_by_alt_text(re.compile("Received: A. Berg"))).to_be_visible()


def signed(page: Page) -> None:
    """A signature drawn with a finger that goes to and fro."""
    page.get_by_text("Sign", exact=True).click()
    page.get_by_label("Name", exact=True).fill("A. Berg")
    field = page.locator("#sign-field")
    field.scroll_into_view_if_needed()
    box = field.bounding_box()
    assert box is not None
    page.mouse.move(box["x"] + 20, box["y"] + 40)
    page.mouse.down()
    for step in range(12):
        page.mouse.move(box["x"] + 20 + 12 * step, box["y"] + 30 + 25 * (step % 2))
    page.mouse.up()
    page.get_by_role("button", name="Keep the signature").click()
    expect(page.locator(".signature svg path")).to_be_visible()


def test_the_pad_enters_what_its_display_shows(page: Page, server: Server) -> None:
    picked(page, server, "E7", "dim")
    for number in range(2, 12):
        if page.locator("form[data-pad]").count():
            break
        page.locator("[data-say-step='dim']").first.click()
        at(page, number + 1)
    number = int(page.locator("#at").get_attribute("data-number") or 0)
    for key in ("1", "2", "3", ".", "5"):
        page.locator(f"[data-key='{key}']").click()
    page.get_by_role("button", name="Delete").click()
    page.keyboard.press("7")
    page.get_by_role("button", name="mV", exact=True).click()
    expect(page.locator("#read")).to_have_value("123.7")
    page.locator(".pad .first").click()
    at(page, number + 1)
    expect(page.locator(".last")).to_contain_text(": 0.1237 V")


def test_a_reading_by_tapping_two_pins(page: Page, server: Server) -> None:
    picked(page, server, "E7", "dead")
    sheet = page.locator("#see .sheet").first
    expect(sheet).to_be_visible(timeout=60_000)
    for name in ("S4.2", "E7.2"):
        pin = sheet.locator(f"[data-read='{name}']").first
        pin.scroll_into_view_if_needed()
        box = pin.bounding_box()
        assert box is not None
        page.mouse.click(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
    expect(page.get_by_label("Red lead")).to_have_value("S4.2")
    expect(page.get_by_label("Black lead")).to_have_value("E7.2")
    page.get_by_label("Meter shows").fill("11,9")
    page.locator("[data-tapped] button").click()
    at(page, 3)
    expect(page.locator(".last")).to_contain_text("voltmeter S4.2 to E7.2, S4=on: 11.9 V")


HEARD = "window.EventSource = class extends EventSource { constructor(at) { super(at); window.heard = this; } }"
"""The page's line of news, kept where a test can speak into it."""


def test_a_drawing_asked_for_twice_does_not_close_what_was_opened_on_it(page: Page, server: Server) -> None:
    page.add_init_script(HEARD)
    held: list[Route] = []

    def hold(route: Route) -> None:
        held.append(route)

    page.route("**/step", hold)
    picked(page, server, "E7", "dead")
    for count in (1, 2):
        if len(held) < count:
            with page.expect_request("**/step"):
                page.evaluate("heard.dispatchEvent(new Event('there'))")
    first, *others = held
    first.continue_()
    expect(page.locator("#see .sheet").first).to_be_visible(timeout=60_000)
    page.locator("#taps summary").click()
    page.get_by_label("Red lead").fill("S4.2")
    for other in others:
        with page.expect_response("**/step"):
            other.continue_()
    page.wait_for_timeout(200)
    expect(page.get_by_label("Red lead")).to_be_visible()
    expect(page.get_by_label("Red lead")).to_have_value("S4.2")


def test_what_one_is_at_stays_when_the_page_is_written_anew(page: Page, server: Server, browser: Browser) -> None:
    job = picked(page, server, "E7", "dead")
    page.locator("#as-drawn summary").click()
    page.locator("#drawn").fill("S4.2 is GY")
    page.get_by_role("button", name="does nothing").focus()
    at_hand = page.get_by_role("button", name="does nothing").element_handle()
    assert at_hand is not None
    with watched(browser, server.address, "tablet") as tablet:
        tablet.goto(job)
        at(tablet, 2)
        tablet.get_by_role("button", name="None stored").click()
    at(page, 3)
    expect(page.locator(".opening")).to_have_count(0)
    assert at_hand.evaluate("one => one.isConnected && document.activeElement === one")
    expect(page.locator("#drawn")).to_be_visible()
    expect(page.locator("#drawn")).to_have_value("S4.2 is GY")
    page.keyboard.press("Enter")
    at(page, 4)


def test_two_devices_see_the_same_job(page: Page, server: Server, browser: Browser) -> None:
    job = picked(page, server, "E7", "dead")
    with watched(browser, server.address, "tablet") as tablet:
        tablet.goto(job)
        at(tablet, 2)
        page.locator("#line").fill("note begun on the laptop")
        tablet.get_by_role("button", name="does nothing").click()
        at(page, 3)
        expect(page.locator("#line")).to_have_value("note begun on the laptop")
        page.keyboard.press("Enter")
        page.locator("#line").press("Enter")
        at(tablet, 4)
        expect(tablet.locator(".last")).to_contain_text("begun on the laptop")


@contextmanager
def careless(browser: Browser, address: str, size: str) -> Iterator[Page]:
    """A page whose console may tell of a connection that is lost."""
    width, height = SIZES[size]
    context = browser.new_context(viewport={"width": width, "height": height}, base_url=address)
    try:
        yield context.new_page()
    finally:
        context.close()


def begun(page: Page, vehicle: str, complaint: str) -> str:
    """A job begun from the page that is open, as its own scripts would; its address."""
    given = page.evaluate(
        """async ([vehicle, complaint]) => {
          const token = JSON.parse(document.body.getAttribute("hx-headers"));
          const headers = { "Content-Type": "application/json", ...token };
          const told = JSON.stringify({ vehicle, complaint });
          return (await (await fetch("/jobs", { method: "POST", headers, body: told })).json()).url; }""",
        [vehicle, complaint],
    )
    return str(given)


def test_what_is_typed_while_the_laptop_is_away_is_kept_when_it_is_back(browser: Browser, tmp_path: Path) -> None:
    folder, store = shelf_of(tmp_path / "vehicles"), tmp_path / "store" / "jobs.sqlite"
    with serving(folder, store) as first, careless(browser, first.address, "laptop") as page:
        page.goto("/")
        job = begun(page, "lamp", "E7 dead when S4=on")
        with careless(browser, first.address, "tablet") as tablet:
            for one in (page, tablet):
                one.goto(job)
                at(one, 2)
            os.killpg(first.process.pid, signal.SIGKILL)
            first.process.wait(10)
            page.get_by_role("button", name="does nothing").click()
            tablet.locator("#line").fill("note rust at W1")
            tablet.locator("#line").press("Enter")
            expect(page.locator("#unkept")).to_contain_text("dead: not kept yet")
            expect(tablet.locator("#unkept")).to_contain_text("note rust at W1: not kept yet")
            with serving(folder, store, ["--port", first.address.rsplit(":", 1)[1].strip("/")]):
                for one in (page, tablet):
                    at(one, 4)
                    expect(one.locator("#unkept p")).to_have_count(0, timeout=60_000)
                    expect(one.locator(".last")).to_contain_text("rust at W1")
                    expect(one.locator(".last")).to_contain_text("does nothing")
                lines = page.request.get(f"{job}/file.jsonl").text().splitlines()
                assert len([line for line in lines if '"number"' in line]) == 4


def test_on_a_whole_vehicle_the_long_first_step_tells_how_far_it_is_and_can_be_stopped(
    browser: Browser, tmp_path: Path
) -> None:
    folder, store = shelf_of(tmp_path / "vehicles", "library-van"), tmp_path / "store" / "jobs.sqlite"
    with (
        serving(folder, store) as server,
        watched(browser, server.address, "laptop") as page,
        watched(browser, server.address, "tablet") as tablet,
    ):
        job = begun(page, "library-van", "E64 dead when S51=on")
        page.goto(job)
        expect(page.locator("#how-far")).to_contain_text("what each suspect would show", timeout=LONG_MS)
        page.get_by_role("button", name="Stop").click()
        page.get_by_role("button", name="Go on").click(timeout=LONG_MS)
        page.locator("#line").fill("note asked the driver")
        page.locator("#line").press("Enter")
        expect(page.locator(".last")).to_contain_text("asked the driver", timeout=LONG_MS)
        tablet.goto(job)
        tablet.get_by_role("button", name="does nothing").click()
        for one in (page, tablet):
            expect(one.locator("#at[data-number='4']")).to_be_visible(timeout=LONG_MS)
            expect(one.locator(".step")).to_be_visible()
        page.locator("#line").fill("renewed E64")
        page.locator("#line").press("Enter")
        for one in (page, tablet):
            expect(one.locator("#at[data-number='5']")).to_be_visible(timeout=LONG_MS)
            one.goto(f"{job}/paper/card")
            expect(one.locator("main")).to_contain_text("asked the driver", timeout=LONG_MS)
            expect(one.locator("main")).to_contain_text("renewed")
