"""The workshop's network: what the unpaired get, how a tablet is paired, and what of it an attacker could use."""

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page
from starlette.testclient import TestClient

from loombench.shell.web.devicepages import square
from loombench.shell.web.guarding import DEVICE_COOKIE, HEADER
from tests.web.server import asked, barriers, serving, shelf_of, watched, writing

LAN = "http://192.168.7.2:8137"


@pytest.fixture(scope="module")
def served(tmp_path_factory: pytest.TempPathFactory) -> Iterator[TestClient]:
    """The application, served in a network too."""
    folder = tmp_path_factory.mktemp("lan")
    with asked(shelf_of(folder / "vehicles"), folder / "store" / "jobs.sqlite", lan="192.168.7.2") as found:
        yield found


@pytest.fixture
def client(served: TestClient) -> TestClient:
    """It without a cookie, with nothing paired, and with a fresh code."""
    served.cookies.clear()
    devices = served.app.app.state.devices  # type: ignore[attr-defined]
    for one in devices.all():
        devices.revoke(one.id)
    pairing = served.app.app.state.pairing  # type: ignore[attr-defined]
    pairing.stop()
    pairing._clients.clear()
    pairing._all_wait_until_s = 0.0
    pairing.begin()
    return served


def code(client: TestClient) -> str:
    """The code that the laptop shows."""
    found = re.search(r'class="code">(\d{4}) (\d{4})<', client.get("/devices").text)
    assert found is not None
    return "".join(found.groups())


def paired(client: TestClient) -> None:
    """Pair this client from the network."""
    given = {"code": code(client), "name": "Tablet <b>1</b>"}
    answer = client.post(f"{LAN}/pair", data=given, headers=writing(client, f"{LAN}/pair"))
    assert answer.status_code == 200
    made = answer.headers["set-cookie"].lower()
    assert made.startswith(DEVICE_COOKIE)
    assert "httponly" in made
    assert "samesite=strict" in made


def test_the_unpaired_get_the_page_that_pairs_and_nothing_else(client: TestClient) -> None:
    answer = client.get(f"{LAN}/", headers={"Accept": "text/html"}, follow_redirects=False)
    assert (answer.status_code, answer.headers["location"]) == (303, "/pair")
    assert client.get(f"{LAN}/pair").status_code == 200
    assert client.get(f"{LAN}/static/bench.css").status_code == 200
    for path in ("/", "/vehicle/lamp/circuit", "/devices", "/devices/changes", "/gone", "/pair/", "/pair/../", "//pair",
                 "/PAIR", "/static", "/pair%2f..%2fdevices"):  # fmt: skip
        answer = client.get(f"{LAN}{path}", follow_redirects=False)
        assert answer.status_code == 401, path
        assert "Lamp" not in answer.text


@pytest.mark.parametrize(
    "headers",
    [
        {"Host": "127.0.0.1:8137"},
        {"Host": "localhost:8137"},
        {"X-Forwarded-For": "127.0.0.1"},
        {"X-Real-IP": "127.0.0.1"},
        {"Forwarded": "for=127.0.0.1;host=127.0.0.1:8137"},
        {"X-Forwarded-Host": "127.0.0.1:8137", "X-Forwarded-Server": "127.0.0.1"},
        {"Cookie": f"{DEVICE_COOKIE}="},
        {"Cookie": f"{DEVICE_COOKIE}=' OR 1=1"},
        {"X-Original-URL": "/pair", "X-Rewrite-URL": "/pair"},
    ],
)
def test_nobody_passes_for_this_machine(client: TestClient, headers: dict[str, str]) -> None:
    answer = client.get(f"{LAN}/", headers=headers, follow_redirects=False)
    assert answer.status_code in {401, 421}
    assert "Lamp" not in answer.text


def test_this_machine_needs_no_code(client: TestClient) -> None:
    text = client.get("/").text
    assert "Lamp" in text
    assert 'href="/devices"' in text


def test_a_tablet_is_paired_by_the_code_and_revoked(client: TestClient) -> None:
    paired(client)
    text = client.get(f"{LAN}/").text
    assert "Lamp" in text
    assert 'href="/devices"' not in text
    listed = client.get("/devices").text
    assert "Tablet &lt;b&gt;1&lt;/b&gt;" in listed
    found = re.findall(r"&#34;id&#34;: &#34;(\w+)&#34;|\"id\": \"(\w+)\"", listed)
    ids = [one or other for one, other in found]
    assert len(ids) == 1
    answer = client.post("/devices/revoke", data={"id": ids[0]}, headers=writing(client))
    assert "Tablet" not in answer.text
    assert client.get(f"{LAN}/").status_code == 401


def test_a_paired_tablet_does_not_see_nor_change_what_is_paired(client: TestClient) -> None:
    paired(client)
    assert client.get(f"{LAN}/devices").status_code == 404
    token = writing(client, f"{LAN}/")
    for path in ("/devices/code", "/devices/revoke"):
        assert client.post(f"{LAN}{path}", data={"id": "x"}, headers=token).status_code == 404


def test_a_paired_tablet_needs_the_token_as_well(client: TestClient) -> None:
    paired(client)
    assert client.post(f"{LAN}/pair", data={"code": "1"}).status_code == 403
    evil = writing(client, f"{LAN}/") | {"Origin": "http://evil.example"}
    assert client.post(f"{LAN}/pair", data={"code": "1"}, headers=evil).status_code == 403


def test_guessing_makes_another_code_and_everybody_wait(client: TestClient) -> None:
    shown, token = code(client), writing(client, f"{LAN}/pair")
    pairing = client.app.app.state.pairing  # type: ignore[attr-defined]
    for _ in range(5):
        pairing._clients.clear()
        assert client.post(f"{LAN}/pair", data={"code": "no"}, headers=token).status_code == 403
    assert code(client) != shown
    forged = token | {"X-Forwarded-For": "10.0.0.9", "X-Real-IP": "10.0.0.9"}
    answer = client.post(f"{LAN}/pair", data={"code": code(client)}, headers=forged)
    assert answer.status_code == 429
    assert answer.json()["wait_s"] > 5


def test_a_try_needs_a_page_of_ours(client: TestClient) -> None:
    """Else any page a person looks at could guess from inside the network."""
    assert client.post(f"{LAN}/pair", data={"code": code(client)}).status_code == 403


def test_the_square_holds_the_code_where_no_server_is_told_it(client: TestClient) -> None:
    text = client.get("/devices").text
    assert square(f"{LAN}/pair#{code(client)}") in text
    assert "<svg" in text


def test_without_a_network_there_is_nothing_to_pair(tmp_path: Path) -> None:
    with asked(shelf_of(tmp_path / "vehicles"), tmp_path / "jobs.sqlite") as alone:
        text = alone.get("/devices").text
        assert "--lan" in text
        assert 'class="code"' not in text
        answer = alone.post("/devices/code", headers=writing(alone))
        assert 'class="code"' not in answer.text
        assert HEADER in alone.get("/devices").text


@pytest.mark.chromium
def test_a_tablet_scans_the_square_and_is_in(tmp_path: Path, browser: Browser) -> None:
    """With two real addresses: another one of loopback stands for the network's."""
    made = serving(shelf_of(tmp_path / "vehicles"), tmp_path / "store" / "jobs.sqlite", ("--lan", "127.0.0.2"))
    with made as server, watched(browser, server.address) as laptop:
        laptop.goto("/devices")
        assert barriers(laptop) == []
        given = laptop.locator(".code").inner_text().replace(" ", "")
        network = server.address.replace("127.0.0.1", "127.0.0.2")
        with watched(browser, network, "tablet") as tablet:
            assert tablet.url == f"{network}pair"
            assert barriers(tablet) == []
            tablet.goto(f"{network}pair#{given}")
            tablet.wait_for_function("document.querySelector('#code').value.length === 8")
            assert tablet.url == f"{network}pair"
            assert tablet.evaluate("document.cookie") == ""
            _pressed(tablet, network)
            laptop.get_by_role("button", name="Revoke Tablet").click()
            laptop.get_by_text("None.").wait_for()
            tablet.goto(network)
            assert tablet.url == f"{network}pair"


def _pressed(tablet: Page, network: str) -> None:
    tablet.get_by_role("button", name="Pair").click()
    tablet.wait_for_url(network)
    tablet.get_by_role("link", name="Lamp", exact=True).wait_for()
