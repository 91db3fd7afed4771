"""Practice as pages: a round from its address, nothing of what is hidden before the end, and a round in a browser."""

import json
import urllib.request
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect
from starlette.datastructures import QueryParams
from starlette.testclient import TestClient

from loombench.app.circuits import Circuits
from loombench.app.dealing import EASY, Dealt, deal
from loombench.app.desk.practice import Asking
from loombench.app.drawing import Drawings
from loombench.diagnose.suspect import group_of, part_of
from loombench.shell.web.practicepages import RoundAddress, read_asking
from loombench.text.load import load_text
from tests.web.server import LAMP, Server, barriers, shelf_of, watched
from tests.web.test_circuit import tap

ROUND = "/practice/lamp/easy/3"
JSON = {"Accept": "application/json"}
LAMPS = load_text(LAMP).value


@pytest.fixture(scope="module")
def place(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The lamp alone: rounds on it are quick."""
    folder = tmp_path_factory.mktemp("bench")
    shelf_of(folder / "vehicles")
    (folder / "vehicles" / "empty.circuit").write_text('loombench 1\nvehicle "Empty" 12V\n', encoding="utf-8")
    return folder


@pytest.fixture(scope="module")
def hidden() -> Dealt:
    """What is hidden in that round."""
    dealt = deal(Drawings(LAMPS), Circuits(LAMPS), EASY, 3)
    assert dealt is not None
    return dealt


def test_an_address_spells_a_round() -> None:
    asking = Asking(("do S4=on", "read voltmeter E7.1"), "E7", "E7", "ohmmeter", "E7.1", "E7.2")
    at = RoundAddress("lamp", "easy", 3, asking)
    assert read_asking(QueryParams(str(at).partition("?")[2])) == asking
    assert read_asking(QueryParams(at.doing("S4=off").partition("?")[2])).acts[-1] == "do S4=off"
    assert read_asking(QueryParams(at.showing("supply").partition("?")[2])).part == ""
    assert str(RoundAddress("lamp", "easy", 3, Asking())) == ROUND


def test_nothing_of_what_is_hidden_is_sent_before_the_end(client: TestClient, hidden: Dealt) -> None:
    (fault,) = hidden.hidden
    acts = "?act=do+S4%3Don&act=look+E7&act=read+voltmeter+E7.1"
    for said in (
        client.get(ROUND).text,
        client.get(f"{ROUND}{acts}").text,
        client.get(f"{ROUND}{acts}", headers=JSON).text,
    ):
        assert str(fault) not in said
        assert "Hidden was" not in said
        # Volts, live wires and what works are looked for, not shown.
        assert 'class="live"' not in said.replace("\\", "")
        assert 'class="volts"' not in said.replace("\\", "")
    over = client.get(f"{ROUND}{acts}&act=stop").text
    assert "Hidden was" in over
    assert "The program&#39;s path" in over


def test_acts_are_told_with_what_they_cost(client: TestClient) -> None:
    answer = client.get(f"{ROUND}?act=do+S4%3Don&act=look+E7&red=E7.1", headers=JSON).json()
    assert answer["address"] == f"{ROUND}?act=do+S4%3Don&act=look+E7&red=E7.1"
    assert answer["taps"]["S4"] == "do S4=off"
    assert "Look at E7" in answer["pieces"]["ledger"]
    assert "act=read+voltmeter+E7.1" in answer["pieces"]["meter"]
    assert "suspect" not in json.dumps(answer["pages"])


def test_the_programs_path_is_a_piece_of_its_own(client: TestClient) -> None:
    answer = client.get(f"{ROUND}/best")
    assert answer.status_code == 200
    assert "minutes" in answer.text
    assert answer.text.count("<tr>") > 3


def test_how_far_it_is_can_be_heard(server: Server) -> None:
    # What was worked out for another test is not heard again.
    path = f"{server.address}practice/lamp/easy/4"
    with urllib.request.urlopen(f"{path}/heard", timeout=30) as heard:
        assert heard.readline() == b"event: open\n"
        with urllib.request.urlopen(f"{path}/best", timeout=60) as best:
            assert b"minutes" in best.read()
        lines = iter(heard.readline, b"")
        assert next(line for line in lines if line.startswith(b"event: step"))
        assert b"E7" in next(lines)


@pytest.mark.parametrize(
    ("path", "status"),
    [("/practice", 200), ("/practice/begin?vehicle=lamp&level=easy&number=3", 303), ("/practice/lamp/hopeless/3", 404),
     ("/practice/begin?vehicle=lamp&level=easy", 303), ("/practice/begin?level=easy", 404),
     ("/practice/nothing/easy/1", 404),
     ("/practice/nothing/easy/1/best", 404), ("/practice/lamp/easy/x", 404)],
)  # fmt: skip
def test_what_there_is_and_is_not(client: TestClient, path: str, status: int) -> None:
    answer = client.get(path, follow_redirects=False)
    assert answer.status_code == status
    if status == 303:
        assert answer.headers["location"].startswith("/practice/lamp/easy/")


def test_a_vehicle_without_a_task_says_so(client: TestClient) -> None:
    answer = client.get("/practice/empty/easy/1")
    assert (answer.status_code, "There is no such task in Empty" in answer.text) == (404, True)


@pytest.mark.chromium
@pytest.mark.parametrize("size", ["tablet", "laptop"])
def test_a_round_is_played_to_its_end(server: Server, browser: Browser, size: str, hidden: Dealt) -> None:
    (fault,) = hidden.hidden
    part = part_of(LAMPS, fault)
    with watched(browser, server.address, size) as page:
        page.get_by_role("link", name="Practice").click()
        page.get_by_label("Number of the task").fill("3")
        page.get_by_label("Vehicle").select_option("lamp")
        assert barriers(page) == []
        page.get_by_role("button", name="Begin").click()
        expect(page.locator("body[data-ready]")).to_be_attached()
        expect(page.locator(".complaint")).to_contain_text("E7 does nothing")
        tap(page, '.part[data-part="S4"]')
        expect(page.locator(".last")).to_contain_text("S4=on: Done.")
        page.get_by_role("link", name="E7", exact=True).first.click()
        expect(page.locator(".last")).to_contain_text("Look at E7: dead")
        read(page, "S4.1")
        assert barriers(page) == []
        assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
        page.locator("#part").select_option(part.id if part is not None else fault.target)
        page.locator("#condemn summary").click()
        wanted = group_of(LAMPS, fault)
        page.locator(f'#condemn a[href*="{wanted.split(" ")[-1].split("~")[0]}"]').first.click()
        expect(page.get_by_text("Hidden was")).to_be_visible()
        expect(page.locator("#best table")).to_be_visible(timeout=60_000)
        assert barriers(page) == []


def read(page: Page, pin: str) -> None:
    """Put the red lead on a pin and read."""
    page.get_by_role("button", name="A tap puts a lead").click()
    tap(page, f'[data-read="{pin}"]')
    expect(page.locator("#red")).to_have_value(pin)
    page.locator("#glance").get_by_role("link", name="Read", exact=True).click()
    expect(page.locator("#reading")).to_contain_text("V")
    expect(page.locator("#glance b")).to_have_text(page.locator("#reading").inner_text())
