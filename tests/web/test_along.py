"""A job taken along: one file that opens anywhere, without the bench and without a network."""

from pathlib import Path

import pytest
from playwright.sync_api import Browser
from starlette.testclient import TestClient

from tests.web.server import writing


def begun(client: TestClient) -> str:
    """The address of a job with something in it."""
    headers = writing(client)
    url = str(
        client.post("/jobs", json={"vehicle": "lamp", "complaint": "E7 dead when S4=on"}, headers=headers).json()["url"]
    )
    sent = {"entry": "n1", "line": "note water in the lamp"}
    assert client.post(f"{url}/entries", json=sent, headers=headers).json()["kept"]
    return url


@pytest.mark.chromium
def test_a_job_taken_along_opens_offline_and_asks_for_nothing(
    client: TestClient, browser: Browser, tmp_path: Path
) -> None:
    file = tmp_path / "along.html"
    file.write_bytes(client.get(f"{begun(client)}/paper/along.html").content)
    context = browser.new_context(offline=True, viewport={"width": 768, "height": 1024})
    page, sent, wrong = context.new_page(), list[str](), list[str]()
    page.on("request", lambda one: sent.append(one.url))
    page.on("console", lambda said: wrong.append(said.text))
    page.goto(file.as_uri())
    assert page.get_by_text("water in the lamp").count() >= 1
    drawn = page.locator("img").evaluate_all("(all) => all.map((one) => one.complete && one.naturalWidth > 0)")
    assert drawn
    assert all(drawn)
    assert [one for one in sent if not one.startswith(("file:", "data:"))] == []
    assert [one for one in sent if one.startswith("file:")] == [file.as_uri()]
    assert wrong == []
    context.close()
